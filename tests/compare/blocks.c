/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare/blocks.h"

#include <assert.h>

static const double REP_SCATTER = 0.03, DAY_SCATTER = 0.06, LIFTER_SCATTER = 0.2, NORMAL_95 = 1.959964;

/* A value on the log or the plain scale as a figure with its 95 % interval. */
static struct bp_quantity figure(double value, double sd, bool log_scale)
{
    double half = NORMAL_95 * sd;
    if (log_scale) {
        return (struct bp_quantity){exp(value), exp(value - half), exp(value + half)};
    }
    return (struct bp_quantity){1.0 + value, 1.0 + value - half, 1.0 + value + half};
}

static void draw_set(const struct block_plan *plan, bool log_scale, double level, struct bp_random *random,
                     struct block *block)
{
    struct bp_quantity *reps = block->reps[block->count];
    struct bp_observation *o = &block->sets[block->count++];
    double shared = plan->measured_set * bp_random_normal(random), sum = 0.0;
    double rep_sd = sqrt(plan->measured_set * plan->measured_set + plan->measured_rep * plan->measured_rep);
    for (size_t r = 0; r < plan->reps; r++) {
        double v = level + REP_SCATTER * bp_random_normal(random) + shared +
                   plan->measured_rep * bp_random_normal(random);
        reps[r] = figure(v, rep_sd, log_scale);
        sum += v;
    }
    double n = (double)plan->reps;
    o->set = figure(
        sum / n, sqrt(plan->measured_set * plan->measured_set + plan->measured_rep * plan->measured_rep / n),
        log_scale);
    o->reps = reps;
    o->rep_count = plan->reps;
}

void block_draw(const struct block_plan *plan, enum bp_compare_scale scale, struct bp_random *random,
                struct block *block)
{
    static const char *const groups[] = {"straight", "chains", "bands down", "bands up"};
    static const char *const lifters[] = {"L1", "L2", "L3", "L4"};
    bool log_scale = scale == BP_SCALE_RATIO;
    double scatter[BLOCK_GROUPS_MAX], drawn = 0.0, reps = REP_SCATTER * REP_SCATTER / (double)plan->reps;
    for (size_t g = 0; g < plan->groups; g++) {
        if (g == 0 || plan->each_its_own) {
            drawn = bp_random_between(random, plan->scatter_low, plan->scatter_high);
        }
        double all = drawn * (plan->spread[g] > 0.0 ? plan->spread[g] : 1.0);
        scatter[g] = sqrt(fmax(all * all - reps, 0.0)); /* the reps bring the rest */
    }
    block->count = 0;
    for (size_t l = 0; l < plan->lifters; l++) {
        double lifter = LIFTER_SCATTER * bp_random_normal(random) * (plan->lifters > 1 ? 1.0 : 0.0);
        for (size_t d = 0; d < plan->days; d++) {
            double day = DAY_SCATTER * bp_random_normal(random);
            for (size_t g = 0; g < plan->groups; g++) {
                bool days = plan->apart || plan->days > 1; /* are the units */
                double per_day =
                    (plan->apart ? 0.0 : day) + (days ? scatter[g] * bp_random_normal(random) : 0.0);
                double per_set = days ? plan->set_scatter : scatter[g];
                for (size_t s = 0; s < plan->sets[g]; s++) {
                    assert(block->count < BLOCK_SETS_MAX);
                    struct bp_observation *o = &block->sets[block->count];
                    *o = (struct bp_observation){.group = groups[g], .lifter = lifters[l]};
                    o->day = (long)(100 * d + (plan->apart ? 7 * g : 0));
                    draw_set(plan, log_scale,
                             lifter + per_day + plan->effect * (double)g + per_set * bp_random_normal(random),
                             random, block);
                }
            }
        }
    }
}
