/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Beyond the sensor's limit: what a clipped axis would have read.
 */
#ifndef BARPLUMB_MOTION_BEYOND_H
#define BARPLUMB_MOTION_BEYOND_H

#include "barplumb/motion.h"

/* Adds to motion->rise_m_s2 what each clipped reading lacks: over a short run of them by the cubic through
 * the readings on either side and their slopes (Hermite), and by no less than motion->past_limit_m_s2, which
 * is set here: the mean excess of the log's high readings (Pickands 1975, Ann Stat 3:119-31). What is still
 * unknown is the error model's clip_accel_m_s2. Nothing where the limit is not known; no cubic where "up"
 * itself follows a long run of clipped readings, for want of a gyroscope. */
void bp_beyond_add(struct bp_motion *motion);

#endif
