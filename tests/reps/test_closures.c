/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the reps say of the path, on exact paths in closed form: every closure must be true of it.
 */
#include "base/failing_alloc.h"
#include "lifted.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bp_closures closures;

static void close_path(const struct lifted_stroke *strokes, size_t count, enum bp_lift lift, size_t reps)
{
    struct bar_plan plan = lifted_plan(strokes, count);
    bar_make(&lifted.bar, &plan);
    assert_true(lifted_prepare(&lifted));
    assert_int_equal(lifted_find(&lifted, lift), BP_OK);
    assert_int_equal(lifted.reps.count, reps);
    assert_int_equal(bp_reps_closures(&lifted.motion, &lifted.track, &lifted.reps, lift, &lifted.arena,
                                      &closures, &lifted.error),
                     BP_OK);
}

/* Three bench reps with pauses at lockout and on the chest, rack at 0. */
static const struct lifted_stroke bench[] = {{0, 0.6, 0.07},    {1, 1.4, -0.33},  {0.5, 0.9, 0.07},
                                             {0.8, 1.4, -0.33}, {0.5, 1.1, 0.07}, {0.8, 1.5, -0.33},
                                             {0.7, 1.6, 0.07},  {1, 0.7, 0}};
static const struct lifted_stroke deadlift[] = {{0, 1.2, 0.55},  {0.6, 1, 0},    {1, 1.4, 0.55},
                                                {0.6, 1.2, 0.0}, {1, 1.6, 0.55}, {0.8, 1, 0}};

static size_t count_level(enum bp_level level)
{
    size_t count = 0;
    for (size_t c = 0; c < closures.count; c++) {
        count += closures.list[c].kind == BP_CLOSURE_LEVEL && closures.list[c].level == level;
    }
    return count;
}

/* Heights at one level differ by no more than three of the closures' sds; the bar moves no faster in a hold
 * than three of its. */
static void hold_true(void)
{
    const struct bar *bar = &lifted.bar;
    for (size_t c = 0; c < closures.count; c++) {
        const struct bp_closure *closure = &closures.list[c];
        assert_true(closure->sd > 0);
        assert_true(closure->first <= closure->last && closure->last < bar->trace.count);
        assert_true(c == 0 || closure->first >= closures.list[c - 1].first);
        for (size_t i = closure->first; i <= closure->last && closure->kind == BP_CLOSURE_HOLD; i++) {
            assert_true(fabs(bar->speed_m_s[i]) < 3 * closure->sd);
        }
        for (size_t d = 0; d < c && closure->kind == BP_CLOSURE_LEVEL; d++) {
            const struct bp_closure *other = &closures.list[d];
            if (other->kind == BP_CLOSURE_LEVEL && other->level == closure->level) {
                double apart = fabs(bar->height_m[closure->first] - bar->height_m[other->first]);
                assert_true(apart < 3 * fmax(closure->sd, other->sd));
            }
        }
    }
}

static void closures_of_a_bench_set_are_true_of_its_path(void **state)
{
    (void)state;
    close_path(bench, 8, BP_BENCH, 3);
    hold_true();
    assert_int_equal(count_level(BP_LEVEL_RACK), 2);
    assert_int_equal(count_level(BP_LEVEL_TOP), 4);
    assert_int_equal(count_level(BP_LEVEL_BOTTOM), 3);
}

static void a_bar_is_held_about_a_hand_over_its_rack(void **state)
{
    (void)state;
    close_path(bench, 8, BP_BENCH, 3);
    assert_int_equal(closures.over_rack.level, BP_LEVEL_TOP);
    assert_true(fabs(closures.over_rack.height_m - 0.07) < closures.over_rack.sd_m);
    close_path(deadlift, 6, BP_DEADLIFT, 3);
    assert_true(closures.over_rack.sd_m == 0);
}

static void closures_of_a_deadlift_set_hold_the_floor(void **state)
{
    (void)state;
    close_path(deadlift, 6, BP_DEADLIFT, 3);
    hold_true();
    assert_int_equal(count_level(BP_LEVEL_RACK), 0);
    assert_int_equal(count_level(BP_LEVEL_TOP), 3);
    assert_true(count_level(BP_LEVEL_BOTTOM) >= 5); /* three turnarounds, and the floor before and after */
}

static void touch_and_go_bottoms_are_levels_without_a_hold(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.1, -0.5}, {0, 0.9, 0}, {1, 1.1, -0.5}, {0, 0.9, 0}};
    close_path(strokes, 4, BP_SQUAT, 2);
    hold_true();
    for (size_t c = 0; c < closures.count; c++) {
        const struct bp_closure *closure = &closures.list[c];
        assert_false(closure->kind == BP_CLOSURE_HOLD && closure->level == BP_LEVEL_BOTTOM &&
                     closure->last - closure->first > 30);
    }
    assert_int_equal(count_level(BP_LEVEL_BOTTOM), 2);
}

