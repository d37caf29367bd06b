/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/survey.h"
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

static struct bp_survey survey_of(const struct planned_set *plan, size_t count, enum bp_compare_by by,
                                  struct bp_arena *arena)
{
    struct bp_survey_settings settings = bp_survey_defaults;
    struct bp_survey survey;
    settings.compare.by = by;
    planned_block_make(plan, count, &made);
    bp_arena_init(arena);
    assert_int_equal(bp_survey_block(&made.block, &settings, arena, &survey, NULL), BP_OK);
    return survey;
}

static const struct bp_survey_figure *figure(const struct bp_survey_comparison *c, const char *key)
{
    for (size_t f = 0; f < c->figure_count; f++) {
        if (strcmp(c->figures[f].key, key) == 0) {
            return &c->figures[f];
        }
    }
    return NULL;
}

static bool has_caution(const struct bp_survey_comparison *c, const char *words)
{
    for (size_t i = 0; i < c->caution_count; i++) {
        if (strstr(c->cautions[i], words) != NULL) {
            return true;
        }
    }
    return false;
}

/* Chains shake twice as much and are 0.10 m/s faster on each of four days. */
static const struct planned_set two_setups[] = {
    {"L1", "straight", BP_BENCH, 20000, 0.400, 80, 0, 2.0, NONE, false, false},
    {"L1", "chains", BP_BENCH, 20000, 0.500, 80, 12, 4.0, NONE, true, false},
    {"L1", "straight", BP_BENCH, 20007, 0.410, 80, 0, 2.1, NONE, false, false},
    {"L1", "chains", BP_BENCH, 20007, 0.512, 80, 12, 4.1, NONE, true, false},
    {"L1", "straight", BP_BENCH, 20014, 0.405, 80, 0, 1.9, NONE, false, false},
    {"L1", "chains", BP_BENCH, 20014, 0.503, 80, 12, 3.9, NONE, true, false},
    {"L1", "straight", BP_BENCH, 20021, 0.395, 80, 0, 2.0, NONE, false, false},
    {"L1", "chains", BP_BENCH, 20021, 0.497, 80, 12, 4.2, NONE, true, false},
};

static void survey_finds_the_difference_between_setups(void **state)
{
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(two_setups, 8, BP_BY_SETUP, &arena);
    assert_int_equal(s.comparison_count, 1);
    const struct bp_survey_comparison *c = &s.comparisons[0];
    assert_int_equal(c->group_count, 2);
    assert_string_equal(c->groups[0].name, "straight");
    assert_int_equal(c->groups[1].sets, 4);
    assert_int_equal(c->groups[1].days, 4);
    assert_int_equal(c->groups[1].reps, 16);
    const struct bp_compare_pair *speed = &figure(c, "mean_velocity_m_s")->result.pairs[0];
    /* mean differences by hand: -(0.100 + 0.102 + 0.098 + 0.102) / 4 */
    assert_true(fabs(speed->difference.value + 0.1005) < 1e-9);
    assert_int_equal(speed->verdict, BP_FIRST_LESS);
    assert_true(speed->paired);
    const struct bp_compare_pair *shake = &figure(c, "shake_mm")->result.pairs[0];
    assert_int_equal(shake->verdict, BP_FIRST_LESS);
    assert_true(shake->ratio.value > 0.45 && shake->ratio.value < 0.55);
    assert_non_null(
        strstr(figure(c, "shake_mm")->sentences[0], "Chains shook 2.0 times as much as straight"));
    const struct bp_compare_result *share = &figure(c, "sticking_share_pct")->result;
    assert_true(share->groups[0].mean == 0.0 && share->groups[1].mean == 100.0);
    bp_arena_free(&arena);
}

static void survey_compares_each_range_by_the_lifts_own_names(void **state)
{
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(two_setups, 8, BP_BY_SETUP, &arena);
    const struct bp_survey_comparison *c = &s.comparisons[0];
    assert_string_equal(figure(c, "range1_mean_velocity_m_s")->words, "speed off the chest");
    assert_string_equal(figure(c, "range2_mean_velocity_m_s")->words, "speed in the middle");
    assert_string_equal(figure(c, "range3_mean_velocity_m_s")->words, "speed at lockout");
    /* range 3 is 1.2 times the rep's speed, and reps are 1.03, 1.01, 0.99, 0.97 of the set's */
    assert_true(fabs(figure(c, "range3_mean_velocity_m_s")->result.groups[0].mean - 1.2 * 0.4025) < 1e-9);
    assert_non_null(figure(c, "range1_load_kg"));
    bp_arena_free(&arena);
}

