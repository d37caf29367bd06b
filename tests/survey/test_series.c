/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/random.h"
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
enum { FIRST_DAY = 20000 };

static struct planned_block made;

static struct bp_survey survey_of(const struct planned_set *plan, size_t count, struct bp_arena *arena)
{
    struct bp_survey survey;
    planned_block_make(plan, count, &made);
    bp_arena_init(arena);
    assert_int_equal(bp_survey_block(&made.block, NULL, arena, &survey, NULL), BP_OK);
    return survey;
}

static const struct bp_survey_trend *trend(const struct bp_survey_series *s, enum bp_survey_subject subject,
                                           double load)
{
    for (size_t t = 0; t < s->trend_count; t++) {
        bool same = isnan(load) ? isnan(s->trends[t].load_kg) : fabs(s->trends[t].load_kg - load) < 0.01;
        if (s->trends[t].subject == subject && same) {
            return &s->trends[t];
        }
    }
    return NULL;
}

static struct planned_set plain_set(long day, double speed, double load)
{
    return (struct planned_set){"L1", "straight", BP_BENCH, day, speed, load, 0, 2.0, NONE, true, false};
}

static void a_known_slope_is_found_and_told(void **state)
{
    struct planned_set plan[6];
    struct bp_arena arena;
    (void)state;
    for (long w = 0; w < 6; w++) {
        plan[w] = plain_set(FIRST_DAY + 7 * w, 0.40 + 0.03 * (double)w, 80);
    }
    struct bp_survey s = survey_of(plan, 6, &arena);
    const struct bp_survey_trend *t = trend(&s.series[0], BP_TREND_SPEED, 80);
    assert_int_equal(t->count, 6);
    assert_true(fabs(t->per_week.value - 0.03) < 1e-9);
    assert_true(t->per_week.low > 0 && t->per_week.high < 0.06);
    assert_int_equal(t->verdict, BP_TREND_RISES);
    assert_true(fabs(t->first.value - 0.40) < 1e-9 && fabs(t->last.value - 0.55) < 1e-9);
    assert_true(strncmp(t->sentence, "0.03", 4) == 0);
    assert_non_null(strstr(t->sentence, " m/s a week faster ("));
    /* what does not move has no trend */
    t = trend(&s.series[0], BP_TREND_SHAKE, NONE);
    assert_int_equal(t->verdict, BP_TREND_CANNOT_TELL);
    assert_non_null(strstr(t->sentence, "no trend that can be told ("));
    bp_arena_free(&arena);
}

static void a_falling_slope_is_told_with_its_ends_turned(void **state)
{
    struct planned_set plan[6];
    struct bp_arena arena;
    (void)state;
    for (long w = 0; w < 6; w++) {
        plan[w] = plain_set(FIRST_DAY + 7 * w, 0.60 - 0.04 * (double)w, 80);
    }
    struct bp_survey s = survey_of(plan, 6, &arena);
    const struct bp_survey_trend *t = trend(&s.series[0], BP_TREND_SPEED, 80);
    assert_int_equal(t->verdict, BP_TREND_FALLS);
    assert_true(t->per_week.high < 0);
    assert_non_null(strstr(t->sentence, "slower ("));
    assert_null(strstr(t->sentence, "-"));
    bp_arena_free(&arena);
}

/* The true slope lies in the interval about 95 times of a hundred: 8 weeks, days scattering by 5 % as the
 * prior has it. 400 blocks: 95 % ± 3 standard errors is 91.7 to 98.3 %. */
static void the_slopes_interval_holds_the_truth_as_often_as_it_says(void **state)
{
    enum { BLOCKS = 400, WEEKS = 8 };
    struct planned_set plan[WEEKS];
    struct bp_random random;
    size_t held = 0;
    (void)state;
    bp_random_init(&random, 7, 0);
    for (size_t b = 0; b < BLOCKS; b++) {
        struct bp_arena arena;
        for (long w = 0; w < WEEKS; w++) {
            double truth = 0.5 + 0.01 * (double)w;
            plan[w] = plain_set(FIRST_DAY + 7 * w, truth * (1.0 + 0.05 * bp_random_normal(&random)), 80);
        }
        struct bp_survey s = survey_of(plan, WEEKS, &arena);
        struct bp_quantity q = trend(&s.series[0], BP_TREND_SPEED, 80)->per_week;
        held += q.low <= 0.01 && q.high >= 0.01;
        bp_arena_free(&arena);
    }
    print_message("   %zu of %d intervals hold the slope\n", held, BLOCKS);
    assert_in_range(held, 367, 393);
}

static void one_bad_day_does_not_drag_the_line(void **state)
{
    struct planned_set plan[8];
    struct bp_arena arena;
    (void)state;
    for (long w = 0; w < 8; w++) {
        plan[w] = plain_set(FIRST_DAY + 7 * w, 0.40 + 0.01 * (double)w, 80);
    }
    plan[7].speed_m_s = 0.10;
    struct bp_survey s = survey_of(plan, 8, &arena);
    double slope = trend(&s.series[0], BP_TREND_SPEED, 80)->per_week.value;
    assert_true(fabs(slope - 0.01) < 0.005); /* least squares gives -0.019 */
    bp_arena_free(&arena);
}

