/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Planning a set: lays pieces along the timeline. Private to simulate_core.
 */
#ifndef SIMULATE_PLAN_H
#define SIMULATE_PLAN_H

#include "motion.h"
#include "random.h"

/* Streams of the scenario's seed, so that one kind of change leaves the others alone. */
enum sim_stream {
    SIM_STREAM_SCENARIO = 1,
    SIM_STREAM_TIMELINE,
    SIM_STREAM_SIDEWAYS,
    SIM_STREAM_CLATTER,
    SIM_STREAM_CLOCK,
    SIM_STREAM_FORCE,
    SIM_STREAM_TURN,
    SIM_STREAM_MISHAP,
    SIM_STREAM_STUDY,
    SIM_STREAM_RIG,
    SIM_STREAM_RIG_FILE,
    SIM_STREAM_ATTITUDE
};

struct sim_plan {
    const struct sim_scenario *scenario;
    struct sim_motion *motion;
    struct bp_random random;
    double now_s;               /* laid out up to here */
    double along, fore, height; /* where the bar is then, m */
    double lockout, bottom;     /* mean heights of the set's ends, m */
};

/* Plans everything but the clatter. */
void sim_plan_make(const struct sim_scenario *scenario, struct sim_motion *motion);
/* Adds the clatter of links, once the height path is sealed and before the rattle paths are. */
void sim_plan_add_clatter(const struct sim_scenario *scenario, struct sim_motion *motion);

/* Parts of sim_plan_make, in the order they happen. */
void sim_plan_unrack(struct sim_plan *plan);
void sim_plan_reps(struct sim_plan *plan);
void sim_plan_rerack(struct sim_plan *plan);
void sim_plan_sideways(struct sim_plan *plan);
void sim_plan_mishaps(struct sim_plan *plan);

/* A smooth move of height, along or fore, starting `from_s` and ending where it says; keeps plan->height &c.
 */
void sim_plan_lift(struct sim_plan *plan, double from_s, double length_s, double rise_m);
void sim_plan_carry(struct sim_plan *plan, double from_s, double length_s, double forward_m);
void sim_plan_sidestep(struct sim_plan *plan, double from_s, double length_s, double along_m);
/* A hold from `from_s`: slow wander and quick tremble, nothing when the length is under a tenth of a second.
 */
void sim_plan_hold(struct sim_plan *plan, double from_s, double length_s);
/* A short ring of all three rattle axes. */
void sim_plan_knock(struct sim_plan *plan, double at_s, double peak_m_s2);
/* value times 1 + spread * normal, within two sd. */
double sim_plan_vary(struct sim_plan *plan, double value, double spread);

#endif
