/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"
#include "split/session.h"

#include "barplumb/random.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What happens to the phone between the sets. */
enum between { BETWEEN_RACK, BETWEEN_TABLE, BETWEEN_WALK, BETWEEN_COUNT };

static void add_between(struct session *s, enum between between, struct bp_random *random)
{
    session_add_rest(s, bp_random_between(random, 0, 10));
    if (between == BETWEEN_TABLE) {
        session_add_turn(s, bp_random_between(random, 2, 4));
    }
    if (between == BETWEEN_WALK) {
        session_add_turn(s, 3);
        session_add_walk(s, 20);
        session_add_turn(s, 3);
    }
    session_add_rest(s, bp_random_between(random, 30, 90));
    if (between == BETWEEN_WALK) {
        session_add_turn(s, 3);
        session_add_walk(s, 20);
        session_add_turn(s, 3);
        session_add_rest(s, 30);
    }
}

/* 2 to 4 sets with one phone, drawn from seed. */
static void make_session(struct session *s, uint64_t seed, enum between between, bool gyroscope)
{
    struct sim_scenario first, scenario;
    struct bp_random random;
    session_clear(s, seed);
    sim_scenario_random(seed, &first);
    first.turn_rate_hz = 0;
    first.gyroscope = gyroscope;
    bp_random_init(&random, seed, 3);
    size_t sets = 2 + (size_t)bp_random_between(&random, 0, 3);
    for (size_t k = 0; k < sets; k++) {
        if (k > 0) {
            add_between(s, between, &random);
        }
        session_vary(&first, 100 * seed + k, &scenario);
        session_add_set(s, &scenario, k == 0 ? 0 : between == BETWEEN_RACK ? 1 : 3);
    }
}

static enum bp_code split(struct session *s, struct bp_parts *parts)
{
    struct bp_error error;
    return bp_split_trace(&s->trace, NULL, &s->arena, parts, &error);
}

static double end_of(const struct bp_trace *part)
{
    return part->from_s + part->time_s[part->count - 1];
}

/* How often the truth of the completed reps' mean velocity was asked for, and lay in its interval. */
struct tally {
    size_t reps, inside;
};

/* The part holds the k-th set, whole, and its reps at their times of the log. */
static void assert_holds(struct session *s, size_t k, enum bp_lift lift, const struct bp_trace *part,
                         struct tally *tally)
{
    struct bp_analyse_settings settings = bp_analyse_defaults;
    struct bp_summary summary;
    struct bp_error error;
    const struct sim_truth *truth = &s->truth[k];
    settings.lift = lift;
    settings.lift_given = true;
    assert_int_equal(bp_analyse_trace(part, &settings, &s->arena, &summary, &error), BP_OK);
    assert_int_equal(summary.rep_count, truth->rep_count);
    assert_int_equal(summary.log.part, k + 1);
    assert_int_equal(summary.log.parts, s->sets);
    assert_true(fabs(summary.log.part_from_s - part->from_s) <= 0);
    for (size_t r = 0; r < truth->rep_count; r++) {
        const struct sim_rep_truth *rep = &truth->reps[r];
        const struct bp_quantity *velocity = &summary.reps[r].mean_velocity_m_s;
        assert_int_equal(summary.reps[r].missed, rep->missed);
        if (!rep->missed) {
            assert_true(fabs(summary.reps[r].drive_end_s - s->begins_s[k] - rep->drive_end_s) < 0.3);
            tally->reps++;
            tally->inside +=
                velocity->low <= rep->mean_velocity_m_s && rep->mean_velocity_m_s <= velocity->high;
        }
    }
}

static void assert_session(struct session *s, uint64_t seed, enum between between, bool gyroscope,
                           struct tally *tally)
{
    struct sim_scenario first;
    struct bp_parts parts;
    make_session(s, seed, between, gyroscope);
    sim_scenario_random(seed, &first);
    assert_int_equal(split(s, &parts), BP_OK);
    assert_int_equal(parts.count, s->sets);
    for (size_t k = 0; k < s->sets; k++) {
        assert_holds(s, k, first.lift, &parts.list[k], tally);
    }
}