/* A bar left on the safeties is not back in the rack. */
static void a_bar_left_down_does_not_close_the_rack(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.07}, {1, 1.4, -0.6}, {0, 1, 0.07},
                                            {1, 1.4, -0.6}, {0, 1.2, -0.3}, {0.2, 0.8, -0.65}};
    close_path(strokes, 6, BP_SQUAT, 2);
    assert_true(lifted.reps.list[1].left_down);
    hold_true();
    assert_int_equal(count_level(BP_LEVEL_RACK), 1);
    assert_int_equal(count_level(BP_LEVEL_BOTTOM), 3); /* two turnarounds, and where it lies */
}

/* Nobody tried to lift it: it may as well have been put away, and says nothing of any level. */
static void a_bar_that_went_down_and_stayed_closes_nothing(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.07}, {1, 1.4, -0.6}, {0, 1, 0.07}, {1, 1.4, -0.6}};
    close_path(strokes, 4, BP_SQUAT, 2);
    assert_true(lifted.reps.list[1].missed && lifted.reps.list[1].left_down);
    assert_int_equal(count_level(BP_LEVEL_BOTTOM), 1);
    assert_int_equal(count_level(BP_LEVEL_RACK), 1);
}

/* A walk-out of two seconds before the set, and as long a hold after it. */
static void a_bar_of_even_speed_outside_the_reps_is_held(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.07}, {2, 1.1, -0.5}, {0, 0.9, 0.07},
                                            {2, 1.1, -0.5}, {0, 0.9, 0.07}, {2, 0.7, 0}};
    close_path(strokes, 6, BP_SQUAT, 2);
    size_t before = 0, after = 0;
    for (size_t c = 0; c < closures.count; c++) {
        const struct bp_closure *closure = &closures.list[c];
        if (closure->kind == BP_CLOSURE_EVEN) {
            before += closure->last < lifted.reps.list[0].top_before;
            after += closure->first > lifted.reps.list[1].top;
            for (size_t i = closure->first; i <= closure->last; i++) {
                assert_true(fabs(lifted.bar.speed_m_s[i]) < 3 * closure->sd);
            }
        }
    }
    assert_true(before > 0);
    assert_true(after > 0);
}

static void a_missed_rep_closes_no_top(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.07},    {1, 1.4, -0.33},   {0.5, 0.9, 0.07},
                                            {0.8, 1.4, -0.33}, {0.5, 1.2, -0.15}, {0.3, 1, -0.31},
                                            {2, 1.5, 0.07},    {1, 0.7, 0}};
    close_path(strokes, 8, BP_BENCH, 2);
    assert_true(lifted.reps.list[1].missed);
    hold_true();
    assert_true(count_level(BP_LEVEL_TOP) <= 2);
    assert_int_equal(count_level(BP_LEVEL_BOTTOM), 2); /* it went down as far as the rep before */
}

static void no_reps_say_nothing(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1, 0.06}, {2, 1, 0}};
    close_path(strokes, 2, BP_BENCH, 0);
    assert_int_equal(closures.count, 0);
}

static void memory_that_is_out_is_reported(void **state)
{
    (void)state;
    close_path(bench, 8, BP_BENCH, 3);
    struct bp_arena own;
    bp_arena_init(&own);
    failing_alloc_arm(0);
    enum bp_code code = bp_reps_closures(&lifted.motion, &lifted.track, &lifted.reps, BP_BENCH, &own,
                                         &closures, &lifted.error);
    assert_true(failing_alloc_disarm());
    assert_int_equal(code, BP_ERR_MEMORY);
    assert_int_equal(closures.count, 0);
    bp_arena_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closures_of_a_bench_set_are_true_of_its_path),
        cmocka_unit_test(a_bar_is_held_about_a_hand_over_its_rack),
        cmocka_unit_test(closures_of_a_deadlift_set_hold_the_floor),
        cmocka_unit_test(touch_and_go_bottoms_are_levels_without_a_hold),
        cmocka_unit_test(a_bar_left_down_does_not_close_the_rack),
        cmocka_unit_test(a_bar_that_went_down_and_stayed_closes_nothing),
        cmocka_unit_test(a_bar_of_even_speed_outside_the_reps_is_held),
        cmocka_unit_test(a_missed_rep_closes_no_top),
        cmocka_unit_test(no_reps_say_nothing),
        cmocka_unit_test(memory_that_is_out_is_reported),
    };
    return cmocka_run_group_tests(tests, lifted_setup, lifted_teardown);
}
