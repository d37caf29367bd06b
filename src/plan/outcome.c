/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/outcome.h"

#include "barplumb/units.h"

#include <gsl/gsl_sort.h>
#include <math.h>
#include <string.h>

/* Draws behind an interval: its ends then scatter by a twelfth of a standard deviation. */
enum { DRAWS = 1000 };
/* With more lost than one end of a 95 % interval leaves out, that end lies where nothing was measured. */
enum { KEPT_LEAST = DRAWS - DRAWS / 40 };
/* Parts of the range for its mean by Simpson's rule, exact for a straight or a square law; where a chain's
 * first link leaves the floor or its last one does, it is off by a gram or so for 10 kg/m. */
enum { PARTS = 64 };

enum figure { MEAN = BP_PLAN_POINTS, SHARE, FIGURES };

/* What the model, as it is set, weighs at the three points, on average, and its share. False where it does
 * not know. */
static bool weigh(const struct bp_load_model *model, double bottom_m, double lockout_m, double kg[FIGURES])
{
    double sum = 0;
    for (int n = 0; n <= PARTS; n++) {
        struct bp_load_state state = {.height_m = bottom_m + (lockout_m - bottom_m) * n / PARTS};
        struct bp_load load;
        bp_load_at(model, &state, &load);
        double here = load.weight_n / BP_STANDARD_GRAVITY;
        int weight = n == 0 || n == PARTS ? 1 : n % 2 == 1 ? 4 : 2;
        sum += weight * here;
        if (n % (PARTS / 2) == 0) {
            kg[n / (PARTS / 2)] = here; /* bottom, halfway, lockout */
        }
    }
    kg[MEAN] = sum / (3.0 * PARTS);
    kg[SHARE] = 100 * (kg[BP_PLAN_AT_LOCKOUT] - kg[BP_PLAN_AT_BOTTOM]) / kg[BP_PLAN_AT_LOCKOUT];
    return isfinite(sum) && isfinite(kg[SHARE]);
}

/* Where nothing hangs on the height, any will do. */
static double height_or_0(double height_m)
{
    return isfinite(height_m) ? height_m : 0;
}

/* The quantile p of sorted[0..count), straight between neighbours. */
static double quantile(const double *sorted, size_t count, double p)
{
    double at = p * (double)(count - 1);
    size_t below = (size_t)at;
    size_t above = below + 1 < count ? below + 1 : below;
    return sorted[below] + (at - (double)below) * (sorted[above] - sorted[below]);
}

static void set_interval(double *drawn, size_t count, struct bp_quantity *q)
{
    if (count < KEPT_LEAST) {
        return;
    }
    gsl_sort(drawn, 1, count);
    q->low = quantile(drawn, count, 0.025);
    q->high = quantile(drawn, count, 0.975);
}

static struct bp_quantity *figure_of(struct bp_plan *plan, size_t figure)
{
    return figure == MEAN ? &plan->mean_kg : figure == SHARE ? &plan->share_pct : &plan->load_kg[figure];
}

static enum bp_code weigh_draws(struct bp_load_model *model, uint64_t seed, struct bp_arena *arena,
                                struct bp_plan *plan, struct bp_error *error)
{
    double *drawn = bp_arena_doubles(arena, (size_t)FIGURES * DRAWS);
    if (drawn == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for what the plan may weigh");
    }
    struct bp_random random;
    bp_random_init(&random, seed, 0);
    size_t kept = 0;
    for (size_t n = 0; n < DRAWS; n++) {
        double kg[FIGURES];
        bp_load_vary(model, &random);
        if (weigh(model, height_or_0(bp_load_bottom_m(model)), height_or_0(bp_load_lockout_m(model)), kg)) {
            for (size_t f = 0; f < FIGURES; f++) {
                drawn[f * DRAWS + kept] = kg[f];
            }
            kept++;
        }
    }
    bp_load_vary(model, NULL);
    for (size_t f = 0; f < FIGURES; f++) {
        set_interval(drawn + f * DRAWS, kept, figure_of(plan, f));
    }
    plan->draws = DRAWS;
    plan->draws_lost = DRAWS - kept;
    return BP_OK;
}

