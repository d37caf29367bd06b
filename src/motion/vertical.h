/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Height and speed by the fixed-interval smoother.
 */
#ifndef BARPLUMB_MOTION_VERTICAL_H
#define BARPLUMB_MOTION_VERTICAL_H

#include "motion/knots.h"
#include "motion/prior.h"
#include "motion/smoother.h"

/* The state at a knot. */
enum bp_vertical_state {
    BP_STATE_HEIGHT,
    BP_STATE_SPEED,
    BP_STATE_ERROR, /* three biases along the phone's axes, and what leans "up" */
    BP_STATE_LEVEL = BP_STATE_ERROR + BP_ERRORS, /* one for each enum bp_level */
    BP_STATE_COUNT = BP_STATE_LEVEL + 3
};

/* What a pass found out beside the states. */
struct bp_fit {
    /* How well what is known of the lift agreed with the sensors: squared innovations over their variances,
     * 1 each on average where the priors are right, and how many: levels seen again, and holds. */
    double sum;
    size_t count;
    double *within_m_s; /* [knots] sd of the speed that white noise adds from the knot before */
    /* Log of the probability density of everything the bar was said to do, given the sensors, over what it
     * would be for a bar that might be anywhere within a metre, at any speed within one metre a second: a
     * wrong reading of the set is said to be where the sensors did not see it go. */
    double evidence;
};

/* Smooths over the knots. closures NULL: first pass. False when memory is out or the filter breaks down
 * (*broken tells which). */
bool bp_vertical_smooth(const struct bp_motion *motion, const struct bp_closures *closures,
                        const struct bp_first_pass *first_pass, const struct bp_knots *knots,
                        const struct bp_prior *prior, struct bp_arena *arena, struct bp_smoother *smoother,
                        struct bp_fit *fit, bool *broken);

#endif
