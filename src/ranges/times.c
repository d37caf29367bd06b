/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A rep's moments: where descent, drive and pause begin and end.
 */
#include "barplumb/ranges.h"
#include "base/cubic.h"

#include <math.h>

/* The ends of a stroke are looked for before a tenth of it and after nine tenths. */
static const double END_SHARE = 0.1;

static struct bp_moment no_moment(void)
{
    return (struct bp_moment){(double)NAN, (double)NAN};
}

/* The moment between samples i and i+1 at which the speed crosses `speed`: speed by the cubic that the
 * accelerations give it, which bends where a stroke begins, height by the one that the speeds give it. Found
 * by false position (Illinois; Dowell & Jarratt 1971, BIT 11:168-74), which stays between the two. */
static struct bp_moment crossing(const struct bp_track *track, size_t i, double speed)
{
    enum { TURNS = 8 };
    const double *t = track->time_s, *v = &track->speed_m_s[i], *h = &track->height_m[i];
    double dt = t[i + 1] - t[i], slope0 = track->accel_m_s2[i] * dt, slope1 = track->accel_m_s2[i + 1] * dt;
    double low = 0, high = 1, off_low = v[0] - speed, off_high = v[1] - speed, x = off_low == 0.0 ? 0 : 1;
    for (int turn = 0; turn < TURNS && off_low * off_high < 0; turn++) {
        x = low - off_low * (high - low) / (off_high - off_low);
        double off = bp_cubic(v[0], v[1], slope0, slope1, x) - speed;
        if (off * off_high > 0) {
            high = x;
            off_high = off;
            off_low /= 2;
        } else {
            low = x;
            off_low = off;
            off_high /= 2;
        }
    }
    return (struct bp_moment){t[i] + x * dt, bp_cubic(h[0], h[1], v[0] * dt, v[1] * dt, x)};
}

static struct bp_moment at_sample(const struct bp_track *track, size_t i)
{
    return (struct bp_moment){track->time_s[i], track->height_m[i]};
}

/* The stroke from sample a to sample b in direction `way` (+1 up, -1 down): its start and end moments. */
static void stroke_ends(const struct bp_track *track, size_t a, size_t b, double way, double edge,
                        struct bp_moment *start, struct bp_moment *end)
{
    const double *h = track->height_m, *v = track->speed_m_s;
    double length = way * (h[b] - h[a]);
    *start = *end = no_moment();
    if (!(length > 0) || b <= a) {
        return;
    }
    size_t i = a;
    while (i < b && way * (h[i] - h[a]) < END_SHARE * length) {
        i++;
    }
    while (i > a && way * v[i] > edge) {
        i--;
    }
    *start = i < b && way * v[i] <= edge ? crossing(track, i, way * edge) : at_sample(track, i);
    size_t j = i;
    while (j < b && way * (h[j] - h[a]) < (1 - END_SHARE) * length) {
        j++;
    }
    while (j < b && way * v[j] > edge) {
        j++;
    }
    *end = j > a && way * v[j] <= edge && way * v[j - 1] > edge ? crossing(track, j - 1, way * edge)
                                                                : at_sample(track, j);
}

/* The lowest moment: at the lowest sample, or where the speed turns from down to up beside it. */
static struct bp_moment turning_moment(const struct bp_track *track, size_t bottom)
{
    const double *v = track->speed_m_s;
    if (bottom > 0 && v[bottom - 1] < 0 && v[bottom] >= 0) {
        return crossing(track, bottom - 1, 0);
    }
    if (bottom + 1 < track->count && v[bottom] <= 0 && v[bottom + 1] > 0) {
        return crossing(track, bottom, 0);
    }
    return at_sample(track, bottom);
}

/* The lowest sample between the end of the descent and the start of the drive: a bar that rests on the chest
 * still sinks and creeps. Without both ends the rep's own. */
static size_t lowest_sample(const struct bp_track *track, const struct bp_rep *rep,
                            const struct bp_rep_times *times)
{
    const double *t = track->time_s, *h = track->height_m;
    size_t lowest = rep->bottom;
    size_t first = bp_rep_first(t, rep);
    double from = rep->has_before ? times->descent_end.time_s : t[first];
    for (size_t i = rep->bottom; i > first && t[i] >= from; i--) {
        lowest = h[i] < h[lowest] ? i : lowest;
    }
    for (size_t i = rep->bottom; i < rep->top && t[i] <= times->drive_start.time_s; i++) {
        lowest = h[i] < h[lowest] ? i : lowest;
    }
    return lowest;
}

static void samples_inside(const struct bp_track *track, const struct bp_rep *rep, struct bp_rep_times *times)
{
    const double *t = track->time_s;
    size_t first = rep->bottom, last = rep->top;
    while (first < last && t[first] < times->drive_start.time_s) {
        first++;
    }
    while (last > first && t[last] > times->drive_end.time_s) {
        last--;
    }
    times->first = first;
    times->last = last;
}

struct bp_rep_times bp_rep_times(const struct bp_track *track, const struct bp_rep *rep,
                                 double edge_speed_m_s)
{
    struct bp_rep_times times = {.descent_start = no_moment(),
                                 .descent_end = no_moment(),
                                 .drive_start = no_moment(),
                                 .drive_end = no_moment(),
                                 .first = 1,
                                 .last = 0};
    if (rep->has_before) {
        stroke_ends(track, rep->top_before, rep->bottom, -1, edge_speed_m_s, &times.descent_start,
                    &times.descent_end);
    } else if (rep->has_after) {
        stroke_ends(track, rep->top, rep->bottom_after, -1, edge_speed_m_s, &times.descent_start,
                    &times.descent_end);
    }
    stroke_ends(track, rep->bottom, rep->top, 1, edge_speed_m_s, &times.drive_start, &times.drive_end);
    size_t lowest = lowest_sample(track, rep, &times);
    times.turnaround = turning_moment(track, lowest);
    times.range_m = track->height_m[rep->top] - track->height_m[lowest];
    if (isfinite(times.drive_start.time_s)) {
        samples_inside(track, rep, &times);
    }
    return times;
}
