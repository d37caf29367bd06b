/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Spread: one figure's draws → its 95 % interval.
 */
#ifndef BARPLUMB_SUMMARY_SPREAD_H
#define BARPLUMB_SUMMARY_SPREAD_H

#include "barplumb/quantity.h"

#include <stddef.h>

/* How many draws: at 64 an interval's end is known to about a tenth of its half-width, and doubling them
 * moves the coverage by less than the study can see (docs/accuracy.md). */
enum { BP_DRAWS = 64 };

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
