/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sideways.h"

#include <math.h>

enum { RECORDS = 5, ALONG = 0, FORE = 1, FORCE = 2 };

/* Value at time t between samples i and i+1: the cubic through four samples (Catmull-Rom on uneven times, by
 * finite-difference slopes), straight at the ends and over gaps. */
static double between(const struct bp_trace *trace, const double *x, size_t i, double t)
{
    const double *time = trace->time_s;
    double dt = time[i + 1] - time[i], s = (t - time[i]) / dt, rise = x[i + 1] - x[i];
    if (i == 0 || i + 2 >= trace->count || (trace->marks[i + 1] & BP_MARK_AFTER_GAP)) {
        return x[i] + s * rise;
    }
    double d0 = (x[i + 1] - x[i - 1]) / (time[i + 1] - time[i - 1]) * dt;
    double d1 = (x[i + 2] - x[i]) / (time[i + 2] - time[i]) * dt;
    return x[i] + s * (d0 + s * (3 * rise - 2 * d0 - d1 + s * (d0 + d1 - 2 * rise)));
}

static void resample(const struct bp_trace *trace, const double *x, double step_s, size_t count, double *even)
{
    size_t i = 0;
    for (size_t k = 0; k < count; k++) {
        double t = (double)k * step_s;
        while (i + 2 < trace->count && trace->time_s[i + 1] < t) {
            i++;
        }
        even[k] = between(trace, x, i, t);
    }
}

enum bp_code bp_sideways_make(const struct bp_motion *motion, const struct bp_clock *clock,
                              struct bp_arena *arena, struct bp_sideways *sideways, struct bp_error *error)
{
    const struct bp_trace *trace = motion->trace;
    const double *source[RECORDS] = {motion->along_m_s2, motion->fore_m_s2, trace->force[0], trace->force[1],
                                     trace->force[2]};
    double *even[RECORDS] = {NULL};
    *sideways = (struct bp_sideways){.known = clock->rate_hz >= BP_SHAKE_RATE_MIN_HZ};
    /* The even clock runs at the mean rate, so that it ends where the log ends. */
    double duration = trace->time_s[trace->count - 1];
    size_t count = (size_t)lround(duration / clock->step_s) + 1;
    sideways->step_s = count > 1 ? duration / (double)(count - 1) : clock->step_s;
    if (!sideways->known || count < 3) {
        sideways->known = false;
        return BP_OK;
    }
    for (int r = 0; r < RECORDS; r++) {
        if (source[r]) {
            even[r] = bp_arena_doubles(arena, count);
            if (!even[r]) {
                return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the bar's shake");
            }
            resample(trace, source[r], sideways->step_s, count, even[r]);
        }
    }
    const double *const clatter[3] = {even[FORCE], even[FORCE + 1], even[FORCE + 2]};
    enum bp_code code = bp_shake_make(even[ALONG], even[FORE], clatter, count, 1 / sideways->step_s, NULL,
                                      arena, &sideways->bands);
    return code == BP_OK ? BP_OK : bp_error_set(error, code, "the bar's shake could not be worked out");
}

static struct bp_shake_figures nothing(void)
{
    double nan = (double)NAN;
    return (struct bp_shake_figures){nan, nan, nan, nan, nan, nan, nan};
}

struct bp_shake_figures bp_sideways_measure(const struct bp_sideways *sideways, double from_s, double to_s,
                                            struct bp_arena *arena)
{
    struct bp_shake_figures figures = nothing();
    if (!sideways->known || !isfinite(from_s) || !isfinite(to_s) || to_s <= from_s) {
        return figures;
    }
    size_t first = (size_t)ceil(fmax(from_s, 0) / sideways->step_s);
    size_t last = (size_t)floor(to_s / sideways->step_s);
    last = last < sideways->bands.count ? last : sideways->bands.count - 1;
    if (first > last || bp_shake_measure(&sideways->bands, first, last, NULL, arena, &figures) != BP_OK) {
        return nothing();
    }
    return figures;
}
