/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "motion/attitude.h"
#include "motion/bar.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bar bar;
static struct bp_arena arena;
static struct bp_motion motion;
static struct bp_error error;

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

static struct bar_plan rolling_plan(void)
{
    struct bar_plan plan = bar_plan_plain;
    plan.uneven = 0.2;
    plan.force_noise = 0.012;
    plan.turn_noise = 0.0012;
    plan.roll_rad = 15 * BP_DEGREE;
    plan.roll_hz = 0.4;
    plan.side_m_s2 = 0.5;
    return plan;
}

static void prepare(void)
{
    bp_arena_reset(&arena);
    assert_int_equal(bp_motion_prepare(&bar.trace, &bp_motion_defaults, &arena, &motion, &error), BP_OK);
}

/* The largest angle between found and true "up" over samples [first, last], degrees. */
static double worst_up(size_t first, size_t last)
{
    double worst = 0;
    for (size_t i = first; i <= last; i++) {
        double found[3] = {motion.up[0][i], motion.up[1][i], motion.up[2][i]};
        double truth[3] = {bar.up[0][i], bar.up[1][i], bar.up[2][i]}, side[3];
        assert_true(fabs(bp_length(found) - 1) < 1e-12);
        bp_cross(found, truth, side);
        worst = fmax(worst, atan2(bp_length(side), bp_dot(found, truth)) / BP_DEGREE);
    }
    return worst;
}

static void up_follows_a_rolling_bar_through_gyroscope_bias(void **state)
{
    (void)state;
    struct bar_plan plan = rolling_plan();
    for (size_t a = 0; a < 3; a++) {
        plan.turn_bias[a] = (a == 1 ? -1 : 1) * BP_DEGREE; /* 1 deg/s on each axis */
    }
    plan.mount[0] = 0.8;
    plan.mount[1] = -0.5;
    bar_make(&bar, &plan);
    prepare();
    double worst = worst_up(0, bar.trace.count - 1);
    print_message("up is off by at most %f degrees\n", worst);
    assert_true(worst < 0.3);
}

/* No rest at all: the mean force of each half second has to do. */
static void up_is_found_roughly_without_any_rest(void **state)
{
    (void)state;
    struct bar_plan plan = rolling_plan();
    plan.turn_bias[0] = 2 * BP_DEGREE;
    plan.turn_bias[1] = -2 * BP_DEGREE;
    plan.moves_from_s = -1;
    plan.moves_to_s = 22;
    bar_make(&bar, &plan);
    prepare();
    assert_int_equal(motion.still.count, 0);
    double worst = worst_up(0, bar.trace.count - 1);
    print_message("up is off by at most %f degrees\n", worst);
    assert_true(worst < 1);
}

static void a_tilted_phone_without_gyroscope_knows_up_exactly(void **state)
{
    (void)state;
    struct bar_plan plan = bar_plan_plain;
    plan.gyroscope = false;
    plan.mount[0] = 0.4;
    plan.mount[1] = 1.0;
    plan.mount[2] = -0.3;
    bar_make(&bar, &plan);
    prepare();
    /* Straight up and down: the direction of the force never moves. */
    assert_true(worst_up(0, bar.trace.count - 1) < 1e-6);
    for (size_t i = 0; i < bar.trace.count; i++) {
        assert_true(fabs(motion.rise_m_s2[i] - bar.accel_m_s2[i]) < 1e-12);
        assert_true(motion.swing_m_s2[i] < 1e-12);
    }
    assert_null(motion.fore_m_s2);
    assert_null(motion.tilt_rad);
}

/* Keeps the rise, along and, with a gyroscope, fore of one phone, to hold another against. */
static double kept[3][BAR_MOST];

static void keep(void)
{
    const double *columns[] = {motion.rise_m_s2, motion.along_m_s2, motion.fore_m_s2};
    for (int c = 0; c < 3; c++) {
        if (columns[c]) {
            memcpy(kept[c], columns[c], bar.trace.count * sizeof kept[c][0]);
        }
    }
}

static void figures_do_not_depend_on_how_the_phone_is_mounted(void **state)
{
    (void)state;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = rolling_plan();
        plan.gyroscope = gyroscope;
        plan.turn_bias[1] = 0.01;
        bar_make(&bar, &plan);
        prepare();
        keep();
        bar_turn_phone(&bar, (const double[3]){2.1, -0.9, 0.6});
        prepare();
        assert_true(motion.along.known);
        double sign = motion.along_m_s2[1000] * kept[1][1000] < 0 ? -1 : 1;
        for (size_t i = 0; i < bar.trace.count; i++) {
            assert_true(fabs(motion.rise_m_s2[i] - kept[0][i]) < 1e-9);
            assert_true(fabs(motion.along_m_s2[i] - sign * kept[1][i]) < 1e-7);
        }
    }
}

