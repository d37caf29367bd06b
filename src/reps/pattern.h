/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pattern: which turning points make reps.
 */
#ifndef BARPLUMB_REPS_PATTERN_H
#define BARPLUMB_REPS_PATTERN_H

#include "barplumb/reps.h"
#include "reps/turning.h"

/* The set's usual range from its turning points, m: the median of the strokes that go and come back. NaN when
 * there is none. scratch [count]. */
double bp_pattern_range(const struct bp_turning *turning, size_t count, enum bp_lift lift, double *scratch);

/* Reps of a lift that begins at lockout (bench, squat): down, up again. begins_inside: a first rise with no
 * descent before it is a rep too, its descent being older than the log. list [count]; returns how many. */
size_t bp_pattern_from_top(const struct bp_turning *turning, size_t count, double range_m, double most_m,
                           bool begins_inside, struct bp_rep *list);

/* Reps of a lift that begins at the bottom (deadlift, press, row): up, down again. must_return: a full rise
 * that does not come back by about as much is no rep (row). */
size_t bp_pattern_from_bottom(const struct bp_turning *turning, size_t count, double range_m,
                              bool must_return, struct bp_rep *list);

#endif
