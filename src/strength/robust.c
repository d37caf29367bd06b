/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength/line.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>

enum {
    PAIRS_MAX = BP_LINE_POINTS_MAX * (BP_LINE_POINTS_MAX - 1) / 2,
    ODD_ONE_OUT = 4, /* with three points, any one may be the odd one */
    ROUNDS_MAX = 100
};
/* Bisquare: a point so many scales off counts for nothing; the constant of 95 % efficiency for normal
 * scatter (Beaton & Tukey 1974; Holland & Welsch 1977). */
static const double REACH = 4.685;
/* For normal z: mean of the bisquare weight, and of weight times z², at that reach. They keep the scale true
 * although the far points count less. Integrals, which a test does again. */
static const double MEAN_WEIGHT = 0.9151076240642914, MEAN_WEIGHTED_SQUARE = 0.7577759186834485;
static const double MAD_TO_SD = 1.4826; /* of a normal: 1 / Φ⁻¹(3/4) */
static const double SETTLED = 1e-12;

static double median(double *values, size_t count)
{
    gsl_sort(values, 1, count);
    return gsl_stats_median_from_sorted_data(values, 1, count);
}

void bp_line_median_slope(const double *x, const double *y, size_t count, double *slope, double *intercept)
{
    double values[PAIRS_MAX];
    size_t pairs = 0;
    for (size_t i = 0; i < count; i++) {
        for (size_t j = 0; j < i; j++) {
            if (x[i] < x[j] || x[i] > x[j]) {
                values[pairs++] = (y[i] - y[j]) / (x[i] - x[j]);
            }
        }
    }
    *slope = median(values, pairs);
    for (size_t i = 0; i < count; i++) {
        values[i] = y[i] - *slope * x[i];
    }
    *intercept = median(values, count);
}

/* Residuals in sd. */
struct off {
    double z[BP_LINE_POINTS_MAX];
};

static void off_line(const double *x, const double *y, const double *sd, size_t count, double slope,
                     double intercept, struct off *off)
{
    for (size_t i = 0; i < count; i++) {
        off->z[i] = (y[i] - intercept - slope * x[i]) / sd[i];
    }
}

/* Squared scale of the residuals: the median of all but the two smallest, as two parameters were fitted, made
 * an sd and pooled with what was held before. */
static double first_scale(const struct off *off, size_t count, double prior_freedom)
{
    double size[BP_LINE_POINTS_MAX];
    for (size_t i = 0; i < count; i++) {
        size[i] = fabs(off->z[i]);
    }
    gsl_sort(size, 1, count);
    double sd = MAD_TO_SD * gsl_stats_median_from_sorted_data(size + 2, 1, count - 2);
    double n = (double)count - 2;
    return (prior_freedom + n * sd * sd) / (prior_freedom + n);
}

/* Bisquare weights; the largest change of any. */
static double weigh(const struct off *off, size_t count, double scale, double *share)
{
    double change = 0;
    for (size_t i = 0; i < count; i++) {
        double u = off->z[i] / (REACH * scale), inside = 1 - u * u;
        double w = inside > 0 ? inside * inside : 0;
        change = fmax(change, fabs(w - share[i]));
        share[i] = w;
    }
    return change;
}

/* Finds the shares at the scale given. False where they leave no line; the shares are then all 1. */
static bool settle(const double *x, const double *y, const double *sd, size_t count, double prior_freedom,
                   double *share)
{
    struct off off;
    double slope = 0, intercept = 0;
    bp_line_median_slope(x, y, count, &slope, &intercept);
    off_line(x, y, sd, count, slope, intercept, &off);
    double scale = sqrt(first_scale(&off, count, prior_freedom));
    /* More than half the points on one line, and nothing held before: the scale is 0. */
    bool fits = scale > 0;
    for (int round = 0; fits && round < ROUNDS_MAX; round++) {
        struct bp_line_sums sums;
        double change = weigh(&off, count, scale, share);
        fits = bp_line_sums_of(x, y, sd, share, count, &sums);
        if (change < SETTLED) {
            break;
        }
        slope = sums.xy / sums.xx;
        off_line(x, y, sd, count, slope, sums.y - slope * sums.x, &off);
    }
    for (size_t i = 0; !fits && i < count; i++) {
        share[i] = 1;
    }
    return fits;
}

enum bp_code bp_line_fit_robust(const double *x, const double *y, const double *sd, size_t count,
                                const struct bp_line_prior *prior, double *weights, struct bp_line *line)
{
    bp_line_unknown(line);
    if (count > BP_LINE_POINTS_MAX) {
        return BP_ERR_LIMIT;
    }
    if (count < 2 || !sd || !(prior->freedom >= 0) || !(prior->least_sd >= 0) ||
        !bp_line_points_usable(x, y, sd, count)) {
        return BP_ERR_ARGUMENT;
    }
    double share[BP_LINE_POINTS_MAX], total = 0;
    for (size_t i = 0; i < count; i++) {
        share[i] = 1;
    }
    bool weighed = count >= ODD_ONE_OUT && settle(x, y, sd, count, prior->freedom, share);
    for (size_t i = 0; i < count; i++) {
        total += share[i];
    }
    struct bp_line_sums sums;
    if (!bp_line_sums_of(x, y, sd, share, count, &sums)) {
        return BP_ERR_ARGUMENT;
    }
    double points = weighed ? fmin(total / MEAN_WEIGHT, (double)count) : (double)count;
    double squares = sums.left / (weighed ? MEAN_WEIGHTED_SQUARE : 1);
    /* s² = (ν0 s0² + Σz²) / (ν0 + n - 2), with s0 = 1: the z are in units of what was expected. */
    double freedom = prior->freedom + fmax(points - 2, 0);
    double variance = fmax((prior->freedom + squares) / freedom, prior->least_sd * prior->least_sd);
    bp_line_from_sums(&sums, count, variance, freedom, line);
    if (weights) {
        memcpy(weights, share, count * sizeof *weights);
    }
    return BP_OK;
}
