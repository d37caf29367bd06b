/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Spread: one figure's draws → its 95 % interval.
 */
#ifndef BARPLUMB_SUMMARY_SPREAD_H
#define BARPLUMB_SUMMARY_SPREAD_H

#include "barplumb/quantity.h"

#include <stddef.h>

/* How many draws: against 1,024 the width of an interval scatters by 20, 14, 10 and 6 % with 16, 32, 48 and
 * 128 (docs/method.md). */
enum { BP_DRAWS = 48 };

/* Squared deviations of the draws from the value, apart for each side. All 0: no draw yet. */
struct bp_spread {
    double below, above;
    size_t count_below, count_above;
};

/* Takes in one draw of a figure whose value is known. A draw in which there is no such figure (NaN) is left
 * out. */
void bp_spread_add(struct bp_spread *spread, double value, double drawn);

/* Sets low and high of q about its value: one normal for each side (a split normal), each side's spread
 * shrunk toward the pooled. never_negative: low stops at 0. q is left alone when its value is unknown or too
 * few draws had the figure. */
void bp_spread_interval(const struct bp_spread *spread, bool never_negative, struct bp_quantity *q);

#endif
