/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/beyond.h"
#include "base/cubic.h"

#include <math.h>

/* Longer than this, s, slopes at the ends say nothing of the middle: the start of a drive is over. */
static const double RUN_MOST_S = 0.15;
/* A reading is at the limit from here on: calibration and rounding leave parts in a thousand. */
static const double AT_LIMIT = 0.999;

static bool at_limit(const struct bp_trace *trace, int axis, size_t i, double way)
{
    return way * trace->force[axis][i] >= AT_LIMIT * trace->force_limit;
}

/* Readings (before, after) of one axis are at the limit: the cubic between the two samples outside, which are
 * not, nor are the ones beside them. */
static void add_run(struct bp_motion *motion, int axis, size_t before, size_t after, double way)
{
    const struct bp_trace *trace = motion->trace;
    const double *t = trace->time_s, *f = trace->force[axis];
    double T = t[after] - t[before];
    double slope0 = (f[before] - f[before - 1]) / (t[before] - t[before - 1]) * T;
    double slope1 = (f[after + 1] - f[after]) / (t[after + 1] - t[after]) * T;
    for (size_t i = before + 1; i < after; i++) {
        double x = (t[i] - t[before]) / T;
        double beyond = way * bp_cubic(f[before], f[after], slope0, slope1, x) - trace->force_limit;
        motion->rise_m_s2[i] += motion->up[axis][i] * way * fmax(beyond, 0);
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
        if (whole && trace->time_s[i] - trace->time_s[before] <= RUN_MOST_S) {
            add_run(motion, axis, before, i, way);
        }
    }
}

void bp_beyond_add(struct bp_motion *motion)
{
    bool known = isfinite(motion->trace->force_limit) && motion->trace->gyroscope;
    for (int axis = 0; axis < 3 && known; axis++) {
        add_axis(motion, axis, 1);
        add_axis(motion, axis, -1);
    }
}
