/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rises like a rep's that were not found, on exact paths in closed form: the readings are whole, the list of
 * reps is what a path gone astray would leave of it.
 */
#include "base/failing_alloc.h"
#include "lifted.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#define COUNT_OF(list) (sizeof(list) / sizeof *(list))

static struct bar_plan plan;
static struct bp_doubts spells;

static size_t find(enum bp_lift lift, const struct lifted_stroke *strokes, size_t count)
{
    plan = lifted_plan(strokes, count);
    bar_make(&lifted.bar, &plan);
    assert_true(lifted_prepare(&lifted));
    assert_int_equal(lifted_find(&lifted, lift), BP_OK);
    return lifted.reps.count;
}

static void forget_rep(size_t r)
{
    struct bp_reps *reps = &lifted.reps;
    for (size_t i = r; i + 1 < reps->count; i++) {
        reps->list[i] = reps->list[i + 1];
    }
    reps->count--;
}

static size_t look(enum bp_lift lift)
{
    assert_true(bp_reps_uncounted(&lifted.motion, &lifted.reps, lift, &lifted.arena, &spells));
    return spells.count;
}

/* Spell s lies over most of stroke `stroke`, and not far beyond. */
static void hold_spell(size_t s, size_t stroke)
{
    const struct bar_stroke *drive = &plan.strokes[stroke];
    double middle_s = drive->start_s + 0.5 * drive->length_s;
    assert_true(spells.list[s].from_s < middle_s && spells.list[s].from_s > drive->start_s - drive->length_s);
    assert_true(spells.list[s].to_s > middle_s && spells.list[s].to_s < drive->start_s + 2 * drive->length_s);
}

static const struct lifted_stroke bench[] = {
    {0, 0.6, 0.07},    {1, 1.4, -0.33}, {0.5, 0.9, 0.07},  {0.8, 1.4, -0.33}, {0, 1.1, 0.07},
    {0.8, 1.5, -0.33}, {0.7, 1, 0.07},  {0.8, 1.4, -0.33}, {0.2, 1, 0.07},    {1, 0.7, 0}};
/* From the floor to the hang, four rows, to the floor again. */
static const struct lifted_stroke row[] = {
    {0, 1.4, 0.5},    {0.8, 0.5, 0.85}, {0.2, 0.7, 0.5},  {0.4, 0.5, 0.85}, {0.2, 0.7, 0.5},
    {0.4, 0.5, 0.85}, {0.2, 0.7, 0.5},  {0.4, 0.5, 0.86}, {0.2, 0.7, 0.5},  {1, 1.3, 0}};
static const struct lifted_stroke deadlift[] = {{0, 1.2, 0.55}, {0.6, 0.9, 0},    {1, 1.4, 0.55},
                                                {0.6, 1.2, 0},  {0.3, 1.6, 0.55}, {0.8, 1, 0},
                                                {1, 1.3, 0.55}, {0.5, 1, 0}};

static void reps_that_are_all_counted_leave_nothing(void **state)
{
    (void)state;
    assert_int_equal(find(BP_BENCH, bench, COUNT_OF(bench)), 4);
    assert_int_equal(look(BP_BENCH), 0);
    assert_int_equal(find(BP_ROW, row, COUNT_OF(row)), 4);
    assert_int_equal(look(BP_ROW), 0);
    assert_int_equal(find(BP_DEADLIFT, deadlift, COUNT_OF(deadlift)), 4);
    assert_int_equal(look(BP_DEADLIFT), 0);
}

static void any_rep_that_was_not_found_is_seen_where_it_is(void **state)
{
    (void)state;
    for (size_t r = 0; r < 4; r++) {
        assert_int_equal(find(BP_BENCH, bench, COUNT_OF(bench)), 4);
        forget_rep(r);
        assert_int_equal(look(BP_BENCH), 1);
        hold_spell(0, 2 + 2 * r);
        assert_int_equal(find(BP_DEADLIFT, deadlift, COUNT_OF(deadlift)), 4);
        forget_rep(r);
        assert_int_equal(look(BP_DEADLIFT), 1);
        hold_spell(0, 2 * r);
    }
}

