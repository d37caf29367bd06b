/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Speeds of a drive: mean, peak, propulsive, through a range, over height.
 */
#include "barplumb/ranges.h"

#include <math.h>

static bool no_drive(const struct bp_rep_times *times)
{
    return !isfinite(times->drive_start.time_s) || !isfinite(times->drive_end.time_s) ||
           times->drive_end.time_s <= times->drive_start.time_s || times->first > times->last;
}

double bp_mean_speed(const struct bp_rep_times *times)
{
    if (no_drive(times)) {
        return (double)NAN;
    }
    return (times->drive_end.height_m - times->drive_start.height_m) /
           (times->drive_end.time_s - times->drive_start.time_s);
}

double bp_peak_speed(const struct bp_track *track, const struct bp_rep_times *times)
{
    if (no_drive(times)) {
        return (double)NAN;
    }
    const double *v = track->speed_m_s;
    size_t top = times->first;
    for (size_t i = times->first; i <= times->last; i++) {
        top = v[i] > v[top] ? i : top;
    }
    if (top == times->first || top == times->last) {
        return v[top];
    }
    /* The largest sample is under the true peak by up to a dt²/8: take the parabola's vertex. */
    double before = v[top] - v[top - 1], after = v[top] - v[top + 1];
    double shift = before + after > 0 ? 0.5 * (before - after) / (before + after) : 0;
    return v[top] + 0.25 * (before - after) * shift;
}

double bp_propulsive_speed(const struct bp_track *track, const double *push, size_t base,
                           const struct bp_rep_times *times)
{
    if (no_drive(times)) {
        return (double)NAN;
    }
    const double *t = track->time_s, *h = track->height_m;
    size_t i = times->last;
    while (i > times->first && push[i - base] < 0) {
        i--;
    }
    if (i == times->last) {
        return bp_mean_speed(times);
    }
    double here = push[i - base], next = push[i + 1 - base];
    double share = fmin(fmax(here / (here - next), 0), 1);
    double end_s = t[i] + share * (t[i + 1] - t[i]), end_m = h[i] + share * (h[i + 1] - h[i]);
    return (end_m - times->drive_start.height_m) / (end_s - times->drive_start.time_s);
}

/* Share of the straight piece from a to b that lies in [low, high]. */
static double share_inside(double a, double b, double low, double high)
{
    bool a_inside = a >= low && a < high, b_inside = b >= low && b < high;
    if (a_inside && b_inside) { /* most pieces lie on one side of both bounds */
        return 1;
    }
    if (a == b || (a < low && b < low) || (a >= high && b >= high)) {
        return 0;
    }
    double from = fmin(a, b), to = fmax(a, b);
    return fmax(fmin(to, high) - fmax(from, low), 0) / (to - from);
}

/* Piece k of the drive: pieces run from its start moment over the samples inside to its end moment. */
static struct bp_moment piece_end(const struct bp_track *track, const struct bp_rep_times *times, size_t k)
{
    size_t inside = times->last - times->first + 1;
    if (k == 0) {
        return times->drive_start;
    }
    if (k > inside) {
        return times->drive_end;
    }
    return (struct bp_moment){track->time_s[times->first + k - 1], track->height_m[times->first + k - 1]};
}

/* [from, to] in metres. Below the start and above the end belong to the outer ranges: a dip at the bottom is
 * time spent there. */
struct bounds {
    double low, high, open_low, open_high;
};

static struct bounds bounds_of(const struct bp_rep_times *times, double from, double to)
{
    double start = times->drive_start.height_m, rise = times->drive_end.height_m - start;
    double low = start + from * rise, high = start + to * rise;
    return (struct bounds){low, high, from <= 0 ? -HUGE_VAL : low, to >= 1 ? HUGE_VAL : high};
}

double bp_range_speed(const struct bp_track *track, const struct bp_rep_times *times, double from, double to,
                      size_t *first, size_t *last)
{
    if (no_drive(times)) {
        return (double)NAN;
    }
    struct bounds in = bounds_of(times, from, to);
    double spent = 0;
    size_t in_first = times->last, in_last = times->first, pieces = times->last - times->first + 2;
    struct bp_moment a = times->drive_start;
    for (size_t k = 1; k <= pieces; k++) {
        struct bp_moment b = piece_end(track, times, k);
        double inside = share_inside(a.height_m, b.height_m, in.open_low, in.open_high);
        spent += inside * (b.time_s - a.time_s);
        if (inside > 0) {
            size_t sample = times->first + (k < pieces ? k - 1 : pieces - 2);
            in_first = sample < in_first ? sample : in_first;
            in_last = sample > in_last ? sample : in_last;
        }
        a = b;
    }
    if (first && last) {
        *first = in_first;
        *last = in_last;
    }
    return spent > 0 && in.high > in.low ? (in.high - in.low) / spent : (double)NAN;
}

/* value at a moment between samples i - 1 and i. */
static double between(const struct bp_track *track, const double *value, size_t base, size_t i, double time_s)
{
    const double *t = track->time_s;
    if (i == base || i >= track->count) {
        return value[(i < track->count ? i : track->count - 1) - base];
    }
    double share = fmin(fmax((time_s - t[i - 1]) / (t[i] - t[i - 1]), 0), 1);
    return value[i - 1 - base] + share * (value[i - base] - value[i - 1 - base]);
}

double bp_range_integral(const struct bp_track *track, const struct bp_rep_times *times, double from,
                         double to, const double *value, size_t base)
{
    if (no_drive(times)) {
        return 0;
    }
    struct bounds in = bounds_of(times, from, to);
    double sum = 0, one = 1;
    size_t pieces = times->last - times->first + 2;
    struct bp_moment a = times->drive_start;
    double at_a = value ? between(track, value, base, times->first, a.time_s) : one;
    for (size_t k = 1; k <= pieces; k++) {
        struct bp_moment b = piece_end(track, times, k);
        size_t sample = times->first + k - 1;
        double at_b = !value       ? one
                      : k < pieces ? value[sample - base]
                                   : between(track, value, base, sample, b.time_s);
        double inside = share_inside(a.height_m, b.height_m, in.open_low, in.open_high);
        sum += inside * (b.time_s - a.time_s) * (at_a + at_b) / 2;
        a = b;
        at_a = at_b;
    }
    return sum;
}

void bp_speed_profile(const struct bp_track *track, const struct bp_rep_times *times, size_t points,
                      double *speed_m_s)
{
    for (size_t p = 0; p < points; p++) {
        speed_m_s[p] = (double)NAN;
    }
    if (no_drive(times)) {
        return;
    }
    const double *h = track->height_m, *v = track->speed_m_s;
    double start = times->drive_start.height_m, rise = times->drive_end.height_m - start;
    size_t i = times->first;
    for (size_t p = 0; p < points; p++) {
        double at = start + rise * ((double)p + 0.5) / (double)points;
        while (i < times->last && h[i] < at) {
            i++;
        }
        double rise_here = i > times->first ? h[i] - h[i - 1] : 0;
        double share = rise_here > 0 ? fmin(fmax((at - h[i - 1]) / rise_here, 0), 1) : 1;
        speed_m_s[p] = i > times->first ? v[i - 1] + share * (v[i] - v[i - 1]) : v[i];
    }
}
