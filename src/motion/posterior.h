/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Posterior: what is known of the errors of a track.
 */
#ifndef BARPLUMB_MOTION_POSTERIOR_H
#define BARPLUMB_MOTION_POSTERIOR_H

#include "motion/knots.h"
#include "motion/prior.h"
#include "motion/smoother.h"
#include "motion/vertical.h"

/* Curves of noise between knots for the draws to choose from, and points of each, both knots included. */
enum { BP_RIPPLES = 64, BP_RIPPLE_POINTS = 33 };

struct bp_posterior {
    const struct bp_motion *motion;
    const struct bp_prior *prior;
    struct bp_knots knots;
    struct bp_smoother smoother;
    struct bp_fit fit;
    double *error;  /* [knots*states] scratch of a draw; NULL until prepared */
    double *ripple; /* [BP_RIPPLES * BP_RIPPLE_POINTS] what white noise of unit step does to the speed
                       between two knots, past its first term; NULL until prepared */
};

/* By how much the log's own residuals say that the variances of priors and noise are off: the variance factor
 * of least-squares adjustment (Birge 1932, Phys Rev 40:207-27), held by the prior's weight. 1: not at all. */
double bp_posterior_factor(const struct bp_posterior *posterior);

#endif
