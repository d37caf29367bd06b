/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Finding the reps on exact paths in closed form.
 */
#include "base/failing_alloc.h"
#include "lifted.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bar_plan plan;

static const double turn_near_s = 0.03; /* a minimum-jerk stroke's end is as flat as that */

static void make(const struct lifted_stroke *strokes, size_t count)
{
    plan = lifted_plan(strokes, count);
    bar_make(&lifted.bar, &plan);
}

static size_t find(enum bp_lift lift)
{
    assert_true(lifted_prepare(&lifted));
    assert_int_equal(lifted_find(&lifted, lift), BP_OK);
    return lifted.reps.count;
}

#define COUNT_OF(list) (sizeof(list) / sizeof *(list))

/* Rep r's drive is stroke `stroke` of the plan. */
static void hold_drive(size_t r, size_t stroke)
{
    const struct bp_rep *rep = &lifted.reps.list[r];
    const struct bar_stroke *drive = &plan.strokes[stroke];
    double end_s = drive->start_s + drive->length_s, slack_s = 0.1 * drive->length_s + turn_near_s;
    assert_false(rep->missed);
    assert_true(lifted.bar.time_s[rep->bottom] <= drive->start_s + slack_s);
    assert_true(fabs(lifted.bar.time_s[rep->top] - end_s) < slack_s);
    assert_true(fabs(lifted.bar.height_m[rep->top] - drive->to_m) < 0.004);
}

static void bench_reps_are_found_between_unracking_and_racking(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.07},    {1, 1.4, -0.33}, {0.5, 0.9, 0.07},
                                            {0.8, 1.4, -0.33}, {0, 1.1, 0.07},  {0.8, 1.5, -0.335},
                                            {0.7, 1.6, 0.07},  {1, 0.7, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_BENCH), 3);
    hold_drive(0, 2);
    hold_drive(1, 4);
    hold_drive(2, 6);
    assert_true(fabs(lifted.reps.range_m - 0.4) < 0.01);
    for (size_t r = 0; r < 3; r++) {
        const struct bp_rep *rep = &lifted.reps.list[r];
        assert_true(rep->has_before && rep->top_before < rep->bottom && rep->bottom < rep->top);
    }
}

/* Racking straight from lockout, higher than it: the drive ends where the bar first stops. */
static void racking_higher_than_lockout_does_not_lengthen_the_last_drive(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {
        {0, 1.4, -0.4}, {0.5, 0.9, 0}, {0.8, 1.4, -0.4}, {0.5, 1, 0}, {0.6, 0.7, 0.1}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_BENCH), 2);
    hold_drive(1, 3);
}

/* At lockout the bar creeps on upward, and from there into the hooks: it never stops rising. */
static void creeping_on_after_lockout_does_not_lengthen_the_drive(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.4}, {0.5, 0.9, 0},      {0.8, 1.4, -0.4},
                                            {0.5, 1, 0},    {-0.15, 2.4, 0.02}, {-0.3, 0.7, 0.12}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_BENCH), 2);
    const struct bp_rep *rep = &lifted.reps.list[1];
    double end_s = plan.strokes[3].start_s + plan.strokes[3].length_s;
    assert_true(fabs(lifted.bar.time_s[rep->top] - end_s) < 0.35);
    assert_true(fabs(lifted.bar.height_m[rep->top]) < 0.01);
}

static void one_rep_alone_is_found(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.5}, {0, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_SQUAT), 1);
    hold_drive(0, 1);
}

/* Stands still for 0.6 s at 40 % of the drive. */
static void a_stall_does_not_cut_a_drive_in_two(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {
        {0, 1.4, -0.4}, {0.5, 0.9, 0}, {0.8, 1.4, -0.4}, {0.5, 0.8, -0.24}, {0.6, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_BENCH), 2);
    hold_drive(0, 1);
    hold_drive(1, 4);
    assert_true(lifted.bar.time_s[lifted.reps.list[1].bottom] < plan.strokes[3].start_s + turn_near_s);
}

