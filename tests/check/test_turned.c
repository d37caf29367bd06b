/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check/parts.h"

#include "base/failing_alloc.h"
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static const double duration_s = 24, turn_s = 0.6, period_s = 2; /* eight turns: back where it lay */

/* The phone turns about its y axis by angle_rad to and fro, every two seconds in 0.6 s, gravity and gyroscope
 * alike (u' = -ω × u), and lies calm in between. */
static void make(struct log *log, double angle_rad)
{
    log_make(log, 100, duration_s);
    for (size_t i = 0; i < log->trace.count; i++) {
        double since = log->time_s[i] - log_rest_s, part = since / period_s - floor(since / period_s);
        bool moves = since > 0 && log->time_s[i] < duration_s - log_rest_s;
        double share = fmin(part * period_s / turn_s, 1), way = (long)floor(since / period_s) % 2 ? -1 : 1;
        double turned = 0.5 * (1 - cos(BP_PI * share)), from = way > 0 ? 0 : 1;
        double angle = moves ? angle_rad * (from + way * turned) : 0;
        double rate = moves && share < 1 ? way * angle_rad * 0.5 * BP_PI / turn_s * sin(BP_PI * share) : 0;
        log->force[0][i] = -log_gravity * sin(angle);
        log->force[1][i] = 0;
        log->force[2][i] = log_gravity * cos(angle);
        log->turn[0][i] = log->turn[2][i] = 0;
        log->turn[1][i] = rate;
    }
    for (size_t axis = 0; axis < 3; axis++) {
        log_add_noise(log->force[axis], log->trace.count, log_force_noise, 10 + axis);
        log_add_noise(log->turn[axis], log->trace.count, log_turn_noise, 20 + axis);
    }
}

static void stretch_clock(struct log *log, double factor)
{
    for (size_t i = 0; i < log->trace.count; i++) {
        log->time_s[i] *= factor;
    }
}

static void a_phone_that_turns_as_far_as_it_says_is_no_finding(void **state)
{
    struct log *log = *state;
    make(log, 15 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "turned-otherwise"));
    assert_null(log_finding(log, "gyro-disagrees"));
    make(log, 15 * BP_DEGREE);
    stretch_clock(log, 1.05); /* a gyroscope may be off by as much */
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "turned-otherwise"));
}

static void a_clock_too_long_or_too_short_shows_in_the_turns(void **state)
{
    struct log *log = *state;
    static const struct {
        double factor;
        const char *times;
    } clocks[] = {{1.25, "0.80 times"}, {0.8, "1.25 times"}};
    for (size_t c = 0; c < 2; c++) {
        make(log, 15 * BP_DEGREE);
        stretch_clock(log, clocks[c].factor);
        assert_int_equal(log_check(log), BP_OK);
        assert_int_equal(log_severity(log, "turned-otherwise"), BP_RESERVATION);
        assert_non_null(strstr(log_text(log, "turned-otherwise"), clocks[c].times));
        assert_false(log->check.gyroscope_wrong); /* which of the two it is is not known */
    }
}

static void either_sign_of_gravity_and_an_offset_of_the_gyroscope_are_borne(void **state)
{
    struct log *log = *state;
    make(log, 15 * BP_DEGREE);
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = 0; i < log->trace.count; i++) {
            log->force[a][i] = -log->force[a][i];
            log->turn[a][i] += 0.02;
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "turned-otherwise"));
    stretch_clock(log, 1.3);
    assert_int_equal(log_check(log), BP_OK);
    assert_non_null(log_finding(log, "turned-otherwise"));
}

static void a_phone_that_hardly_turns_tells_nothing(void **state)
{
    struct log *log = *state;
    make(log, 1 * BP_DEGREE);
    stretch_clock(log, 1.3);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "turned-otherwise"));
}

/* In every turn but the first the log has a hole: nothing is carried across. */
static void turns_across_holes_tell_nothing(void **state)
{
    struct log *log = *state;
    make(log, 15 * BP_DEGREE);
    stretch_clock(log, 1.3);
    double gone = 0;
    for (size_t i = 1; i < log->trace.count; i++) {
        double at = (double)i / 100 - log_rest_s;
        bool hole = at > period_s && fabs(fmod(at, period_s) - 0.3) < 0.001;
        gone += hole ? 0.2 : 0;
        log->time_s[i] += gone;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "turned-otherwise"));
}

static void without_a_gyroscope_or_a_calm_moment_nothing_is_told(void **state)
{
    struct log *log = *state;
    make(log, 15 * BP_DEGREE);
    stretch_clock(log, 1.3);
    assert_int_equal(log_check(log), BP_OK);
    log->check.findings.count = 0;
    log->trace.gyroscope = false;
    assert_true(bp_check_turned(&log->trace, &log->arena, &log->check));
    log->trace.gyroscope = true;
    log->check.gyroscope_wrong = true;
    assert_true(bp_check_turned(&log->trace, &log->arena, &log->check));
    log->check.gyroscope_wrong = false;
    log_add_noise(log->force[0], log->trace.count, 1, 30);
    assert_true(bp_check_turned(&log->trace, &log->arena, &log->check));
    assert_int_equal(log->check.findings.count, 0);
}

static void memory_that_is_out_is_told(void **state)
{
    struct log *log = *state;
    make(log, 15 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    struct bp_arena own;
    bp_arena_init(&own);
    failing_alloc_arm(0);
    bool ok = bp_check_turned(&log->trace, &own, &log->check);
    assert_true(failing_alloc_disarm());
    assert_false(ok);
    bp_arena_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(a_phone_that_turns_as_far_as_it_says_is_no_finding),
        WITH_LOG(a_clock_too_long_or_too_short_shows_in_the_turns),
        WITH_LOG(either_sign_of_gravity_and_an_offset_of_the_gyroscope_are_borne),
        WITH_LOG(a_phone_that_hardly_turns_tells_nothing),
        WITH_LOG(turns_across_holes_tell_nothing),
        WITH_LOG(without_a_gyroscope_or_a_calm_moment_nothing_is_told),
        WITH_LOG(memory_that_is_out_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
