/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Between two samples whose values and slopes are known.
 */
#ifndef BARPLUMB_BASE_CUBIC_H
#define BARPLUMB_BASE_CUBIC_H

/* The cubic through two values and the slopes there (Hermite's interpolation), at x of the way from the first
 * to the second, 0 to 1. Slopes are in units of value for the whole way. */
static inline double bp_cubic(double value0, double value1, double slope0, double slope1, double x)
{
    double rise = value1 - value0;
    double c2 = 3 * rise - 2 * slope0 - slope1, c3 = slope0 + slope1 - 2 * rise;
    return value0 + x * (slope0 + x * (c2 + x * c3));
}

#endif
