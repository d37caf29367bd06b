/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Posterior: what is known of the errors of a track.
 */
#ifndef BARPLUMB_MOTION_POSTERIOR_H
#define BARPLUMB_MOTION_POSTERIOR_H

#include "motion/knots.h"
#include "motion/prior.h"
#include "motion/smoother.h"

struct bp_posterior {
    const struct bp_motion *motion;
    const struct bp_prior *prior;
    struct bp_knots knots;
    struct bp_smoother smoother;
    double *error; /* [knots*states] scratch of a draw; NULL until prepared */
};

#endif
