/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Closures: what a set of reps says of the bar's path.
 */
#include "barplumb/reps.h"
#include "motion/prior.h"

#include <math.h>
#include <stdlib.h>

/* How equal a level is from rep to rep before the set is seen, sd in m; 0: not used. Common practice, no
 * source: straight arms and straight legs repeat to about a centimetre, a chest gives, squat depth and a
 * pulled bar's top vary. */
struct level_spread {
    double top_m, bottom_m;
};
static const struct level_spread SPREAD[BP_LIFT_COUNT] = {
    [BP_BENCH] = {0.008, 0.015},    [BP_PRESS] = {0.012, 0.02}, [BP_SQUAT] = {0.008, 0.03},
    [BP_DEADLIFT] = {0.012, 0.006}, [BP_ROW] = {0.04, 0.02},
};

/* How high over the rack the level at which the bar is held lies, m, and its sd over lifters and racks: a bar
 * is lifted out of its hooks by a hand or less, and hangs from the plates' radius of 0.23 m over the floor up
 * to the knee or the middle of the thigh. A deadlift's floor is its bottom. Common practice, no source. */
static const struct {
    enum bp_level level;
    double height_m, sd_m;
} OVER_RACK[BP_LIFT_COUNT] = {
    [BP_BENCH] = {BP_LEVEL_TOP, 0.07, 0.1},
    [BP_PRESS] = {BP_LEVEL_BOTTOM, 0.05, 0.1},
    [BP_SQUAT] = {BP_LEVEL_TOP, 0.05, 0.1},
    [BP_ROW] = {BP_LEVEL_BOTTOM, 0.5, 0.15},
};

/* At lockout the bar is "held" below this speed; the ends of the pause, in which it still comes to rest or
 * already leaves, are left out by the margin. */
static const double HELD_SPEED_M_S = 0.06, MARGIN_S = 0.2, LEAST_HOLD_S = 0.5;
/* Later than this after lockout the bar may already be on its way to the rack. */
static const double HOLD_MOST_S = 1.5;

/* So many lockouts of the set's own count as much as the prior. */
static const double SPREAD_WEIGHT = 4;

enum { CLOSURES_A_REP = 8, CLOSURES_BESIDE = 4 };

struct work {
    const struct bp_motion *motion;
    const struct bp_track *track;
    const struct bp_reps *reps;
    enum bp_lift lift;
    struct level_spread spread; /* as this set shows it */
    struct bp_closures *out;
};

static void put(struct work *w, enum bp_closure_kind kind, enum bp_level level, size_t first, size_t last,
                double sd)
{
    if (sd > 0) {
        w->out->list[w->out->count++] = (struct bp_closure){kind, level, first, last, sd};
    }
}

/* The stretch around sample `at`, no further than HOLD_MOST_S and the limits, in which the bar is held. */
static struct bp_spell held_around(const struct bp_track *track, size_t at, size_t from, size_t to)
{
    const double *t = track->time_s, *v = track->speed_m_s;
    struct bp_spell spell = {at, at};
    while (spell.first > from && fabs(v[spell.first - 1]) < HELD_SPEED_M_S &&
           t[at] - t[spell.first - 1] < HOLD_MOST_S) {
        spell.first--;
    }
    while (spell.last < to && fabs(v[spell.last + 1]) < HELD_SPEED_M_S &&
           t[spell.last + 1] - t[at] < HOLD_MOST_S) {
        spell.last++;
    }
    return spell;
}

/* A pause at a level: nearly still inside, and at the level in its middle. Without a pause, at the level at
 * the turning point, whose height does not hang on its exact time. */
static void close_pause(struct work *w, size_t at, size_t from, size_t to, enum bp_level level, double sd)
{
    const double *t = w->track->time_s;
    struct bp_spell spell = held_around(w->track, at, from, to);
    double length = t[spell.last] - t[spell.first];
    if (length < LEAST_HOLD_S) {
        put(w, BP_CLOSURE_LEVEL, level, at, at, sd);
        return;
    }
    size_t first = spell.first, last = spell.last;
    while (first < last && t[first] < t[spell.first] + MARGIN_S) {
        first++;
    }
    while (first < last && t[last] > t[spell.last] - MARGIN_S) {
        last--;
    }
    put(w, BP_CLOSURE_HOLD, level, first, last, bp_prior_defaults.hold_speed_m_s);
    size_t middle = first + (last - first) / 2;
    put(w, BP_CLOSURE_LEVEL, level, middle, middle, sd);
}

