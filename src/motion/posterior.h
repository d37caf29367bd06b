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

struct bp_posterior {
    const struct bp_motion *motion;
    const struct bp_prior *prior;
    struct bp_knots knots;
    struct bp_smoother smoother;
    struct bp_fit fit;
    double *error; /* [knots*states] scratch of a draw; NULL until prepared */
};

/* By how much the log's own residuals say that the variances of priors and noise are off: the variance factor
 * of least-squares adjustment (Birge 1932, Phys Rev 40:207-27), held by the prior's weight. 1: not at all. */
double bp_posterior_factor(const struct bp_posterior *posterior);

#endif