/* Seeds nobody chose: the first that were tried for each way of resting. */
static void every_set_is_found_with_its_reps(struct session *s, uint64_t first_seed, bool gyroscope)
{
    enum { SESSIONS = 2 };
    struct tally tally = {0, 0};
    for (enum between between = BETWEEN_RACK; between < BETWEEN_COUNT; between++) {
        for (uint64_t k = 0; k < SESSIONS; k++) {
            assert_session(s, first_seed + SESSIONS * (uint64_t)between + k, between, gyroscope, &tally);
        }
    }
    print_message("%zu of %zu true velocities inside\n", tally.inside, tally.reps);
    assert_true(tally.reps > 30);
    /* 95 % intervals; a binomial count of so many falls lower than this once in some thousand times */
    double n = (double)tally.reps;
    assert_true((double)tally.inside >= 0.95 * n - 3.1 * sqrt(0.95 * 0.05 * n));
}

static void every_set_of_a_session_is_found_with_its_reps(void **state)
{
    every_set_is_found_with_its_reps(*state, 201, true);
}

static void every_set_is_found_without_a_gyroscope(void **state)
{
    every_set_is_found_with_its_reps(*state, 301, false);
}

/* Splitting alone is quick, and can be asked more often. */
static void no_set_is_lost_or_invented_in_many_sessions(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    for (uint64_t seed = 401; seed < 425; seed++) {
        make_session(s, seed, (enum between)(seed % BETWEEN_COUNT), seed % 2 == 0);
        assert_int_equal(split(s, &parts), BP_OK);
        assert_int_equal(parts.count, s->sets);
        for (size_t k = 0; k < s->sets; k++) {
            const struct sim_rep_truth *reps = s->truth[k].reps;
            double first_s = s->begins_s[k] + reps[0].turnaround_s;
            double last_s = s->begins_s[k] + reps[s->truth[k].rep_count - 1].turnaround_s;
            assert_true(parts.list[k].from_s < first_s && last_s < end_of(&parts.list[k]));
        }
    }
}

static void a_log_of_one_set_is_that_trace_itself(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    session_clear(s, 1);
    session_add_set(s, &sim_scenario_defaults, 0);
    assert_int_equal(split(s, &parts), BP_OK);
    assert_int_equal(parts.count, 1);
    assert_memory_equal(&parts.list[0], &s->trace, sizeof s->trace);
    assert_int_equal(parts.left_count, 0);
}

static void holds_and_pauses_of_eight_seconds_do_not_split_a_set(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    for (enum bp_lift lift = BP_BENCH; lift <= BP_ROW; lift++) {
        struct sim_scenario scenario;
        session_clear(s, 1);
        sim_scenario_for(lift, &scenario);
        scenario.top_hold_s = 8;
        scenario.bottom_pause_s = 8;
        if (sim_scenario_fault(&scenario)) { /* as long as the lift allows */
            scenario.bottom_pause_s = 3;
        }
        session_add_set(s, &scenario, 0);
        assert_int_equal(split(s, &parts), BP_OK);
        assert_int_equal(parts.count, 1);
        assert_ptr_equal(parts.list[0].time_s, s->trace.time_s);
    }
}

/* Whole, such a log gave the right reps in 6 of 16 sessions. */
static void a_walk_about_is_cut_off_a_single_set(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    struct tally tally = {0, 0};
    for (uint64_t seed = 601; seed < 607; seed++) {
        struct sim_scenario first, scenario;
        session_clear(s, seed);
        sim_scenario_random(seed, &first);
        first.turn_rate_hz = 0;
        session_vary(&first, 100 * seed, &scenario);
        session_add_set(s, &scenario, 0);
        session_add_rest(s, 5);
        session_add_turn(s, 3);
        session_add_rest(s, 40);
        session_add_turn(s, 3);
        session_add_walk(s, 25);
        session_add_turn(s, 3);
        session_add_rest(s, 30);
        assert_int_equal(split(s, &parts), BP_OK);
        assert_int_equal(parts.count, 1);
        assert_int_equal(parts.left_count, 1);
        assert_int_equal(parts.list[0].parts, 1);
        assert_holds(s, 0, first.lift, &parts.list[0], &tally);
    }
}

