/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/compare.h"

#include <gsl/gsl_sf_gamma.h>

double bp_hedges_factor(double df)
{
    if (!(df > 1.0)) {
        return (double)NAN;
    }
    if (!isfinite(df)) {
        return 1.0;
    }
    return exp(gsl_sf_lngamma(0.5 * df) - gsl_sf_lngamma(0.5 * (df - 1.0))) / sqrt(0.5 * df);
}

/* The shift at which t is the quantile of that probability. P(T <= t) falls as the shift grows; on the normal
 * scale it falls nearly along a line, which false position with halved ends (the Illinois method) uses. */
static double shift_at(double t, double df, double probability)
{
    double reach = 8.0 + fabs(t), ends[2] = {t - reach, t + reach}, off[2], middle = t;
    for (int e = 0; e < 2; e++) {
        off[e] = bp_student_shifted_cdf(t, df, ends[e]) - probability;
    }
    for (int i = 0, last = -1; i < 60; i++) {
        middle = i % 3 == 2 ? 0.5 * (ends[0] + ends[1])
                            : (ends[0] * off[1] - ends[1] * off[0]) / (off[1] - off[0]);
        double there = bp_student_shifted_cdf(t, df, middle) - probability;
        int side = there > 0.0 ? 0 : 1;
        ends[side] = middle;
        off[side] = there;
        if (side == last) {
            off[1 - side] *= 0.5;
        }
        last = side;
        if (fabs(there) < 1e-9 || ends[1] - ends[0] < 1e-9 * reach) {
            break;
        }
    }
    return middle;
}

struct bp_quantity bp_hedges_effect(double d, double df, double scale, double level)
{
    double j = bp_hedges_factor(df);
    struct bp_quantity g = bp_quantity_plain(j * d);
    if (isfinite(g.value) && scale > 0.0 && level > 0.0 && level < 1.0) {
        g.low = j * shift_at(d * scale, df, 0.5 * (1.0 + level)) / scale;
        g.high = j * shift_at(d * scale, df, 0.5 * (1.0 - level)) / scale;
    }
    return g;
}
