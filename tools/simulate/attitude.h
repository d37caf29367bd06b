/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The attitude that a phone's own filter tells: the true one, a few degrees off for a while, perhaps late.
 * Private to simulate_core.
 */
#ifndef SIMULATE_ATTITUDE_H
#define SIMULATE_ATTITUDE_H

#include "motion.h"

#include "barplumb/random.h"

/* The filter at work. Copyable. */
struct sim_filter {
    const struct sim_scenario *scenario;
    struct bp_random random;
    double heading;  /* of the fixed frame against the world's, rad */
    double error[3]; /* rotation vector in the fixed frame, rad */
    double told[4];  /* what it said last */
    double told_s;   /* and when */
    bool begun;
};

void sim_filter_start(const struct sim_scenario *scenario, struct sim_filter *filter);

/* What it tells at time_s, no earlier than the time before: w x y z, phone's frame to the fixed one. */
void sim_filter_at(struct sim_filter *filter, const struct sim_motion *motion, double time_s, double told[4]);

/* Gravity's reaction in the phone's frame as somebody who believes the attitude has it: a standard gravity
 * long. */
void sim_filter_gravity(const double attitude[4], double gravity[3]);

#endif
