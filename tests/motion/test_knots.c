/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "motion/bar.h"
#include "motion/knots.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bar bar;
static double rise[BAR_MOST], swing[BAR_MOST];
static struct bp_motion motion;
static struct bp_arena arena;
static struct bp_knots knots;

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

/* Uneven timestamps, nothing moves yet. */
static void make_motion(double rate_hz, double duration_s, double uneven)
{
    struct bar_plan plan = bar_plan_plain;
    plan.rate_hz = rate_hz;
    plan.duration_s = duration_s;
    plan.uneven = uneven;
    plan.stroke_count = 0;
    bar_make(&bar, &plan);
    motion = (struct bp_motion){.trace = &bar.trace, .rise_m_s2 = rise};
    for (int a = 0; a < 3; a++) {
        motion.up[a] = bar.up[a];
    }
    memset(rise, 0, sizeof rise);
}

static double knot_time(size_t k)
{
    return bar.time_s[knots.sample[k]];
}

static bool is_knot(size_t sample)
{
    for (size_t k = 0; k < knots.count; k++) {
        if (knots.sample[k] == sample) {
            return true;
        }
    }
    return false;
}

static void knots_run_from_the_first_sample_to_the_last(void **state)
{
    (void)state;
    make_motion(97, 10, 0.4);
    assert_true(bp_knots_make(&motion, NULL, 0.125, &arena, &knots));
    assert_int_equal(knots.sample[0], 0);
    assert_int_equal(knots.sample[knots.count - 1], bar.trace.count - 1);
    double total = 0;
    for (size_t k = 1; k < knots.count; k++) {
        double length = knot_time(k) - knot_time(k - 1);
        assert_true(knots.sample[k] > knots.sample[k - 1]);
        assert_true(fabs(knots.length_s[k] - length) < 1e-12);
        assert_true(length < 0.125 + 2.0 / 97);
        total += knots.length_s[k];
    }
    assert_true(fabs(total - bar.time_s[bar.trace.count - 1]) < 1e-12);
}

static void knots_lie_at_closures_and_at_both_ends_of_a_gap(void **state)
{
    (void)state;
    struct bp_closure list[] = {{BP_CLOSURE_LEVEL, BP_LEVEL_TOP, 123, 123, 0.01},
                                {BP_CLOSURE_HOLD, BP_LEVEL_TOP, 333, 379, 0.02},
                                {BP_CLOSURE_LEVEL, BP_LEVEL_RACK, 0, 0, 0.01}};
    struct bp_closures closures = {.count = 3, .list = list};
    make_motion(100, 10, 0.3);
    bar_cut(&bar, 700, 730);
    assert_true(bp_knots_make(&motion, &closures, 0.5, &arena, &knots));
    assert_true(is_knot(123) && is_knot(333) && is_knot(0));
    assert_true(is_knot(699) && is_knot(700));
    assert_false(is_knot(124));
}

/* a = c0 + c1 t: speed and height are exact whatever the timestamps. */
static void linear_acceleration_is_summed_exactly(void **state)
{
    (void)state;
    const double c0 = -3, c1 = 1.7;
    make_motion(83, 8, 0.45);
    for (size_t i = 0; i < bar.trace.count; i++) {
        rise[i] = c0 + c1 * bar.time_s[i];
    }
    assert_true(bp_knots_make(&motion, NULL, 0.3, &arena, &knots));
    for (size_t k = 1; k < knots.count; k++) {
        double s = knot_time(k - 1), T = knots.length_s[k], a = c0 + c1 * s;
        assert_true(fabs(knots.speed[k] - (a * T + c1 * T * T / 2)) < 1e-13);
        assert_true(fabs(knots.height[k] - (a * T * T / 2 + c1 * T * T * T / 6)) < 1e-13);
        assert_true(knots.rough[k] < 1e-26);
    }
}

