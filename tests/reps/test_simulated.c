/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Finding the reps on the simulator's exact paths, over many drawn sets: what goes wrong here is the rep
 * finder's fault alone. The seeds are fixed.
 */
#include "barplumb/ranges.h"
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
static struct bp_trace
trace_of(struct sim_log *log,
         uint8_t *marks) /* NOLINT(readability-non-const-parameter): a trace owns its marks */
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
    double *time_s = bp_arena_doubles(&arena, log.count);
    assert_true(marks && time_s);
    struct bp_trace trace = trace_of(&log, marks);
    take_path(scenario, &log);
    assert_int_equal(bp_motion_prepare(&trace, &bp_motion_defaults, &arena, &motion, &error), BP_OK);
    assert_int_equal(bp_reps_find(&motion, &track, scenario->lift, &arena, &reps, &error), BP_OK);
    memcpy(time_s, log.time_s, log.count * sizeof *time_s);
    track.time_s = time_s; /* the log's own go with the log */
    sim_log_free(&log);
}

/* What is wrong with the reps found, or NULL: as many as were done, missed ones told, each drive where it was
 * and as fast as it was. */
static const char *fault(double rate_hz)
{
    const double near_s = 0.06, near_m_s = rate_hz < 100 ? 0.012 : 0.004; /* 50 Hz: edges are found to 3 ms */
    if (reps.count != truth.rep_count) {
        return reps.count < truth.rep_count ? "a rep is lost" : "a rep is invented";
    }
    for (size_t r = 0; r < reps.count; r++) {
        const struct sim_rep_truth *rep = &truth.reps[r];
        if (reps.list[r].missed != rep->missed) {
            return rep->missed ? "a missed rep counts as completed" : "a completed rep counts as missed";
        }
        if (rep->missed) {
            continue;
        }
        struct bp_rep_times times = bp_rep_times(&track, &reps.list[r], BP_EDGE_SPEED_M_S);
        if (!(fabs(times.drive_start.time_s - rep->drive_start_s) < near_s) ||
            !(fabs(times.drive_end.time_s - rep->drive_end_s) < near_s)) {
            return "a drive begins or ends elsewhere";
        }
        if (!(fabs(bp_mean_speed(&times) - rep->mean_velocity_m_s) < near_m_s)) {
            return "a drive's mean speed is off";
        }
    }
    return NULL;
}

/* Fails at the end of a test, so that one run shows every set that went wrong. */
static size_t wrong;

static void try_set(const struct sim_scenario *scenario)
{
    find(scenario);
    const char *text = fault(scenario->rate_hz);
    if (text) {
        wrong++;
        print_message("seed %lu, %s, ending %d: %s (%zu done, %zu found)\n", (unsigned long)scenario->seed,
                      bp_lift_facts(scenario->lift)->name, (int)scenario->ending, text, truth.rep_count,
                      reps.count);
    }
}

static void hold_all_right(void)
{
    size_t found = wrong;
    wrong = 0;
    assert_int_equal(found, 0);
}

static struct sim_scenario scenario_of(int lift, uint64_t seed)
{
    struct sim_scenario scenario;
    sim_scenario_for((enum bp_lift)lift, &scenario);
    scenario.seed = seed;
    scenario.rate_hz = 100;
    scenario.reps = 3;
    return scenario;
}

static void one_and_thirty_reps_of_every_lift_are_found(void **state)
{
    (void)state;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        for (int reps_done = 1; reps_done <= 30; reps_done += 29) {
            struct sim_scenario scenario = scenario_of(lift, 70 + (uint64_t)lift);
            scenario.reps = reps_done;
            try_set(&scenario);
        }
    }
    hold_all_right();
}

static void paused_and_touch_and_go_reps_are_found(void **state)
{
    (void)state;
    const double pauses_s[] = {0, 0.3, 2.5}, holds_s[] = {0.15, 2};
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        for (size_t n = 0; n < 6; n++) {
            struct sim_scenario scenario = scenario_of(lift, 200 + n);
            scenario.bottom_pause_s = pauses_s[n % 3];
            scenario.bounce_m = n % 3 == 0 && scenario.lift != BP_DEADLIFT ? 0.01 : 0;
            scenario.top_hold_s = holds_s[n / 3];
            try_set(&scenario);
        }
    }
    hold_all_right();
}

/* 0.15 m/s with a stretch in which it hardly moves. */
static void grinders_with_a_stall_are_one_rep_each(void **state)
{
    (void)state;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        for (uint64_t seed = 1; seed <= 4; seed++) {
            struct sim_scenario scenario = scenario_of(lift, seed);
            scenario.reps = 2;
            scenario.mean_speed_m_s = 0.15;
            scenario.speed_loss = 0;
            scenario.sticking_from_rep = 1;
            scenario.sticking_ratio = 0.03;
            scenario.sticking_span = 0.3;
            try_set(&scenario);
        }
    }
    hold_all_right();
}

static void missed_reps_are_told_in_every_lift(void **state)
{
    (void)state;
    const double shares[] = {0.35, 0.5, 0.65};
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        for (size_t n = 0; n < 6; n++) {
            struct sim_scenario scenario = scenario_of(lift, 300 + n);
            scenario.ending = n < 3 ? SIM_MISSED : SIM_MISSED_LEFT;
            scenario.missed_fraction = shares[n % 3];
            try_set(&scenario);
        }
    }
    hold_all_right();
}

static void walking_out_handling_and_a_cut_log_are_no_reps(void **state)
{
    (void)state;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        for (uint64_t seed = 1; seed <= 4; seed++) {
            struct sim_scenario scenario = scenario_of(lift, 400 + seed);
            scenario.handling_start_s = 8;
            scenario.handling_end_s = seed % 2 ? 6 : 0;
            scenario.ending = seed % 2 ? SIM_RACKED : SIM_CUT;
            scenario.walk_steps = scenario.walk_steps > 0 ? 5 : 0;
            try_set(&scenario);
        }
    }
    hold_all_right();
}

static void no_rep_is_lost_or_invented_in_drawn_sets(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 40; seed++) {
        struct sim_scenario scenario;
        sim_scenario_random(seed, &scenario);
        try_set(&scenario);
    }
    hold_all_right();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_and_thirty_reps_of_every_lift_are_found),
        cmocka_unit_test(paused_and_touch_and_go_reps_are_found),
        cmocka_unit_test(grinders_with_a_stall_are_one_rep_each),
        cmocka_unit_test(missed_reps_are_told_in_every_lift),
        cmocka_unit_test(walking_out_handling_and_a_cut_log_are_no_reps),
        cmocka_unit_test(no_rep_is_lost_or_invented_in_drawn_sets),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
