/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
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
static struct bp_track track;
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

/* Minimum-jerk strokes between rests, a bias of 0.15 m/s^2 upward, uneven timestamps, sensor noise. */
static struct bar_plan biased_plan(bool gyroscope)
{
    struct bar_plan plan = bar_plan_plain;
    plan.uneven = 0.3;
    plan.force_noise = 0.012;
    plan.turn_noise = 0.0012;
    plan.force_bias[2] = 0.15;
    plan.gyroscope = gyroscope;
    return plan;
}

static void prepare(void)
{
    bp_arena_reset(&arena);
    assert_int_equal(bp_motion_prepare(&bar.trace, &bp_motion_defaults, &arena, &motion, &error), BP_OK);
}

static void find(const struct bp_closures *closures)
{
    assert_int_equal(bp_track_find(&motion, closures, NULL, &arena, &track, &error), BP_OK);
    assert_int_equal(track.count, bar.trace.count);
    assert_ptr_equal(track.time_s, bar.time_s);
}

static double speed_error(void)
{
    return bar_rms_error(track.speed_m_s, bar.speed_m_s, 0, track.count - 1);
}

static double height_error(void)
{
    return bar_rms_error(track.height_m, bar.height_m, 0, track.count - 1);
}

/* Stated bounds: 5 mm/s and 5 mm rms over the whole log. */
static void closed_form_motion_is_recovered_through_a_constant_bias(void **state)
{
    (void)state;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = biased_plan(gyroscope);
        bar_make(&bar, &plan);
        prepare();
        find(NULL);
        print_message("speed off by %f m/s, height by %f m rms\n", speed_error(), height_error());
        assert_true(speed_error() < 0.005);
        assert_true(height_error() < 0.005);
        assert_true(bar_rms_error(track.accel_m_s2, bar.accel_m_s2, 0, track.count - 1) < 0.02);
    }
}

/* The same while the phone rolls with the bar, so that the bias points elsewhere all the time. */
static void bias_is_told_from_motion_while_the_bar_rolls(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(true);
    plan.roll_rad = 12 * BP_DEGREE;
    plan.roll_hz = 0.4;
    plan.force_bias[1] = -0.15;
    bar_make(&bar, &plan);
    prepare();
    find(NULL);
    print_message("speed off by %f m/s, height by %f m rms\n", speed_error(), height_error());
    assert_true(speed_error() < 0.02);
    assert_true(height_error() < 0.03);
}

static void both_sign_conventions_give_the_same_track(void **state)
{
    (void)state;
    static double height[BAR_MOST], speed[BAR_MOST];
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = biased_plan(gyroscope);
        bar_make(&bar, &plan);
        prepare();
        find(NULL);
        memcpy(height, track.height_m, track.count * sizeof *height);
        memcpy(speed, track.speed_m_s, track.count * sizeof *speed);
        for (size_t i = 0; i < bar.trace.count; i++) {
            for (size_t a = 0; a < 3; a++) {
                bar.force[a][i] = -bar.force[a][i];
            }
        }
        prepare();
        find(NULL);
        assert_true(signal_distance(height, track.height_m, track.count) < 1e-10);
        assert_true(signal_distance(speed, track.speed_m_s, track.count) < 1e-10);
    }
}

/* Speed is the slope of height: over a step of linear acceleration the slope is the mean speed less
 * dt (a1 - a0) / 12. What the smoother moved between its knots must not come in between; here it moves much,
 * being told that a top and a bottom are equally high. */