static void loads_that_match_at_lockout_are_said_to(void **state)
{
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(two_setups, 8, BP_BY_SETUP, &arena);
    const struct bp_survey_pair *pair = &s.comparisons[0].pairs[0];
    assert_true(pair->loads == BP_LOADS_CANNOT_TELL); /* 2 % of 80 kg is more than a kilogram */
    for (size_t i = 0; i < 8; i++) {
        struct bp_set_figures *set = &made.sets[i].summary.set;
        set->load_lockout_kg = (struct bp_quantity){80, 79.8, 80.2};
        set->matched = BP_MATCHED_LOCKOUT;
    }
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    pair = &s.comparisons[0].pairs[0];
    assert_int_equal(pair->loads, BP_LOADS_MATCH);
    assert_non_null(strstr(pair->sentence, "Loads match at lockout: straight less chains is 12.0 kg ("));
    assert_non_null(strstr(pair->sentence, "the rigs mean them to match at lockout, as they do"));
    assert_non_null(strstr(pair->sentence, ") at the bottom, 6.0 kg ("));
    bp_arena_free(&arena);
}

static void a_rigs_claim_the_loads_do_not_bear_out_is_told(void **state)
{
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(two_setups, 8, BP_BY_SETUP, &arena);
    for (size_t i = 0; i < 8; i++) {
        made.sets[i].summary.set.matched = BP_MATCHED_BOTTOM;
    }
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_non_null(strstr(s.comparisons[0].pairs[0].sentence, "match at the bottom, which they do not"));
    bp_arena_free(&arena);
}

static void the_same_bar_on_both_sides_weighs_the_same(void **state)
{
    struct bp_survey_settings settings = bp_survey_defaults;
    struct bp_arena arena;
    (void)state;
    settings.compare.by = BP_BY_SESSION;
    struct bp_survey s = survey_of(two_setups, 8, BP_BY_SETUP, &arena);
    for (size_t i = 0; i < 8; i++) {
        made.rows[i].bar_kg = 20;
        made.rows[i].plates_kg = 60;
        made.rows[i].rig_path = i % 2 ? "harbour/chains.ini" : "";
    }
    /* straight against chains: not the same on the bar */
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.comparisons[0].pairs[0].loads, BP_LOADS_CANNOT_TELL);
    assert_int_equal(bp_survey_block(&made.block, &settings, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.comparisons[0].pairs[0].loads, BP_LOADS_MATCH);
    assert_non_null(strstr(s.comparisons[0].pairs[0].sentence, "the same hung on the bar"));
    made.rows[2].plates_kg = 62.5; /* the second session's */
    assert_int_equal(bp_survey_block(&made.block, &settings, &arena, &s, NULL), BP_OK);
    assert_true(s.comparisons[0].pairs[0].loads != BP_LOADS_MATCH);
    /* the same chains pull otherwise on another lifter */
    for (size_t i = 0; i < 8; i++) {
        made.sets[i].summary.set.load_varies = i % 2 == 1;
        made.rows[i].lifter = i < 4 ? "L1" : "L2";
        made.rows[i].plates_kg = 60;
    }
    settings.compare.by = BP_BY_LIFTER;
    assert_int_equal(bp_survey_block(&made.block, &settings, &arena, &s, NULL), BP_OK);
    assert_int_equal(s.comparisons[0].pairs[0].loads, BP_LOADS_MATCH); /* straight */
    assert_true(s.comparisons[1].pairs[0].loads != BP_LOADS_MATCH);
    bp_arena_free(&arena);
}

static void unknown_loads_are_said_first_and_have_no_figure(void **state)
{
    static const struct planned_set plan[] = {
        {"L1", "straight", BP_SQUAT, 20000, 0.40, 0, 0, 2, NONE, false, false},
        {"L1", "bands", BP_SQUAT, 20000, 0.50, 0, 0, 2, NONE, false, false},
    };
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(plan, 2, BP_BY_SETUP, &arena);
    assert_int_equal(s.comparisons[0].pairs[0].loads, BP_LOADS_UNKNOWN);
    assert_non_null(strstr(s.comparisons[0].pairs[0].sentence, "not known"));
    assert_null(figure(&s.comparisons[0], "load_lockout_kg"));
    assert_null(figure(&s.comparisons[0], "sticking_end_pct")); /* no rep has one */
    bp_arena_free(&arena);
}

static void lifts_are_never_mixed(void **state)
{
    struct planned_set plan[8];
    struct bp_arena arena;
    (void)state;
    memcpy(plan, two_setups, sizeof plan);
    plan[4].lift = plan[5].lift = BP_SQUAT;
    struct bp_survey s = survey_of(plan, 8, BP_BY_SETUP, &arena);
    assert_int_equal(s.comparison_count, 2);
    assert_int_equal(s.comparisons[0].lift, BP_BENCH);
    assert_int_equal(s.comparisons[0].sets, 6);
    assert_int_equal(s.comparisons[1].lift, BP_SQUAT);
    assert_int_equal(s.comparisons[1].sets, 2);
    bp_arena_free(&arena);
}

