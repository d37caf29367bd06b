/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Movement like a rep's that is none of those found.
 */
#include "barplumb/reps.h"

#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdint.h>

/* Common practice, no source: of 3000 good simulated logs four showed such a rise (bench mutate --unspoilt).
 */

/* Shares of the drives' usual time that are tried, from the shortest on: a bar is lowered more slowly than
 * driven. */
static const double RISE_TIMES[] = {0.5, 0.7, 1.0, 1.4}, FALL_TIMES[] = {0.7, 1.0, 1.4, 2.0, 2.8};
enum {
    RISE_COUNT = sizeof RISE_TIMES / sizeof *RISE_TIMES,
    FALL_COUNT = sizeof FALL_TIMES / sizeof *FALL_TIMES
};
/* Strokes of these shares of the usual range are as a rep's. */
static const double LEAST_FAR = 0.7, MOST_FAR = 1.5;
/* From one rest or turn to the next the bar is as fast at the end as at the beginning, but for this share of
 * its mean speed between them. */
static const double RISE_EVEN = 0.5, FALL_EVEN = 0.8;
/* The second half of a fall, a rest and the first half of the next fall look like a rise to one who falls
 * with them. So for this share of its time before it the bar gained no speed the other way, nor after it the
 * same way again, but for that share of its mean speed. */
static const double AROUND = 0.4, AROUND_EVEN = 0.4;
/* A speed is the mean over this share of the reps' usual time either way: steps and rattles come and go
 * sooner. */
static const double MEAN_SHARE = 0.15;
/* From the fall to the rise of a rep, or the rise to the fall, it is no longer than this. */
static const double PAUSE_S = 2;
/* A rise belongs to a rep that fills this share of it. */
static const double SHARED = 0.2;
/* Nothing is told across longer steps of the clock. */
static const double STEP_MOST_S = 0.1;
/* What the sensor is off by at rest is the mean of the readings, each weighed by how far it lies from it in
 * this unit, m/s^2: a bar that lands is slowed more harshly than it fell. So often the mean is worked out
 * anew. */
static const double AT_REST_M_S2 = 0.2;
enum { ROUNDS = 4 };

struct work {
    const struct bp_motion *motion;
    const struct bp_reps *reps;
    const struct bp_lift_facts *facts;
    const double *time;
    size_t first, last; /* the phone is on the bar */
    double *height;     /* [on the bar] upward acceleration summed twice */
    uint32_t *falls;    /* [on the bar] falls so far, none of which overlap */
    double drive_s;
    size_t mean, pause; /* MEAN_SHARE and PAUSE_S in samples */
    struct bp_doubts *spells;
};

static double off_at_rest(const struct work *w)
{
    const double *rise = w->motion->rise_m_s2;
    double off = 0;
    for (size_t i = w->first; i <= w->last; i++) {
        off += rise[i] / (double)(w->last - w->first + 1);
    }
    for (int round = 0; round < ROUNDS; round++) {
        double sum = 0, weights = 0;
        for (size_t i = w->first; i <= w->last; i++) {
            double far = (rise[i] - off) / AT_REST_M_S2, weight = 1 / (1 + far * far);
            sum += weight * rise[i];
            weights += weight;
        }
        off = sum / weights;
    }
    return off;
}

static void sum_up(struct work *w)
{
    const double *rise = w->motion->rise_m_s2;
    double off = off_at_rest(w), speed = 0;
    w->height[0] = 0;
    for (size_t i = w->first + 1; i <= w->last; i++) {
        double step = w->time[i] - w->time[i - 1], was = speed;
        speed += (0.5 * (rise[i - 1] + rise[i]) - off) * step;
        w->height[i - w->first] = w->height[i - w->first - 1] + 0.5 * (was + speed) * step;
    }
}

/* Samples n before or after i, or the first or last. */
static size_t before(const struct work *w, size_t i, size_t n)
{
    return i - w->first > n ? i - n : w->first;
}