static void speed_is_the_slope_of_height(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(false);
    bar_make(&bar, &plan);
    prepare();
    size_t top = bar_index(&bar, 7.8), bottom = bar_index(&bar, 9.5);
    struct bp_closure list[] = {{BP_CLOSURE_LEVEL, BP_LEVEL_TOP, top, top, 1e-3},
                                {BP_CLOSURE_LEVEL, BP_LEVEL_TOP, bottom, bottom, 1e-3}};
    struct bp_closures closures = {.count = 2, .list = list};
    find(&closures);
    for (size_t i = 1; i < track.count; i++) {
        double dt = bar.time_s[i] - bar.time_s[i - 1];
        double slope = (track.height_m[i] - track.height_m[i - 1]) / dt;
        double mean = (track.speed_m_s[i] + track.speed_m_s[i - 1]) / 2;
        double bend = dt * (track.accel_m_s2[i] - track.accel_m_s2[i - 1]) / 12;
        assert_true(fabs(slope - mean + bend) < 2e-5);
    }
}

/* Half a second is missing in the middle of a stroke: what went on there is unknown, and after the next rest
 * nothing of it is left. */
static void a_gap_in_a_stroke_does_not_break_the_rest(void **state)
{
    (void)state;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = biased_plan(gyroscope);
        bar_make(&bar, &plan);
        bar_cut(&bar, bar_index(&bar, 8.3), bar_index(&bar, 8.8));
        prepare();
        find(NULL);
        size_t before = bar_index(&bar, 8), after = bar_index(&bar, 9.4), last = track.count - 1;
        double speed_before = bar_rms_error(track.speed_m_s, bar.speed_m_s, 0, before);
        double speed_after = bar_rms_error(track.speed_m_s, bar.speed_m_s, after, last);
        print_message("speed off by %f before and %f m/s after\n", speed_before, speed_after);
        assert_true(speed_before < 0.01 && speed_after < 0.01);
        assert_true(fabs(track.height_m[last]) < 0.15); /* the first pass knows the rack to 0.1 m */
        for (size_t i = 0; i < track.count; i++) {
            assert_true(fabs(track.height_m[i]) < 1 && fabs(track.speed_m_s[i]) < 2);
        }
    }
}

/* The doubt a gap leaves is owned up to. */
static void a_gap_widens_the_stated_uncertainty(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(true);
    bar_make(&bar, &plan);
    prepare();
    find(NULL);
    double height_sd = track.height_sd_m, speed_sd = track.speed_sd_m_s;
    assert_true(height_sd > 0 && speed_sd > 0);
    bar_cut(&bar, bar_index(&bar, 8.3), bar_index(&bar, 8.8));
    prepare();
    find(NULL);
    assert_true(track.height_sd_m > 2 * height_sd);
    assert_true(track.speed_sd_m_s > speed_sd);
}

/* Told that the tops are as high as each other and that the bar came back to the rack, the smoother closes a
 * gap that it could not close alone. */
static void closures_pin_the_levels(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(true);
    bar_make(&bar, &plan);
    bar_cut(&bar, bar_index(&bar, 8.3), bar_index(&bar, 8.8));
    prepare();
    const double seen_s[] = {1.5, 4.8, 7.3, 9.8, 12.2, 14.8, 18.5};
    const enum bp_level levels[] = {BP_LEVEL_BOTTOM, BP_LEVEL_TOP, BP_LEVEL_BOTTOM, BP_LEVEL_TOP,
                                    BP_LEVEL_BOTTOM, BP_LEVEL_TOP, BP_LEVEL_BOTTOM};
    struct bp_closure list[7];
    for (size_t c = 0; c < 7; c++) {
        size_t at = bar_index(&bar, seen_s[c]);
        list[c] = (struct bp_closure){BP_CLOSURE_LEVEL, levels[c], at, at, 0.002};
    }
    struct bp_closures closures = {.count = 7, .list = list};
    find(&closures);
    for (size_t c = 0; c < 7; c++) {
        assert_true(fabs(track.height_m[list[c].first] - bar.height_m[list[c].first]) < 0.01);
    }
}