static void deadlift_reps_run_from_the_floor(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.2, 0.55}, {0.6, 0.5, 0},   {0, 0.2, 0.05},   {0, 0.2, 0},
                                            {1, 1.4, 0.55}, {0.6, 1.2, 0.0}, {0.3, 1.6, 0.55}, {0.8, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_DEADLIFT), 3);
    hold_drive(0, 0);
    hold_drive(1, 4); /* the first was let fall, and bounced */
    hold_drive(2, 6);
    assert_true(lifted.reps.list[2].has_after && !lifted.reps.list[2].has_before);
    /* The drive begins where the bar leaves the floor, not where it was put down. */
    assert_true(lifted.bar.time_s[lifted.reps.list[1].bottom] > plan.strokes[4].start_s - turn_near_s);
}

static void press_reps_are_found_after_stepping_back(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.08},   {1, 0.4, 0.06}, {1.5, 1, 0.6},
                                            {0.7, 1.3, 0.06}, {0.4, 1, 0.6},  {0.7, 1.2, 0.06},
                                            {1.5, 0.5, 0.08}, {0.5, 0.5, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_PRESS), 2);
    hold_drive(0, 2);
    hold_drive(1, 4);
}

/* From the floor to the hang, three rows, to the floor again. */
static void row_reps_leave_out_picking_up_and_putting_down(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, 0.5},    {0.8, 0.5, 0.85}, {0.2, 0.7, 0.5},
                                            {0.4, 0.5, 0.85}, {0.2, 0.7, 0.5},  {0.4, 0.5, 0.86},
                                            {0.2, 0.7, 0.5},  {1, 1.3, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_ROW), 3);
    hold_drive(0, 1);
    hold_drive(1, 3);
    hold_drive(2, 5);
    assert_true(lifted.bar.height_m[lifted.reps.list[0].bottom] > 0.45);
    assert_true(lifted.bar.height_m[lifted.reps.list[2].bottom_after] > 0.45);
}

static void a_missed_rep_is_told_and_not_dropped(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.4},    {0.5, 0.9, 0},   {0.8, 1.4, -0.4},
                                            {0.5, 1.2, -0.22}, {0.3, 1, -0.38}, {2, 1.5, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_BENCH), 2);
    hold_drive(0, 1);
    assert_true(lifted.reps.list[1].missed && !lifted.reps.list[1].left_down);
    assert_true(lifted.reps.list[1].reached > 0.35 && lifted.reps.list[1].reached < 0.55);
}

/* Tried to half its height, then helped up into the rack: it is as high as the try, not as the rack. */
static void a_missed_rep_ends_at_its_own_top(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.4},    {0.5, 0.9, 0},   {0.8, 1.4, -0.4},
                                            {0.5, 1.2, -0.22}, {0.3, 1, -0.38}, {2, 1.5, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_BENCH), 2);
    const struct bp_rep *rep = &lifted.reps.list[1];
    assert_true(fabs(lifted.bar.height_m[rep->top] - -0.22) < 0.005);
    assert_true(fabs(lifted.bar.height_m[rep->bottom] - -0.4) < 0.005);
}

/* A bar that sinks a little while it is walked out is not yet on its way down. */
static void the_first_descent_begins_after_the_walk_out(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.06},   {0.3, 1.5, 0.03}, {2, 1.6, -0.55},
                                            {0.3, 1.2, 0.02}, {1, 1.6, -0.55},  {0.3, 1.2, 0.02}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_SQUAT), 2);
    double begins_s = plan.strokes[2].start_s;
    assert_true(fabs(lifted.bar.time_s[lifted.reps.list[0].top_before] - begins_s) < 0.3);
}

/* A press cut off in its last drive: the bar was never locked out. */
static void a_bar_that_rises_when_the_log_ends_is_no_rep(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {
        {0, 1, 0.55}, {0.8, 1.2, 0}, {0.5, 1, 0.55}, {0.8, 1.2, 0}, {0.5, 1, 0.55}};
    make(strokes, COUNT_OF(strokes));
    lifted.bar.trace.count = bar_index(&lifted.bar, plan.strokes[4].start_s + 0.75);
    assert_int_equal(find(BP_PRESS), 2);
    assert_true(lifted.reps.cut_short);
}