/* a = t³: the rest of the trapezoid rule over steps of at most d is T d² max|a''| / 12. */
static void cubic_acceleration_is_summed_to_the_order_of_the_rule(void **state)
{
    (void)state;
    make_motion(100, 4, 0.45);
    for (size_t i = 0; i < bar.trace.count; i++) {
        rise[i] = pow(bar.time_s[i], 3);
    }
    assert_true(bp_knots_make(&motion, NULL, 0.4, &arena, &knots));
    for (size_t k = 1; k < knots.count; k++) {
        double s = knot_time(k - 1), e = knot_time(k), d = 1.9 / 100;
        double error = fabs(knots.speed[k] - (pow(e, 4) - pow(s, 4)) / 4);
        assert_true(error < (e - s) * d * d * 6 * e / 12);
        assert_true(error > 0);
    }
}

/* Half a period of a sine at f, sampled at fs: its integral 1/(πf) comes out H times too small,
 * H = (πf/fs) / tan(πf/fs) (1 + sin²(2πf/fs) / 12): the trapezoid rule's known gain, and that of a twelfth of
 * the second difference, told over two samples to either side (20 ms), taken off. The rule by itself would
 * lose 3.3 % where this loses 0.5 %. The log's first two samples and its last have no bend. */
static void sinusoids_lose_little_more_than_their_third_order(void **state)
{
    (void)state;
    const struct {
        size_t half; /* samples in half a period */
        double gain;
    } table[] = {{50, 0.999999}, {25, 0.999991}, {10, 0.999654}, {5, 0.994720}}; /* f/fs .01 .02 .05 .1 */
    for (size_t n = 0; n < sizeof table / sizeof *table; n++) {
        double rate = 100, half_s = (double)table[n].half / rate, hz = 0.5 / half_s;
        make_motion(rate, 20 * half_s, 0);
        for (size_t i = 0; i < bar.trace.count; i++) {
            rise[i] = sin(2 * BP_PI * hz * bar.time_s[i]);
        }
        assert_true(bp_knots_make(&motion, NULL, half_s - 0.1 / rate, &arena, &knots));
        assert_int_equal(knots.count, 21);
        for (size_t k = 2; k + 1 < knots.count; k++) {
            double whole = (k % 2 == 1 ? 1 : -1) / (BP_PI * hz);
            assert_true(fabs(knots.speed[k] / whole - table[n].gain) < 6e-7);
        }
    }
}

/* A bias of one axis adds up·T to the speed and up·T²/2 to the height; the swing's share the swing's own. */
static void errors_add_what_a_bias_along_up_would(void **state)
{
    (void)state;
    make_motion(83, 6, 0.4);
    motion.swing_m_s2 = swing;
    for (size_t i = 0; i < bar.trace.count; i++) {
        bar.up[0][i] = 0.6;
        bar.up[1][i] = 0;
        bar.up[2][i] = -0.8;
        swing[i] = 0.3 * bar.time_s[i];
    }
    assert_true(bp_knots_make(&motion, NULL, 0.2, &arena, &knots));
    for (size_t k = 1; k < knots.count; k++) {
        double T = knots.length_s[k], s = knot_time(k - 1);
        const double up[3] = {0.6, 0, -0.8};
        for (int a = 0; a < 3; a++) {
            assert_true(fabs(knots.speed_error[k][a] - up[a] * T) < 1e-14);
            assert_true(fabs(knots.height_error[k][a] - up[a] * T * T / 2) < 1e-14);
        }
        assert_true(fabs(knots.speed_error[k][BP_ERROR_LEAN] - 0.3 * (s * T + T * T / 2)) < 1e-14);
        assert_true(fabs(knots.height_error[k][BP_ERROR_LEAN] - 0.3 * (s * T * T / 2 + T * T * T / 6)) <
                    1e-14);
    }
}

/* A level that is off by a rad would turn all of the fore-aft acceleration into a vertical one. */
static void fore_aft_acceleration_leans_up_with_a_gyroscope(void **state)
{
    (void)state;
    make_motion(100, 4, 0);
    motion.fore_m_s2 = swing;
    for (size_t i = 0; i < bar.trace.count; i++) {
        swing[i] = 0.3;
    }
    assert_true(bp_knots_make(&motion, NULL, 0.2, &arena, &knots));
    for (size_t k = 1; k < knots.count; k++) {
        double T = knots.length_s[k];
        assert_true(fabs(knots.speed_error[k][BP_ERROR_LEAN] - 0.3 * T) < 1e-14);
        assert_true(fabs(knots.height_error[k][BP_ERROR_LEAN] - 0.3 * T * T / 2) < 1e-14);
    }
}

