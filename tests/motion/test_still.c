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
static struct bp_spells spells;
static struct bp_noise noise;
static struct bp_error error;

static const double force_sd = 0.012, turn_sd = 0.0012; /* of an ordinary phone at 200 Hz; m/s^2, rad/s */

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

static struct bar_plan noisy_plan(void)
{
    struct bar_plan plan = bar_plan_plain;
    plan.uneven = 0.2;
    plan.force_noise = force_sd;
    plan.turn_noise = turn_sd;
    plan.roll_rad = 10 * BP_DEGREE;
    plan.roll_hz = 0.4;
    return plan;
}

static void find(void)
{
    bp_arena_reset(&arena);
    assert_int_equal(bp_still_find(&bar.trace, &bp_still_defaults, &arena, &spells, &noise, NULL, &error),
                     BP_OK);
}

/* A log of five samples, each with the given force and rate of turn. */
static double statistic_of(const double force[3], const double turn[3], double sigma_f, double sigma_w)
{
    struct bar_plan plan = bar_plan_plain;
    plan.duration_s = 0.02;
    bar_make(&bar, &plan);
    for (size_t i = 0; i < bar.trace.count; i++) {
        for (size_t a = 0; a < 3; a++) {
            bar.force[a][i] = force[a];
            bar.turn[a][i] = turn[a];
        }
    }
    return bp_still_statistic(&bar.trace, 0, bar.trace.count - 1, BP_STANDARD_GRAVITY, sigma_f, sigma_w);
}

/* From the formula of Skog et al. 2010 with one sample's worth of each term. */
static void statistic_has_its_check_values(void **state)
{
    (void)state;
    const double rest[3] = {0, 0, BP_STANDARD_GRAVITY}, pushed[3] = {0, 0, BP_STANDARD_GRAVITY + 0.05};
    const double none[3] = {0}, turning[3] = {0.002, 0, 0};
    assert_true(statistic_of(rest, none, 0.01, 0.002) < 1e-20);
    assert_true(fabs(statistic_of(rest, turning, 0.01, 0.002) - 1) < 1e-12);
    assert_true(fabs(statistic_of(pushed, none, 0.01, 0.002) - 25) < 1e-9);
    assert_true(fabs(statistic_of(pushed, turning, 0.01, 0.002) - 26) < 1e-9);
}

static void statistic_scales_with_one_over_the_variance(void **state)
{
    (void)state;
    struct bar_plan plan = noisy_plan();
    bar_make(&bar, &plan);
    double gravity = BP_STANDARD_GRAVITY;
    double one = bp_still_statistic(&bar.trace, 100, 199, gravity, 0.01, 0.001);
    double tenth = bp_still_statistic(&bar.trace, 100, 199, gravity, 0.1, 0.01);
    assert_true(one > 1 && fabs(one / tenth - 100) < 1e-9);
    bar.trace.gyroscope = false;
    double force_alone = bp_still_statistic(&bar.trace, 100, 199, gravity, 0.01, 0.001);
    assert_true(force_alone > 0 && force_alone < one);
    assert_true(fabs(force_alone / bp_still_statistic(&bar.trace, 100, 199, gravity, 0.02, 9) - 4) < 1e-9);
}

static void statistic_does_not_change_when_the_phone_is_turned(void **state)
{
    (void)state;
    struct bar_plan plan = noisy_plan();
    bar_make(&bar, &plan);
    double as_made = bp_still_statistic(&bar.trace, 700, 760, 9.8, force_sd, turn_sd);
    const double turn[3] = {0.7, -1.1, 2.0};
    bar_turn_phone(&bar, turn);
    double turned = bp_still_statistic(&bar.trace, 700, 760, 9.8, force_sd, turn_sd);
    assert_true(as_made > 10 && fabs(turned / as_made - 1) < 1e-9);
}

/* Whether sample i lies in a spell. */
static bool found_still(size_t i)
{
    for (size_t s = 0; s < spells.count; s++) {
        if (spells.list[s].first <= i && i <= spells.list[s].last) {
            return true;
        }
    }
    return false;
}

