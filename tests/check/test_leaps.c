/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void shift_from(struct log *log, size_t first, double by)
{
    for (size_t i = first; i < log->trace.count; i++) {
        log->force[1][i] += by;
    }
}

static void leaps_that_stay_and_large_ones_are_refusals(void **state)
{
    struct log *log = *state;
    static const double by[] = {1.5, -9};
    for (size_t k = 0; k < sizeof by / sizeof *by; k++) {
        log_make(log, 100, 20);
        shift_from(log, 900, by[k]);
        assert_int_equal(log_check(log), BP_OK);
        const struct bp_finding *found = log_finding(log, "jump");
        assert_non_null(found);
        assert_int_equal(found->severity, BP_REFUSAL);
        assert_true(fabs(found->at_s - 9) < 1e-9);
        assert_int_equal(log_count_findings(log, "jump"), 1);
    }
}

/* A movement that is half over when it is cut: what follows leaps, and the mean is what it was. */
static void leaps_where_a_part_is_cut_out_are_reservations_and_doubts(void **state)
{
    struct log *log = *state;
    size_t first = 920, cut = 40;
    for (size_t i = first; i + cut < log->trace.count; i++) {
        for (size_t a = 0; a < 3; a++) {
            log->force[a][i] = log->force[a][i + cut];
            log->turn[a][i] = log->turn[a][i + cut];
        }
    }
    log->trace.count -= cut;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "jump"), BP_RESERVATION);
    assert_true(log->check.doubts.count > 0);
    assert_true(fabs(log->check.doubts.list[0].from_s - 9.19) < 1e-9);
    assert_true(fabs(log->check.doubts.list[0].to_s - 9.20) < 1e-9);
}

/* Even where it clatters so that no line fits, gravity does not turn over. */
static void leaps_that_turn_gravity_over_are_seen_through_clatter(void **state)
{
    struct log *log = *state;
    log_make(log, 50, 20);
    for (size_t a = 0; a < 3; a++) {
        log_add_noise(log->force[a], log->trace.count, 3, 40 + a);
        for (size_t i = 500; i < log->trace.count; i++) {
            log->force[a][i] = -log->force[a][i];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "jump"), BP_REFUSAL);
}

static void leaps_of_every_sign_show_where_it_flips(void **state)
{
    struct log *log = *state;
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = 1000; i < log->trace.count; i++) {
            log->force[a][i] = -log->force[a][i];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *found = log_finding(log, "jump");
    assert_non_null(found);
    assert_int_equal(found->severity, BP_REFUSAL);
    assert_true(fabs(found->at_s - 10) < 1e-9);
}

static void leaps_of_the_gyroscope_are_its_own_finding(void **state)
{
    struct log *log = *state;
    for (size_t i = 700; i < log->trace.count; i++) {
        log->turn[0][i] += 0.5;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gyro-jump"), BP_RESERVATION);
    assert_null(log_finding(log, "jump"));
    assert_true(log->check.gyroscope_wrong);
}

static void leaps_many_are_named_up_to_a_number_and_then_counted(void **state)
{
    struct log *log = *state;
    for (size_t k = 0; k < 3; k++) {
        shift_from(log, 600 + 200 * k, 1.5);
        shift_from(log, 620 + 200 * k, -1.5);
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_count_findings(log, "jump"), 4);
    bool counted = false;
    for (size_t i = 0; i < log->check.findings.count; i++) {
        counted = counted || strstr(log->check.findings.list[i].text, "3 more such leaps");
    }
    assert_true(counted);
}

/* Quick as it is, a push over 30 ms and a knock that rings for 40 ms are movements. */
static void leaps_are_not_pushes_nor_knocks(void **state)
{
    struct log *log = *state;
    log_make(log, 200, 20);
    for (size_t i = 0; i < log->trace.count; i++) {
        double push = fmin(fmax((log->time_s[i] - 8) / 0.03, 0), 1), since = log->time_s[i] - 12;
        log->force[2][i] += 3 * push;
        log->force[2][i] += since > 0 ? 20 * exp(-since / 0.01) * cos(2 * BP_PI * 60 * since) : 0;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "jump"));
}

static void leaps_across_a_gap_are_the_gaps(void **state)
{
    struct log *log = *state;
    shift_from(log, 900, 2);
    for (size_t i = 900; i < log->trace.count; i++) {
        log->time_s[i] += 0.5;
    }
    log->marks[900] |= BP_MARK_AFTER_GAP;
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "jump"));
    assert_non_null(log_finding(log, "gap"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(leaps_that_stay_and_large_ones_are_refusals),
        WITH_LOG(leaps_where_a_part_is_cut_out_are_reservations_and_doubts),
        WITH_LOG(leaps_that_turn_gravity_over_are_seen_through_clatter),
        WITH_LOG(leaps_of_every_sign_show_where_it_flips),
        WITH_LOG(leaps_of_the_gyroscope_are_its_own_finding),
        WITH_LOG(leaps_many_are_named_up_to_a_number_and_then_counted),
        WITH_LOG(leaps_are_not_pushes_nor_knocks),
        WITH_LOG(leaps_across_a_gap_are_the_gaps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
