/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void axes_clipping_is_named_with_limit_and_times(void **state)
{
    struct log *log = *state;
    log->trace.force_limit = 19.6133;
    log->marks[800] |= BP_MARK_CLIPPED;
    log->marks[801] |= BP_MARK_CLIPPED;
    log->marks[1100] |= BP_MARK_CLIPPED;
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *clipped = log_finding(log, "clipped");
    assert_non_null(clipped);
    assert_int_equal(clipped->severity, BP_RESERVATION);
    assert_true(fabs(clipped->at_s - 8) < 1e-9);
    assert_non_null(strstr(clipped->text, "of 19.6 m/s² in 3 readings from here to 11.00 s"));
    assert_int_equal(log->check.clipped, 3);
    assert_null(log_finding(log, "gyro-clipped"));
}

static void axes_gyroscope_clipping_is_its_own_finding(void **state)
{
    struct log *log = *state;
    log->marks[900] |= BP_MARK_GYRO_CLIPPED | BP_MARK_CLIPPED;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gyro-clipped"), BP_RESERVATION);
    assert_int_equal(log_severity(log, "clipped"), BP_RESERVATION);
    assert_int_equal(log->check.clipped, 1);
    /* Neither limit is known: no number stands in for it. */
    assert_null(strstr(log_text(log, "clipped"), "nan"));
}

static void axes_a_log_that_clips_all_the_time_is_refused(void **state)
{
    struct log *log = *state;
    for (size_t i = 600; i < 720; i++) {
        log->marks[i] |= BP_MARK_CLIPPED;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "clipped"), BP_REFUSAL);
    assert_int_equal(log->check.verdict, BP_NOT_FIT);
}

static void axes_stuck_accelerometer_is_refused(void **state)
{
    struct log *log = *state;
    for (size_t i = 0; i < log->trace.count; i++) {
        log->force[1][i] = 0.25;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_true(log->check.stuck[1]);
    assert_false(log->check.stuck[0] || log->check.stuck[2]);
    assert_int_equal(log_severity(log, "stuck"), BP_REFUSAL);
    assert_non_null(strstr(log_text(log, "stuck"), "accelerometer's y axis"));
}

static void axes_stuck_gyroscope_is_refused(void **state)
{
    struct log *log = *state;
    for (size_t i = 0; i < log->trace.count; i++) {
        log->turn[0][i] = log->turn[1][i] = log->turn[2][i] = 0;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_true(log->check.stuck[3] && log->check.stuck[4] && log->check.stuck[5]);
    assert_int_equal(log_count_findings(log, "gyro-stuck"), 3);
    assert_int_equal(log->check.verdict, BP_NOT_FIT);
}

static void axes_log_that_repeats_one_reading_is_named_with_its_time(void **state)
{
    struct log *log = *state;
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 801; i < 860; i++) {
            log->force[axis][i] = log->force[axis][800];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *frozen = log_finding(log, "frozen");
    assert_non_null(frozen);
    assert_int_equal(frozen->severity, BP_RESERVATION);
    assert_true(fabs(frozen->at_s - 8) < 1e-9);
    assert_non_null(strstr(frozen->text, "0.59 s"));
    assert_null(log_finding(log, "repeated"));
}

static void axes_log_that_is_mostly_repeats_is_refused(void **state)
{
    struct log *log = *state;
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 500; i < 1500; i++) {
            log->force[axis][i] = log->force[axis][500 + (i - 500) / 100 * 100];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_NOT_FIT);
    assert_int_equal(log_severity(log, "frozen"), BP_REFUSAL);
    /* The refusal, four named, and the count of the rest. */
    assert_int_equal(log_count_findings(log, "frozen"), 6);
}

/* A sensor of 50 Hz written 100 times a second. */
static void axes_every_reading_twice_is_half_the_rate(void **state)
{
    struct log *log = *state;
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 1; i < log->trace.count; i += 2) {
            log->force[axis][i] = log->force[axis][i - 1];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *repeated = log_finding(log, "repeated");
    assert_non_null(repeated);
    assert_int_equal(repeated->severity, BP_RESERVATION);
    assert_non_null(strstr(repeated->text, "about 50 new ones a second"));
    assert_true(fabs(log->check.repeated_share - 0.5) < 0.001);
    assert_null(log_finding(log, "frozen"));
    /* And what the rate decides is decided by the new ones. */
    log_make(log, 30, 20);
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 1; i < log->trace.count; i++) {
            log->force[axis][i] = i % 4 == 0 ? log->force[axis][i] : log->force[axis][i - 1];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_non_null(log_finding(log, "too-slow"));
}

static void axes_readings_on_a_coarse_grid_are_named_and_not_taken_for_repeats(void **state)
{
    struct log *log = *state;
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 0; i < log->trace.count; i++) {
            log->force[axis][i] = 0.1 * round(log->force[axis][i] / 0.1);
        }
    }
    log->trace.force_grid = 0.1;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "coarse"), BP_RESERVATION);
    assert_non_null(strstr(log_text(log, "coarse"), "0.100 m/s²"));
    assert_null(log_finding(log, "repeated"));
    assert_null(log_finding(log, "frozen"));
    assert_null(log_finding(log, "stuck"));
    assert_int_equal(log->check.verdict, BP_FIT_WITH_RESERVATIONS);
}

static void axes_one_that_freezes_while_the_others_go_on_is_named(void **state)
{
    struct log *log = *state;
    for (size_t i = 801; i < 880; i++) {
        log->force[1][i] = log->force[1][800];
    }
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *frozen = log_finding(log, "frozen");
    assert_non_null(frozen);
    assert_int_equal(frozen->severity, BP_RESERVATION);
    assert_true(fabs(frozen->at_s - 8) < 1e-9);
    assert_non_null(strstr(frozen->text, "y axis repeats one reading for 0.79 s"));
    /* What chance repeats is no finding: steps as wide as the noise make a third of readings do so. */
    log_make(log, 100, 20);
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 0; i < log->trace.count; i++) {
            log->force[axis][i] = 0.01 * round(log->force[axis][i] / 0.01);
        }
    }
    log->trace.force_grid = 0.01;
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "frozen"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(axes_clipping_is_named_with_limit_and_times),
        WITH_LOG(axes_gyroscope_clipping_is_its_own_finding),
        WITH_LOG(axes_a_log_that_clips_all_the_time_is_refused),
        WITH_LOG(axes_stuck_accelerometer_is_refused),
        WITH_LOG(axes_stuck_gyroscope_is_refused),
        WITH_LOG(axes_log_that_repeats_one_reading_is_named_with_its_time),
        WITH_LOG(axes_log_that_is_mostly_repeats_is_refused),
        WITH_LOG(axes_every_reading_twice_is_half_the_rate),
        WITH_LOG(axes_one_that_freezes_while_the_others_go_on_is_named),
        WITH_LOG(axes_readings_on_a_coarse_grid_are_named_and_not_taken_for_repeats),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