/* A hold is a stretch in which the bar hardly moves: it binds the speed there. */
static void a_hold_binds_the_speed(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(true);
    plan.moves_from_s = -1; /* rolls throughout, so that there is no rest */
    plan.moves_to_s = 22;
    plan.roll_rad = 12 * BP_DEGREE;
    plan.roll_hz = 0.4;
    plan.force_bias[1] = 0.15;
    bar_make(&bar, &plan);
    prepare();
    assert_int_equal(motion.still.count, 0);
    struct bp_closures none = {0};
    find(&none);
    double without = bar_rms_error(track.speed_m_s, bar.speed_m_s, 0, track.count - 1);
    const double holds_s[][2] = {{0.5, 2.8}, {4.4, 5.3}, {6.9, 7.8}, {9.4, 10.3}, {11.9, 12.8}, {14.4, 15.3}};
    struct bp_closure list[6];
    for (size_t c = 0; c < 6; c++) {
        list[c] = (struct bp_closure){BP_CLOSURE_HOLD, BP_LEVEL_TOP, bar_index(&bar, holds_s[c][0]),
                                      bar_index(&bar, holds_s[c][1]), 0.01};
    }
    struct bp_closures closures = {.count = 6, .list = list};
    find(&closures);
    double with = bar_rms_error(track.speed_m_s, bar.speed_m_s, 0, track.count - 1);
    print_message("speed off by %f m/s without the holds, %f with\n", without, with);
    assert_true(with < without / 3 && with < 0.05);
}

/* Nothing but the sensors says how high the bar is held, and they are unsure of it without a gyroscope. */
static void a_level_is_drawn_to_where_it_is_said_to_lie_over_the_rack(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(false);
    bar_make(&bar, &plan);
    prepare();
    size_t held = bar_index(&bar, 7.3);
    struct bp_closure list[2] = {
        {BP_CLOSURE_LEVEL, BP_LEVEL_RACK, bar_index(&bar, 1), bar_index(&bar, 1), 0.015},
        {BP_CLOSURE_LEVEL, BP_LEVEL_TOP, held, held, 0.008}};
    struct bp_closures closures = {.count = 2, .list = list};
    find(&closures);
    double anywhere = track.height_m[held] - track.height_m[list[0].first];
    closures.over_rack.level = BP_LEVEL_TOP;
    closures.over_rack.height_m = anywhere;
    closures.over_rack.sd_m = 0.1;
    find(&closures);
    assert_true(fabs(track.height_m[held] - track.height_m[list[0].first] - anywhere) < 1e-6);
    closures.over_rack.height_m = anywhere + 0.1;
    find(&closures);
    double drawn = track.height_m[held] - track.height_m[list[0].first] - anywhere;
    print_message("drawn up by %f m of 0.1\n", drawn);
    assert_true(drawn > 1e-5 && drawn < 0.1);
}

static void every_allocation_may_fail(void **state)
{
    (void)state;
    struct bar_plan plan = biased_plan(true);
    plan.rate_hz = 500;
    bar_make(&bar, &plan);
    prepare();
    struct bp_arena own;
    bp_arena_init(&own);
    bool happened = true;
    size_t failed = 0;
    for (size_t n = 0; happened; n++) {
        bp_arena_free(&own);
        failing_alloc_arm(n);
        enum bp_code code = bp_track_find(&motion, NULL, NULL, &own, &track, &error);
        happened = failing_alloc_disarm();
        assert_int_equal(code, happened ? BP_ERR_MEMORY : BP_OK);
        failed += happened;
    }
    assert_true(failed >= 1);
    bp_arena_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closed_form_motion_is_recovered_through_a_constant_bias),
        cmocka_unit_test(bias_is_told_from_motion_while_the_bar_rolls),
        cmocka_unit_test(both_sign_conventions_give_the_same_track),
        cmocka_unit_test(speed_is_the_slope_of_height),
        cmocka_unit_test(a_gap_in_a_stroke_does_not_break_the_rest),
        cmocka_unit_test(a_gap_widens_the_stated_uncertainty),
        cmocka_unit_test(closures_pin_the_levels),
        cmocka_unit_test(a_hold_binds_the_speed),
        cmocka_unit_test(a_level_is_drawn_to_where_it_is_said_to_lie_over_the_rack),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
