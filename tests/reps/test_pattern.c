/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reps/pattern.h"
#include "turns.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bp_turning turning[TURNS_MOST];
static struct bp_rep reps[TURNS_MOST];
static double scratch[TURNS_MOST], range_m;
static size_t turns;
static bool begins_inside; /* the log begins in the middle of a set */

/* Reps among turning points at the given heights. */
static size_t find(enum bp_lift lift, const double *heights, size_t count)
{
    const struct bp_lift_facts *facts = bp_lift_facts(lift);
    turns = turns_list(heights, count, turning);
    range_m = bp_pattern_range(turning, turns, lift, scratch);
    if (!isfinite(range_m)) {
        return 0;
    }
    return facts->descent_first
               ? bp_pattern_from_top(turning, turns, range_m, facts->most_range_m, begins_inside, reps)
               : bp_pattern_from_bottom(turning, turns, range_m, lift == BP_ROW, reps);
}

#define FIND(lift, ...)                                                                                      \
    find(lift, (const double[]){__VA_ARGS__}, sizeof((const double[]){__VA_ARGS__}) / sizeof(double))

/* Rep r turns at the turning points of the given places in the list; none is missed. */
static void hold_rep(size_t r, size_t bottom, size_t top)
{
    assert_false(reps[r].missed);
    assert_int_equal(reps[r].bottom, bottom * TURNS_STEPS);
    assert_int_equal(reps[r].top, top * TURNS_STEPS);
}

static void one_bench_rep_is_found(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_BENCH, 0.4, 0, 0.4), 1);
    hold_rep(0, 1, 2);
    assert_true(reps[0].has_before && !reps[0].has_after);
    assert_int_equal(reps[0].top_before, 0);
    assert_true(fabs(range_m - 0.4) < 1e-12);
    assert_true(fabs(reps[0].reached - 1) < 1e-12);
}

static void unracking_and_racking_are_no_reps(void **state)
{
    (void)state;
    /* rack, out of the hooks and over the shoulders, three reps, into the hooks */
    assert_int_equal(FIND(BP_BENCH, 0, 0.1, -0.3, 0.09, -0.31, 0.1, -0.29, 0.1, 0), 3);
    for (size_t r = 0; r < 3; r++) {
        hold_rep(r, 2 + 2 * r, 3 + 2 * r);
    }
    /* squat: lifted out by 0.1, walked out, two reps, lifted in */
    assert_int_equal(FIND(BP_SQUAT, 0, 0.1, -0.5, 0.09, -0.52, 0.11, 0.01), 2);
    hold_rep(0, 2, 3);
    hold_rep(1, 4, 5);
}

static void twenty_reps_are_all_found(void **state)
{
    (void)state;
    double heights[TURNS_MOST];
    for (size_t i = 0; i < TURNS_MOST - 1; i++) {
        heights[i] = i % 2 == 0 ? 0.4 + 0.01 * sin((double)i) : 0.015 * cos(3.0 * (double)i);
    }
    assert_int_equal(find(BP_BENCH, heights, TURNS_MOST - 1), (TURNS_MOST - 2) / 2);
    assert_true(fabs(range_m - 0.4) < 0.03);
}

static void a_missed_last_rep_is_told_from_a_completed_one(void **state)
{
    (void)state;
    /* two reps; the third stops at 0.2 of 0.4 and sinks back; then helped up to the rack */
    assert_int_equal(FIND(BP_BENCH, 0.4, 0, 0.4, 0, 0.4, 0, 0.2, 0.01, 0.42), 3);
    hold_rep(0, 1, 2);
    hold_rep(1, 3, 4);
    assert_true(reps[2].missed && !reps[2].left_down);
    assert_int_equal(reps[2].bottom, 5 * TURNS_STEPS);
    assert_true(reps[2].reached > 0.4 && reps[2].reached < 0.6);
}

static void a_missed_rep_left_on_the_safeties_is_told(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_SQUAT, 0.5, 0, 0.5, 0, 0.25, -0.02), 2);
    hold_rep(0, 1, 2);
    assert_true(reps[1].missed && reps[1].left_down);
    assert_true(fabs(reps[1].reached - 0.5) < 0.01);
    assert_int_equal(FIND(BP_BENCH, 0.5, 0, 0.5, 0), 2); /* never moved up from the chest */
    assert_true(reps[1].missed && reps[1].left_down);
    assert_int_equal(reps[1].bottom, reps[1].top);
}

/* Missed in the middle of the set: helped up, and the lifter goes on. */
static void a_missed_rep_in_the_middle_does_not_hide_the_next(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_BENCH, 0.4, 0, 0.4, 0, 0.22, 0.02, 0.4, 0, 0.41), 3);
    assert_false(reps[0].missed);
    assert_true(reps[1].missed);
    hold_rep(2, 7, 8);
    assert_int_equal(FIND(BP_DEADLIFT, 0, 0.5, 0, 0.2, 0, 0.5, 0), 3);
    hold_rep(0, 0, 1);
    assert_true(reps[1].missed && fabs(reps[1].reached - 0.4) < 0.01);
    hold_rep(2, 4, 5);
}

