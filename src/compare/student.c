/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Student's t. Only GSL's distribution functions are used, which cannot fail: its inverses call the process's
 * error handler where they do not converge, and a library has no business there.
 */
#include "barplumb/compare.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>

/* Past this many degrees of freedom t is the normal to better than 1e-9. */
#define DF_NORMAL 1e9
/* Of the integral over the noncentral t: standard deviations to either side, and pairs of steps. */
#define REACH 12.0
#define STEPS_LEAST 150.0
#define STEPS_MOST 4000.0

double bp_student_cdf(double t, double df)
{
    if (!(df > 0.0) || isnan(t)) {
        return (double)NAN;
    }
    return df > DF_NORMAL ? gsl_cdf_ugaussian_P(t) : gsl_cdf_tdist_P(t, df);
}

static double density(double t, double df)
{
    return df > DF_NORMAL ? gsl_ran_ugaussian_pdf(t) : gsl_ran_tdist_pdf(t, df);
}

/* Newton's steps, and halves where they leave the bracket: the function is monotone, so either gets there. */
double bp_student_quantile(double probability, double df)
{
    if (!(df > 0.0) || !(probability > 0.0) || !(probability < 1.0)) {
        return (double)NAN;
    }
    if (probability < 0.5) {
        return -bp_student_quantile(1.0 - probability, df);
    }
    double low = 0.0, high = 1.0;
    while (bp_student_cdf(high, df) < probability && high < 1e150) {
        low = high;
        high *= 2.0;
    }
    double t = 0.5 * (low + high);
    for (int i = 0; i < 200 && high - low > 1e-14 * high; i++) {
        double off = bp_student_cdf(t, df) - probability;
        if (off < 0.0) {
            low = t;
        } else {
            high = t;
        }
        double next = t - off / density(t, df);
        next = next > low && next < high ? next : 0.5 * (low + high);
        if (fabs(next - t) <= 1e-14 * high) {
            return next;
        }
        t = next;
    }
    return t;
}

/* T = (Z + shift) / S with S^2 = chi^2_df / df, so P(T <= t) = E[Phi(t S - shift)] over S, whose density is
 * 2 (df/2)^(df/2) / gamma(df/2) s^(df-1) exp(-df s^2 / 2). Simpson's rule over the standard deviations of S
 * (about 1 / sqrt(2 df)) on either side of 1 that hold all but 1e-15 of it, in u with s = u^3: s^(df-1) has
 * no slope at 0 where df is small, u^(3 df - 1) has. */
double bp_student_shifted_cdf(double t, double df, double shift)
{
    if (!(df > 0.0) || isnan(t) || isnan(shift)) {
        return (double)NAN;
    }
    if (df > DF_NORMAL) {
        return gsl_cdf_ugaussian_P(t - shift);
    }
    double reach = REACH / sqrt(2.0 * df);
    double from = cbrt(fmax(1.0 - reach, 0.0)), to = cbrt(1.0 + reach);
    /* Phi climbs within 1/t of its middle: the larger t, the finer the steps. */
    int steps = 2 * (int)fmin(STEPS_LEAST + 10.0 * (to - from) * fabs(t), STEPS_MOST);
    double step = (to - from) / steps;
    double constant = log(2.0) + 0.5 * df * log(0.5 * df) - gsl_sf_lngamma(0.5 * df);
    double sum = 0.0, weight = 0.0;
    for (int i = from > 0.0 ? 0 : 1; i <= steps; i++) { /* no density at u = 0 */
        double u = from + step * i, s = u * u * u;
        double weighed = 3.0 * u * u * exp(constant + (df - 1.0) * log(s) - 0.5 * df * s * s);
        weighed *= i == 0 || i == steps ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
        weight += weighed;
        sum += weighed * gsl_cdf_ugaussian_P(t * s - shift);
    }
    return sum / weight;
}
