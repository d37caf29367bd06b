/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* Rolls the phone about its y axis while the bar moves, gravity and gyroscope alike (u' = -ω × u), 8 degrees
 * to and fro; the bar's own acceleration is that of log_make. */
static void roll(struct log *log)
{
    double duration_s = log->time_s[log->trace.count - 1], rate = 2 * BP_PI * 0.5, swing = 8 * BP_DEGREE;
    for (size_t i = 0; i < log->trace.count; i++) {
        double t = log->time_s[i];
        bool moves = t > log_rest_s && t < duration_s - log_rest_s;
        double angle = moves ? swing * (1 - cos(rate * (t - log_rest_s))) : 0;
        double turning = moves ? swing * rate * sin(rate * (t - log_rest_s)) : 0;
        double x = log->force[0][i], z = log->force[2][i];
        log->force[0][i] = cos(angle) * x - sin(angle) * z;
        log->force[2][i] = sin(angle) * x + cos(angle) * z;
        log->turn[1][i] += turning - (moves ? 0.3 * sin(2 * BP_PI * 0.5 * (t - log_rest_s)) : 0);
    }
}

static void scale_turn(struct log *log, size_t axis, double factor)
{
    for (size_t i = 0; i < log->trace.count; i++) {
        log->turn[axis][i] *= factor;
    }
}

static void turns_that_agree_are_no_finding(void **state)
{
    struct log *log = *state;
    roll(log);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gyro-disagrees"));
    assert_false(log->check.gyroscope_wrong);
}

static void turns_of_the_other_hand_and_of_another_unit_leave_the_gyroscope_out(void **state)
{
    struct log *log = *state;
    static const double factors[] = {-1, BP_DEGREE};
    for (size_t k = 0; k < sizeof factors / sizeof *factors; k++) {
        log_make(log, 100, 20);
        roll(log);
        scale_turn(log, 1, factors[k]);
        assert_int_equal(log_check(log), BP_OK);
        assert_int_equal(log_severity(log, "gyro-disagrees"), BP_RESERVATION);
        assert_non_null(strstr(log_text(log, "gyro-disagrees"), "measured without it"));
        assert_true(log->check.gyroscope_wrong);
    }
}

/* Rolled about an axis and told of another: y and z stand in each other's place. */
static void turns_in_another_order_of_axes_leave_the_gyroscope_out(void **state)
{
    struct log *log = *state;
    roll(log);
    for (size_t i = 0; i < log->trace.count; i++) {
        double y = log->turn[1][i];
        log->turn[1][i] = log->turn[0][i];
        log->turn[0][i] = y;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_non_null(strstr(log_text(log, "gyro-disagrees"), "another order"));
    assert_true(log->check.gyroscope_wrong);
}

static void turns_in_another_unit_from_somewhere_on_show_in_the_noise(void **state)
{
    struct log *log = *state;
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = 1200; i < log->trace.count; i++) {
            log->turn[a][i] *= BP_DEGREE;
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    bool told = false;
    for (size_t f = 0; f < log->check.findings.count; f++) {
        told = told || strstr(log->check.findings.list[f].text, "noise is ") != NULL;
    }
    assert_true(told);
    assert_true(log->check.gyroscope_wrong);
}

static void turns_do_not_care_which_way_gravity_is_counted(void **state)
{
    struct log *log = *state;
    roll(log);
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = 0; i < log->trace.count; i++) {
            log->force[a][i] = -log->force[a][i];
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_false(log->check.gyroscope_wrong);
}

static void turns_too_small_to_tell_are_no_finding(void **state)
{
    struct log *log = *state;
    for (size_t a = 0; a < 3; a++) {
        scale_turn(log, a, 0.01); /* what is left is the sensor's noise */
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_false(log->check.gyroscope_wrong);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(turns_that_agree_are_no_finding),
        WITH_LOG(turns_of_the_other_hand_and_of_another_unit_leave_the_gyroscope_out),
        WITH_LOG(turns_in_another_order_of_axes_leave_the_gyroscope_out),
        WITH_LOG(turns_in_another_unit_from_somewhere_on_show_in_the_noise),
        WITH_LOG(turns_do_not_care_which_way_gravity_is_counted),
        WITH_LOG(turns_too_small_to_tell_are_no_finding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
