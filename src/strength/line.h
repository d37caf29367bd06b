/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the plain and the robust line share.
 */
#ifndef STRENGTH_LINE_H
#define STRENGTH_LINE_H

#include "barplumb/strength.h"

/* Weighted sums about the weighted means. */
struct bp_line_sums {
    double w, x, y;    /* sum of weights; means */
    double xx, xy, yy; /* about the means */
    double left;       /* squares the line leaves */
};

void bp_line_unknown(struct bp_line *line);

/* All finite, every sd above 0, and not all x the same. */
bool bp_line_points_usable(const double *x, const double *y, const double *sd, size_t count);

/* Weights share/sd²; NULL sd or share: 1. False where the x with any weight are all the same. */
bool bp_line_sums_of(const double *x, const double *y, const double *sd, const double *share, size_t count,
                     struct bp_line_sums *sums);

/* variance: of a point of weight 1, with so many degrees of freedom. */
void bp_line_from_sums(const struct bp_line_sums *sums, size_t count, double variance, double freedom,
                       struct bp_line *line);

/* Line of the median slope over all pairs of different x (Theil 1950, Sen 1968); intercept: the median of
 * y - slope x. count at most BP_LINE_POINTS_MAX, at least one pair. */
void bp_line_median_slope(const double *x, const double *y, size_t count, double *slope, double *intercept);

/* Two-sided 95 % quantile of Student's t; NaN below 1 degree of freedom. */
double bp_line_student(double freedom);

/* The same for the sum of such a t and a normal, in sd of both together (the t's as its scale); known_share:
 * the normal's share of the variance, 0 to 1. */
double bp_line_quantile(double freedom, double known_share);

/* Standard deviation a 95 % interval stands for; 0 where it has no ends. */
double bp_line_sd_of(struct bp_quantity q);

#endif