static void a_bar_lowered_slowly_and_driven_up_fast_is_seen(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 0.6, 0.07},    {1, 3.2, -0.33}, {0.3, 0.9, 0.07},
                                            {0.8, 3.2, -0.33}, {0.3, 1, 0.07},  {0.8, 3.1, -0.33},
                                            {0.3, 1, 0.07},    {1, 0.7, 0}};
    assert_int_equal(find(BP_BENCH, strokes, COUNT_OF(strokes)), 3);
    assert_int_equal(look(BP_BENCH), 0);
    forget_rep(1);
    assert_int_equal(look(BP_BENCH), 1);
    hold_spell(0, 4);
}

/* The first and the last are not told from picking the bar up and putting it down. */
static void of_rows_those_between_others_are_seen(void **state)
{
    (void)state;
    for (size_t r = 1; r < 3; r++) {
        assert_int_equal(find(BP_ROW, row, COUNT_OF(row)), 4);
        forget_rep(r);
        assert_int_equal(look(BP_ROW), 1);
        hold_spell(0, 1 + 2 * r);
    }
}

static void reps_apart_from_one_another_are_spells_of_their_own(void **state)
{
    (void)state;
    assert_int_equal(find(BP_BENCH, bench, COUNT_OF(bench)), 4);
    forget_rep(3);
    forget_rep(1);
    assert_int_equal(look(BP_BENCH), 2);
    hold_spell(0, 4);
    hold_spell(1, 8);
}

/* The sensor is off by 0.4 m/s^2 from the middle of the set on: what makes a path go astray. */
static void a_sensor_that_shifts_hides_none(void **state)
{
    (void)state;
    assert_int_equal(find(BP_BENCH, bench, COUNT_OF(bench)), 4);
    for (size_t i = lifted.bar.trace.count / 2; i < lifted.bar.trace.count; i++) {
        lifted.motion.rise_m_s2[i] += 0.4;
    }
    assert_int_equal(look(BP_BENCH), 0);
    forget_rep(2);
    forget_rep(2);
    assert_int_equal(look(BP_BENCH), 2);
}

/* A try given up half-way, and the bar helped up from the chest into the rack. */
static void help_after_a_missed_rep_is_no_rep(void **state)
{
    (void)state;
    const struct lifted_stroke strokes[] = {{0, 1.4, -0.4},    {0.5, 0.9, 0},   {0.8, 1.4, -0.4},
                                            {0.5, 1.2, -0.22}, {0.3, 1, -0.38}, {1, 1.1, 0}};
    assert_int_equal(find(BP_BENCH, strokes, COUNT_OF(strokes)), 2);
    assert_true(lifted.reps.list[1].missed);
    assert_int_equal(look(BP_BENCH), 0);
    lifted.reps.list[1].missed = false; /* or so it would be one */
    assert_int_equal(look(BP_BENCH), 1);
}

static void without_a_rep_there_is_nothing_to_be_like(void **state)
{
    (void)state;
    assert_int_equal(find(BP_BENCH, bench, COUNT_OF(bench)), 4);
    lifted.reps.count = 0;
    assert_int_equal(look(BP_BENCH), 0);
}

static void memory_that_is_out_is_told(void **state)
{
    (void)state;
    assert_int_equal(find(BP_BENCH, bench, COUNT_OF(bench)), 4);
    struct bp_arena own;
    bp_arena_init(&own);
    failing_alloc_arm(0);
    bool ok = bp_reps_uncounted(&lifted.motion, &lifted.reps, BP_BENCH, &own, &spells);
    assert_true(failing_alloc_disarm());
    assert_false(ok);
    bp_arena_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reps_that_are_all_counted_leave_nothing),
        cmocka_unit_test(any_rep_that_was_not_found_is_seen_where_it_is),
        cmocka_unit_test(a_bar_lowered_slowly_and_driven_up_fast_is_seen),
        cmocka_unit_test(of_rows_those_between_others_are_seen),
        cmocka_unit_test(reps_apart_from_one_another_are_spells_of_their_own),
        cmocka_unit_test(a_sensor_that_shifts_hides_none),
        cmocka_unit_test(help_after_a_missed_rep_is_no_rep),
        cmocka_unit_test(without_a_rep_there_is_nothing_to_be_like),
        cmocka_unit_test(memory_that_is_out_is_told),
    };
    return cmocka_run_group_tests(tests, lifted_setup, lifted_teardown);
}
