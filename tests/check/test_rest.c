/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void scale_force(struct log *log, double factor)
{
    for (size_t axis = 0; axis < 3; axis++) {
        for (size_t i = 0; i < log->trace.count; i++) {
            log->force[axis][i] *= factor;
        }
    }
}

static void rest_gravity_off_is_noted_reserved_or_refused_by_how_much(void **state)
{
    struct log *log = *state;
    const struct {
        double factor;
        enum bp_severity severity;
    } rows[] = {{1.03, BP_NOTE},   {0.97, BP_NOTE},   {1.08, BP_RESERVATION}, {0.92, BP_RESERVATION},
                {1.2, BP_REFUSAL}, {0.5, BP_REFUSAL}, {100, BP_REFUSAL}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        log_make(log, 100, 20);
        scale_force(log, rows[i].factor);
        assert_int_equal(log_check(log), BP_OK);
        const struct bp_finding *off = log_finding(log, "gravity-off");
        assert_non_null(off);
        assert_int_equal(off->severity, rows[i].severity);
        assert_non_null(strstr(off->text, "9.78 to 9.83"));
    }
    log_make(log, 100, 20);
    scale_force(log, 1.01);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gravity-off"));
}

static void rest_gravity_taken_out_is_refused_with_what_to_do(void **state)
{
    struct log *log = *state;
    log->trace.gravity_removed = true;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gravity-removed"), BP_REFUSAL);
    assert_non_null(strstr(log_text(log, "gravity-removed"), "export"));
    /* And where nobody said so: the numbers do. */
    log->trace.gravity_removed = false;
    for (size_t i = 0; i < log->trace.count; i++) {
        log->force[0][i] -= 0.3;
        log->force[1][i] += 0.2;
        log->force[2][i] -= log_gravity;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gravity-removed"), BP_REFUSAL);
    assert_null(log_finding(log, "gravity-off"));
}

/* Leaves the middle of the log alone, in which nothing rests. */
static void keep_the_movement_only(struct log *log)
{
    size_t first = 450, count = 1100;
    for (size_t i = 0; i < count; i++) {
        log->time_s[i] = log->time_s[first + i] - log->time_s[first];
        for (size_t axis = 0; axis < 3; axis++) {
            log->force[axis][i] = log->force[axis][first + i];
            log->turn[axis][i] = log->turn[axis][first + i];
        }
    }
    log->time_s[0] = 0;
    log->trace.count = count;
}

static void rest_bar_that_never_rests_is_a_reservation(void **state)
{
    struct log *log = *state;
    keep_the_movement_only(log);
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.still.count, 0);
    assert_true(log->check.still_total_s == 0);
    assert_int_equal(log_severity(log, "never-still"), BP_RESERVATION);
    assert_null(log_finding(log, "gravity-off"));
    assert_null(log_finding(log, "gravity-removed"));
    scale_force(log, 0.4);
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gravity-off"), BP_REFUSAL);
    assert_non_null(strstr(log_text(log, "gravity-off"), "on average"));
}

static void rest_bar_that_only_rests_holds_no_set(void **state)
{
    struct log *log = *state;
    log->trace.count = 380;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "nothing-moves"), BP_RESERVATION);
}

static void add_to_turn(struct log *log, size_t axis, size_t first, size_t last, double rad_s)
{
    for (size_t i = first; i <= last; i++) {
        log->turn[axis][i] += rad_s;
    }
}

static void rest_gyroscope_bias_is_noted_and_past_a_limit_reserved(void **state)
{
    struct log *log = *state;
    size_t end = log->trace.count - 1;
    add_to_turn(log, 2, 0, end, 2 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gyro-bias"));
    add_to_turn(log, 2, 0, end, 3 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gyro-bias"), BP_NOTE);
    assert_non_null(strstr(log_text(log, "gyro-bias"), "5.0 °/s"));
    assert_int_equal(log->check.verdict, BP_FIT);
    add_to_turn(log, 2, 0, end, 8 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gyro-bias"), BP_RESERVATION);
}

/* The gyroscope says that the bar turned by 40° during the set; gravity says that it came back as it left. */
static void rest_gyroscope_that_contradicts_gravity_is_named(void **state)
{
    struct log *log = *state;
    add_to_turn(log, 0, 800, 899, 40 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *finding = log_finding(log, "gyro-disagrees");
    assert_non_null(finding);
    assert_int_equal(finding->severity, BP_RESERVATION);
    assert_true(fabs(finding->at_s - 4) < 0.3);
    assert_non_null(strstr(finding->text, "40°"));
    /* The same turn and back is no contradiction; nor can a clipped or broken stretch be held against it. */
    add_to_turn(log, 0, 1000, 1099, -40 * BP_DEGREE);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gyro-disagrees"));
    add_to_turn(log, 0, 1000, 1099, 80 * BP_DEGREE);
    log->marks[950] |= BP_MARK_GYRO_CLIPPED;
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gyro-disagrees"));
}

/* A bar set down rolled by 40° about its axis, and a gyroscope that saw it: they agree, with either sign of
 * the accelerometer. */
static void rest_gyroscope_that_follows_gravity_agrees(void **state)
{
    struct log *log = *state;
    add_to_turn(log, 0, 800, 899, 40 * BP_DEGREE);
    double turned = 40 * BP_DEGREE;
    for (size_t i = 1500; i < log->trace.count; i++) {
        /* Up, fixed in the room, turns against the phone: u' = -ω × u about x. */
        double y = log->force[1][i], z = log->force[2][i];
        log->force[1][i] = cos(turned) * y + sin(turned) * z;
        log->force[2][i] = -sin(turned) * y + cos(turned) * z;
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.still.count, 2);
    assert_null(log_finding(log, "gyro-disagrees"));
    scale_force(log, -1);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gyro-disagrees"));
    /* Of the wrong hand, it points the other way. */
    for (size_t i = 0; i < log->trace.count; i++) {
        log->turn[0][i] = -log->turn[0][i];
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_non_null(log_finding(log, "gyro-disagrees"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(rest_gravity_off_is_noted_reserved_or_refused_by_how_much),
        WITH_LOG(rest_gravity_taken_out_is_refused_with_what_to_do),
        WITH_LOG(rest_bar_that_never_rests_is_a_reservation),
        WITH_LOG(rest_bar_that_only_rests_holds_no_set),
        WITH_LOG(rest_gyroscope_bias_is_noted_and_past_a_limit_reserved),
        WITH_LOG(rest_gyroscope_that_contradicts_gravity_is_named),
        WITH_LOG(rest_gyroscope_that_follows_gravity_agrees),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
