/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reps/settle.h"

#include <math.h>

const double bp_settle_hardly = 0.12;
/* The top is looked for from this share of a stroke on, the bottom up to its complement. */
static const double NEAR_END = 0.85, TOP_MOST = 1.1;
/* A stroke is over so long after the bar hardly moves, at most; and so long before a drive from the floor
 * plates may bounce. */
static const double SETTLE_S = 0.3;

size_t bp_rep_first(const double *time_s, const struct bp_rep *rep)
{
    size_t first = rep->has_before ? rep->top_before : rep->bottom;
    while (!rep->has_before && first > 0 && time_s[rep->bottom] - time_s[first] < SETTLE_S) {
        first--;
    }
    return first;
}

double bp_settle_fastest(const struct bp_track *track, size_t from, size_t to, double way)
{
    double fastest = 0;
    for (size_t i = from; i <= to; i++) {
        fastest = fmax(fastest, way * track->speed_m_s[i]);
    }
    return fastest;
}

/* One end of a stroke, looked for from its other end on. */
struct stroke_end {
    size_t from, until; /* samples; until < from: backward in time */
    double way;         /* 1: the stroke rises, as the log's time goes, -1: it falls */
    double height_m;    /* the end lies past this */
};

/* The first sample past the height at which the bar hardly moves any more; then the first extreme of height,
 * if it comes soon: a first pass may still drift, and then there is none. */
static size_t settle(const struct bp_track *track, struct stroke_end end, double hardly)
{
    const double *h = track->height_m, *v = track->speed_m_s, *t = track->time_s;
    bool back = end.until < end.from;
    double past = back ? -end.way : end.way; /* the way the height goes toward the end */
    size_t i = end.from;
    while (i != end.until && (past * h[i] < past * end.height_m || end.way * v[i] > hardly)) {
        i = back ? i - 1 : i + 1;
    }
    double since = t[i];
    while (i != end.until && end.way * v[i] > 0 && fabs(t[i] - since) < SETTLE_S) {
        i = back ? i - 1 : i + 1;
    }
    return i;
}

/* The last local maximum before the descent: a bar walked out of the rack sinks by steps long before. */
static void settle_descent(const struct bp_track *track, struct bp_rep *rep)
{
    const double *h = track->height_m;
    if (rep->has_before && h[rep->top_before] > h[rep->bottom]) {
        double above = h[rep->bottom] + NEAR_END * (h[rep->top_before] - h[rep->bottom]);
        double hardly = bp_settle_hardly * bp_settle_fastest(track, rep->top_before, rep->bottom, -1);
        struct stroke_end end = {rep->bottom, rep->top_before, -1, above};
        rep->top_before = settle(track, end, hardly);
    }
}

/* The last fall may go on into the rack; a bar let down softly ends the rep's own. */
static void settle_return(const struct bp_track *track, double hardly, struct bp_rep *rep)
{
    const double *h = track->height_m;
    if (rep->has_after && h[rep->bottom_after] < h[rep->top]) {
        double rise = h[rep->top] - h[rep->bottom], after = h[rep->top] - h[rep->bottom_after];
        struct stroke_end end = {rep->top, rep->bottom_after, -1, h[rep->top] - NEAR_END * fmin(rise, after)};
        rep->bottom_after = settle(track, end, hardly);
    }
}

void bp_settle_rep(const struct bp_track *track, double range_m, struct bp_rep *rep)
{
    const double *h = track->height_m;
    settle_descent(track, rep);
    if (rep->missed || rep->top <= rep->bottom) {
        return;
    }
    double low = h[rep->bottom], high = fmin(h[rep->top], low + TOP_MOST * range_m);
    if (!rep->has_before) { /* what is too long is so before the drive */
        high = h[rep->top];
        low = fmax(low, high - TOP_MOST * range_m);
    }
    double hardly = bp_settle_hardly * bp_settle_fastest(track, rep->bottom, rep->top, 1);
    struct stroke_end top = {rep->bottom, rep->top, 1, low + NEAR_END * (high - low)};
    rep->top = settle(track, top, hardly);
    if (!rep->has_before) { /* a first pass may have seen the last of the bounces on the floor only */
        size_t until = bp_rep_first(track->time_s, rep);
        struct stroke_end bottom = {rep->top, until, 1, low + (1 - NEAR_END) * (h[rep->top] - low)};
        rep->bottom = settle(track, bottom, hardly);
    }
    settle_return(track, hardly, rep);
}