static void a_rest_with_no_movement_beyond_it_does_not_cut(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    session_clear(s, 5);
    session_add_set(s, &sim_scenario_defaults, 0);
    session_add_rest(s, 60);
    session_add_knocks(s, 1.5);
    session_add_rest(s, 30);
    assert_int_equal(split(s, &parts), BP_OK);
    assert_int_equal(parts.count, 1);
    assert_int_equal(parts.left_count, 0);
    assert_ptr_equal(parts.list[0].time_s, s->trace.time_s);
}

static bool found(const struct bp_trace *part, const char *code, double at_s)
{
    for (size_t f = 0; f < part->findings.count; f++) {
        const struct bp_finding *finding = &part->findings.list[f];
        if (strcmp(finding->code, code) == 0 &&
            (isnan(at_s) ? isnan(finding->at_s) : fabs(finding->at_s - at_s) < 1e-6)) {
            return true;
        }
    }
    return false;
}

/* Two sets; between them plates are changed, with a rest on either side. */
static void make_plates(struct session *s)
{
    session_clear(s, 9);
    session_add_set(s, &sim_scenario_defaults, 0);
    session_add_rest(s, 40);
    session_add_knocks(s, 15);
    session_add_rest(s, 40);
    session_add_set(s, &sim_scenario_defaults, 1);
}

static void a_change_of_plates_is_no_set_and_is_told_of(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    make_plates(s);
    double from_s = s->truth[0].duration_s + 40;
    assert_int_equal(split(s, &parts), BP_OK);
    assert_int_equal(parts.count, 2);
    assert_int_equal(parts.left_count, 1);
    assert_true(fabs(parts.left[0].from_s - from_s) < 1.5 && fabs(parts.left[0].to_s - from_s - 15) < 1.5);
    assert_true(found(&parts.list[1], "no-lift", parts.left[0].from_s - parts.list[1].from_s));
    assert_int_equal(parts.list[0].findings.count, 0);
}

static void a_part_is_a_view_with_times_of_its_own(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    make_plates(s);
    assert_int_equal(split(s, &parts), BP_OK);
    for (size_t k = 0; k < 2; k++) {
        const struct bp_trace *part = &parts.list[k];
        size_t first = (size_t)(part->force[0] - s->trace.force[0]);
        assert_int_equal(part->part, k + 1);
        assert_int_equal(part->parts, 2);
        assert_true(fabs(part->time_s[0]) <= 0);
        assert_true(fabs(part->from_s - s->trace.time_s[first]) <= 0);
        assert_ptr_equal(part->marks, s->trace.marks + first);
        for (int a = 0; a < 3; a++) {
            assert_ptr_equal(part->force[a], s->trace.force[a] + first);
            assert_ptr_equal(part->turn[a], s->trace.turn[a] + first);
        }
        assert_true(fabs(end_of(part) - s->trace.time_s[first + part->count - 1]) < 1e-9);
    }
    /* no more of the rest than is kept */
    assert_true(fabs(end_of(&parts.list[0]) - s->truth[0].rerack_end_s - bp_split_defaults.keep_s) < 1.5);
}

static void findings_go_to_the_part_they_lie_in(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    make_plates(s);
    double second_s = s->begins_s[1] + 10;
    bp_findings_add(&s->trace.findings, "clock", BP_NOTE, (double)NAN, "of the whole log");
    bp_findings_add(&s->trace.findings, "mended", BP_NOTE, second_s, "in the second set");
    bp_findings_add(&s->trace.findings, "gap", BP_NOTE, s->truth[0].duration_s + 30, "in the rest");
    assert_int_equal(split(s, &parts), BP_OK);
    assert_int_equal(parts.count, 2);
    assert_int_equal(parts.list[0].findings.count, 1);
    assert_true(found(&parts.list[0], "clock", (double)NAN));
    assert_true(found(&parts.list[1], "clock", (double)NAN));
    assert_true(found(&parts.list[1], "mended", second_s - parts.list[1].from_s));
    assert_false(found(&parts.list[1], "gap", s->truth[0].duration_s + 30 - parts.list[1].from_s));
}

