/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/beyond.h"
#include "barplumb/units.h"
#include "base/cubic.h"

#include <math.h>

/* Longer than this, s, slopes at the ends say nothing of the middle: the start of a drive is over. */
static const double RUN_MOST_S = 0.15;
/* Fewer readings than this high and under the limit say nothing of those past it. */
enum { HIGH_LEAST = 20 };
/* A reading is at the limit from here on: calibration and rounding leave parts in a thousand. */
static const double AT_LIMIT = 0.999;

static bool at_limit(const struct bp_trace *trace, int axis, size_t i, double way)
{
    return way * trace->force[axis][i] >= AT_LIMIT * trace->force_limit;
}

/* Readings (before, after) of one axis are at the limit: the cubic between the two samples outside, which are
 * not, nor are the ones beside them; where these cannot be used (whole: false), or the cubic says less,
 * what clatter mostly has there. */
static void add_run(struct bp_motion *motion, int axis, size_t before, size_t after, double way, bool whole)
{
    const struct bp_trace *trace = motion->trace;
    const double *t = trace->time_s, *f = trace->force[axis];
    double T = t[after] - t[before], slope0 = 0, slope1 = 0;
    if (whole) {
        slope0 = (f[before] - f[before - 1]) / (t[before] - t[before - 1]) * T;
        slope1 = (f[after + 1] - f[after]) / (t[after + 1] - t[after]) * T;
    }
    for (size_t i = before + 1; i < after; i++) {
        double x = (t[i] - t[before]) / T;
        double cubic = way * bp_cubic(f[before], f[after], slope0, slope1, x) - trace->force_limit;
        double beyond = fmax(whole ? cubic : 0, motion->past_limit_m_s2);
        motion->rise_m_s2[i] += motion->up[axis][i] * way * beyond;
    }
}

static void add_axis(struct bp_motion *motion, int axis, double way)
{
    const struct bp_trace *trace = motion->trace;
    for (size_t i = 2; i + 2 < trace->count; i++) {
        if (!at_limit(trace, axis, i, way)) {
            continue;
        }
        size_t before = i - 1;
        while (i + 2 < trace->count && at_limit(trace, axis, i, way)) {
            i++;
        }
        bool whole = !at_limit(trace, axis, before - 1, way) && !at_limit(trace, axis, before, way) &&
                     !at_limit(trace, axis, i, way) && !at_limit(trace, axis, i + 1, way);
        for (size_t k = before; k <= i + 1; k++) {
            whole = whole && !(trace->marks[k] & BP_MARK_AFTER_GAP);
        }
        if (trace->time_s[i] - trace->time_s[before] <= RUN_MOST_S) {
            add_run(motion, axis, before, i, way, whole && trace->gyroscope);
        }
    }
}

/* How far past the limit a clipped reading mostly is: what is high in clatter has an exponential tail
 * (peaks over a threshold, Pickands 1975, with shape 0), whose mean excess is the same over any height. So it
 * is the mean excess over half of what gravity leaves of the limit, those at the limit counting as cut off
 * there (the likeliest scale of a censored exponential: summed excess over the number not cut off). 0: too
 * few. */
static double mean_excess(const struct bp_motion *motion)
{
    const struct bp_trace *trace = motion->trace;
    double sum = 0, under = 0;
    for (int axis = 0; axis < 3; axis++) {
        for (size_t i = motion->on_bar.first; i <= motion->on_bar.last; i++) {
            double rest = BP_STANDARD_GRAVITY * motion->up[axis][i], off = trace->force[axis][i] - rest;
            double room = trace->force_limit - (off > 0 ? rest : -rest), past = fabs(off) - room / 2;
            if (past > 0) {
                sum += fmin(past, room / 2);
                under += !at_limit(trace, axis, i, off > 0 ? 1 : -1);
            }
        }
    }
    return under >= HIGH_LEAST ? sum / under : 0;
}

void bp_beyond_add(struct bp_motion *motion)
{
    bool known = isfinite(motion->trace->force_limit);
    motion->past_limit_m_s2 = known ? mean_excess(motion) : 0;
    for (int axis = 0; axis < 3 && known; axis++) {
        add_axis(motion, axis, 1);
        add_axis(motion, axis, -1);
    }
}