static size_t last_sample(const struct work *w)
{
    return w->track->count - 1;
}

double bp_reps_range_spread(enum bp_lift lift)
{
    return hypot(SPREAD[lift].top_m, SPREAD[lift].bottom_m);
}

/* The level's spread, the set's own drawn toward the prior. */
static double spread_of(const struct work *w, enum bp_level level, double prior)
{
    double count = (double)w->track->level_count[level];
    return sqrt((SPREAD_WEIGHT * prior * prior + w->track->level_squares_m2[level]) /
                (SPREAD_WEIGHT + count));
}

/* A bar that went down and stayed there may as well have been put away. */
static bool tried(const struct bp_rep *rep)
{
    return rep->reached > 0;
}

static void close_rep(struct work *w, size_t r)
{
    const struct bp_rep *rep = &w->reps->list[r];
    const struct level_spread *spread = &w->spread;
    size_t next = r + 1 < w->reps->count ? w->reps->list[r + 1].bottom : last_sample(w);
    if (rep->has_before && (r == 0 || w->reps->list[r - 1].missed)) {
        /* Before the first descent the bar was unracked; only its last moments are at lockout. */
        close_pause(w, rep->top_before, rep->top_before, rep->bottom, BP_LEVEL_TOP, 2 * spread->top_m);
    }
    if (rep->missed && !tried(rep)) {
        return;
    }
    /* A rep that is missed later went down as far as the others. */
    size_t before = rep->has_before ? rep->top_before : (r > 0 ? w->reps->list[r - 1].top : 0);
    close_pause(w, rep->bottom, before, rep->top, BP_LEVEL_BOTTOM, spread->bottom_m);
    if (rep->missed) {
        return;
    }
    close_pause(w, rep->top, rep->bottom, next, BP_LEVEL_TOP, spread->top_m);
    bool last_of_all = r + 1 == w->reps->count;
    if (rep->has_after && last_of_all && bp_lift_facts(w->lift)->from_floor) {
        close_pause(w, rep->bottom_after, rep->top, last_sample(w), BP_LEVEL_BOTTOM, spread->bottom_m);
    }
}

/* The still spell that lasts longest past `from`, of those that begin before `to`; SIZE_MAX if there is none.
 * The bar may be said to have come up or down when it lay already. */
static size_t longest_still(const struct work *w, size_t from, size_t to)
{
    const struct bp_spells *still = &w->motion->still;
    const double *t = w->track->time_s;
    size_t longest = SIZE_MAX;
    double length = 0;
    for (size_t s = 0; s < still->count; s++) {
        double this_one = t[still->list[s].last] - fmax(t[still->list[s].first], t[from]);
        if (still->list[s].first < to && this_one > length) {
            longest = s;
            length = this_one;
        }
    }
    return longest;
}

/* The first or last still spell of those in [from, to) while the phone is on the bar; SIZE_MAX if there is
 * none. */
static size_t outermost_still(const struct work *w, size_t from, size_t to, bool first)
{
    const struct bp_spells *still = &w->motion->still;
    size_t found = SIZE_MAX;
    for (size_t s = 0; s < still->count; s++) {
        const struct bp_spell *spell = &still->list[s];
        bool inside = spell->first >= from && spell->first < to && spell->last > w->motion->on_bar.first &&
                      spell->first < w->motion->on_bar.last;
        found = inside && (found == SIZE_MAX || !first) ? s : found;
    }
    return found;
}