static void an_error_names_the_part_and_the_logs_time(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    struct bp_summary summary;
    struct bp_error error;
    make_plates(s);
    assert_int_equal(split(s, &parts), BP_OK);
    struct bp_trace part = parts.list[1];
    part.count = 20; /* a rest, and too short for anything else */
    assert_int_not_equal(bp_analyse_trace(&part, NULL, &s->arena, &summary, &error), BP_OK);
    assert_memory_equal(error.text, "set 2 of 2, from ", strlen("set 2 of 2, from "));
}

static void settings_out_of_range_are_refused(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    struct bp_error error;
    const struct bp_split_settings wrong[] = {{9, 2, 0.06},          {601, 5, 0.06}, {20, 0.5, 0.06},
                                              {20, 10.5, 0.06},      {20, 5, 0},     {20, 5, 1.1},
                                              {(double)NAN, 5, 0.06}};
    session_add_set(s, &sim_scenario_defaults, 0);
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++) {
        memset(&parts, 1, sizeof parts);
        assert_int_equal(bp_split_trace(&s->trace, &wrong[k], &s->arena, &parts, &error), BP_ERR_ARGUMENT);
        assert_int_equal(parts.count, 0);
        assert_null(parts.list);
    }
}

static void the_page_has_the_logs_time_too(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    struct bp_summary summary;
    struct bp_error error;
    struct bp_analyse_settings settings = bp_analyse_defaults;
    make_plates(s);
    assert_int_equal(split(s, &parts), BP_OK);
    settings.keep_traces = true;
    assert_int_equal(bp_analyse_trace(&parts.list[1], &settings, &s->arena, &summary, &error), BP_OK);
    const struct bp_traces *traces = summary.traces;
    assert_non_null(traces);
    assert_true(traces->time_s[0] >= parts.list[1].from_s);
    assert_true(traces->time_s[traces->count - 1] <= end_of(&parts.list[1]));
    assert_true(traces->time_s[traces->count - 1] >= summary.reps[summary.rep_count - 1].drive_end_s);
}

static void split_survives_every_failed_allocation(void **state)
{
    struct session *s = *state;
    struct bp_parts parts;
    struct bp_error error;
    bool failed = true;
    size_t failures = 0;
    make_plates(s);
    for (size_t n = 0; failed && n < 50; n++) {
        struct bp_arena arena;
        bp_arena_init(&arena);
        failing_alloc_arm(n);
        enum bp_code code = bp_split_trace(&s->trace, NULL, &arena, &parts, &error);
        failed = failing_alloc_disarm();
        assert_int_equal(code, failed ? BP_ERR_MEMORY : BP_OK);
        assert_int_equal(parts.count, failed ? 0 : 2);
        failures += failed;
        bp_arena_free(&arena);
    }
    assert_false(failed);
    assert_true(failures > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_set_of_a_session_is_found_with_its_reps, session_up,
                                        session_down),
        cmocka_unit_test_setup_teardown(every_set_is_found_without_a_gyroscope, session_up, session_down),
        cmocka_unit_test_setup_teardown(no_set_is_lost_or_invented_in_many_sessions, session_up,
                                        session_down),
        cmocka_unit_test_setup_teardown(a_log_of_one_set_is_that_trace_itself, session_up, session_down),
        cmocka_unit_test_setup_teardown(holds_and_pauses_of_eight_seconds_do_not_split_a_set, session_up,
                                        session_down),
        cmocka_unit_test_setup_teardown(a_walk_about_is_cut_off_a_single_set, session_up, session_down),
        cmocka_unit_test_setup_teardown(a_rest_with_no_movement_beyond_it_does_not_cut, session_up,
                                        session_down),
        cmocka_unit_test_setup_teardown(a_change_of_plates_is_no_set_and_is_told_of, session_up,
                                        session_down),
        cmocka_unit_test_setup_teardown(a_part_is_a_view_with_times_of_its_own, session_up, session_down),
        cmocka_unit_test_setup_teardown(findings_go_to_the_part_they_lie_in, session_up, session_down),
        cmocka_unit_test_setup_teardown(an_error_names_the_part_and_the_logs_time, session_up, session_down),
        cmocka_unit_test_setup_teardown(the_page_has_the_logs_time_too, session_up, session_down),
        cmocka_unit_test_setup_teardown(split_survives_every_failed_allocation, session_up, session_down),
        cmocka_unit_test_setup_teardown(settings_out_of_range_are_refused, session_up, session_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
