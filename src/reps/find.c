/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Finding the reps: the turning points while the phone is on the bar, the pattern of the lift among them,
 * then the exact turning samples.
 */
#include "barplumb/reps.h"
#include "barplumb/units.h"
#include "reps/pattern.h"
#include "reps/turning.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* A log whose first bottom comes this soon began inside the set; one that runs on for so long after the bar
 * went down shows that it was left there. */
static const double BEGINS_S = 1.0, LEFT_DOWN_S = 1.5;
/* The smoother bridges shorter holes than this within a drive. */
static const double HOLE_S = 0.4;
/* Moves smaller than this share of the lift's shortest range are no strokes. */
static const double STROKE_SHARE = 0.5;
/* The top is looked for from this share of a stroke on, the bottom up to its complement. */
static const double NEAR_END = 0.85, TOP_MOST = 1.1;
/* A bar that moves less than this for so long rests; a rest nearer a stroke's ends than this share is its
 * end. */
static const double REST_SPEED_M_S = 0.1, REST_S = 0.25, REST_SHARE = 0.15, FURTHER = 1.3;
/* A stroke is over when the bar rises at less than this share of its fastest, and so long after at most. */
static const double HARDLY_RISES = 0.12, SETTLE_S = 0.3;

struct work {
    const struct bp_motion *motion;
    const struct bp_track *track;
    const struct bp_lift_facts *facts;
    enum bp_lift lift;
    size_t first, last; /* the stretch with the phone on the bar */
};

/* The fastest of the stroke, m/s: of a rise (way 1) or a fall (way -1). */
static double stroke_speed(const struct bp_track *track, size_t from, size_t to, double way)
{
    double fastest = 0;
    for (size_t i = from; i <= to; i++) {
        fastest = fmax(fastest, way * track->speed_m_s[i]);
    }
    return fastest;
}

/* From `from` on, the first sample past `height` at which the bar hardly rises any more; then the first local
 * maximum of height, if it comes soon: a first pass may still drift, and then there is none. */
static size_t settle_top(const struct bp_track *track, size_t from, size_t until, double height,
                         double hardly)
{
    size_t i = from;
    while (i < until && (track->height_m[i] < height || track->speed_m_s[i] > hardly)) {
        i++;
    }
    double limit_s = track->time_s[i] + SETTLE_S;
    while (i < until && track->speed_m_s[i] > 0 && track->time_s[i] < limit_s) {
        i++;
    }
    return i;
}

/* The same backward in time, to the local minimum of height before the drive. */
static size_t settle_bottom(const struct bp_track *track, size_t from, size_t until, double height,
                            double hardly)
{
    size_t i = from;
    while (i > until && (track->height_m[i] > height || track->speed_m_s[i] > hardly)) {
        i--;
    }
    double limit_s = track->time_s[i] - SETTLE_S;
    while (i > until && track->speed_m_s[i] > 0 && track->time_s[i] > limit_s) {
        i--;
    }
    return i;
}

/* From the top forward, the first sample under `height` at which the bar hardly falls any more; then the
 * first local minimum, if it comes soon. */
static size_t settle_after(const struct bp_track *track, size_t from, size_t until, double height,
                           double hardly)
{
    size_t i = from;
    while (i < until && (track->height_m[i] > height || track->speed_m_s[i] < -hardly)) {
        i++;
    }
    double limit_s = track->time_s[i] + SETTLE_S;
    while (i < until && track->speed_m_s[i] < 0 && track->time_s[i] < limit_s) {
        i++;
    }
    return i;
}

/* From the bottom backward, the first sample past `height` at which the bar hardly falls; then the last local
 * maximum before, if it comes soon: a bar walked out of the rack sinks by steps long before the descent. */
static size_t settle_before(const struct bp_track *track, size_t from, size_t until, double height,
                            double hardly)
{
    size_t i = from;
    while (i > until && (track->height_m[i] < height || track->speed_m_s[i] < -hardly)) {
        i--;
    }
    double limit_s = track->time_s[i] - SETTLE_S;
    while (i > until && track->speed_m_s[i] < 0 && track->time_s[i] > limit_s) {
        i--;
    }
    return i;
}

static void settle_descent(const struct bp_track *track, struct bp_rep *rep)
{
    const double *h = track->height_m;
    if (rep->has_before && h[rep->top_before] > h[rep->bottom]) {
        double above = h[rep->bottom] + NEAR_END * (h[rep->top_before] - h[rep->bottom]);
        double hardly = HARDLY_RISES * stroke_speed(track, rep->top_before, rep->bottom, -1);
        rep->top_before = settle_before(track, rep->bottom, rep->top_before, above, hardly);
    }
}

/* The turning points of a stroke are its extremes, but unracking before it and racking after it may go
 * further still: the drive's own ends are where the bar first stops rising, and last began to. */