/* At the level in the middle of a still spell; SIZE_MAX: there is none. */
static void close_rest(struct work *w, size_t still, enum bp_level level, double sd)
{
    if (still != SIZE_MAX) {
        const struct bp_spell *spell = &w->motion->still.list[still];
        size_t middle = spell->first + (spell->last - spell->first) / 2;
        put(w, BP_CLOSURE_LEVEL, level, middle, middle, sd);
    }
}

/* The longest still spells before the first rep and after the last: the rack, or for a deadlift the floor. A
 * row's bar may hang as still as it lay: there the outermost. */
static void close_rack(struct work *w)
{
    const struct bp_rep *first = &w->reps->list[0], *last = &w->reps->list[w->reps->count - 1];
    size_t start = first->has_before ? first->top_before : first->bottom;
    size_t end = last->has_after ? last->bottom_after : last->top;
    bool floor = bp_lift_facts(w->lift)->from_floor;
    enum bp_level level = floor ? BP_LEVEL_BOTTOM : BP_LEVEL_RACK;
    double sd = floor ? bp_prior_defaults.floor_level_m : bp_prior_defaults.rack_level_m;
    size_t sides[2] = {longest_still(w, 0, start), longest_still(w, end, w->track->count)};
    if (bp_lift_facts(w->lift)->picked_up) {
        sides[0] = outermost_still(w, 0, start, true);
        sides[1] = outermost_still(w, end, w->track->count, false);
    }
    if (last->left_down && tried(last)) { /* on the chest or the safeties */
        close_rest(w, sides[1], BP_LEVEL_BOTTOM, bp_prior_defaults.left_level_m);
    } else if (!last->left_down) {
        close_rest(w, sides[1], level, sd);
    }
    close_rest(w, sides[0], level, sd);
}

/* Before the first rep and after the last the bar is held as well: unracked, walked out, not yet put away.
 * Between them the reps' own pauses say more, and the middle of a slow stroke would be taken for one. */
static void close_held(struct work *w)
{
    const struct bp_spells *held = &w->motion->held;
    const struct bp_rep *first = &w->reps->list[0], *last = &w->reps->list[w->reps->count - 1];
    size_t start = first->has_before ? first->top_before : first->bottom;
    size_t end = last->has_after ? last->bottom_after : last->top;
    for (size_t s = 0; s < held->count; s++) {
        const struct bp_spell *spell = &held->list[s];
        if (spell->last < start || spell->first > end) {
            put(w, BP_CLOSURE_EVEN, BP_LEVEL_RACK, spell->first, spell->last,
                bp_prior_defaults.even_sway_m_s);
        }
    }
}

static int by_first(const void *a, const void *b)
{
    const struct bp_closure *p = a, *q = b;
    if (p->first != q->first) {
        return p->first < q->first ? -1 : 1;
    }
    return p->kind < q->kind ? -1 : p->kind > q->kind;
}

enum bp_code bp_reps_closures(const struct bp_motion *motion, const struct bp_track *track,
                              const struct bp_reps *reps, enum bp_lift lift, struct bp_arena *arena,
                              struct bp_closures *closures, struct bp_error *error)
{
    struct work w = {.motion = motion, .track = track, .reps = reps, .lift = lift, .out = closures};
    w.spread.top_m = spread_of(&w, BP_LEVEL_TOP, SPREAD[lift].top_m);
    w.spread.bottom_m = spread_of(&w, BP_LEVEL_BOTTOM, SPREAD[lift].bottom_m);
    closures->count = 0;
    closures->over_rack.level = OVER_RACK[lift].level;
    closures->over_rack.height_m = OVER_RACK[lift].height_m;
    closures->over_rack.sd_m = OVER_RACK[lift].sd_m;
    closures->list = bp_arena_take(arena, reps->count * CLOSURES_A_REP + CLOSURES_BESIDE + motion->held.count,
                                   sizeof *closures->list);
    if (!closures->list) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while closing the bar's path");
    }
    for (size_t r = 0; r < reps->count; r++) {
        close_rep(&w, r);
    }
    if (reps->count > 0) {
        close_rack(&w);
        close_held(&w);
    }
    qsort(closures->list, closures->count, sizeof *closures->list, by_first);
    return BP_OK;
}
