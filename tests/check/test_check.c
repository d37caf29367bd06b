/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void check_of_a_sound_log_is_fit_and_finds_nothing(void **state)
{
    struct log *log = *state;
    for (int rate_hz = 50; rate_hz <= 250; rate_hz += 100) {
        log_make(log, rate_hz, 20);
        assert_int_equal(log_check(log), BP_OK);
        assert_int_equal(log->check.findings.count, 0);
        assert_int_equal(log->check.verdict, BP_FIT);
        assert_true(fabs(log->check.clock.rate_hz - rate_hz) < 1e-6);
        assert_true(fabs(log->check.noise.force_sd - log_force_noise) < 0.2 * log_force_noise);
        assert_true(fabs(log->check.noise.gravity - log_gravity) < 0.005);
        assert_true(log->check.still_total_s > 7 && log->check.still_total_s < 8.6);
        assert_true(log->check.missing_s == 0 && log->check.clipped == 0);
    }
}

static void check_without_a_gyroscope_is_fit_too(void **state)
{
    struct log *log = *state;
    log->trace.gyroscope = false;
    log->trace.turn[0] = log->trace.turn[1] = log->trace.turn[2] = NULL;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_FIT);
    assert_true(isnan(log->check.noise.turn_sd));
    for (size_t axis = 0; axis < 6; axis++) {
        assert_false(log->check.stuck[axis]);
    }
}

/* The other sign convention, -g upward at rest, is the same log. */
static void check_does_not_mind_the_sign(void **state)
{
    struct log *log = *state;
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 0; i < log->trace.count; i++) {
            log->force[axis][i] = -log->force[axis][i];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_FIT);
    assert_int_equal(log->check.findings.count, 0);
}

static void check_verdict_is_the_worst_finding_of_importer_and_check(void **state)
{
    struct log *log = *state;
    bp_findings_add(&log->trace.findings, "time-wrapped", BP_NOTE, 3, "a note");
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_FIT);
    assert_string_equal(log->check.findings.list[0].code, "time-wrapped");
    log->trace.force_grid = 0.1;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_FIT_WITH_RESERVATIONS);
    bp_findings_add(&log->trace.findings, "mended", BP_REFUSAL, 5, "a refusal");
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_NOT_FIT);
}

static void check_findings_come_worst_first_then_by_time(void **state)
{
    struct log *log = *state;
    struct bp_findings *theirs = &log->trace.findings;
    bp_findings_add(theirs, "a", BP_NOTE, 1, "note at 1");
    bp_findings_add(theirs, "b", BP_REFUSAL, 9, "refusal at 9");
    bp_findings_add(theirs, "c", BP_RESERVATION, 7, "reservation at 7");
    bp_findings_add(theirs, "d", BP_RESERVATION, 2, "reservation at 2");
    bp_findings_add(theirs, "e", BP_RESERVATION, (double)NAN, "reservation of the whole");
    bp_findings_add(theirs, "f", BP_REFUSAL, 4, "refusal at 4");
    bp_findings_add(theirs, "g", BP_RESERVATION, 2, "another at 2");
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.findings.count, 7);
    const char *const want[7] = {"f", "b", "e", "d", "g", "c", "a"};
    for (size_t i = 0; i < 7; i++) {
        assert_string_equal(log->check.findings.list[i].code, want[i]);
    }
}

static void check_keeps_its_own_findings_when_the_list_is_full(void **state)
{
    struct log *log = *state;
    for (int i = 0; i < BP_FINDINGS_MAX + 3; i++) {
        bp_findings_add(&log->trace.findings, "mended", BP_NOTE, i, "mended");
    }
    log->trace.force_grid = 0.1;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.findings.count, BP_FINDINGS_MAX);
    assert_int_equal(log->check.findings.dropped, 4);
    assert_string_equal(log->check.findings.list[0].code, "coarse");
}

/* The importer saw the gap as well; one gap is one finding, and the check says how bad it is. */
static void check_does_not_say_twice_what_the_importer_said(void **state)
{
    struct log *log = *state;
    for (size_t i = 900; i < log->trace.count; i++) {
        log->time_s[i] += 0.05;
    }
    log->marks[900] |= BP_MARK_AFTER_GAP;
    bp_findings_add(&log->trace.findings, "gap", BP_RESERVATION, 8.99, "the importer's");
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.findings.count, 1);
    assert_string_equal(log->check.findings.list[0].code, "gaps");
    assert_int_equal(log->check.verdict, BP_FIT);
}

static void check_refuses_settings_out_of_range(void **state)
{
    struct log *log = *state;
    const struct bp_check_settings bad[] = {{91, 0},     {-90.1, 0},  {(double)INFINITY, 0},
                                            {45, 20000}, {45, -5000}, {45, (double)NAN}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        bp_error_clear(&log->error);
        assert_int_equal(bp_check_trace(&log->trace, &bad[i], &log->arena, &log->check, &log->error),
                         BP_ERR_ARGUMENT);
        assert_int_equal(log->error.code, BP_ERR_ARGUMENT);
        assert_true(log->error.text[0] != '\0');
    }
    log->trace.count = 1;
    assert_int_equal(log_check(log), BP_ERR_ARGUMENT);
}

static void check_of_two_readings_is_not_fit(void **state)
{
    struct log *log = *state;
    log->trace.count = 2;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_NOT_FIT);
    assert_non_null(log_finding(log, "too-short"));
}

static void check_says_so_at_each_allocation_that_fails(void **state)
{
    struct log *log = *state;
    size_t failed = 0;
    for (size_t n = 0;; n++) {
        bp_arena_free(&log->arena);
        bp_error_clear(&log->error);
        failing_alloc_arm(n);
        enum bp_code code = bp_check_trace(&log->trace, NULL, &log->arena, &log->check, &log->error);
        if (!failing_alloc_disarm()) {
            assert_int_equal(code, BP_OK);
            break;
        }
        assert_int_equal(code, BP_ERR_MEMORY);
        assert_int_equal(log->error.code, BP_ERR_MEMORY);
        failed++;
    }
    assert_true(failed >= 1);
}

static void check_verdicts_have_names(void **state)
{
    (void)state;
    assert_string_equal(bp_verdict_name(BP_FIT), "fit");
    assert_string_equal(bp_verdict_name(BP_FIT_WITH_RESERVATIONS), "fit with reservations");
    assert_string_equal(bp_verdict_name(BP_NOT_FIT), "not fit");
    assert_string_equal(bp_verdict_name((enum bp_verdict)3), "unknown");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(check_of_a_sound_log_is_fit_and_finds_nothing),
        WITH_LOG(check_without_a_gyroscope_is_fit_too),
        WITH_LOG(check_does_not_mind_the_sign),
        WITH_LOG(check_verdict_is_the_worst_finding_of_importer_and_check),
        WITH_LOG(check_findings_come_worst_first_then_by_time),
        WITH_LOG(check_keeps_its_own_findings_when_the_list_is_full),
        WITH_LOG(check_does_not_say_twice_what_the_importer_said),
        WITH_LOG(check_refuses_settings_out_of_range),
        WITH_LOG(check_of_two_readings_is_not_fit),
        WITH_LOG(check_says_so_at_each_allocation_that_fails),
        cmocka_unit_test(check_verdicts_have_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