/* Where the path hides the hang's rest, the last row's bar falls straight to the floor: it is a row all the
 * same. */
static void a_row_put_down_in_one_fall_is_a_rep(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {
        {0, 1.4, 0.5}, {0.8, 0.5, 0.85}, {0.2, 0.7, 0.5}, {0.4, 0.5, 0.85}, {0.2, 1.4, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_ROW), 2);
    hold_drive(1, 3);
}

static void a_bar_left_down_is_a_missed_rep(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {
        {0, 1.4, -0.6}, {0, 1, 0}, {1, 1.4, -0.6}, {0, 1.2, -0.4}, {0.2, 0.8, -0.65}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_SQUAT), 2);
    assert_true(lifted.reps.list[1].missed && lifted.reps.list[1].left_down);
    assert_false(lifted.reps.cut_short);
}

/* As a path shows it that sinks while the bar is walked out: one fall from there to the first bottom, with a
 * rest on the way. */
static void a_descent_begins_where_the_bar_rested_on_its_way_down(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {
        {0, 1.5, -0.55}, {1, 1.1, -1.1}, {0, 0.9, -0.55}, {1, 1.1, -1.1}, {0, 0.9, -0.55}};
    make(strokes, COUNT_OF(strokes));
    assert_int_equal(find(BP_SQUAT), 2);
    hold_drive(0, 2);
    hold_drive(1, 4);
    double began_s = lifted.bar.time_s[lifted.reps.list[0].top_before];
    assert_true(fabs(began_s - plan.strokes[1].start_s) < 0.2);
}

static void a_rep_cut_by_the_logs_end_is_left_out_and_said(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.6}, {0, 1, 0},      {1, 1.4, -0.6},
                                            {0, 1, 0},      {1, 1.4, -0.6}, {0, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    lifted.bar.trace.count = bar_index(&lifted.bar, plan.strokes[5].start_s + 0.3);
    assert_int_equal(find(BP_SQUAT), 2);
    assert_true(lifted.reps.cut_short);
    hold_drive(0, 1);
    hold_drive(1, 3);
}

/* A hole of 0.8 s lies across the second drive: it has no speed, and is said to be lost. */
static void a_drive_across_a_long_hole_is_left_out_and_said(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.4}, {0.5, 0.9, 0},    {0.8, 1.4, -0.4},
                                            {0.5, 1.2, 0},  {0.8, 1.4, -0.4}, {0.5, 1.2, 0}};
    make(strokes, COUNT_OF(strokes));
    bar_cut(&lifted.bar, bar_index(&lifted.bar, plan.strokes[3].start_s + 0.2),
            bar_index(&lifted.bar, plan.strokes[3].start_s + 1));
    assert_int_equal(find(BP_BENCH), 2);
    assert_int_equal(lifted.reps.lost_in_gap, 1);
    hold_drive(0, 1);
    hold_drive(1, 5);
}

/* The phone is turned over while it is strapped on, and moves up and down like a rep. */
static void moves_of_a_phone_in_the_hand_are_no_reps(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.8, 0.4},  {0, 0.8, 0}, {0, 0.9, 0.45},   {0, 0.8, 0},
                                            {3, 1.4, -0.4}, {0.5, 1, 0}, {0.8, 1.4, -0.4}, {0.5, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    size_t handled = bar_index(&lifted.bar, plan.strokes[3].start_s + 0.8);
    for (size_t i = 0; i < handled; i++) { /* lies on its side until then */
        double *f[3] = {&lifted.bar.force[0][i], &lifted.bar.force[1][i], &lifted.bar.force[2][i]};
        double kept = *f[2];
        *f[2] = *f[1];
        *f[1] = kept;
    }
    /* the turn itself, a quarter about x over the last tenth of a second */
    size_t last = handled - 1;
    for (size_t i = last - 9; i <= last; i++) {
        lifted.bar.turn[0][i] -= BP_PI / 2 / (lifted.bar.time_s[last] - lifted.bar.time_s[last - 10]);
    }
    assert_int_equal(find(BP_BENCH), 2);
    hold_drive(0, 5);
    hold_drive(1, 7);
}