static void two_days_or_three_within_a_week_are_too_few(void **state)
{
    struct planned_set plan[] = {plain_set(FIRST_DAY, 0.4, 80), plain_set(FIRST_DAY + 14, 0.5, 80),
                                 plain_set(FIRST_DAY + 5, 0.5, 80)};
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(plan, 2, &arena);
    assert_int_equal(trend(&s.series[0], BP_TREND_SPEED, 80)->verdict, BP_TREND_FEW);
    assert_false(bp_quantity_known(trend(&s.series[0], BP_TREND_SPEED, 80)->per_week));
    bp_arena_free(&arena);
    plan[1].day = FIRST_DAY + 6;
    s = survey_of(plan, 3, &arena);
    assert_int_equal(trend(&s.series[0], BP_TREND_SPEED, 80)->verdict, BP_TREND_FEW);
    bp_arena_free(&arena);
}

static void speed_is_only_followed_at_one_load(void **state)
{
    struct planned_set plan[6];
    struct bp_arena arena;
    (void)state;
    for (long w = 0; w < 3; w++) {
        plan[2 * w] = plain_set(FIRST_DAY + 7 * w, 0.60, 60.3 - 0.1 * (double)w);
        plan[2 * w + 1] = plain_set(FIRST_DAY + 7 * w, 0.40, 80);
    }
    struct bp_survey s = survey_of(plan, 6, &arena);
    assert_int_equal(s.series_count, 1);
    const struct bp_survey_trend *light = &s.series[0].trends[0];
    assert_int_equal(light->subject, BP_TREND_SPEED);
    assert_true(fabs(light->load_kg - 60.3) < 1e-9 && light->count == 3);
    assert_true(fabs(light->points[2].figure.value - 0.60) < 1e-9);
    assert_true(fabs(trend(&s.series[0], BP_TREND_SPEED, 80)->points[0].figure.value - 0.40) < 1e-9);
    assert_int_equal(s.series[0].fastest, 0);
    assert_int_equal(s.series[0].heaviest, 1);
    bp_arena_free(&arena);
}

static void a_maximum_is_estimated_from_a_weeks_loads(void **state)
{
    struct planned_set plan[12];
    struct bp_arena arena;
    (void)state;
    /* best rep = 1.03 speed; a straight line from 0.9 m/s at 50 kg down 0.01 m/s a kg, so that the maximum is
     * where it comes to the bench's minimal velocity; each week everything is 2 kg better. */
    double minimal = bp_strength_minimal(BP_BENCH)->m_s.value;
    for (long w = 0; w < 3; w++) {
        for (long k = 0; k < 4; k++) {
            double load = 50 + 20 * (double)k, best = 0.9 - 0.01 * (load - 50 - 2 * (double)w);
            plan[4 * w + k] = plain_set(FIRST_DAY + 7 * w + k % 2, best / 1.03, load);
        }
    }
    struct bp_survey s = survey_of(plan, 12, &arena);
    const struct bp_survey_trend *t = trend(&s.series[0], BP_TREND_MAXIMUM, NONE);
    assert_int_equal(t->count, 3);
    assert_int_equal(t->points[0].sets, 4);
    assert_true(fabs(t->points[0].figure.value - (50 + (0.9 - minimal) / 0.01)) < 0.1);
    assert_true(t->points[0].figure.low < t->points[0].figure.value);
    assert_true(fabs(t->per_week.value - 2.0) < 0.05);
    bp_arena_free(&arena);
}

static void undated_sets_are_in_no_trend_and_come_last(void **state)
{
    struct planned_set plan[] = {plain_set(-1, 0.9, 80), plain_set(FIRST_DAY + 7, 0.5, 80),
                                 plain_set(FIRST_DAY, 0.4, 80)};
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(plan, 3, &arena);
    assert_int_equal(s.series[0].set_count, 3);
    assert_int_equal(s.series[0].sets[0], 2);
    assert_int_equal(s.series[0].sets[2], 0);
    assert_int_equal(s.series[0].undated, 1);
    assert_int_equal(trend(&s.series[0], BP_TREND_SPEED, 80)->count, 2);
    bp_arena_free(&arena);
}

static void sticking_is_followed_by_height_and_depth(void **state)
{
    struct planned_set plan[] = {plain_set(FIRST_DAY, 0.5, 80)};
    struct bp_arena arena;
    (void)state;
    struct bp_survey s = survey_of(plan, 1, &arena);
    assert_true(fabs(trend(&s.series[0], BP_TREND_STICKING_HEIGHT, NONE)->points[0].figure.value - 40) <
                1e-9);
    /* 1.1 less 0.8 of the reps' mean speed */
    struct bp_quantity depth = trend(&s.series[0], BP_TREND_STICKING_DEPTH, NONE)->points[0].figure;
    assert_true(fabs(depth.value - 0.3 * 0.5) < 1e-9);
    assert_true(depth.low < depth.value && depth.value < depth.high);
    bp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_known_slope_is_found_and_told),
        cmocka_unit_test(a_falling_slope_is_told_with_its_ends_turned),
        cmocka_unit_test(the_slopes_interval_holds_the_truth_as_often_as_it_says),
        cmocka_unit_test(one_bad_day_does_not_drag_the_line),
        cmocka_unit_test(two_days_or_three_within_a_week_are_too_few),
        cmocka_unit_test(speed_is_only_followed_at_one_load),
        cmocka_unit_test(a_maximum_is_estimated_from_a_weeks_loads),
        cmocka_unit_test(undated_sets_are_in_no_trend_and_come_last),
        cmocka_unit_test(sticking_is_followed_by_height_and_depth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
