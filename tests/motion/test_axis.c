/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/axis.h"
#include "motion/bar.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bar bar;

static double *up[3] = {bar.up[0], bar.up[1], bar.up[2]};

/* A bar that rolls by `roll_rad` under a phone mounted by the rotation vector. */
static void make_roll(double roll_rad, const double mount[3])
{
    struct bar_plan plan = bar_plan_plain;
    plan.roll_rad = roll_rad;
    plan.roll_hz = 0.4;
    memcpy(plan.mount, mount, sizeof plan.mount);
    bar_make(&bar, &plan);
}

static void hold_axis(struct bp_bar_axis found, double x, double y, double z, double slack)
{
    const double want[3] = {x, y, z};
    for (int a = 0; a < 3; a++) {
        assert_true(fabs(found.axis[a] - want[a]) <= slack);
    }
}

static void axis_is_what_the_bar_rolls_about(void **state)
{
    (void)state;
    const double mounts[][3] = {
        {0, 0, 0}, {0, 0, BP_PI / 2}, {0.4, 0, BP_PI / 2}, {2.1, -0.9, 0.6}, {0, 1, 0}};
    for (size_t n = 0; n < sizeof mounts / sizeof *mounts; n++) {
        make_roll(12 * BP_DEGREE, mounts[n]);
        struct bp_bar_axis found =
            bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, -1);
        double want[3] = {1, 0, 0};
        bp_turn_out(bp_quaternion_of(mounts[n]), want, want);
        assert_true(found.known);
        assert_true(fabs(fabs(bp_dot(found.axis, want)) - 1) < 1e-9);
        assert_true(fabs(bp_length(found.axis) - 1) < 1e-12);
    }
}

static void axis_has_its_largest_component_positive(void **state)
{
    (void)state;
    const double backward[3] = {0, 0, BP_PI - 0.2};
    make_roll(12 * BP_DEGREE, backward);
    hold_axis(bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, -1),
              cos(0.2), -sin(0.2), 0, 1e-6);
}

static void axis_given_is_believed(void **state)
{
    (void)state;
    const double none[3] = {0};
    make_roll(12 * BP_DEGREE, none);
    for (int given = 0; given < 3; given++) {
        struct bp_bar_axis found =
            bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, given);
        assert_true(found.known);
        hold_axis(found, given == 0, given == 1, given == 2, 0);
    }
}

static void axis_is_assumed_to_be_y_without_roll(void **state)
{
    (void)state;
    const double none[3] = {0};
    make_roll(0.3 * BP_DEGREE, none);
    struct bp_bar_axis found =
        bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, -1);
    assert_false(found.known);
    hold_axis(found, 0, 1, 0, 0);
}

static void axis_is_assumed_to_be_x_when_y_stands_upright(void **state)
{
    (void)state;
    const double upright[3] = {-BP_PI / 2, 0, 0};
    make_roll(0, upright);
    struct bp_bar_axis found =
        bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, -1);
    assert_false(found.known);
    hold_axis(found, 1, 0, 0, 0);
}

/* "Up" that wanders as much one way as the other singles out no axis. */
static void axis_is_not_believed_when_up_wanders_every_way(void **state)
{
    (void)state;
    const double none[3] = {0};
    make_roll(0, none);
    for (size_t i = 0; i < bar.trace.count; i++) {
        bar.up[0][i] = 0.1 * sin(2 * BP_PI * 0.5 * bar.time_s[i]);
        bar.up[1][i] = 0.1 * cos(2 * BP_PI * 0.5 * bar.time_s[i]);
        bar.up[2][i] = sqrt(1 - 0.01);
    }
    assert_false(
        bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, -1).known);
}

/* A bar that rolls by half a degree (sd) and tilts by less is no sure sign of where it lies, but a likelier
 * one than how phones are strapped on; a force that is followed would swing so of being pushed. */
static void axis_is_guessed_from_a_little_roll_with_a_gyroscope(void **state)
{
    (void)state;
    const double none[3] = {0};
    make_roll(0, none);
    const struct bp_spell all = {0, bar.trace.count - 1};
    for (size_t i = 0; i < bar.trace.count; i++) {
        bar.up[0][i] = 0.008 * sin(2 * BP_PI * 0.4 * bar.time_s[i]);
        bar.up[1][i] = 0.014 * cos(2 * BP_PI * 0.4 * bar.time_s[i]);
        bar.up[2][i] = 1;
    }
    struct bp_bar_axis found = bp_axis_find(up, bar.trace.time_s, all, true, -1);
    assert_false(found.known);
    hold_axis(found, 1, 0, 0, 0.05);
    found = bp_axis_find(up, bar.trace.time_s, all, false, -1);
    assert_false(found.known);
    hold_axis(found, 0, 1, 0, 0);
}

/* The phone lying on the floor first, turned by 90 degrees about another axis, is no roll of the bar. */
static void axis_is_not_misled_by_handling(void **state)
{
    (void)state;
    const double none[3] = {0};
    make_roll(8 * BP_DEGREE, none);
    for (size_t i = 0; i < 120; i++) {
        bar.up[0][i] = 1;
        bar.up[1][i] = bar.up[2][i] = 0;
    }
    struct bp_bar_axis found =
        bp_axis_find(up, bar.trace.time_s, (struct bp_spell){0, bar.trace.count - 1}, false, -1);
    assert_true(found.known);
    hold_axis(found, 1, 0, 0, 0.05); /* the mean of "up" is itself pulled a little */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(axis_is_what_the_bar_rolls_about),
        cmocka_unit_test(axis_has_its_largest_component_positive),
        cmocka_unit_test(axis_given_is_believed),
        cmocka_unit_test(axis_is_assumed_to_be_y_without_roll),
        cmocka_unit_test(axis_is_assumed_to_be_x_when_y_stands_upright),
        cmocka_unit_test(axis_is_not_believed_when_up_wanders_every_way),
        cmocka_unit_test(axis_is_guessed_from_a_little_roll_with_a_gyroscope),
        cmocka_unit_test(axis_is_not_misled_by_handling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