static enum bp_code weigh_plan(const struct bp_plan_settings *settings, struct bp_arena *arena,
                               struct bp_plan *plan, struct bp_error *error)
{
    plan->height_m[BP_PLAN_AT_BOTTOM] = plan->rig.bottom_m.value;
    plan->height_m[BP_PLAN_AT_LOCKOUT] = plan->rig.lockout_m.value;
    plan->height_m[BP_PLAN_HALFWAY] = 0.5 * (plan->rig.bottom_m.value + plan->rig.lockout_m.value);
    struct bp_load_model *model = NULL;
    enum bp_code code = bp_load_prepare(&plan->rig, &model, error);
    if (code != BP_OK) {
        return code;
    }
    double kg[FIGURES];
    if (!weigh(model, height_or_0(plan->rig.bottom_m.value), height_or_0(plan->rig.lockout_m.value), kg)) {
        bp_load_free(model);
        return bp_error_set(error, BP_ERR_ARGUMENT, "the load between the bottom and lockout is not known");
    }
    for (size_t f = 0; f < FIGURES; f++) {
        *figure_of(plan, f) = bp_quantity_plain(kg[f]);
    }
    code = weigh_draws(model, settings->seed, arena, plan, error);
    bp_load_free(model);
    return code;
}

static void write_kinds(const struct stock *stock, const struct found *found, struct bp_plan *plan)
{
    plan->kind_count = stock->count;
    for (size_t k = 0; k < stock->count; k++) {
        const struct stock_kind *from = &stock->kinds[k];
        struct bp_plan_kind *to = &plan->kinds[k];
        to->band = from->band;
        to->index = from->index;
        to->pieces_each = found->units[k];
        to->pieces = found->units[k] * (from->pair ? 2 : 1);
        to->left = from->owned - to->pieces;
        to->bottom_kg = (double)from->bottom_g * (double)found->units[k] / 1000;
        to->lockout_kg = (double)from->lockout_g * (double)found->units[k] / 1000;
        to->left_out = from->left_out[0] != '\0';
        memcpy(to->why, from->left_out, sizeof to->why);
    }
}

static void write_plates(const struct bp_rig *rig, const struct plates *plates, size_t total,
                         struct bp_plan *plan)
{
    size_t each_side[BP_PLATES_MAX];
    plates_choose(plates, total, each_side);
    plan->plates_stay = rig->plate_count == 0;
    plan->plate_count = rig->plate_count;
    for (size_t i = 0; i < rig->plate_count; i++) {
        plan->plates[i].kg = rig->plates[i].kg;
        plan->plates[i].each_side = each_side[i];
        plan->plates[i].left = rig->plates[i].owned - 2 * each_side[i];
    }
}

static void write_misses(const struct bp_plan_settings *settings, const struct wants *wants,
                         const struct found *found, struct bp_plan *plan)
{
    /* A want that is NaN leaves NaN. */
    plan->lockout_off_kg = plan->load_kg[BP_PLAN_AT_LOCKOUT].value - settings->lockout_kg;
    plan->bottom_off_kg = plan->load_kg[BP_PLAN_AT_BOTTOM].value - settings->bottom_kg;
    plan->share_off_pct = plan->share_pct.value - settings->share_pct;
    struct misses misses = search_misses(wants, found->lockout_g, found->bottom_g);
    plan->share_off_kg = wants->share_pct_100 >= 0 ? (double)misses.share_g / 1000 : (double)NAN;
    plan->miss_kg = (double)found->miss_g / 1000;
    double near_g = settings->near_kg * 1000;
    plan->reached = (double)misses.lockout_g <= near_g && (double)misses.bottom_g <= near_g &&
                    (double)misses.share_g <= near_g;
}

enum bp_code outcome_write(const struct bp_rig *rig, const struct bp_plan_settings *settings,
                           const struct stock *stock, const struct plates *plates, const struct wants *wants,
                           const struct found *found, struct bp_arena *arena, struct bp_plan *plan,
                           struct bp_error *error)
{
    double plates_kg = (double)plates->totals[found->total].grams / 1000;
    stock_hang(rig, stock, found->units, plates_kg, &plan->rig);
    write_kinds(stock, found, plan);
    write_plates(rig, plates, found->total, plan);
    plan->combinations = found->combinations;
    plan->top_limits = found->lockout_g > found->bottom_g;
    enum bp_code code = weigh_plan(settings, arena, plan, error);
    if (code == BP_OK) {
        write_misses(settings, wants, found, plan);
    }
    return code;
}