static void by_lifter_and_session_setups_are_not_mixed_either(void **state)
{
    struct planned_set plan[8];
    struct bp_arena arena;
    (void)state;
    memcpy(plan, two_setups, sizeof plan);
    plan[4].lifter = plan[5].lifter = plan[6].lifter = plan[7].lifter = "L2";
    struct bp_survey s = survey_of(plan, 8, BP_BY_LIFTER, &arena);
    assert_int_equal(s.comparison_count, 2);
    assert_string_equal(s.comparisons[0].setup, "straight");
    assert_null(s.comparisons[0].lifter);
    assert_string_equal(s.comparisons[0].groups[1].name, "L2");
    bp_arena_free(&arena);
    s = survey_of(plan, 8, BP_BY_SESSION, &arena);
    assert_int_equal(s.comparison_count, 4);
    assert_string_equal(s.comparisons[0].lifter, "L1");
    assert_string_equal(s.comparisons[0].groups[1].name,
                        "2024-10-11"); /* day 20007: date -d @$((20007*86400)) */
    bp_arena_free(&arena);
}

static void sets_of_several_loads_in_one_group_are_cautioned_against(void **state)
{
    struct planned_set plan[8];
    struct bp_arena arena;
    (void)state;
    memcpy(plan, two_setups, sizeof plan);
    struct bp_survey s = survey_of(plan, 8, BP_BY_SETUP, &arena);
    assert_false(has_caution(&s.comparisons[0], "are taken together"));
    assert_true(has_caution(&s.comparisons[0], "by chance alone"));
    bp_arena_free(&arena);
    plan[0].load_kg = 60;
    s = survey_of(plan, 8, BP_BY_SETUP, &arena);
    assert_true(has_caution(&s.comparisons[0], "Sets of straight weighed from 60.0 to 80.0 kg at lockout"));
    bp_arena_free(&arena);
}

static void logs_with_and_without_a_gyroscope_are_cautioned_against(void **state)
{
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(two_setups, 8, BP_BY_SETUP, &arena);
    made.sets[1].summary.log.shake_apparent = true;
    assert_int_equal(bp_survey_block(&made.block, NULL, &arena, &s, NULL), BP_OK);
    assert_true(has_caution(&s.comparisons[0], "no gyroscope"));
    assert_string_equal(figure(&s.comparisons[0], "shake_mm")->words, "apparent shake");
    bp_arena_free(&arena);
}

static void one_group_is_nothing_to_compare(void **state)
{
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(two_setups, 1, BP_BY_SETUP, &arena);
    assert_int_equal(s.comparisons[0].pair_count, 0);
    assert_int_equal(figure(&s.comparisons[0], "mean_velocity_m_s")->result.pair_count, 0);
    assert_true(has_caution(&s.comparisons[0], "one group only"));
    bp_arena_free(&arena);
}

static void too_many_groups_are_a_caution_and_no_error(void **state)
{
    static struct planned_set plan[40];
    struct bp_arena arena;
    (void)state;
    for (size_t i = 0; i < 40; i++) {
        plan[i] = two_setups[0];
        plan[i].day += (long)i;
    }
    struct bp_survey s = survey_of(plan, 40, BP_BY_SESSION, &arena);
    assert_int_equal(s.comparisons[0].group_count, 40);
    assert_int_equal(s.comparisons[0].figure_count, 0);
    assert_true(has_caution(&s.comparisons[0], "more groups than can be compared"));
    bp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(survey_finds_the_difference_between_setups),
        cmocka_unit_test(survey_compares_each_range_by_the_lifts_own_names),
        cmocka_unit_test(loads_that_match_at_lockout_are_said_to),
        cmocka_unit_test(a_rigs_claim_the_loads_do_not_bear_out_is_told),
        cmocka_unit_test(the_same_bar_on_both_sides_weighs_the_same),
        cmocka_unit_test(unknown_loads_are_said_first_and_have_no_figure),
        cmocka_unit_test(lifts_are_never_mixed),
        cmocka_unit_test(by_lifter_and_session_setups_are_not_mixed_either),
        cmocka_unit_test(sets_of_several_loads_in_one_group_are_cautioned_against),
        cmocka_unit_test(logs_with_and_without_a_gyroscope_are_cautioned_against),
        cmocka_unit_test(one_group_is_nothing_to_compare),
        cmocka_unit_test(too_many_groups_are_a_caution_and_no_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