static void settle(const struct work *w, double range_m, struct bp_rep *rep)
{
    const double *h = w->track->height_m;
    settle_descent(w->track, rep);
    if (rep->missed || rep->top <= rep->bottom) {
        return;
    }
    double low = h[rep->bottom], high = fmin(h[rep->top], low + TOP_MOST * range_m);
    if (!rep->has_before) { /* what is too long is so before the drive */
        high = h[rep->top];
        low = fmax(low, high - TOP_MOST * range_m);
    }
    double hardly = HARDLY_RISES * stroke_speed(w->track, rep->bottom, rep->top, 1);
    rep->top = settle_top(w->track, rep->bottom, rep->top, low + NEAR_END * (high - low), hardly);
    if (!rep->has_before) {
        double below = low + (1 - NEAR_END) * (h[rep->top] - low);
        rep->bottom = settle_bottom(w->track, rep->top, rep->bottom, below, hardly);
    }
    if (rep->has_after && h[rep->bottom_after] < h[rep->top]) {
        /* The last fall may go on into the rack; a bar let down softly ends the rep's own. */
        double rise = h[rep->top] - h[rep->bottom], after = h[rep->top] - h[rep->bottom_after];
        double below = h[rep->top] - NEAR_END * fmin(rise, after);
        rep->bottom_after = settle_after(w->track, rep->top, rep->bottom_after, below, hardly);
    }
}

/* The sample in a rest at which the bar last stood before rising, or first stood after falling: where its
 * speed last was 0 or down, or first 0 or up; where a drift hides that, where it was slowest. */
static size_t standing_in(const struct bp_track *track, struct bp_spell rest, bool last)
{
    const double *v = track->speed_m_s;
    size_t slowest = rest.first, found = SIZE_MAX;
    for (size_t i = rest.first; i <= rest.last; i++) {
        slowest = fabs(v[i]) < fabs(v[slowest]) ? i : slowest;
        bool stands = last ? v[i] <= 0 : v[i] >= 0;
        found = stands && (last || found == SIZE_MAX) ? i : found;
    }
    return found == SIZE_MAX ? slowest : found;
}

/* Where the bar rested longest on its way through a long stroke between samples a and b, away from its ends;
 * 0 if it nowhere rested. A stall in the drive is shorter than the hang. */
static size_t rest_within(const struct bp_track *track, size_t a, size_t b, bool last)
{
    const double *t = track->time_s, *v = track->speed_m_s, *h = track->height_m;
    double low = fmin(h[a], h[b]), stroke = fabs(h[b] - h[a]), longest = REST_S;
    struct bp_spell rest = {0, 0};
    size_t since = a;
    for (size_t i = a; i < b; i++) {
        double share = (h[i] - low) / stroke;
        bool rests = fabs(v[i]) < REST_SPEED_M_S && share > REST_SHARE && share < 1 - REST_SHARE;
        since = rests ? since : i + 1;
        if (rests && t[i] - t[since] >= longest) {
            longest = t[i] - t[since];
            rest = (struct bp_spell){since, i};
        }
    }
    return rest.last ? standing_in(track, rest, last) : 0;
}

/* A row's bar is first picked up and at last put down: one rise from floor over hang to body, one fall from
 * body over hang to floor. Where such a stroke rested on the way, the rep's own stroke begins or ends. */
static void split_pickup(const struct bp_track *track, struct bp_turning *turning, size_t count)
{
    const double *h = track->height_m;
    size_t up = 0, down = count;
    while (up + 1 < count && turning[up].top) {
        up++;
    }
    while (down > 0 && turning[down - 1].top) {
        down--;
    }
    if (up + 1 < count) {
        size_t rest = rest_within(track, turning[up].sample, turning[up + 1].sample, true);
        turning[up] = rest ? (struct bp_turning){rest, h[rest], false} : turning[up];
    }
    /* The last fall is a putting down only where it goes further than the rise before it. */
    if (down > 2 && down - 1 > up &&
        turning[down - 2].height_m - turning[down - 1].height_m >
            FURTHER * (turning[down - 2].height_m - turning[down - 3].height_m)) {
        size_t rest = rest_within(track, turning[down - 2].sample, turning[down - 1].sample, false);
        turning[down - 1] = rest ? (struct bp_turning){rest, h[rest], false} : turning[down - 1];
    }
}

/* The log begins in the middle of a set, its first sample near the bottom of a rep. */
static bool begins_inside(const struct work *w, const struct bp_turning *turning, size_t count)
{
    const struct bp_spells *still = &w->motion->still;
    const double *t = w->track->time_s;
    if (count < 2 || turning[0].top || t[turning[0].sample] - t[w->first] > BEGINS_S) {
        return false;
    }
    return still->count == 0 || still->list[0].first > turning[0].sample;
}

/* The first sample past half of the last fall at which the bar rested: the lowest one may come much later,
 * where a path drifts down for as long as the log lasts. */
static size_t came_down(const struct bp_track *track, size_t top, size_t bottom)
{
    const double *h = track->height_m;
    double half = 0.5 * (h[top] + h[bottom]);
    size_t i = top;
    while (i < bottom && (h[i] > half || fabs(track->speed_m_s[i]) > REST_SPEED_M_S)) {
        i++;
    }
    return i;
}

