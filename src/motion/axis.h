/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which of the phone's directions lies along the bar.
 */
#ifndef BARPLUMB_MOTION_AXIS_H
#define BARPLUMB_MOTION_AXIS_H

#include "barplumb/motion.h"

/* A bar mostly rolls about itself, so "up" wanders in the plane across it: the direction it does not wander
 * in lies along the bar. up and time_s over the samples of on_bar, turned by a gyroscope or following the
 * force; given: the phone axis that lies along the bar, or -1.
 */
struct bp_bar_axis bp_axis_find(double *const up[3], const double *time_s, struct bp_spell on_bar,
                                bool gyroscope, int given);

#endif
