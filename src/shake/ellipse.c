/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "barplumb/units.h"

#include <math.h>

double bp_ellipse_quantile(size_t n)
{
    if (n < 3) {
        return (double)NAN;
    }
    /* With 2 numerator degrees of freedom the distribution inverts in closed form:
     * F_p(2, m) = m/2 ((1 - p)^(-2/m) - 1). */
    const double outside = 0.05;
    double m = (double)(n - 2);
    return m / 2 * expm1(-2 / m * log(outside));
}

double bp_ellipse_area(const double *x, const double *y, size_t count)
{
    if (count < 3) {
        return (double)NAN;
    }
    double n = (double)count, mean_x = 0, mean_y = 0;
    for (size_t i = 0; i < count; i++) {
        mean_x += x[i] / n;
        mean_y += y[i] / n;
    }
    double xx = 0, yy = 0, xy = 0;
    for (size_t i = 0; i < count; i++) {
        double dx = x[i] - mean_x, dy = y[i] - mean_y;
        xx += dx * dx / n;
        yy += dy * dy / n;
        xy += dx * dy / n;
    }
    double determinant = xx * yy - xy * xy;
    /* Points on a line leave a hair of rounding on either side of zero. */
    double spread = determinant < 0 ? 0 : sqrt(determinant);
    return 2 * BP_PI * bp_ellipse_quantile(count) * spread;
}
