/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Finding the reps: the turning points while the phone is on the bar, the pattern of the lift among them,
 * then the exact turning samples.
 */
#include "barplumb/reps.h"
#include "reps/pattern.h"
#include "reps/settle.h"
#include "reps/split.h"
#include "reps/turning.h"

#include <math.h>

/* A log whose first bottom comes this soon began inside the set; one that runs on for so long after the bar
 * went down shows that it was left there. */
static const double BEGINS_S = 1.0, LEFT_DOWN_S = 1.5;
/* The smoother bridges shorter holes than this within a drive. */
static const double HOLE_S = 0.4;
/* Moves smaller than this share of the lift's shortest range are no strokes. */
static const double STROKE_SHARE = 0.5;

struct work {
    const struct bp_motion *motion;
    const struct bp_track *track;
    const struct bp_lift_facts *facts;
    enum bp_lift lift;
    size_t first, last; /* the stretch with the phone on the bar */
};

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
    while (i < bottom && (h[i] > half || fabs(track->speed_m_s[i]) > bp_split_rest_m_s)) {
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
        bp_split_pickup(w->track, turning, count);
    }
    if (w->facts->descent_first) {
        bp_split_walkout(w->track, turning, count);
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
        w->track->speed_m_s[w->last] >
            bp_settle_hardly * bp_settle_fastest(w->track, last->bottom, last->top, 1)) {
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
        bp_settle_rep(track, reps->range_m, &reps->list[r]);
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
