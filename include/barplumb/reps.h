/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reps: track → set. Finds the reps among everything else a bar does (unracking, walking out, racking, the
 * phone being put on and taken off), and what they say of the path: closures.
 */
#ifndef BARPLUMB_REPS_H
#define BARPLUMB_REPS_H

#include "barplumb/export.h"
#include "barplumb/lift.h"
#include "barplumb/motion.h"

#ifdef __cplusplus
extern "C" {
#endif

/* One rep, by samples of the track. */
struct bp_rep {
    bool missed;    /* an attempt that never reached lockout */
    double reached; /* highest point, as a share of the set's usual range (missed reps: below 1) */
    bool spoilt;    /* it reaches into a spoilt spell (check.h); bp_reps_find sets none */
    bool left_down; /* missed, and the bar was not brought back up */
    bool has_before, has_after; /* is there a top before, a bottom after */
    size_t top_before;          /* lockout the descent left (lifts that begin with the descent) */
    size_t bottom;              /* turnaround: the lowest point before the drive */
    size_t top;                 /* lockout: the height's first maximum near the top of the drive */
    size_t bottom_after;        /* where the bar came down to (lifts that begin at the bottom) */
};

/* The first sample that counts as the rep's: the lockout before it, or for a drive from the floor 0.3 s of
 * the plates' bouncing before its bottom, less where the log begins later. */
BP_API size_t bp_rep_first(const double *time_s, const struct bp_rep *rep);

struct bp_reps {
    size_t count;
    struct bp_rep *list; /* in time order */
    size_t lost_in_gap;  /* strokes across a long gap, which are not in the list */
    bool cut_short;      /* the log ends in the middle of one more, which is not in the list */
    double range_m;      /* the usual range, m; NaN without reps */
};

/* Finds the reps of lift in track. Arrays live in arena. Finding none is no error (count 0). Errors: MEMORY.
 */
BP_API enum bp_code bp_reps_find(const struct bp_motion *motion, const struct bp_track *track,
                                 enum bp_lift lift, struct bp_arena *arena, struct bp_reps *reps,
                                 struct bp_error *error);

/* What the reps say of the path, for a second pass: lockouts as high as each other, the bar nearly still in
 * pauses, the rack and the floor where they were. Errors: MEMORY. */
BP_API enum bp_code bp_reps_closures(const struct bp_motion *motion, const struct bp_track *track,
                                     const struct bp_reps *reps, enum bp_lift lift, struct bp_arena *arena,
                                     struct bp_closures *closures, struct bp_error *error);

/* How equal the ranges of a set's reps are before it is seen, sd in m. */
BP_API double bp_reps_range_spread(enum bp_lift lift);

/* True when both hold the same reps, turning at the same samples give or take `slack`. */
BP_API bool bp_reps_equal(const struct bp_reps *a, const struct bp_reps *b, size_t slack);

/* Where the bar rose as in the reps found, and no rep was found: a path gone astray loses reps, and the
 * readings alone still show them. A bar that goes from rest to rest, or turn to turn, within a time T goes
 * H(b) - H(a) - T (V(a) + V(b)) / 2, V and H being the readings summed once and twice, whatever they are off
 * by while that stays the same; T is tried about the reps' own. (Kinematics; the bounds are common practice,
 * no source.) What a lifter does anyhow is left out: picking the bar up and putting it down, with which the
 * first and the last rep of a row go unseen; help after a missed rep. *spells gets the spells in time order,
 * trace time; the last takes in all that do not fit. Linear in samples. False when memory is out. */
BP_API bool bp_reps_uncounted(const struct bp_motion *motion, const struct bp_reps *reps, enum bp_lift lift,
                              struct bp_arena *arena, struct bp_doubts *spells);

#ifdef __cplusplus
}
#endif
#endif
