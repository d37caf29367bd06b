/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength/line.h"

#include <math.h>
#include <string.h>

void bp_line_unknown(struct bp_line *line)
{
    const double nan = (double)NAN;
    *line = (struct bp_line){0, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan};
}

bool bp_line_points_usable(const double *x, const double *y, const double *sd, size_t count)
{
    bool apart = false;
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(x[i]) || !isfinite(y[i]) || (sd && !(isfinite(sd[i]) && sd[i] > 0))) {
            return false;
        }
        apart = apart || x[i] < x[0] || x[i] > x[0];
    }
    return apart;
}

static double weight_of(const double *sd, const double *share, size_t i)
{
    return (share ? share[i] : 1) / (sd ? sd[i] * sd[i] : 1);
}

bool bp_line_sums_of(const double *x, const double *y, const double *sd, const double *share, size_t count,
                     struct bp_line_sums *sums)
{
    memset(sums, 0, sizeof *sums);
    for (size_t i = 0; i < count; i++) {
        double w = weight_of(sd, share, i);
        sums->w += w;
        sums->x += w * x[i];
        sums->y += w * y[i];
    }
    sums->x /= sums->w;
    sums->y /= sums->w;
    /* The second pass sums what is left about the means: no digit is lost to a large offset. */
    for (size_t i = 0; i < count; i++) {
        double w = weight_of(sd, share, i), dx = x[i] - sums->x, dy = y[i] - sums->y;
        sums->xx += w * dx * dx;
        sums->xy += w * dx * dy;
        sums->yy += w * dy * dy;
    }
    if (!(sums->xx > 0)) { /* also when every weight is 0 and all is NaN */
        return false;
    }
    double slope = sums->xy / sums->xx;
    for (size_t i = 0; i < count; i++) {
        double off = y[i] - sums->y - slope * (x[i] - sums->x);
        sums->left += weight_of(sd, share, i) * off * off;
    }
    return true;
}

void bp_line_from_sums(const struct bp_line_sums *sums, size_t count, double variance, double freedom,
                       struct bp_line *line)
{
    bool known = freedom > 0;
    line->count = count;
    line->freedom = known ? freedom : 0;
    line->centre = sums->x;
    line->level = sums->y;
    line->slope = sums->xy / sums->xx;
    line->intercept = sums->y - line->slope * sums->x;
    line->residual_sd = known ? sqrt(variance) : (double)NAN;
    line->level_sd = line->residual_sd / sqrt(sums->w);
    line->slope_sd = line->residual_sd / sqrt(sums->xx);
    line->intercept_sd = hypot(line->level_sd, sums->x * line->slope_sd);
    line->correlation = -sums->x * line->slope_sd / line->intercept_sd;
    double explained = line->slope * sums->xy;
    line->r_squared = explained / (explained + sums->left);
    line->f = explained / variance;
    if (!known) {
        line->f = (double)NAN;
    }
}

enum bp_code bp_line_fit(const double *x, const double *y, const double *sd, size_t count,
                         struct bp_line *line)
{
    struct bp_line_sums sums;
    bp_line_unknown(line);
    if (count < 2 || !bp_line_points_usable(x, y, sd, count) ||
        !bp_line_sums_of(x, y, sd, NULL, count, &sums)) {
        return BP_ERR_ARGUMENT;
    }
    double freedom = (double)count - 2;
    bp_line_from_sums(&sums, count, sums.left / freedom, freedom, line);
    return BP_OK;
}
