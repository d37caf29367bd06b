/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sideways motion, tilt, yaw, tremble, and the clatter of links.
 */
#include "plan.h"

#include "barplumb/units.h"

#include <math.h>

enum { SWAY_WAVES = 7, SWING_WAVES = 2, TURN_WAVES = 3 };

/* Several waves over [from, to] with log-uniform frequencies; amplitudes fall as the frequency's power, and
 * together they have the rms displacement `rms`. */
struct waves {
    int count;
    double rms, low_hz, high_hz, power, ramp_s;
};

static void plan_waves(struct bp_random *random, struct sim_path *path, double from_s, double to_s,
                       const struct waves *waves)
{
    double hz[SWAY_WAVES], size[SWAY_WAVES], square = 0.0;
    for (int i = 0; i < waves->count; i++) {
        double part = bp_random_between(random, 0.0, 1.0);
        hz[i] = waves->low_hz * pow(waves->high_hz / waves->low_hz, part);
        size[i] = pow(hz[i], -waves->power) * bp_random_between(random, 0.5, 1.0);
        square += 0.5 * size[i] * size[i];
    }
    /* Drawn in any case: scenarios that differ in one size share all else. */
    for (int i = 0; i < waves->count; i++) {
        double phase = bp_random_between(random, 0.0, 2.0 * BP_PI), share = waves->rms / sqrt(square);
        if (waves->rms > 0.0 && to_s > from_s) {
            sim_path_wave(path, from_s, to_s - from_s, size[i] * share, waves->ramp_s, hz[i], phase);
        }
    }
}

static double rep_from(const struct sim_planned_rep *rep)
{
    return fmin(rep->drive_from_s,
                rep->descent_to_s > rep->descent_from_s ? rep->descent_from_s : rep->drive_from_s);
}

static double rep_to(const struct sim_planned_rep *rep)
{
    return fmax(rep->drive_to_s, rep->descent_to_s);
}

/* Part of the sway is there all through the set, the rest comes and goes with each rep. */
static void plan_sway(struct sim_plan *plan, struct bp_random *random)
{
    const struct sim_scenario *s = plan->scenario;
    struct sim_motion *motion = plan->motion;
    const double steady_part = 0.4;
    struct waves waves = {.count = SWAY_WAVES,
                          .rms = steady_part * s->sway_m,
                          .low_hz = s->sway_low_hz,
                          .high_hz = s->sway_high_hz,
                          .power = 1.5,
                          .ramp_s = 0.6};
    double from = rep_from(&motion->reps[0]), to = rep_to(&motion->reps[motion->rep_count - 1]);
    plan_waves(random, &motion->along, from, to, &waves);
    struct waves swing = {
        .count = SWING_WAVES, .rms = s->swing_m, .low_hz = 0.75, .high_hz = 1.2, .ramp_s = 1.0};
    plan_waves(random, &motion->along, from, to, &swing);
    waves.rms = sqrt(1.0 - steady_part * steady_part) * s->sway_m;
    waves.ramp_s = 0.4;
    for (size_t i = 0; i < motion->rep_count; i++) {
        const struct sim_planned_rep *rep = &motion->reps[i];
        plan_waves(random, &motion->along, rep_from(rep) - 0.2, rep_to(rep) + 0.2, &waves);
        struct waves fore = waves;
        fore.rms *= 0.6; /* the hands guide fore-aft better than along */
        plan_waves(random, &motion->fore, rep_from(rep) - 0.2, rep_to(rep) + 0.2, &fore);
    }
}

/* One arm ahead of the other, and a quicker rocking. */
static void plan_turning(struct bp_random *random, struct sim_path *path, const struct sim_planned_rep *rep,
                         double largest_deg)
{
    double level = largest_deg * BP_DEGREE;
    double length = rep->drive_to_s - rep->drive_from_s;
    sim_path_bump(path, rep->drive_from_s, length, 0.4 * level * sim_random_normal_within(random, 2.0));
    struct waves rocking = {
        .count = TURN_WAVES, .rms = 0.1 * level, .low_hz = 0.6, .high_hz = 2.5, .power = 1.5, .ramp_s = 0.3};
    plan_waves(random, path, rep_from(rep), rep_to(rep), &rocking);
}

static void plan_tremor(struct sim_plan *plan, struct bp_random *random)
{
    struct waves tremor = {.count = 4,
                           .rms = plan->scenario->tremor_m,
                           .low_hz = 4.0,
                           .high_hz = 10.0,
                           .power = 1.0,
                           .ramp_s = 0.3};
    const struct sim_motion *motion = plan->motion;
    for (size_t i = 0; i < motion->rep_count; i++) {
        const struct sim_planned_rep *rep = &motion->reps[i];
        plan_waves(random, &plan->motion->height, rep->drive_from_s, rep->drive_to_s, &tremor);
    }
}

void sim_plan_sideways(struct sim_plan *plan)
{
    struct bp_random random;
    bp_random_init(&random, plan->scenario->seed, SIM_STREAM_SIDEWAYS);
    plan_sway(plan, &random);
    plan_tremor(plan, &random);
    for (size_t i = 0; i < plan->motion->rep_count; i++) {
        const struct sim_planned_rep *rep = &plan->motion->reps[i];
        plan_turning(&random, &plan->motion->tilt, rep, plan->scenario->tilt_deg);
        plan_turning(&random, &plan->motion->yaw, rep, plan->scenario->yaw_deg);
    }
}

/* One link landing: a burst of a few periods on all axes. Its displacement is capped, so that a heavy burst
 * is also a quick one. */
static void plan_link(struct bp_random *random, struct sim_motion *motion, double at_s, double typical)
{
    const double most_m = 0.0005;
    for (int i = 0; i < 3; i++) {
        double hz = bp_random_between(random, 20.0, 80.0), omega = 2.0 * BP_PI * hz;
        double peak = typical * exp(0.5 * sim_random_normal_within(random, 2.5));
        double length = bp_random_between(random, 1.5, 3.5) / hz;
        sim_path_add(&motion->rattle[i],
                     &(struct sim_piece){.kind = SIM_WAVE,
                                         .from_s = at_s,
                                         .length_s = length,
                                         .size = fmin(peak / (omega * omega), most_m),
                                         .rise_s = 0.15 * length,
                                         .fall_s = 0.85 * length,
                                         .omega = omega,
                                         .phase = bp_random_between(random, 0.0, 2.0 * BP_PI)});
    }
}

void sim_plan_add_clatter(const struct sim_scenario *scenario, struct sim_motion *motion)
{
    const double step_s = 0.002, strands = 2.0;
    struct bp_random random;
    if (scenario->links_per_m <= 0.0 || scenario->clatter_m_s2 <= 0.0) {
        return;
    }
    bp_random_init(&random, scenario->seed, SIM_STREAM_CLATTER);
    for (double t = motion->set_from_s; t < motion->set_to_s; t += step_s) {
        double speed = fabs(sim_path_at(&motion->height, t).rate);
        if (sim_random_chance(&random, speed * scenario->links_per_m * strands * step_s)) {
            plan_link(&random, motion, t, scenario->clatter_m_s2);
        }
    }
}