static size_t after(const struct work *w, size_t i, size_t n)
{
    return w->last - i > n ? i + n : w->last;
}

static double speed_about(const struct work *w, size_t i)
{
    size_t a = before(w, i, w->mean), b = after(w, i, w->mean);
    return (w->height[b - w->first] - w->height[a - w->first]) / (w->time[b] - w->time[a]);
}

/* Does the bar go as far as in a rep from sample a to b, up (way 1) or down (-1)? */
static bool goes(const struct work *w, size_t a, size_t b, double way)
{
    double time = w->time[b] - w->time[a], from = speed_about(w, a), to = speed_about(w, b);
    double gone = way * (w->height[b - w->first] - w->height[a - w->first] - 0.5 * (from + to) * time);
    if (!(gone >= LEAST_FAR * w->reps->range_m && gone <= MOST_FAR * w->reps->range_m)) {
        return false;
    }
    size_t around = (size_t)(AROUND * (double)(b - a));
    double speed = gone / time, came = way * (from - speed_about(w, before(w, a, around))),
           left = way * (speed_about(w, after(w, b, around)) - to);
    return fabs(to - from) <= (way > 0 ? RISE_EVEN : FALL_EVEN) * speed && came >= -AROUND_EVEN * speed &&
           left <= AROUND_EVEN * speed;
}

/* The end of the shortest stroke as in a rep that begins at a; 0: none does. next: of each time, where its
 * window ends, which only goes forward. */
static size_t stroke_from(const struct work *w, size_t a, double way, const double *times, size_t count,
                          size_t next[])
{
    size_t end = 0;
    for (size_t k = 0; k < count; k++) {
        double until = w->time[a] + times[k] * w->drive_s;
        next[k] = next[k] > a ? next[k] : a;
        while (next[k] < w->last && w->time[next[k]] < until) {
            next[k]++;
        }
        if (end == 0 && w->time[next[k]] >= until && goes(w, a, next[k], way)) {
            end = next[k];
        }
    }
    return end;
}

/* Each where a rise is to be beside it: at its end in lifts that begin with it, at its beginning in the
 * others. */
static void find_falls(struct work *w)
{
    size_t next[FALL_COUNT] = {0}, end = w->first;
    for (size_t a = w->first; a < w->last; a++) {
        size_t b = stroke_from(w, a, -1, FALL_TIMES, FALL_COUNT, next);
        if (b > 0 && a >= end) {
            end = b;
            w->falls[(w->facts->descent_first ? b : a) - w->first] = 1;
        }
    }
    for (size_t k = 1; k <= w->last - w->first; k++) {
        w->falls[k] += w->falls[k - 1];
    }
}

static uint32_t falls_between(const struct work *w, size_t from, size_t to)
{
    return w->falls[to - w->first] - w->falls[from - w->first];
}

/* Does the bar come down as in a rep before the rise from a to b, or after it in lifts that begin at the
 * bottom? One that was picked up is put down as well, some time: the second half of the last rep's fall, and
 * the first half of that, are no rise. */
static bool comes_down(const struct work *w, size_t a, size_t b)
{
    if (w->facts->descent_first) {
        return falls_between(w, before(w, a, w->pause), after(w, a, w->mean)) > 0;
    }
    size_t until = w->facts->picked_up ? w->last : after(w, b, w->pause);
    return falls_between(w, before(w, b, w->mean), until) > (w->facts->picked_up ? 1 : 0);
}

static bool holed(const struct work *w, size_t a, size_t b)
{
    double longest = 0;
    for (size_t i = a + 1; i <= b; i++) {
        longest = fmax(longest, w->time[i] - w->time[i - 1]);
    }
    return longest > STEP_MOST_S;
}