/* A bar that did not come back up before the log ended was left down only if the log ran on for a while. */
static void drop_cut_rep(const struct work *w, const struct bp_turning *turning, size_t count,
                         struct bp_reps *reps)
{
    const double *t = w->track->time_s;
    if (reps->count == 0 || !reps->list[reps->count - 1].left_down) {
        return;
    }
    size_t down = came_down(w->track, turning[count - 2].sample, turning[count - 1].sample);
    if (t[w->last] - t[down] < LEFT_DOWN_S) {
        reps->count--;
        reps->cut_short = true;
    }
}

/* A stroke across a long hole in the log cannot be told whole from missed, and has no speed. */
static void drop_holed_reps(const struct work *w, struct bp_reps *reps)
{
    const struct bp_trace *trace = w->motion->trace;
    size_t kept = 0;
    for (size_t r = 0; r < reps->count; r++) {
        const struct bp_rep *rep = &reps->list[r];
        /* A try that seems missed may have gone on in the hole behind it. */
        size_t until = rep->missed && r + 1 < reps->count ? reps->list[r + 1].bottom : rep->top;
        double hole = 0;
        for (size_t i = rep->bottom + 1; i <= until; i++) {
            bool after = trace->marks[i] & BP_MARK_AFTER_GAP;
            hole = after ? fmax(hole, trace->time_s[i] - trace->time_s[i - 1]) : hole;
        }
        if (hole > HOLE_S) {
            reps->lost_in_gap++;
        } else {
            reps->list[kept++] = *rep;
        }
    }
    reps->count = kept;
}

static bool find_pattern(struct work *w, struct bp_arena *arena, struct bp_reps *reps)
{
    const double *h = w->track->height_m;
    double least = STROKE_SHARE * w->facts->least_range_m;
    size_t count = bp_turning_find(h, w->first, w->last, least, NULL);
    struct bp_turning *turning = bp_arena_take(arena, count + 1, sizeof *turning);
    double *scratch = bp_arena_doubles(arena, count + 1);
    reps->list = bp_arena_take(arena, count + 1, sizeof *reps->list);
    if (!turning || !scratch || !reps->list) {
        return false;
    }
    bp_turning_find(h, w->first, w->last, least, turning);
    if (w->facts->picked_up) {
        split_pickup(w->track, turning, count);
    }
    reps->range_m = bp_pattern_range(turning, count, w->lift, scratch);
    if (!isfinite(reps->range_m)) {
        return true;
    }
    if (w->facts->descent_first) {
        reps->count = bp_pattern_from_top(turning, count, reps->range_m, w->facts->most_range_m,
                                          begins_inside(w, turning, count), reps->list);
        drop_cut_rep(w, turning, count, reps);
    } else {
        reps->count = bp_pattern_from_bottom(turning, count, reps->range_m, w->facts->picked_up, reps->list);
    }
    return true;
}

/* A bar that still rises as in a drive when the log ends was not locked out in it. */
static void drop_rising_rep(const struct work *w, struct bp_reps *reps)
{
    const struct bp_rep *last = reps->count > 0 ? &reps->list[reps->count - 1] : NULL;
    if (last && !last->missed && last->top >= w->last &&
        w->track->speed_m_s[w->last] > HARDLY_RISES * stroke_speed(w->track, last->bottom, last->top, 1)) {
        reps->count--;
        reps->cut_short = true;
    }
}

enum bp_code bp_reps_find(const struct bp_motion *motion, const struct bp_track *track, enum bp_lift lift,
                          struct bp_arena *arena, struct bp_reps *reps, struct bp_error *error)
{
    struct work w = {.motion = motion,
                     .track = track,
                     .facts = bp_lift_facts(lift),
                     .lift = lift,
                     .first = motion->on_bar.first,
                     .last = motion->on_bar.last};
    *reps = (struct bp_reps){.range_m = (double)NAN};
    if (!w.facts) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "no such lift");
    }
    if (!find_pattern(&w, arena, reps)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while finding the reps");
    }
    drop_holed_reps(&w, reps);
    for (size_t r = 0; r < reps->count; r++) {
        settle(&w, reps->range_m, &reps->list[r]);
    }
    drop_rising_rep(&w, reps);
    return BP_OK;
}

static bool near(size_t a, size_t b, size_t slack)
{
    return (a > b ? a - b : b - a) <= slack;
}

bool bp_reps_equal(const struct bp_reps *a, const struct bp_reps *b, size_t slack)
{
    if (a->count != b->count) {
        return false;
    }
    for (size_t r = 0; r < a->count; r++) {
        const struct bp_rep *p = &a->list[r], *q = &b->list[r];
        if (p->missed != q->missed || !near(p->bottom, q->bottom, slack) || !near(p->top, q->top, slack)) {
            return false;
        }
    }
    return true;
}