static void deadlift_reps_run_from_floor_to_floor(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_DEADLIFT, 0, 0.55, 0, 0.55, 0.005, 0.54, 0), 3);
    for (size_t r = 0; r < 3; r++) {
        hold_rep(r, 2 * r, 2 * r + 1);
        assert_true(reps[r].has_after && !reps[r].has_before);
        assert_int_equal(reps[r].bottom_after, (2 * r + 2) * TURNS_STEPS);
    }
}

/* Let fall, the bar bounces by a tenth of a rep. */
static void a_bounce_off_the_floor_is_no_rep(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_DEADLIFT, 0, 0.55, 0, 0.06, 0, 0.55, 0, 0.07, 0), 2);
    hold_rep(0, 0, 1);
    hold_rep(1, 4, 5);
}

static void a_rep_the_log_cuts_at_lockout_counts(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_DEADLIFT, 0, 0.55, 0, 0.55), 2);
    hold_rep(1, 2, 3);
    assert_false(reps[1].has_after);
    assert_int_equal(FIND(BP_BENCH, 0.4, 0, 0.4, 0, 0.39), 2);
    hold_rep(1, 3, 4);
}

/* The log begins near the bottom of a rep: its drive is all there. */
static void a_rep_the_log_begins_in_counts_when_asked_for(void **state)
{
    (void)state;
    const double heights[] = {0, 0.4, 0.01, 0.41, 0, 0.4};
    begins_inside = true;
    size_t inside = find(BP_BENCH, heights, 6);
    begins_inside = false;
    assert_int_equal(inside, 3);
    hold_rep(0, 0, 1);
    assert_false(reps[0].has_before);
    hold_rep(1, 2, 3);
    assert_true(reps[1].has_before);
    assert_int_equal(find(BP_BENCH, heights, 6), 2);
    hold_rep(0, 2, 3);
}

/* Stepping back with a press bar lifts it once and never brings it back down by as much. */
static void unracking_a_press_is_no_attempt(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_PRESS, 0, 0.12, 0.08, 0.6, 0.08, 0.6, 0.09, 0.12, 0), 2);
    hold_rep(0, 2, 3);
    hold_rep(1, 4, 5);
}

/* Picked up from the floor to the hang in one stroke, two rows, put down. */
static void picking_up_a_row_is_no_rep(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_ROW, 0, 0.55, 0.3, 0.65, 0.31, 0.66, 0.3, 0.4, 0), 2);
    hold_rep(0, 2, 3);
    hold_rep(1, 4, 5);
}

static void usual_range_is_not_pulled_down_by_partial_strokes(void **state)
{
    (void)state;
    FIND(BP_BENCH, 0.4, 0, 0.4, 0, 0.22, 0.02, 0.2, 0.01, 0.21, 0, 0.41, 0.01, 0.4);
    assert_true(fabs(range_m - 0.4) < 0.02);
}

static void without_a_go_and_return_there_is_no_range(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_BENCH, 0.4, 0), 0);
    assert_true(isnan(range_m));
    assert_int_equal(FIND(BP_BENCH, 0.1, 0, 0.1, 0, 0.1), 0); /* too small for a bench rep */
    assert_true(isnan(range_m));
    assert_int_equal(FIND(BP_SQUAT, 2, 0, 2), 0); /* too large for anything */
    assert_true(isnan(range_m));
}

static void laying_the_bar_on_the_floor_is_no_squat(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_SQUAT, 0, -0.5, 0, -0.5, 0, -1.4, -1.2), 2);
    hold_rep(0, 1, 2);
    hold_rep(1, 3, 4);
}

/* Half as far again as the usual range is something else, even where a rep of that lift could be as long. */
static void a_stroke_far_beyond_the_usual_range_is_no_rep(void **state)
{
    (void)state;
    assert_int_equal(FIND(BP_BENCH, 0.4, 0, 0.4, 0, 0.4, -0.35, -0.3), 2);
    hold_rep(1, 3, 4);
    assert_int_equal(FIND(BP_DEADLIFT, 0, 0.5, 0, 0.5, 0, 0.9), 2);
    hold_rep(1, 2, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_bench_rep_is_found),
        cmocka_unit_test(unracking_and_racking_are_no_reps),
        cmocka_unit_test(twenty_reps_are_all_found),
        cmocka_unit_test(a_missed_last_rep_is_told_from_a_completed_one),
        cmocka_unit_test(a_missed_rep_left_on_the_safeties_is_told),
        cmocka_unit_test(a_missed_rep_in_the_middle_does_not_hide_the_next),
        cmocka_unit_test(deadlift_reps_run_from_floor_to_floor),
        cmocka_unit_test(a_bounce_off_the_floor_is_no_rep),
        cmocka_unit_test(a_rep_the_log_cuts_at_lockout_counts),
        cmocka_unit_test(a_rep_the_log_begins_in_counts_when_asked_for),
        cmocka_unit_test(unracking_a_press_is_no_attempt),
        cmocka_unit_test(picking_up_a_row_is_no_rep),
        cmocka_unit_test(usual_range_is_not_pulled_down_by_partial_strokes),
        cmocka_unit_test(without_a_go_and_return_there_is_no_range),
        cmocka_unit_test(a_stroke_far_beyond_the_usual_range_is_no_rep),
        cmocka_unit_test(laying_the_bar_on_the_floor_is_no_squat),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
