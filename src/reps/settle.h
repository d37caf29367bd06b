/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Settle: the exact turning samples of a rep.
 */
#ifndef BARPLUMB_REPS_SETTLE_H
#define BARPLUMB_REPS_SETTLE_H

#include "barplumb/reps.h"

/* A stroke is over when the bar moves at less than this share of its fastest. */
extern const double bp_settle_hardly;

/* The fastest of the samples from..to, m/s: of a rise (way 1) or a fall (way -1); 0 where it nowhere goes
 * that way. */
double bp_settle_fastest(const struct bp_track *track, size_t from, size_t to, double way);

/* Moves the rep's turning samples, the extremes of its strokes, to where its own descent and drive begin and
 * end: unracking before it and racking after it may go further still. range_m: the set's usual range. */
void bp_settle_rep(const struct bp_track *track, double range_m, struct bp_rep *rep);

#endif