static void nothing_leans_up_where_no_fore_aft_acceleration_is_known(void **state)
{
    (void)state;
    make_motion(100, 4, 0);
    assert_true(bp_knots_make(&motion, NULL, 0.2, &arena, &knots));
    for (size_t k = 0; k < knots.count; k++) {
        assert_true(knots.speed_error[k][BP_ERROR_LEAN] == 0 && knots.height_error[k][BP_ERROR_LEAN] == 0);
    }
}

/* White noise of sd σ: variance of the summed speed σ² Σ dt². */
static void roughness_is_the_variance_white_noise_gives_the_speed(void **state)
{
    (void)state;
    const double sd = 0.2;
    make_motion(200, 50, 0.2);
    signal_noise(rise, bar.trace.count, 3);
    double rough = 0, want = 0;
    for (size_t i = 0; i < bar.trace.count; i++) {
        rise[i] = sd * rise[i] + 4 * sin(2 * BP_PI * 0.5 * bar.time_s[i]);
        want += i > 0 ? sd * sd * pow(bar.time_s[i] - bar.time_s[i - 1], 2) : 0;
    }
    assert_true(bp_knots_make(&motion, NULL, 0.125, &arena, &knots));
    for (size_t k = 1; k < knots.count; k++) {
        rough += knots.rough[k];
    }
    assert_true(fabs(rough / want - 1) < 0.05);
}

static void gaps_and_clipping_are_counted_where_they_lie(void **state)
{
    (void)state;
    make_motion(100, 10, 0);
    bar_cut(&bar, 400, 449);
    for (size_t i = 600; i < 605; i++) {
        bar.marks[i] |= BP_MARK_CLIPPED;
    }
    bar.marks[702] |= BP_MARK_CLIPPED;
    assert_true(bp_knots_make(&motion, NULL, 0.25, &arena, &knots));
    double gap = 0, clipped = 0;
    for (size_t k = 1; k < knots.count; k++) {
        gap += knots.gap_s[k];
        clipped += knots.clipped_s2[k];
        assert_true(knots.gap_s[k] == 0 || knots.sample[k] == 400);
        assert_true(knots.clipped_s2[k] == 0 || (knots.sample[k] >= 600 && knots.sample[k - 1] <= 604) ||
                    (knots.sample[k] >= 702 && knots.sample[k - 1] < 702));
    }
    assert_true(fabs(gap - 0.51) < 1e-9);
    assert_true(fabs(clipped - (0.05 * 0.05 + 0.01 * 0.01)) < 1e-9); /* a run at once, runs apart */
}

static void memory_that_is_out_is_reported(void **state)
{
    (void)state;
    make_motion(500, 20, 0);
    bool happened = true;
    size_t failed = 0;
    for (size_t n = 0; happened; n++) {
        bp_arena_free(&arena);
        failing_alloc_arm(n);
        bool made = bp_knots_make(&motion, NULL, 0.002, &arena, &knots);
        happened = failing_alloc_disarm();
        assert_int_equal(made, !happened);
        failed += happened;
    }
    assert_true(failed >= 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(knots_run_from_the_first_sample_to_the_last),
        cmocka_unit_test(knots_lie_at_closures_and_at_both_ends_of_a_gap),
        cmocka_unit_test(linear_acceleration_is_summed_exactly),
        cmocka_unit_test(cubic_acceleration_is_summed_to_the_order_of_the_rule),
        cmocka_unit_test(sinusoids_lose_little_more_than_their_third_order),
        cmocka_unit_test(errors_add_what_a_bias_along_up_would),
        cmocka_unit_test(fore_aft_acceleration_leans_up_with_a_gyroscope),
        cmocka_unit_test(nothing_leans_up_where_no_fore_aft_acceleration_is_known),
        cmocka_unit_test(roughness_is_the_variance_white_noise_gives_the_speed),
        cmocka_unit_test(gaps_and_clipping_are_counted_where_they_lie),
        cmocka_unit_test(memory_that_is_out_is_reported),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