static void both_sign_conventions_give_the_same_figures(void **state)
{
    (void)state;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = rolling_plan();
        plan.gyroscope = gyroscope;
        plan.force_bias[1] = 0.1;
        plan.mount[0] = 0.8;
        bar_make(&bar, &plan);
        prepare();
        keep();
        for (size_t i = 0; i < bar.trace.count; i++) {
            for (size_t a = 0; a < 3; a++) {
                bar.force[a][i] = -bar.force[a][i];
            }
        }
        prepare();
        double as_made = signal_rms(kept[1], bar.trace.count);
        assert_true(signal_distance(motion.rise_m_s2, kept[0], bar.trace.count) < 1e-12);
        assert_true(as_made > 0.1);
        assert_true(fabs(signal_rms(motion.along_m_s2, bar.trace.count) - as_made) < 1e-12);
        if (gyroscope) {
            assert_true(signal_distance(motion.fore_m_s2, kept[2], bar.trace.count) < 1e-12);
        }
    }
}

/* With a gyroscope the accelerations along the bar and across it are told from roll and tilt. */
static void sideways_accelerations_are_recovered_beside_roll(void **state)
{
    (void)state;
    struct bar_plan plan = rolling_plan();
    plan.turn_bias[2] = BP_DEGREE;
    plan.fore_m_s2 = 0.4;
    bar_make(&bar, &plan);
    prepare();
    assert_true(motion.along.known);
    double off_along = 0, off_rise = 0, off_fore[2] = {0}, n = (double)bar.trace.count;
    for (size_t i = 0; i < bar.trace.count; i++) {
        double rate, t = bar.time_s[i], share = bar_envelope(&plan, t, &rate);
        double along = plan.side_m_s2 * share * sin(2 * BP_PI * 2.3 * t);
        double fore = plan.fore_m_s2 * share * sin(2 * BP_PI * 1.7 * t);
        double sign = motion.along.axis[0] > 0 ? 1 : -1;
        off_along += pow(sign * motion.along_m_s2[i] - along, 2) / n;
        off_rise += pow(motion.rise_m_s2[i] - bar.accel_m_s2[i], 2) / n;
        off_fore[0] += pow(motion.fore_m_s2[i] - fore, 2) / n;
        off_fore[1] += pow(motion.fore_m_s2[i] + fore, 2) / n;
    }
    print_message("along off by %f, rise by %f m/s^2 rms\n", sqrt(off_along), sqrt(off_rise));
    assert_true(sqrt(off_along) < 0.02); /* 0.012 of it is noise */
    assert_true(sqrt(off_rise) < 0.016);
    assert_true(sqrt(fmin(off_fore[0], off_fore[1])) < 0.03); /* which way is forward nobody told */
}

/* The direction rocks by 3 degrees at 2 Hz about a fixed one. The force that stays upright is g (1 - cos θ)
 * shorter along the fixed one; one that is pushed sideways by a adds a sin θ. */
static void swing_is_the_force_along_up_less_that_along_its_slow_part(void **state)
{
    (void)state;
    struct bar_plan plan = bar_plan_plain;
    plan.gyroscope = false;
    plan.stroke_count = 0;
    bar_make(&bar, &plan);
    const double push = 20;
    double swing[BAR_MOST], *up[3] = {bar.up[0], bar.up[1], bar.up[2]};
    for (size_t i = 0; i < bar.trace.count; i++) {
        double angle = 3 * BP_DEGREE * sin(2 * BP_PI * 2 * bar.time_s[i]);
        bar.up[0][i] = sin(angle);
        bar.up[1][i] = 0;
        bar.up[2][i] = cos(angle);
        bar.force[0][i] = push * sin(angle);
        bar.force[1][i] = 0;
        bar.force[2][i] = BP_STANDARD_GRAVITY;
    }
    assert_int_equal(bp_attitude_swing(&bar.trace, up, &arena, swing, &error), BP_OK);
    double most = push * sin(3 * BP_DEGREE) * sin(3 * BP_DEGREE);
    for (size_t i = 800; i + 800 < bar.trace.count; i++) { /* away from the ends, where the mean is cut */
        double angle = 3 * BP_DEGREE * sin(2 * BP_PI * 2 * bar.time_s[i]);
        double want = push * sin(angle) * sin(angle) - BP_STANDARD_GRAVITY * (1 - cos(angle));
        assert_true(fabs(swing[i] - want) < 0.05 * most);
    }
}

static double told[3][BAR_MOST];

/* The phone tells its attitude, off by `off_rad` about the bar for the second half of the log, and by
 * `rock_rad` at 0.1 Hz across it. */
