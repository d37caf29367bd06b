/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Split: strokes that are a rep's own and something else before or after it.
 */
#ifndef BARPLUMB_REPS_SPLIT_H
#define BARPLUMB_REPS_SPLIT_H

#include "barplumb/motion.h"
#include "reps/turning.h"

/* A bar that moves slower than this rests, m/s. */
extern const double bp_split_rest_m_s;

/* A row's bar is first picked up and at last put down: one rise from floor over hang to body, one fall from
 * body over hang to floor. Where such a stroke rested on the way, the rep's own stroke begins or ends. */
void bp_split_pickup(const struct bp_track *track, struct bp_turning *turning, size_t count);

/* A bench's or squat's bar comes out of the rack and is walked out; where the path sinks with it, that and
 * the first descent are one fall. Where it rested on the way, the descent begins. */
void bp_split_walkout(const struct bp_track *track, struct bp_turning *turning, size_t count);

#endif
