/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/ranges.h"

#include <math.h>

/* Half a period of 15 Hz, above which speed is clatter by its definition: a quicker fall is the rattle's,
 * which would else end the search long before the bar sticks. */
static const double LEAST_FALL_S = 1.0 / 30;

/* A local extreme between samples: the vertex of the parabola through its neighbours, as a time. */
static struct bp_moment extreme_at(const struct bp_track *track, const struct bp_rep_times *times, size_t i,
                                   double *speed)
{
    const double *t = track->time_s, *v = track->speed_m_s, *h = track->height_m;
    *speed = v[i];
    if (i <= times->first || i >= times->last) {
        return (struct bp_moment){t[i], h[i]};
    }
    double before = v[i] - v[i - 1], after = v[i] - v[i + 1], bend = before + after;
    double shift = bend == 0.0 ? 0 : fmin(fmax(0.5 * (before - after) / bend, -0.5), 0.5);
    double step = 0.5 * (t[i + 1] - t[i - 1]) * shift;
    *speed = v[i] + 0.25 * (before - after) * shift;
    return (struct bp_moment){t[i] + step, h[i] + step * v[i]};
}

struct bp_sticking bp_sticking_find(const struct bp_track *track, const struct bp_rep_times *times,
                                    double least_m_s)
{
    struct bp_sticking sticking = {.present = false};
    if (times->first > times->last || !isfinite(times->drive_start.time_s)) {
        return sticking;
    }
    const double *t = track->time_s, *v = track->speed_m_s;
    size_t peak = times->first, low = times->first;
    bool fell = false;
    for (size_t i = times->first; i <= times->last; i++) {
        if (!fell) {
            peak = v[i] > v[peak] ? i : peak;
            fell = v[peak] - v[i] >= least_m_s;
            low = i;
            continue;
        }
        low = v[i] < v[low] ? i : low;
        if (v[i] - v[low] >= least_m_s) {
            if (t[low] - t[peak] < LEAST_FALL_S) {
                peak = v[i] > v[peak] ? i : peak;
                fell = false;
                continue;
            }
            sticking.present = true;
            sticking.start = extreme_at(track, times, peak, &sticking.peak_before_m_s);
            sticking.end = extreme_at(track, times, low, &sticking.low_m_s);
            return sticking;
        }
    }
    return sticking;
}