/* Samples in the moving part that are called still, and resting ones well inside the rests that are not. */
static void count_wrong(const struct bar_plan *plan, size_t *moving, size_t *resting)
{
    *moving = *resting = 0;
    for (size_t i = 0; i < bar.trace.count; i++) {
        double t = bar.time_s[i];
        bool rests = t < plan->moves_from_s - 0.2 || t > plan->moves_to_s + 0.2;
        *moving += fabs(bar.speed_m_s[i]) > 0.1 && found_still(i);
        *resting += rests && !found_still(i);
    }
}

static void rests_are_found_and_movement_is_not(void **state)
{
    (void)state;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = noisy_plan();
        size_t moving, resting;
        plan.gyroscope = gyroscope;
        bar_make(&bar, &plan);
        find();
        count_wrong(&plan, &moving, &resting);
        assert_true(spells.count >= 2);
        assert_int_equal(moving, 0);
        assert_int_equal(resting, 0);
    }
}

static void spells_come_in_order_and_are_long_enough(void **state)
{
    (void)state;
    struct bar_plan plan = noisy_plan();
    plan.roll_rad = 0;
    bar_make(&bar, &plan);
    find();
    assert_true(spells.count >= 7); /* before, between and after six strokes */
    for (size_t s = 0; s < spells.count; s++) {
        double length = bar.time_s[spells.list[s].last] - bar.time_s[spells.list[s].first];
        assert_true(length >= bp_still_defaults.least_spell_s);
        assert_true(s == 0 || spells.list[s].first > spells.list[s - 1].last);
    }
    assert_int_equal(spells.list[0].first, 0);
    assert_int_equal(spells.list[spells.count - 1].last, bar.trace.count - 1);
}

static void noise_gravity_and_bias_are_recovered(void **state)
{
    (void)state;
    const double sizes[] = {0.25, 1, 4};
    for (size_t n = 0; n < sizeof sizes / sizeof *sizes; n++) {
        struct bar_plan plan = noisy_plan();
        plan.force_noise = force_sd * sizes[n];
        plan.turn_noise = turn_sd * sizes[n];
        plan.turn_bias[0] = 0.017;
        plan.turn_bias[1] = -0.008;
        plan.turn_bias[2] = 0.002;
        bar_make(&bar, &plan);
        find();
        assert_true(spells.count >= 2);
        assert_true(fabs(noise.force_sd / plan.force_noise - 1) < 0.1);
        assert_true(fabs(noise.turn_sd / plan.turn_noise - 1) < 0.1);
        assert_true(fabs(noise.gravity - BP_STANDARD_GRAVITY) < 5 * plan.force_noise / sqrt(1200));
        for (size_t a = 0; a < 3; a++) { /* 1200 resting samples */
            assert_true(fabs(noise.turn_bias[a] - plan.turn_bias[a]) < 5 * plan.turn_noise / sqrt(1200));
        }
    }
}

/* The statistic handed back is about 1 for pure noise, whatever the noise, and far more while moving. */
static void statistic_of_rest_is_about_one(void **state)
{
    (void)state;
    static double statistic[BAR_MOST];
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bar_plan plan = noisy_plan();
        plan.gyroscope = gyroscope;
        bar_make(&bar, &plan);
        assert_int_equal(
            bp_still_find(&bar.trace, &bp_still_defaults, &arena, &spells, &noise, statistic, &error), BP_OK);
        double sum = 0;
        for (size_t i = 0; i < 500; i++) {
            sum += statistic[i] / 500;
        }
        assert_true(sum > 0.8 && sum < 1.6);
        assert_true(statistic[bar_index(&bar, 3.3)] > 100);
    }
}

static void constant_shaking_has_no_still_spell(void **state)
{
    (void)state;
    const double hz[] = {0.6, 2, 7};
    for (size_t n = 0; n < sizeof hz / sizeof *hz; n++) {
        struct bar_plan plan = noisy_plan();
        bar_make(&bar, &plan);
        for (size_t i = 0; i < bar.trace.count; i++) {
            bar.force[0][i] += 1.5 * sin(2 * BP_PI * hz[n] * bar.time_s[i]);
            bar.force[2][i] += 1.5 * cos(2 * BP_PI * hz[n] * bar.time_s[i]);
        }
        find();
        assert_int_equal(spells.count, 0);
        assert_true(isnan(noise.gravity));
        assert_true(noise.turn_bias[0] == 0 && noise.turn_bias[1] == 0 && noise.turn_bias[2] == 0);
        assert_true(noise.force_sd > 0 && isfinite(noise.force_sd));
    }
}

