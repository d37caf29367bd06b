/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/spread.h"

#include <math.h>

/* Fewer draws than this in which a figure exists say nothing of its interval. */
enum { DRAWS_LEAST = BP_DRAWS / 4 };
/* Two-sided 95 % quantile of Student's t with 35 degrees of freedom (GUM, JCGM 100:2008, table G.2): of a
 * side's mean square as it is made below, with half the draws on either side, the variance is 2/35 of its
 * square. */
static const double COVERAGE = 2.03;
/* Each side's spread is drawn toward the spread of both as if by so many draws: a skewed figure keeps its
 * skew, a chance of few draws on one side does not. */
static const double SHARED_DRAWS = 16;

void bp_spread_add(struct bp_spread *spread, double value, double drawn)
{
    double off = drawn - value;
    if (!isfinite(off)) {
        return;
    }
    if (off < 0) {
        spread->below += off * off;
        spread->count_below++;
    } else {
        spread->above += off * off;
        spread->count_above++;
    }
}

void bp_spread_interval(const struct bp_spread *spread, bool never_negative, struct bp_quantity *q)
{
    size_t count = spread->count_below + spread->count_above;
    if (!isfinite(q->value) || count < DRAWS_LEAST) {
        return;
    }
    double both = (spread->below + spread->above) / (double)count;
    double below = (spread->below + SHARED_DRAWS * both) / ((double)spread->count_below + SHARED_DRAWS);
    double above = (spread->above + SHARED_DRAWS * both) / ((double)spread->count_above + SHARED_DRAWS);
    q->low = q->value - COVERAGE * sqrt(below);
    q->high = q->value + COVERAGE * sqrt(above);
    if (never_negative) {
        q->low = fmax(q->low, fmin(q->value, 0));
    }
}
