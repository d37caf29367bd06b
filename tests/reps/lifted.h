/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A bar's exact path as the track, with the motion its phone shows: what the rep finder does when the path is
 * right.
 */
#ifndef BARPLUMB_TESTS_LIFTED_H
#define BARPLUMB_TESTS_LIFTED_H

#include "barplumb/reps.h"
#include "motion/bar.h"

struct lifted {
    struct bar bar;
    struct bp_motion motion;
    struct bp_track track;
    struct bp_reps reps;
    struct bp_arena arena;
    struct bp_error error;
};

/* A plan of strokes alone: 3 s of rest, then `count` strokes, each after its rest, then 3 s of rest. */
struct lifted_stroke {
    double rest_s, length_s, to_m;
};

static inline struct bar_plan lifted_plan(const struct lifted_stroke *strokes, size_t count)
{
    struct bar_plan plan = bar_plan_plain;
    double t = 3;
    plan.rate_hz = 100;
    plan.uneven = 0.2;
    plan.force_noise = 0.012;
    plan.turn_noise = 0.0012;
    plan.stroke_count = count;
    for (size_t s = 0; s < count; s++) {
        t += strokes[s].rest_s;
        plan.strokes[s] = (struct bar_stroke){t, strokes[s].length_s, strokes[s].to_m};
        t += strokes[s].length_s;
    }
    plan.moves_to_s = t;
    plan.duration_s = t + 3;
    return plan;
}

/* The motion stage's view of lifted->bar, and the exact path as the track. False when memory is out. */
static inline bool lifted_prepare(struct lifted *lifted)
{
    bp_arena_reset(&lifted->arena);
    lifted->track = (struct bp_track){.count = lifted->bar.trace.count,
                                      .time_s = lifted->bar.time_s,
                                      .height_m = lifted->bar.height_m,
                                      .speed_m_s = lifted->bar.speed_m_s,
                                      .accel_m_s2 = lifted->bar.accel_m_s2};
    return bp_motion_prepare(&lifted->bar.trace, &bp_motion_defaults, &lifted->arena, &lifted->motion,
                             &lifted->error) == BP_OK;
}

static inline enum bp_code lifted_find(struct lifted *lifted, enum bp_lift lift)
{
    return bp_reps_find(&lifted->motion, &lifted->track, lift, &lifted->arena, &lifted->reps, &lifted->error);
}

/* For cmocka: the one that the tests of a file share. */
static struct lifted lifted;

static inline int lifted_setup(void **state)
{
    (void)state;
    bp_arena_init(&lifted.arena);
    return 0;
}

static inline int lifted_teardown(void **state)
{
    (void)state;
    bp_arena_free(&lifted.arena);
    return 0;
}

#endif