/* Readings rounded to 0.1 m/s^2, coarser than the noise: at rest most of them repeat. */
static void a_coarse_grid_still_shows_the_rests(void **state)
{
    (void)state;
    const double grid = 0.1;
    struct bar_plan plan = noisy_plan();
    size_t moving, resting;
    bar_make(&bar, &plan);
    bar.trace.force_grid = grid;
    for (size_t i = 0; i < bar.trace.count; i++) {
        for (size_t a = 0; a < 3; a++) {
            bar.force[a][i] = grid * round(bar.force[a][i] / grid);
        }
    }
    find();
    count_wrong(&plan, &moving, &resting);
    assert_int_equal(moving, 0);
    assert_int_equal(resting, 0);
    assert_true(noise.force_sd >= grid / sqrt(12) * 0.999);
}

/* An offset of 40 mg seen through another roll: the second rest's gravity is longer, and it is a rest all the
 * same. What no offset makes is none. */
static void rests_of_slightly_different_gravity_are_both_found(void **state)
{
    (void)state;
    const double longer[] = {0.05, 0.4};
    for (size_t k = 0; k < 2; k++) {
        struct bar_plan plan = noisy_plan();
        plan.gyroscope = false;
        plan.force_noise = 0.004;
        bar_make(&bar, &plan);
        for (size_t i = 0; i < bar.trace.count; i++) {
            for (size_t a = 0; a < 3 && bar.time_s[i] > plan.moves_to_s - 1; a++) {
                bar.force[a][i] *= 1 + longer[k] / BP_STANDARD_GRAVITY;
            }
        }
        find();
        assert_int_equal(found_still(bar.trace.count / 20) && found_still(bar.trace.count - 100), k == 0);
    }
}

static void a_spell_ends_at_a_gap(void **state)
{
    (void)state;
    struct bar_plan plan = noisy_plan();
    bar_make(&bar, &plan);
    bar_cut(&bar, 250, 260);
    find();
    assert_true(spells.count >= 3);
    assert_int_equal(spells.list[0].last, 249);
    assert_int_equal(spells.list[1].first, 250);
}

static void a_log_shorter_than_the_window_has_no_spell(void **state)
{
    (void)state;
    struct bar_plan plan = noisy_plan();
    plan.duration_s = 0.015;
    bar_make(&bar, &plan);
    find();
    assert_int_equal(spells.count, 0);
    assert_true(isnan(noise.gravity) && noise.force_sd > 0);
}

static void memory_that_is_out_is_reported(void **state)
{
    (void)state;
    struct bar_plan plan = noisy_plan();
    bar_make(&bar, &plan);
    bp_arena_free(&arena);
    failing_alloc_arm(0);
    enum bp_code code = bp_still_find(&bar.trace, &bp_still_defaults, &arena, &spells, &noise, NULL, &error);
    assert_true(failing_alloc_disarm());
    assert_int_equal(code, BP_ERR_MEMORY);
    assert_int_equal(error.code, BP_ERR_MEMORY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(statistic_has_its_check_values),
        cmocka_unit_test(statistic_scales_with_one_over_the_variance),
        cmocka_unit_test(statistic_does_not_change_when_the_phone_is_turned),
        cmocka_unit_test(rests_are_found_and_movement_is_not),
        cmocka_unit_test(spells_come_in_order_and_are_long_enough),
        cmocka_unit_test(noise_gravity_and_bias_are_recovered),
        cmocka_unit_test(statistic_of_rest_is_about_one),
        cmocka_unit_test(constant_shaking_has_no_still_spell),
        cmocka_unit_test(a_coarse_grid_still_shows_the_rests),
        cmocka_unit_test(rests_of_slightly_different_gravity_are_both_found),
        cmocka_unit_test(a_spell_ends_at_a_gap),
        cmocka_unit_test(a_log_shorter_than_the_window_has_no_spell),
        cmocka_unit_test(memory_that_is_out_is_reported),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
