/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Path and reps tell each other: what the reps say of the path holds the drift, and a path without drift
 * shows the reps. Where the two settle hangs on where they began, so several beginnings are tried, and the
 * reading of the set for which the sensors speak loudest is taken.
 */
#include "summary/path.h"
#include "motion/posterior.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* Closures change the track, the track the reps: this often at most. Three rounds settle nearly every set. */
enum { ROUNDS = 4 };
/* Turning points that moved less than this have not moved; by less than a pause they are the same reps still,
 * and settle where those did. */
static const double SLACK_S = 0.02, SAME_S = 0.3;
/* What looks like a rep is one, in powers of e: a hundred to one, since nothing else in a set goes as far as
 * the reps and comes back. A reading that does without it must be so much likelier. But a row's bar is picked
 * up and put down as well, which goes as far: there it is as likely as not. */
static const double A_REP = 4.6;
/* One log in twenty ends while the bar is still up. Common practice, no source. */
static const double LEFT_UP = 3;
/* The reading that a beginning led to is given up for one that none did where that is so much likelier: a
 * hundred to one again, since a missed rep called complete is said to end at lockout, and one end in ten lies
 * there by chance. */
static const double DOUBT = 4.6;
/* How often a reading is doubted. */
enum { DOUBTS = 2 };

/* Ways to hold the drift of a first pass: trusting the sensors, or the lifter's reach, about its middle or
 * about where the bar rests; and both once more with the bar held where its speed is even, which is right for
 * all but the slowest strokes. */
static const struct bp_first_pass WAYS[] = {
    {.reach_m = 0.6, .reach_time_s = 2.0, .drift = 0},
    {.reach_m = 0.3, .middle_sd_m = 0.3, .reach_time_s = 1.0, .drift = 0.03},
    {.reach_m = 0.6, .reach_time_s = 2.0, .drift = 0, .holds = true},
    {.reach_m = 0.3, .middle_sd_m = 0.3, .reach_time_s = 1.0, .drift = 0.03, .holds = true},
    {.reach_m = 0.3, .reach_time_s = 1.0, .drift = 0.03},
};
enum { WAY_COUNT = sizeof WAYS / sizeof *WAYS };
/* Where so many more beginnings show what the best led to, the rest would as well. */
enum { AGREEING = 2 };

/* How far the middle of a lifter's reach lies above where the bar rests, m: hooks a hand under lockout,
 * plates on the floor, a row's hang and pull; about half a rep's usual range from there. */
static const double MIDDLE_M[BP_LIFT_COUNT] = {
    [BP_BENCH] = -0.15, [BP_PRESS] = 0.3, [BP_SQUAT] = -0.25, [BP_DEADLIFT] = 0.25, [BP_ROW] = 0.6,
};

struct outcome {
    struct bp_track track;
    struct bp_reps reps;
    double odds; /* log: of the sensors' evidence and of the reps; -HUGE_VAL: a first pass, which has none */
};

struct work {
    const struct bp_motion *motion;
    enum bp_lift lift;
    size_t slack, same;
    double a_rep;
    size_t agreeing; /* beginnings that showed the best reading's reps at once */
    struct bp_arena *arena;
    struct bp_error *error;
    struct outcome best;
};

/* A rep that begins at the bottom ends there: a last one that does not was cut, or is the bar put away. */
static bool came_back(const struct work *w, const double *h, const struct bp_rep *rep)
{
    const double HALF = 0.5;
    return bp_lift_facts(w->lift)->descent_first ||
           (rep->has_after && h[rep->top] - h[rep->bottom_after] > HALF * (h[rep->top] - h[rep->bottom]));
}

/* Log odds of the reps, whatever the sensors say. Those count whose drive began: a bar that went down and
 * stayed there may as well have been put away. */
static double odds_of_reps(const struct work *w, const struct outcome *of)
{
    double odds = 0;
    for (size_t r = 0; r < of->reps.count; r++) {
        const struct bp_rep *rep = &of->reps.list[r];
        if (!came_back(w, of->track.height_m, rep)) {
            odds -= LEFT_UP;
        } else if (rep->reached > 0) {
            odds += w->a_rep;
        }
    }
    return odds;
}

/* One round: what the reps of `now` say of the path, the path with it, the reps in that. */
static enum bp_code go_round(struct work *w, const struct outcome *now, struct outcome *next)
{
    struct bp_closures closures;
    enum bp_code code =
        bp_reps_closures(w->motion, &now->track, &now->reps, w->lift, w->arena, &closures, w->error);
    if (code == BP_OK) {
        code = bp_track_find(w->motion, &closures, NULL, w->arena, &next->track, w->error);
    }
    if (code == BP_OK) {
        code = bp_reps_find(w->motion, &next->track, w->lift, w->arena, &next->reps, w->error);
        next->odds = next->track.posterior->fit.evidence + odds_of_reps(w, next);
    }
    return code;
}

