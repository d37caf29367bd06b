/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/compare.h"

#include <gsl/gsl_cdf.h>

/* Mean less origin, and the squares about it. Everything is summed from the origin on, so that a large common
 * offset costs no digit: at 1e12 a mean written as a double would be rounded to 0.0001. */
static double mean_from(const double *values, size_t count, double origin, double *squares)
{
    double sum = 0.0, off = 0.0;
    for (size_t i = 0; i < count; i++) {
        sum += values[i] - origin;
    }
    double mean = sum / (double)count;
    *squares = 0.0;
    for (size_t i = 0; i < count; i++) {
        double e = (values[i] - origin) - mean;
        off += e;
        *squares += e * e;
    }
    *squares = fmax(*squares - off * off / (double)count, 0.0);
    return mean + off / (double)count;
}

struct bp_moments bp_sample_moments(const double *values, size_t count)
{
    struct bp_moments m = {count, (double)NAN, (double)NAN};
    double squares;
    if (count > 0) {
        m.mean = values[0] + mean_from(values, count, values[0], &squares);
    }
    if (count > 1) {
        m.sd = sqrt(squares / (double)(count - 1));
    }
    return m;
}

static double ratio_or_nan(double a, double b)
{
    return b > 0.0 ? a / b : (double)NAN;
}

static void add_shares(struct bp_anova *a, double total, double squares_of_sizes)
{
    a->between_ms = ratio_or_nan(a->between_ss, a->between_df);
    a->within_ms = ratio_or_nan(a->within_ss, a->within_df);
    a->f = ratio_or_nan(a->between_ms, a->within_ms);
    a->p = isfinite(a->f) ? gsl_cdf_fdist_Q(a->f, a->between_df, a->within_df) : (double)NAN;
    a->r_squared = ratio_or_nan(a->between_ss, a->between_ss + a->within_ss);
    a->residual_sd = sqrt(a->within_ms);
    /* n0 = (N - sum n^2 / N) / (k - 1): Searle, Casella & McCulloch 1992, Variance Components, 3.6 (from
     * memory). */
    a->even_size = ratio_or_nan(total - squares_of_sizes / total, a->between_df);
    a->group_variance = (a->between_ms - a->within_ms) / a->even_size;
}

struct bp_anova bp_anova_one_way(const double *values, const size_t *sizes, size_t groups)
{
    struct bp_anova a = {0};
    double total = 0.0, squares_of_sizes = 0.0, grand = 0.0, origin = groups > 0 ? values[0] : 0.0, squares;
    const double *at = values;
    for (size_t g = 0; g < groups; at += sizes[g++]) {
        double n = (double)sizes[g];
        total += n;
        squares_of_sizes += n * n;
        grand += n * mean_from(at, sizes[g], origin, &squares);
        a.within_ss += squares;
    }
    grand /= total;
    at = values;
    for (size_t g = 0; g < groups; at += sizes[g++]) {
        double off = mean_from(at, sizes[g], origin, &squares) - grand;
        a.between_ss += (double)sizes[g] * off * off;
    }
    a.between_df = groups > 0 ? (double)groups - 1.0 : 0.0;
    a.within_df = total - (double)groups;
    add_shares(&a, total, squares_of_sizes);
    return a;
}