static void a_bar_that_does_not_move_has_no_rep(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1, 0.06}, {2, 1, 0}};
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        make(strokes, COUNT_OF(strokes));
        assert_int_equal(find((enum bp_lift)lift), 0);
        assert_true(isnan(lifted.reps.range_m));
    }
}

static void a_lift_that_is_none_is_refused(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1, -0.5}, {2, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_true(lifted_prepare(&lifted));
    assert_int_equal(lifted_find(&lifted, BP_LIFT_COUNT), BP_ERR_ARGUMENT);
    assert_int_equal(lifted.reps.count, 0);
}

static void reps_are_equal_when_they_turn_at_nearly_the_same_samples(void **state)
{
    (void)state;
    struct bp_rep one[2] = {{.bottom = 100, .top = 200}, {.bottom = 300, .top = 400}};
    struct bp_rep other[2] = {{.bottom = 97, .top = 203}, {.bottom = 303, .top = 397}};
    struct bp_reps a = {.count = 2, .list = one}, b = {.count = 2, .list = other};
    assert_true(bp_reps_equal(&a, &b, 3) && bp_reps_equal(&b, &a, 3));
    assert_false(bp_reps_equal(&a, &b, 2));
    assert_true(bp_reps_equal(&a, &a, 0));
    other[1].missed = true;
    assert_false(bp_reps_equal(&a, &b, 3));
    b.count = 1;
    assert_false(bp_reps_equal(&a, &b, 3));
}

static void memory_that_is_out_is_reported(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.4}, {0.5, 0.9, 0}, {0.8, 1.4, -0.4}, {0.5, 1, 0}};
    make(strokes, COUNT_OF(strokes));
    assert_true(lifted_prepare(&lifted));
    struct bp_arena own;
    bp_arena_init(&own);
    failing_alloc_arm(0);
    enum bp_code code =
        bp_reps_find(&lifted.motion, &lifted.track, BP_BENCH, &own, &lifted.reps, &lifted.error);
    assert_true(failing_alloc_disarm());
    assert_int_equal(code, BP_ERR_MEMORY);
    assert_int_equal(lifted.reps.count, 0);
    bp_arena_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bench_reps_are_found_between_unracking_and_racking),
        cmocka_unit_test(racking_higher_than_lockout_does_not_lengthen_the_last_drive),
        cmocka_unit_test(creeping_on_after_lockout_does_not_lengthen_the_drive),
        cmocka_unit_test(one_rep_alone_is_found),
        cmocka_unit_test(a_stall_does_not_cut_a_drive_in_two),
        cmocka_unit_test(deadlift_reps_run_from_the_floor),
        cmocka_unit_test(press_reps_are_found_after_stepping_back),
        cmocka_unit_test(row_reps_leave_out_picking_up_and_putting_down),
        cmocka_unit_test(a_missed_rep_is_told_and_not_dropped),
        cmocka_unit_test(a_missed_rep_ends_at_its_own_top),
        cmocka_unit_test(the_first_descent_begins_after_the_walk_out),
        cmocka_unit_test(a_bar_that_rises_when_the_log_ends_is_no_rep),
        cmocka_unit_test(a_row_put_down_in_one_fall_is_a_rep),
        cmocka_unit_test(a_bar_left_down_is_a_missed_rep),
        cmocka_unit_test(a_descent_begins_where_the_bar_rested_on_its_way_down),
        cmocka_unit_test(a_rep_cut_by_the_logs_end_is_left_out_and_said),
        cmocka_unit_test(a_drive_across_a_long_hole_is_left_out_and_said),
        cmocka_unit_test(moves_of_a_phone_in_the_hand_are_no_reps),
        cmocka_unit_test(a_bar_that_does_not_move_has_no_rep),
        cmocka_unit_test(a_lift_that_is_none_is_refused),
        cmocka_unit_test(reps_are_equal_when_they_turn_at_nearly_the_same_samples),
        cmocka_unit_test(memory_that_is_out_is_reported),
    };
    return cmocka_run_group_tests(tests, lifted_setup, lifted_teardown);
}
