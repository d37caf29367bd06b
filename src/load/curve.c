/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Steffen's monotone cubic (M. Steffen 1990, "A simple method for monotonic interpolation in one dimension",
 * A&A 239:443-450; his equation numbers). Written here although GSL has one: GSL's allocator ends the whole
 * process when memory is out, unless a switch of the whole process is turned, which a library must not do;
 * and its slopes at the two ends are those of the last straight piece, which leaves a softening band's curve
 * at its ends half as good as the paper's own end rule. tests/load holds the inner intervals against GSL's.
 */
#include "load/curve.h"

#include <math.h>

/* A height is known to a millimetre at best; a length this near to an end is the end. */
static const double same_length_m = 1e-9;

static double smaller(double a, double b)
{
    return a < b ? a : b;
}

/* Eq. 11: the slope at a point between intervals of lengths h and slopes s >= 0 before and after it. */
static double inner_slope(double h_before, double h_after, double s_before, double s_after)
{
    double p = (s_before * h_after + s_after * h_before) / (h_before + h_after); /* of the parabola, eq. 8 */
    return 2.0 * smaller(smaller(s_before, s_after), 0.5 * p);
}

/* Eq. 24-26: the slope at an end, of the parabola through three points, kept where it cannot overshoot. */
static double end_slope(double h_end, double h_next, double s_end, double s_next)
{
    double share = h_end / (h_end + h_next);
    double p = s_end * (1.0 + share) - s_next * share;
    return p > 0.0 ? smaller(p, 2.0 * s_end) : 0.0;
}

void load_curve_fit(struct load_curve *curve)
{
    double h[BP_BAND_POINTS_MAX] = {0}, s[BP_BAND_POINTS_MAX] = {0};
    size_t last = curve->count - 1;
    for (size_t i = 0; i < last; i++) {
        h[i] = curve->length_m[i + 1] - curve->length_m[i];
        s[i] = (curve->pull_n[i + 1] - curve->pull_n[i]) / h[i];
    }
    if (last == 1) { /* two points: nothing but a straight line */
        curve->slope_n_m[0] = curve->slope_n_m[1] = s[0];
        return;
    }
    curve->slope_n_m[0] = end_slope(h[0], h[1], s[0], s[1]);
    for (size_t i = 1; i < last; i++) {
        curve->slope_n_m[i] = inner_slope(h[i - 1], h[i], s[i - 1], s[i]);
    }
    curve->slope_n_m[last] = end_slope(h[last - 1], h[last - 2], s[last - 1], s[last - 2]);
}

void load_curve_keep_from_falling(struct load_curve *curve, const double *weight)
{
    double level[BP_BAND_POINTS_MAX], heavy[BP_BAND_POINTS_MAX];
    size_t members[BP_BAND_POINTS_MAX], pools = 0;
    for (size_t i = 0; i < curve->count; i++) {
        level[pools] = curve->pull_n[i];
        heavy[pools] = weight[i];
        members[pools++] = 1;
        while (pools > 1 && level[pools - 2] > level[pools - 1]) {
            size_t to = pools - 2, from = pools - 1;
            double both = heavy[to] + heavy[from];
            level[to] += (level[from] - level[to]) * (heavy[from] / both);
            heavy[to] = both;
            members[to] += members[from];
            pools--;
        }
    }
    size_t i = 0;
    for (size_t pool = 0; pool < pools; pool++) {
        for (size_t n = 0; n < members[pool]; n++) {
            curve->pull_n[i++] = level[pool];
        }
    }
}

/* Eq. 2-5, in powers of the way past point i. */
static double between(const struct load_curve *curve, size_t i, double past_m)
{
    double h = curve->length_m[i + 1] - curve->length_m[i];
    double low = curve->pull_n[i], high = curve->pull_n[i + 1];
    double s = (high - low) / h, from = curve->slope_n_m[i], to = curve->slope_n_m[i + 1];
    double a = (from + to - 2.0 * s) / (h * h), b = (3.0 * s - 2.0 * from - to) / h;
    double pull = low + past_m * (from + past_m * (b + past_m * a));
    return pull < low ? low : smaller(pull, high); /* rounding alone could pass either */
}

double load_curve_pull(const struct load_curve *curve, double length_m)
{
    size_t last = curve->count - 1;
    double first_m = curve->length_m[0], past = length_m - curve->length_m[last];
    if (length_m <= first_m) {
        if (curve->slack_below || length_m >= first_m - same_length_m) {
            return curve->pull_n[0];
        }
        return (double)NAN;
    }
    if (past >= 0.0) {
        return past <= same_length_m ? curve->pull_n[last] : (double)NAN;
    }
    size_t i = 0;
    while (length_m >= curve->length_m[i + 1]) {
        i++;
    }
    return between(curve, i, length_m - curve->length_m[i]);
}
