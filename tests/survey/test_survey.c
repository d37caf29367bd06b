/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/survey.h"
#include "base/failing_alloc.h"
#include "survey/blocks.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <stdlib.h>
#include <string.h>

#define NONE ((double)NAN)

static struct planned_block made;

static const struct planned_set mixed[] = {
    {"L2", "bands", BP_SQUAT, 20001, 0.50, 100, 10, 3.0, 0.60, true, false},
    {"L1", "straight", BP_BENCH, 20000, 0.40, 80, 0, 2.0, 0.30, false, false},
    {"L1", "chains", BP_BENCH, 20000, 0.45, 80, 12, 2.5, 0.45, true, false},
    {"L3", "straight", BP_BENCH, 20002, 0.45, 0, 0, NONE, 0.45, false, true},
    {"L2", "bands", BP_SQUAT, 20008, 0.52, 100, 10, 3.1, NONE, true, false},
};

static void a_speed_is_under_the_one_wanted_only_when_it_surely_is(void **state)
{
    (void)state;
    struct bp_quantity q = {0.50, 0.48, 0.52};
    assert_int_equal(bp_survey_judge_target(q, 0.53), BP_TARGET_UNDER);
    assert_int_equal(bp_survey_judge_target(q, 0.52), BP_TARGET_CANNOT_TELL);
    assert_int_equal(bp_survey_judge_target(q, 0.50), BP_TARGET_CANNOT_TELL);
    assert_int_equal(bp_survey_judge_target(q, 0.47), BP_TARGET_OVER);
    assert_int_equal(bp_survey_judge_target(q, NONE), BP_TARGET_NONE);
    assert_int_equal(bp_survey_judge_target(bp_quantity_unknown(), 0.47), BP_TARGET_CANNOT_TELL);
    assert_int_equal(bp_survey_judge_target(bp_quantity_plain(0.3), 0.47), BP_TARGET_CANNOT_TELL);
}

static void survey_counts_what_was_measured_and_what_was_not(void **state)
{
    struct bp_arena arena;
    struct bp_survey s;
    (void)state;
    bp_arena_init(&arena);
    planned_block_make(mixed, 5, &made);
    made.sets[1].state = BP_BLOCK_KEPT;
    bp_findings_add(&made.sets[2].summary.findings, "gap", BP_RESERVATION, 1.0, "a gap");
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.measured, 4);
    assert_int_equal(s.failed, 1);
    assert_int_equal(s.reps, 4 * PLANNED_REPS);
    assert_int_equal(s.reservations, 1);
    assert_int_equal(s.targets[BP_TARGET_UNDER], 1);
    assert_int_equal(s.targets[BP_TARGET_OVER], 1);
    assert_int_equal(s.targets[BP_TARGET_CANNOT_TELL], 1);
    assert_int_equal(s.lifter_count, 3); /* the one whose only recording failed is there too */
    assert_string_equal(s.lifters[0], "L2");
    assert_int_equal(s.series_count, 3);
    assert_string_equal(s.series[0].lifter, "L2");
    assert_int_equal(s.series[0].set_count, 2);
    bp_arena_free(&arena);
}

static void what_was_left_out_is_in_no_figure(void **state)
{
    struct bp_arena arena;
    struct bp_survey s;
    (void)state;
    bp_arena_init(&arena);
    planned_block_make(mixed, 5, &made);
    made.sets[0].state = made.sets[4].state = BP_BLOCK_LEFT_OUT;
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.measured, 2);
    assert_int_equal(s.lifter_count, 2);
    assert_int_equal(s.comparison_count, 1);
    bp_arena_free(&arena);
}

static void nothing_known_is_an_empty_survey(void **state)
{
    struct bp_arena arena;
    struct bp_survey s;
    struct bp_block empty = {0};
    (void)state;
    bp_arena_init(&arena);
    assert_int_equal(bp_survey_block(&empty, NULL, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.comparison_count + s.series_count + s.lifter_count + s.measured, 0);
    planned_block_make(mixed, 5, &made);
    for (size_t i = 0; i < 5; i++) {
        made.sets[i].state = BP_BLOCK_FAILED;
    }
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.failed, 5);
    assert_int_equal(s.comparison_count + s.series_count, 0);
    bp_arena_free(&arena);
}

static void a_set_that_knows_no_figure_is_surveyed_without_one(void **state)
{
    static struct bp_rep_figures none[PLANNED_REPS];
    struct bp_arena arena;
    struct bp_survey s;
    (void)state;
    bp_arena_init(&arena);
    planned_block_make(mixed, 1, &made);
    struct bp_summary *summary = &made.sets[0].summary;
    memset(none, 0, sizeof none);
    summary->rep_count = 0;
    summary->reps = none;
    summary->set = (struct bp_set_figures){.lift = BP_SQUAT};
    enum { FIGURES = 12 };
    struct bp_quantity *figures[FIGURES] = {
        &summary->set.mean_velocity_m_s, &summary->set.best_velocity_m_s, &summary->set.velocity_loss_pct,
        &summary->set.shake_mm,          &summary->set.shake_m_s2,        &summary->set.shake_hz,
        &summary->set.clatter_m_s2,      &summary->set.smoothness,        &summary->set.load_bottom_kg,
        &summary->set.load_halfway_kg,   &summary->set.load_lockout_kg,   &summary->set.share_pct};
    for (size_t i = 0; i < FIGURES; i++) {
        *figures[i] = bp_quantity_unknown();
    }
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.comparisons[0].figure_count, 0);
    assert_int_equal(s.series[0].trend_count, 0);
    assert_true(s.series[0].fastest == SIZE_MAX && s.series[0].heaviest == SIZE_MAX);
    bp_arena_free(&arena);
}

static void bad_settings_are_refused_and_leave_an_empty_survey(void **state)
{
    struct bp_survey_settings settings = bp_survey_defaults;
    struct bp_arena arena;
    struct bp_survey s;
    struct bp_error error;
    (void)state;
    bp_arena_init(&arena);
    planned_block_make(mixed, 5, &made);
    memset(&s, 0xA5, sizeof s);
    settings.compare.level = 7;
    assert_int_equal(bp_survey_block(&made.block, &settings, &arena, &s, &error), BP_ERR_ARGUMENT);
    assert_true(s.block == NULL && s.comparison_count == 0 && s.series_count == 0);
    bp_arena_free(&arena);
}

static void each_failed_allocation_is_told(void **state)
{
    size_t nth = 0;
    (void)state;
    planned_block_make(mixed, 5, &made);
    for (;; nth++) {
        struct bp_arena arena;
        struct bp_survey s;
        bp_arena_init(&arena);
        failing_alloc_arm(nth);
        enum bp_code code = bp_survey_block(&made.block, NULL, &arena, &s, NULL);
        bool happened = failing_alloc_disarm();
        assert_int_equal(code, happened ? BP_ERR_MEMORY : BP_OK);
        assert_true(happened ? s.block == NULL : s.block == &made.block);
        bp_arena_free(&arena);
        if (!happened) {
            break;
        }
    }
    assert_true(nth > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_speed_is_under_the_one_wanted_only_when_it_surely_is),
        cmocka_unit_test(survey_counts_what_was_measured_and_what_was_not),
        cmocka_unit_test(what_was_left_out_is_in_no_figure),
        cmocka_unit_test(nothing_known_is_an_empty_survey),
        cmocka_unit_test(a_set_that_knows_no_figure_is_surveyed_without_one),
        cmocka_unit_test(bad_settings_are_refused_and_leave_an_empty_survey),
        cmocka_unit_test(each_failed_allocation_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