static bool same_kinds(const struct bp_reps *a, const struct bp_reps *b)
{
    return bp_reps_equal(a, b, SIZE_MAX);
}

/* Goes round from one reading of the set until it stands, and takes it where it is so much likelier than the
 * best. Evidence is of the reps a path was found with: it counts where the same are found in that path again.
 */
static enum bp_code settle(struct work *w, const struct outcome *from, double likelier)
{
    struct outcome now = *from, stands = {.odds = -HUGE_VAL}, likeliest = stands;
    for (int round = 0; round < ROUNDS && now.reps.count > 0; round++) {
        struct outcome next = {.odds = -HUGE_VAL};
        if (isfinite(w->best.odds) && bp_reps_equal(&now.reps, &w->best.reps, w->same)) {
            return BP_OK;
        }
        enum bp_code code = go_round(w, &now, &next);
        if (code != BP_OK) {
            return code;
        }
        bool settled = bp_reps_equal(&now.reps, &next.reps, w->slack);
        if (same_kinds(&now.reps, &next.reps)) {
            stands = next;
        }
        if (settled) {
            break;
        }
        if (next.reps.count > 0 && next.odds - w->a_rep > likeliest.odds) {
            likeliest = next;
            likeliest.odds -= w->a_rep; /* for the rep that comes and goes */
        }
        now = next;
    }
    if (!isfinite(stands.odds)) { /* to and fro between two readings */
        stands = likeliest;
    }
    if (stands.odds > w->best.odds + likelier) {
        w->best = stands;
    }
    return BP_OK;
}

static enum bp_code begin(struct work *w, const struct bp_first_pass *way)
{
    struct outcome first = {.odds = -HUGE_VAL};
    struct bp_first_pass pass = *way;
    pass.middle_m = way->middle_sd_m > 0 ? MIDDLE_M[w->lift] : 0;
    enum bp_code code = bp_track_find(w->motion, NULL, &pass, w->arena, &first.track, w->error);
    if (code == BP_OK) {
        code = bp_reps_find(w->motion, &first.track, w->lift, w->arena, &first.reps, w->error);
    }
    if (code == BP_OK && w->best.reps.count == 0) {
        w->best = first;
    }
    if (code == BP_OK && isfinite(w->best.odds) && bp_reps_equal(&first.reps, &w->best.reps, w->same)) {
        w->agreeing++;
        return BP_OK;
    }
    return code == BP_OK ? settle(w, &first, 0) : code;
}

/* What if rep `drop` is none? */
static enum bp_code doubt(struct work *w, size_t drop, double likelier)
{
    struct outcome other = w->best;
    struct bp_rep *list = bp_arena_take(w->arena, other.reps.count, sizeof *list);
    if (!list) {
        return bp_error_set(w->error, BP_ERR_MEMORY, "out of memory for the bar's path");
    }
    memcpy(list, other.reps.list, drop * sizeof *list);
    memcpy(list + drop, other.reps.list + drop + 1, (other.reps.count - drop - 1) * sizeof *list);
    other.reps.list = list;
    other.reps.count--;
    return settle(w, &other, likelier);
}

/* What comes before the first rep and after the last passes for one where the path drifted: a row's bar
 * picked up, a bar put away. Without it, the path is held by the reps alone; and if it was one, it is found
 * again. */
static enum bp_code doubt_ends(struct work *w)
{
    enum bp_code code = BP_OK;
    for (int i = 0; i < DOUBTS && code == BP_OK && w->best.reps.count > 1; i++) {
        double before = w->best.odds;
        code = doubt(w, w->best.reps.count - 1, DOUBT);
        if (code == BP_OK && bp_lift_facts(w->lift)->picked_up && w->best.reps.count > 1) {
            code = doubt(w, 0, 0); /* a picking up called a rep costs the hang: no odds beside that */
        }
        if (!(w->best.odds > before)) {
            break;
        }
    }
    return code;
}

enum bp_code bp_path_find(const struct bp_motion *motion, enum bp_lift lift, double rate_hz,
                          struct bp_arena *arena, struct bp_track *track, struct bp_reps *reps, double *odds,
                          struct bp_error *error)
{
    struct work w = {.motion = motion,
                     .lift = lift,
                     .slack = (size_t)(SLACK_S * rate_hz) + 1,
                     .same = (size_t)(SAME_S * rate_hz) + 1,
                     .a_rep = bp_lift_facts(lift)->picked_up ? 0 : A_REP,
                     .arena = arena,
                     .error = error,
                     .best = {.odds = -HUGE_VAL}};
    enum bp_code code = BP_OK;
    for (int way = 0; way < WAY_COUNT && code == BP_OK && w.agreeing < AGREEING; way++) {
        code = begin(&w, &WAYS[way]);
    }
    if (code == BP_OK) {
        code = doubt_ends(&w);
    }
    *track = w.best.track;
    *reps = w.best.reps;
    *odds = w.best.odds;
    return code;
}
