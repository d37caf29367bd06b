/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the bar's speed is even, on strokes in closed form.
 */
#include "base/failing_alloc.h"
#include "motion/bar.h"
#include "motion/held.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bar bar;
static struct bp_arena arena;
static struct bp_motion motion;

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

static void prepare(const struct bar_plan *plan)
{
    struct bp_error error;
    bp_arena_reset(&arena);
    bar_make(&bar, plan);
    assert_int_equal(bp_motion_prepare(&bar.trace, &bp_motion_defaults, &arena, &motion, &error), BP_OK);
}

/* Whether time_s lies in a stretch that is listed. */
static bool listed(double time_s)
{
    for (size_t s = 0; s < motion.held.count; s++) {
        const struct bp_spell *spell = &motion.held.list[s];
        if (bar.time_s[spell->first] <= time_s && time_s <= bar.time_s[spell->last]) {
            return true;
        }
    }
    return false;
}

/* The plain plan: strokes of 1.2 s, and 1.3 s between them. */
static void held_lists_each_hold_and_no_quick_stroke(void **state)
{
    (void)state;
    prepare(&bar_plan_plain);
    assert_true(motion.held.count >= 7);
    for (size_t s = 0; s < motion.held.count; s++) {
        const struct bp_spell *spell = &motion.held.list[s];
        assert_true(spell->first <= spell->last && spell->last < bar.trace.count);
        for (size_t i = spell->first; i <= spell->last; i++) {
            assert_true(fabs(bar.speed_m_s[i]) < 0.1);
        }
    }
    for (size_t s = 0; s + 1 < bar_plan_plain.stroke_count; s++) {
        const struct bar_stroke *stroke = &bar_plan_plain.strokes[s];
        assert_true(
            listed(0.5 * (stroke->start_s + stroke->length_s + bar_plan_plain.strokes[s + 1].start_s)));
        assert_false(listed(stroke->start_s + 0.5 * stroke->length_s));
    }
}

/* What it promises no better: a reader must weigh it. */
static void held_lists_the_middle_of_a_long_even_stroke_too(void **state)
{
    (void)state;
    struct bar_plan plan = bar_plan_plain;
    plan.stroke_count = 2;
    plan.strokes[0] = (struct bar_stroke){4, 4, 0.4};
    plan.strokes[1] = (struct bar_stroke){10, 4, 0};
    prepare(&plan);
    assert_true(listed(6));
}

static void held_is_not_misled_by_a_bias(void **state)
{
    (void)state;
    struct bar_plan plan = bar_plan_plain;
    plan.force_bias[2] = 0.3;
    prepare(&plan);
    assert_true(listed(7.3));
    assert_false(listed(8.6));
}

static void held_reports_memory_that_is_out(void **state)
{
    (void)state;
    prepare(&bar_plan_plain);
    struct bp_spells held;
    struct bp_arena own;
    bp_arena_init(&own);
    failing_alloc_arm(0);
    bool ok = bp_held_find(&motion, &own, &held);
    assert_true(failing_alloc_disarm());
    assert_false(ok);
    bp_arena_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(held_lists_each_hold_and_no_quick_stroke),
        cmocka_unit_test(held_lists_the_middle_of_a_long_even_stroke_too),
        cmocka_unit_test(held_is_not_misled_by_a_bias),
        cmocka_unit_test(held_reports_memory_that_is_out),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
