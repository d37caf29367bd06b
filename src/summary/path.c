/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/path.h"

#include <math.h>

/* Closures change the track, the track the reps: this often at most. Three rounds settle nearly every set. */
enum { ROUNDS = 4 };
/* Turning points that moved less than this have not moved. */
static const double SLACK_S = 0.02;
/* Reps of one set differ in range by this much of it (sd); a partial is not a rep of the set. */
static const double RANGE_SPREAD = 0.1;
/* What a missed rep counts for in a set's being of one piece, and by how much another way must be better: by
 * a rep more, not by calling a missed one complete. */
static const double MISSED_WORTH = 0.5, BETTER = 0.6;
/* By this much less of one piece is torn. */
static const double TORN = 0.3;

/* Ways to hold the drift of a first pass, from trusting the sensors to trusting the lifter's reach. */
static const struct bp_first_pass WAYS[] = {
    {.reach_m = 0.6, .reach_time_s = 2.0, .drift = 0},
    {.reach_m = 0.3, .reach_time_s = 1.0, .drift = 0.03},
    {.reach_m = 0.4, .reach_time_s = 1.0, .drift = 0.15},
};
enum { WAY_COUNT = sizeof WAYS / sizeof *WAYS };

struct outcome {
    struct bp_track track;
    struct bp_reps reps;
    double score;
    bool whole; /* nothing about it asks for a second look */
};

static void judge(struct outcome *outcome)
{
    const struct bp_reps *reps = &outcome->reps;
    const double *h = outcome->track.height_m;
    outcome->score = 0;
    outcome->whole = reps->count > 0;
    for (size_t r = 0; r < reps->count; r++) {
        const struct bp_rep *rep = &reps->list[r];
        if (rep->missed) {
            outcome->score += MISSED_WORTH;
            outcome->whole = false;
            continue;
        }
        double off = ((h[rep->top] - h[rep->bottom]) / reps->range_m - 1) / RANGE_SPREAD;
        outcome->score += exp(-off * off);
        outcome->whole = outcome->whole && fabs(off) < 1;
    }
}

/* One round: what the reps of `now` say of the path, the path with it, the reps in that. */
static enum bp_code go_round(const struct bp_motion *motion, enum bp_lift lift, const struct outcome *now,
                             struct bp_arena *arena, struct outcome *next, struct bp_error *error)
{
    struct bp_closures closures;
    enum bp_code code = bp_reps_closures(motion, &now->track, &now->reps, lift, arena, &closures, error);
    if (code == BP_OK) {
        code = bp_track_find(motion, &closures, NULL, arena, &next->track, error);
    }
    if (code == BP_OK) {
        code = bp_reps_find(motion, &next->track, lift, arena, &next->reps, error);
    }
    if (code == BP_OK) {
        judge(next);
    }
    return code;
}

static enum bp_code find_one_way(const struct bp_motion *motion, enum bp_lift lift, size_t slack,
                                 const struct bp_first_pass *way, struct bp_arena *arena, struct outcome *out,
                                 struct bp_error *error)
{
    enum bp_code code = bp_track_find(motion, NULL, way, arena, &out->track, error);
    if (code == BP_OK) {
        code = bp_reps_find(motion, &out->track, lift, arena, &out->reps, error);
    }
    if (code == BP_OK) {
        judge(out);
    }
    struct outcome now = *out;
    for (int round = 0; round < ROUNDS && code == BP_OK && now.reps.count > 0; round++) {
        struct outcome next = {.score = 0};
        code = go_round(motion, lift, &now, arena, &next, error);
        /* Closures at the wrong places tear a path apart: then an earlier one was better. */
        bool torn = next.score < out->score - (round == 0 ? BETTER : TORN);
        bool settled = bp_reps_equal(&now.reps, &next.reps, slack);
        if (code == BP_OK && !torn) {
            *out = next;
        }
        if (settled || next.score < out->score - BETTER) {
            break;
        }
        now = next;
    }
    return code;
}

enum bp_code bp_path_find(const struct bp_motion *motion, enum bp_lift lift, double rate_hz,
                          struct bp_arena *arena, struct bp_track *track, struct bp_reps *reps,
                          struct bp_error *error)
{
    size_t slack = (size_t)(SLACK_S * rate_hz) + 1;
    struct outcome best = {.score = 0};
    for (int way = 0; way < WAY_COUNT; way++) {
        struct outcome outcome = {.score = 0};
        enum bp_code code = find_one_way(motion, lift, slack, &WAYS[way], arena, &outcome, error);
        if (code != BP_OK) {
            return code;
        }
        if (way == 0 || outcome.score > best.score + BETTER) {
            best = outcome;
        }
        if (best.whole) {
            break;
        }
    }
    *track = best.track;
    *reps = best.reps;
    return BP_OK;
}