/* Until when rep r tells what the bar does: after a missed one it is helped to the rack. */
static double told_until(const struct work *w, size_t r)
{
    const struct bp_rep *rep = &w->reps->list[r];
    double help = r + 1 < w->reps->count ? w->time[rep[1].bottom] : HUGE_VAL;
    return rep->missed ? help : w->time[rep->top];
}

/* Is this rise one of the reps found, or what follows a missed one? rep: the first that may be; it only goes
 * forward, as the rises do. */
static bool counted(const struct work *w, size_t a, size_t b, size_t *rep)
{
    const double *t = w->time;
    const struct bp_rep *list = w->reps->list;
    bool is = w->reps->cut_short && t[w->last] - t[b] < w->drive_s;
    while (*rep < w->reps->count && told_until(w, *rep) < t[a]) {
        ++*rep;
    }
    for (size_t r = *rep; r < w->reps->count && list[r].bottom < b; r++) {
        double shared = fmin(t[b], told_until(w, r)) - fmax(t[a], t[list[r].bottom]);
        is = is || shared > SHARED * (t[b] - t[a]);
    }
    return is;
}

static void note(struct bp_doubts *spells, double from_s, double to_s)
{
    struct bp_doubt *last = spells->count > 0 ? &spells->list[spells->count - 1] : NULL;
    if (last && (from_s <= last->to_s || spells->count == BP_DOUBTS_MAX)) {
        last->to_s = fmax(last->to_s, to_s);
    } else {
        spells->list[spells->count++] = (struct bp_doubt){from_s, to_s};
    }
}

static void look(struct work *w)
{
    size_t next[RISE_COUNT] = {0}, picked_up_until = 0, rep = 0;
    bool on_floor = w->facts->picked_up; /* the first rise before the first rep may be its picking up */
    for (size_t a = w->first; a < w->last; a++) {
        size_t b = stroke_from(w, a, 1, RISE_TIMES, RISE_COUNT, next);
        if (b == 0 || counted(w, a, b, &rep) || holed(w, a, b) || !comes_down(w, a, b)) {
            continue;
        }
        if (on_floor) {
            on_floor = false;
            picked_up_until = a < w->reps->list[0].bottom ? b : 0;
        }
        if (a > picked_up_until) {
            note(w->spells, w->time[a], w->time[b]);
        }
    }
}

static bool prepare(struct work *w, struct bp_arena *arena)
{
    size_t samples = w->last - w->first + 1;
    double *drives = bp_arena_doubles(arena, w->reps->count);
    w->height = bp_arena_doubles(arena, samples);
    w->falls = bp_arena_zero(arena, samples, sizeof *w->falls);
    if (!drives || !w->height || !w->falls) {
        return false;
    }
    for (size_t r = 0; r < w->reps->count; r++) {
        const struct bp_rep *rep = &w->reps->list[r];
        drives[r] = w->time[rep->top] - w->time[rep->bottom];
    }
    gsl_sort(drives, 1, w->reps->count);
    w->drive_s = drives[w->reps->count / 2];
    double rate = (double)(samples - 1) / (w->time[w->last] - w->time[w->first]);
    w->mean = (size_t)(MEAN_SHARE * w->drive_s * rate) + 1;
    w->pause = (size_t)(PAUSE_S * rate) + 1;
    return true;
}

bool bp_reps_uncounted(const struct bp_motion *motion, const struct bp_reps *reps, enum bp_lift lift,
                       struct bp_arena *arena, struct bp_doubts *spells)
{
    struct work w = {.motion = motion,
                     .reps = reps,
                     .facts = bp_lift_facts(lift),
                     .time = motion->trace->time_s,
                     .first = motion->on_bar.first,
                     .last = motion->on_bar.last,
                     .spells = spells};
    spells->count = 0;
    if (reps->count == 0 || !isfinite(reps->range_m) || w.last <= w.first) {
        return true;
    }
    if (!prepare(&w, arena)) {
        return false;
    }
    sum_up(&w);
    find_falls(&w);
    look(&w);
    return true;
}