static void tell_attitude(double off_rad, double rock_rad)
{
    for (size_t i = 0; i < bar.trace.count; i++) {
        double off[3] = {bar.time_s[i] > 10 ? off_rad : 0, rock_rad * sin(2 * BP_PI * 0.1 * bar.time_s[i]),
                         0};
        double up[3] = {bar.up[0][i], bar.up[1][i], bar.up[2][i]};
        bp_turn_out(bp_quaternion_of(off), up, up);
        for (int a = 0; a < 3; a++) {
            told[a][i] = up[a];
            bar.trace.up[a] = told[a];
        }
    }
}

static void attitude_told_by_the_phone_takes_the_gyroscopes_place(void **state)
{
    (void)state;
    static const double mounts[][3] = {{0, 0, 0}, {0.8, -0.5, 0}, {BP_PI, 0, 0}, {0, BP_PI / 2, 0.3}};
    for (size_t m = 0; m < sizeof mounts / sizeof *mounts; m++) {
        struct bar_plan plan = rolling_plan();
        plan.gyroscope = false;
        plan.side_m_s2 = 1;
        plan.sign = m == 1 ? -1 : 1;
        memcpy(plan.mount, mounts[m], sizeof plan.mount);
        bar_make(&bar, &plan);
        prepare();
        double alone = bar_rms_error(motion.rise_m_s2, bar.accel_m_s2, 0, bar.trace.count - 1);
        tell_attitude(0, 0);
        prepare();
        assert_null(motion.swing_m_s2);
        double worst = worst_up(0, bar.trace.count - 1);
        double beside = bar_rms_error(motion.rise_m_s2, bar.accel_m_s2, 0, bar.trace.count - 1);
        print_message("up is off by at most %f degrees, rise by %f, without it %f m/s^2\n", worst, beside,
                      alone);
        assert_true(worst < 1.5);
        assert_true(beside < 0.8 * alone);
    }
}

/* It is a prior: what it is off by shows where the bar rests, and for a while around. */
static void attitude_that_is_off_is_put_right_where_the_bar_rests(void **state)
{
    (void)state;
    struct bar_plan plan = rolling_plan();
    plan.gyroscope = false;
    bar_make(&bar, &plan);
    tell_attitude(6 * BP_DEGREE, 3 * BP_DEGREE);
    prepare();
    size_t rest = bar_index(&bar, 17.5);
    double at_rest = worst_up(rest, bar.trace.count - 1), moving = worst_up(0, bar.trace.count - 1);
    print_message("up is off by at most %f degrees at rest, %f moving\n", at_rest, moving);
    assert_true(at_rest < 1);
    assert_true(moving < 6);
}

static void attitude_told_beside_a_gyroscope_changes_nothing(void **state)
{
    (void)state;
    struct bar_plan plan = rolling_plan();
    bar_make(&bar, &plan);
    prepare();
    keep();
    tell_attitude(0.1, 0.1);
    prepare();
    assert_memory_equal(motion.rise_m_s2, kept[0], bar.trace.count * sizeof kept[0][0]);
}

static void every_allocation_may_fail(void **state)
{
    (void)state;
    for (int kind = 0; kind < 3; kind++) {
        struct bar_plan plan = rolling_plan();
        plan.gyroscope = kind == 1;
        plan.rate_hz = 500;
        bar_make(&bar, &plan);
        if (kind == 2) {
            tell_attitude(0, 0);
        }
        bool happened = true;
        size_t failed = 0;
        for (size_t n = 0; happened; n++) {
            bp_arena_free(&arena);
            failing_alloc_arm(n);
            enum bp_code code = bp_motion_prepare(&bar.trace, &bp_motion_defaults, &arena, &motion, &error);
            happened = failing_alloc_disarm();
            assert_int_equal(code, happened ? BP_ERR_MEMORY : BP_OK);
            failed += happened;
        }
        assert_true(failed >= 1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(up_follows_a_rolling_bar_through_gyroscope_bias),
        cmocka_unit_test(up_is_found_roughly_without_any_rest),
        cmocka_unit_test(a_tilted_phone_without_gyroscope_knows_up_exactly),
        cmocka_unit_test(figures_do_not_depend_on_how_the_phone_is_mounted),
        cmocka_unit_test(both_sign_conventions_give_the_same_figures),
        cmocka_unit_test(sideways_accelerations_are_recovered_beside_roll),
        cmocka_unit_test(swing_is_the_force_along_up_less_that_along_its_slow_part),
        cmocka_unit_test(attitude_told_by_the_phone_takes_the_gyroscopes_place),
        cmocka_unit_test(attitude_that_is_off_is_put_right_where_the_bar_rests),
        cmocka_unit_test(attitude_told_beside_a_gyroscope_changes_nothing),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
