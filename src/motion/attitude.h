/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Attitude: which way is up, in the phone's axes, at every sample.
 */
#ifndef BARPLUMB_MOTION_ATTITUDE_H
#define BARPLUMB_MOTION_ATTITUDE_H

#include "barplumb/motion.h"
#include "motion/prior.h"

/* With a gyroscope: integrated from sample to sample, its drift found from gravity in still spells (well) and
 * from the mean specific force of the moving ones (a bar does not run away, so its acceleration averages to
 * little), and smoothed over the whole log. Without, where the phone tells its own attitude: that, its error
 * (prior: attitude_rad, attitude_time_s) found from the same. Else the direction of the specific force below
 * about 1 Hz.
 * up: three arrays [trace->count]. Errors: MEMORY, MOTION. */
enum bp_code bp_attitude_find(const struct bp_trace *trace, const struct bp_spells *still,
                              const struct bp_noise *noise, const struct bp_prior *prior,
                              struct bp_arena *arena, double *up[3], struct bp_error *error);

/* Without a gyroscope: "up" swings both when the bar rolls and when it is pushed sideways, and then the force
 * along it is not vertical. swing_m_s2 [trace->count]: by how much too large it is, were all of the swing
 * sideways: the force along "up" less that along its slow part, f·(up - slow). Errors: MEMORY. */
enum bp_code bp_attitude_swing(const struct bp_trace *trace, double *const up[3], struct bp_arena *arena,
                               double *swing_m_s2, struct bp_error *error);

#endif
