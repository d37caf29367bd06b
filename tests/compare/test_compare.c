/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"

#include "barplumb/compare.h"

#include <stdio.h>
#include <string.h>

enum { SETS_MAX = 64 };

struct compared {
    struct bp_arena arena;
    struct bp_compare_settings settings;
    struct bp_compare_figure figure; /* a plain difference without a prior until a test changes it */
    struct bp_observation sets[SETS_MAX];
    size_t count;
    struct bp_compare_result result;
    struct bp_error error;
};

static int setup(void **state)
{
    struct compared *c = test_calloc(1, sizeof *c);
    bp_arena_init(&c->arena);
    c->settings = bp_compare_defaults;
    c->figure = (struct bp_compare_figure){.name = "x", .words = "x", .unit = ""};
    *state = c;
    return 0;
}

static int teardown(void **state)
{
    struct compared *c = *state;
    bp_arena_free(&c->arena);
    test_free(c);
    return 0;
}

static struct bp_quantity measured(double value, double sd)
{
    return (struct bp_quantity){value, value - 1.959963984540054 * sd, value + 1.959963984540054 * sd};
}

static void add(struct compared *c, const char *group, const char *lifter, long day, struct bp_quantity value)
{
    assert_true(c->count < SETS_MAX);
    c->sets[c->count++] = (struct bp_observation){.group = group, .lifter = lifter, .day = day, .set = value};
}

static enum bp_code compare(struct compared *c)
{
    memset(&c->result, 0x5a, sizeof c->result);
    return bp_compare_figure(&c->figure, c->sets, c->count, &c->settings, &c->arena, &c->result, &c->error);
}

static const struct bp_compare_pair *only_pair(struct compared *c)
{
    assert_int_equal(compare(c), BP_OK);
    assert_int_equal(c->result.group_count, 2);
    assert_int_equal(c->result.pair_count, 1);
    return &c->result.pairs[0];
}

static void near(double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        printf("got %.9g, want %.9g\n", got, want);
    }
    assert_true(fabs(got - want) <= tolerance);
}

/* Student 1908 (hours of sleep gained, Cushny & Peebles), the ten patients as lifters. Paired t 4.062128, 9
 * degrees of freedom, p 0.00283289; Welch's t 1.860813 with 17.776. */
static const double sleep_hours[2][10] = {{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0},
                                          {1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}};

static void add_sleep(struct compared *c)
{
    static const char *const lifters[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10"};
    for (size_t g = 0; g < 2; g++) {
        for (size_t i = 0; i < 10; i++) {
            add(c, g == 0 ? "first" : "second", lifters[i], 7, bp_quantity_plain(sleep_hours[g][i]));
        }
    }
}

static void students_sleep_comes_out_paired_by_lifter_and_day(void **state)
{
    struct compared *c = *state;
    add_sleep(c);
    const struct bp_compare_pair *p = only_pair(c);
    assert_true(p->paired);
    assert_int_equal(p->unit, BP_UNIT_DAY);
    assert_true(p->units[0] == 10 && p->units[1] == 10 && p->left_out == 0);
    near(p->difference.value, -1.58, 1e-12);
    near(p->standard_error, 1.2299955 / sqrt(10.0), 1e-7);
    near(p->difference.value / p->standard_error, -4.062128, 1e-6);
    near(p->df, 9.0, 1e-9);
    near(p->p, 0.00283289, 1e-8);
    near(p->holm_p, p->p, 0.0);
    near(p->chance_more, 0.5 * 0.00283289, 1e-8);
    near(p->difference.high, -1.58 + 2.262157 * 1.2299955 / sqrt(10.0), 1e-5);
    assert_int_equal(p->verdict, BP_FIRST_LESS);
    assert_false(p->small);
    assert_true(isnan(p->ratio.value)); /* some values are not positive */
}

static void students_sleep_comes_out_by_welch_when_not_paired(void **state)
{
    struct compared *c = *state;
    add_sleep(c);
    c->settings.by = BP_BY_SESSION;
    const struct bp_compare_pair *p = only_pair(c);
    assert_false(p->paired);
    assert_int_equal(p->unit, BP_UNIT_SET);
    near(p->difference.value / p->standard_error, -1.860813, 1e-6);
    near(p->df, 0.5 * (17.776 + 18.0), 0.0005); /* as many on each side: half-way to the pooled ones */
    near(p->p, 0.0793, 0.0002);
    assert_int_equal(p->verdict, BP_CANNOT_TELL);
}

static void names_order_and_swapping_only_turn_the_sign(void **state)
{
    struct compared *c = *state;
    add_sleep(c);
    struct bp_compare_pair first = *only_pair(c);
    for (size_t i = 0; i < 10; i++) { /* the second group first */
        struct bp_observation kept = c->sets[i];
        c->sets[i] = c->sets[19 - i];
        c->sets[19 - i] = kept;
    }
    const struct bp_compare_pair *p = only_pair(c);
    near(p->difference.value, -first.difference.value, 1e-12);
    near(p->difference.low, -first.difference.high, 1e-12);
    near(p->p, first.p, 1e-12);
    near(p->permutation_p, first.permutation_p, 1e-12);
    near(p->effect.low, -first.effect.high, 1e-5);
    assert_int_equal(p->verdict, BP_FIRST_MORE);
}

/* ---- by which unit ---- */

static void design(struct compared *c, enum bp_compare_unit unit, bool paired, size_t a, size_t b,
                   size_t left_out)
{
    const struct bp_compare_pair *p = only_pair(c);
    assert_int_equal(p->unit, unit);
    assert_int_equal(p->paired, paired);
    assert_int_equal(p->units[0], a);
    assert_int_equal(p->units[1], b);
    assert_int_equal(p->left_out, left_out);
    c->count = 0;
}

static void add_day(struct compared *c, const char *group, const char *lifter, long day, size_t sets)
{
    for (size_t i = 0; i < sets; i++) {
        add(c, group, lifter, day, bp_quantity_plain(1.0 + 0.1 * (double)((7 * c->count) % 5)));
    }
}

static void the_unit_is_the_smallest_that_chance_moves(void **state)
{
    struct compared *c = *state;
    /* one day with both: its sets, whatever was done on other days */
    add_day(c, "a", "L1", 1, 3);
    add_day(c, "b", "L1", 1, 2);
    add_day(c, "b", "L1", 2, 4);
    design(c, BP_UNIT_SET, false, 3, 2, 4);
    /* one day with both, but more days apart: the days */
    for (long day = 1; day <= 4; day++) {
        add_day(c, "a", "L1", day, 2);
        add_day(c, "b", "L1", day == 1 ? 1 : 10 + day, 2);
    }
    design(c, BP_UNIT_DAY, false, 4, 4, 0);
    /* two days with both: pairs of days */
    add_day(c, "a", "L1", 1, 3);
    add_day(c, "b", "L1", 1, 1);
    add_day(c, "a", "L1", 2, 1);
    add_day(c, "b", "L1", 2, 2);
    add_day(c, "b", "L1", 3, 2);
    design(c, BP_UNIT_DAY, true, 2, 2, 2);
    /* days apart: the days, not their sets */
    add_day(c, "a", "L1", 1, 3);
    add_day(c, "a", "L1", 2, 3);
    add_day(c, "b", "L1", 3, 3);
    add_day(c, "b", "L1", 4, 3);
    design(c, BP_UNIT_DAY, false, 2, 2, 0);
    /* days apart, and one lifter who did only one: he is left out */
    add_day(c, "a", "L1", 1, 3);
    add_day(c, "a", "L1", 2, 3);
    add_day(c, "b", "L1", 3, 3);
    add_day(c, "b", "L1", 4, 1);
    add_day(c, "b", "L2", 4, 3);
    design(c, BP_UNIT_DAY, false, 2, 2, 3);
    /* two lifters with days apart: each against himself */
    add_day(c, "a", "L1", 1, 1);
    add_day(c, "b", "L1", 2, 1);
    add_day(c, "a", "L2", 1, 2);
    add_day(c, "b", "L2", 2, 2);
    design(c, BP_UNIT_LIFTER, true, 2, 2, 0);
    /* different lifters: lifters */
    add_day(c, "a", "L1", 1, 3);
    add_day(c, "a", "L2", 1, 3);
    add_day(c, "b", "L3", 1, 3);
    add_day(c, "b", "L4", 1, 3);
    design(c, BP_UNIT_LIFTER, false, 2, 2, 0);
    /* no dates: not the same day */
    add_day(c, "a", "L1", BP_DAY_UNKNOWN, 3);
    add_day(c, "b", "L1", BP_DAY_UNKNOWN, 3);
    design(c, BP_UNIT_DAY, false, 1, 1, 0);
    /* groups that are lifters: their days */
    c->settings.by = BP_BY_LIFTER;
    add_day(c, "L1", "L1", 1, 2);
    add_day(c, "L1", "L1", 2, 2);
    add_day(c, "L2", "L2", 1, 2);
    add_day(c, "L2", "L2", 3, 2);
    design(c, BP_UNIT_DAY, false, 2, 2, 0);
}

static void where_nothing_can_be_said_the_reason_is(void **state)
{
    struct compared *c = *state;
    add_day(c, "a", "L1", 1, 1);
    add_day(c, "b", "L1", 1, 5);
    const struct bp_compare_pair *p = only_pair(c);
    assert_int_equal(p->reason, BP_REASON_FEW);
    assert_int_equal(p->verdict, BP_CANNOT_TELL);
    assert_true(isfinite(p->difference.value) && isnan(p->difference.low) && isnan(p->p) && isnan(p->holm_p));
    c->count = 0;
    add_day(c, "a", "L1", 1, 5);
    add_day(c, "b", "L2", 1, 5);
    c->figure.scatter_cv = 0.05; /* a prior on one lifter's days says nothing of two lifters */
    c->figure.scatter_df = 4.0;
    assert_int_equal(only_pair(c)->reason, BP_REASON_LIFTERS);
    c->count = 0;
    add(c, "a", "L1", 1, bp_quantity_unknown());
    add_day(c, "b", "L1", 1, 5);
    p = only_pair(c);
    assert_int_equal(p->reason, BP_REASON_NOTHING);
    assert_int_equal(c->result.skipped, 1);
    assert_int_equal(p->left_out, 5);
    assert_true(isnan(c->result.groups[0].mean));
}

/* ---- what the interval is made of ---- */

/* One set a side: the prior alone, t of its degrees of freedom times cv * level * sqrt(2). */
static void one_set_a_side_is_judged_by_the_prior(void **state)
{
    struct compared *c = *state;
    c->figure = bp_compare_speed;
    add(c, "a", "L1", 1, bp_quantity_plain(0.55));
    add(c, "b", "L1", 1, bp_quantity_plain(0.45));
    const struct bp_compare_pair *p = only_pair(c);
    near(p->df, c->figure.scatter_df, 1e-12);
    near(p->standard_error, c->figure.scatter_cv * 0.5 * sqrt(2.0), 1e-12);
    near(p->difference.high - p->difference.value, 2.446912 * 0.05 * 0.5 * sqrt(2.0), 1e-6);
    assert_int_equal(p->verdict, BP_FIRST_MORE);
}

/* Smyth 2004: (d0 s0^2 + d s^2) / (d0 + d), here of pairs, whose prior is twice a unit's. */
static void prior_and_sample_are_weighed_by_their_degrees_of_freedom(void **state)
{
    static const double a[] = {1.00, 1.10, 0.90}, b[] = {0.90, 1.05, 0.75}; /* differences 0.10 0.05 0.15 */
    struct compared *c = *state;
    c->figure.scatter_cv = 0.05;
    c->figure.scatter_df = 4.0;
    for (size_t i = 0; i < 3; i++) {
        add(c, "a", "L1", (long)i, bp_quantity_plain(a[i]));
        add(c, "b", "L1", (long)i, bp_quantity_plain(b[i]));
    }
    const struct bp_compare_pair *p = only_pair(c);
    double prior = 2.0 * 0.05 * 0.05 * 0.95 * 0.95;
    double variance = (4.0 * prior + 2.0 * 0.0025) / 6.0, share = 4.0 / 6.0;
    near(p->standard_error, sqrt(variance / 3.0), 1e-12);
    near(p->df, variance * variance / (share * share * prior * prior / 4.0 + variance * variance / 9.0 / 2.0),
         1e-9);
}

/* With the sample's variance far past the prior's the prior is dropped: plain Welch, half-way to the pooled
 * df. */
static void units_that_scatter_more_than_the_prior_overrule_it(void **state)
{
    static const double a[] = {0.6, 1.0, 1.4, 1.0}, b[] = {0.7, 1.1, 1.5, 1.1};
    struct compared *c = *state;
    c->figure.scatter_cv = 0.05;
    c->figure.scatter_df = 6.0;
    for (size_t i = 0; i < 4; i++) {
        add(c, "a", "L1", 1, bp_quantity_plain(a[i]));
        add(c, "b", "L1", 1, bp_quantity_plain(b[i]));
    }
    const struct bp_compare_pair *p = only_pair(c);
    near(p->standard_error, sqrt(2.0 * (0.32 / 3.0) / 4.0), 1e-12);
    near(p->df, 6.0, 1e-9);
}

static void sets_that_agree_by_luck_are_no_surer_than_the_measurement(void **state)
{
    struct compared *c = *state;
    add(c, "a", "L1", 1, measured(1.0, 0.1));
    add(c, "a", "L1", 1, measured(1.0001, 0.1));
    add(c, "b", "L1", 1, measured(1.1, 0.1));
    add(c, "b", "L1", 1, measured(1.1001, 0.1));
    const struct bp_compare_pair *p = only_pair(c);
    near(p->difference.high - p->difference.value, 1.959964 * 0.1, 1e-6); /* sqrt(0.01 / 2 + 0.01 / 2) */
    near(p->p, 0.3173, 1e-3);                                             /* one standard error */
    assert_int_equal(p->verdict, BP_CANNOT_TELL);
}

static void an_error_in_common_does_not_average_out(void **state)
{
    struct compared *c = *state;
    c->figure = bp_compare_load;
    for (int i = 0; i < 4; i++) {
        add(c, "a", "L1", 1, measured(112.0 + 0.01 * i, 1.0));
        add(c, "b", "L1", 1, measured(100.0 + 0.01 * i, 1.0));
    }
    const struct bp_compare_pair *p = only_pair(c);
    near(p->standard_error, sqrt(2.0), 1e-3);
    near(p->difference.low, 12.0 - 1.96 * sqrt(2.0), 0.01);
    c->count = 0; /* and one set a side is enough */
    add(c, "a", "L1", 1, measured(112.0, 1.0));
    add(c, "b", "L1", 1, measured(100.0, 1.0));
    near(only_pair(c)->standard_error, sqrt(2.0), 1e-9);
}

/* Chains' loads differ by grams from day to day beside a measured error of half a kilogram: three pairs have
 * two degrees of freedom, where t has no variance, and their interval is still the measurement's. The grams
 * vary, so that rounding falls to either side of two. */
static void three_days_of_loads_are_as_sure_as_the_measurement(void **state)
{
    struct compared *c = *state;
    double half = 1.96 * hypot(0.35, 0.235);
    c->figure = bp_compare_load;
    for (int grams = 1; grams <= 200; grams++) {
        c->count = 0;
        for (long day = 0; day < 3; day++) {
            double off = 0.001 * (double)grams * (day == 1 ? 1.0 : day == 2 ? 0.37 : 0.0);
            add(c, "straight", "L1", day, measured(80.0, 0.35));
            add(c, "chains", "L1", day, measured(105.36 + off, 0.235));
        }
        assert_int_equal(compare(c), BP_OK);
        struct bp_quantity q = c->result.pairs[0].difference;
        double wide = (q.high - q.low) / 2.0;
        assert_true(wide > 0.99 * half && wide < 1.15 * half);
        assert_int_equal(c->result.pairs[0].verdict, BP_FIRST_LESS);
    }
}

static void ratios_are_worked_out_on_logarithms(void **state)
{
    static const double factor[] = {1.1, 1.0 / 1.1, 1.3, 1.0 / 1.3};
    struct compared *c = *state;
    c->figure = bp_compare_shake;
    for (size_t i = 0; i < 4; i++) {
        add(c, "a", "L1", (long)i, bp_quantity_plain(3.6 * factor[i]));
        add(c, "b", "L1", (long)i, bp_quantity_plain(2.0));
    }
    const struct bp_compare_pair *p = only_pair(c);
    double sd = sqrt(2.0 * (log(1.1) * log(1.1) + log(1.3) * log(1.3)) / 3.0);
    near(p->ratio.value, 1.8, 1e-9);
    near(p->ratio.high, 1.8 * exp(3.182446 * sd / 2.0), 1e-5);
    near(p->ratio.low, 1.8 / exp(3.182446 * sd / 2.0), 1e-5);
    assert_int_equal(p->verdict, BP_FIRST_MORE);
    assert_true(isfinite(p->difference.low));
    add(c, "b", "L1", 9, bp_quantity_plain(0.0)); /* has no logarithm */
    only_pair(c);
    assert_int_equal(c->result.skipped, 1);
}

static void a_set_without_its_figure_takes_its_reps_mean(void **state)
{
    struct compared *c = *state;
    const struct bp_quantity reps[] = {measured(1.0, 0.2), bp_quantity_unknown(), measured(2.0, 0.2)};
    add(c, "a", "L1", 1, bp_quantity_unknown());
    c->sets[0].reps = reps;
    c->sets[0].rep_count = 3;
    add_day(c, "b", "L1", 1, 2);
    only_pair(c);
    near(c->result.groups[0].mean, 1.5, 1e-12);
    assert_int_equal(c->result.groups[0].reps, 2);
    near(c->result.scatter.rep_to_rep, sqrt(0.5), 1e-9); /* the reps' errors may all be in common */
}

/* ---- families, verdicts, plans ---- */

static void families_are_adjusted_by_bonferroni_and_holm(void **state)
{
    static const double level[] = {1.0, 1.12, 1.9};
    static const char *const groups[] = {"a", "b", "c"};
    struct compared *c = *state;
    for (size_t g = 0; g < 3; g++) {
        for (size_t i = 0; i < 4; i++) {
            add(c, groups[g], "L1", (long)i, bp_quantity_plain(level[g] + 0.1 * (double)((i * (g + 1)) % 3)));
        }
    }
    assert_int_equal(compare(c), BP_OK);
    assert_int_equal(c->result.pair_count, 3);
    double p[3], sorted[3], holm;
    for (size_t i = 0; i < 3; i++) {
        const struct bp_compare_pair *q = &c->result.pairs[i];
        p[i] = sorted[i] = q->p;
        double half = q->difference.high - q->difference.value,
               all = q->difference_all.high - q->difference.value;
        near(all / half, bp_student_quantile(1.0 - 0.05 / 6.0, q->df) / bp_student_quantile(0.975, q->df),
             1e-9);
        assert_true((q->difference_all.low > 0.0 || q->difference_all.high < 0.0) ==
                    (q->verdict == BP_FIRST_MORE || q->verdict == BP_FIRST_LESS));
    }
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i + 1 < 3; i++) {
            if (sorted[i] > sorted[i + 1]) {
                double kept = sorted[i];
                sorted[i] = sorted[i + 1];
                sorted[i + 1] = kept;
            }
        }
    }
    double adjusted[3];
    adjusted[0] = holm = fmin(1.0, 3.0 * sorted[0]);
    adjusted[1] = holm = fmax(holm, fmin(1.0, 2.0 * sorted[1]));
    adjusted[2] = fmax(holm, sorted[2]);
    for (size_t i = 0; i < 3; i++) {
        for (size_t k = 0; k < 3; k++) {
            if (p[i] == sorted[k]) {
                near(c->result.pairs[i].holm_p, adjusted[k], 1e-15);
            }
        }
    }
}

static void verdicts_heed_what_is_worth_naming(void **state)
{
    static const struct {
        double gap, worth;
        enum bp_compare_verdict verdict;
        bool small;
    } cases[] = {{0.0, 1.0, BP_NO_DIFFERENT, false}, {0.0, 0.01, BP_CANNOT_TELL, false},
                 {0.0, 0.0, BP_CANNOT_TELL, false},  {0.5, 1.0, BP_FIRST_MORE, true},
                 {0.5, 0.1, BP_FIRST_MORE, false},   {-0.5, 0.1, BP_FIRST_LESS, false}};
    struct compared *c = *state;
    for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
        c->count = 0;
        c->figure.worth = cases[k].worth;
        for (size_t i = 0; i < 5; i++) {
            double off = 0.05 * ((double)((i * 2) % 5) - 2.0);
            add(c, "a", "L1", (long)i, bp_quantity_plain(3.0 + cases[k].gap + off));
            add(c, "b", "L1", (long)i, bp_quantity_plain(3.0));
        }
        const struct bp_compare_pair *p = only_pair(c);
        assert_int_equal(p->verdict, cases[k].verdict);
        assert_int_equal(p->small, cases[k].small);
    }
}

/* With so many more the power is enough, and with one fewer it is not: checked with scipy's noncentral t in
 * against_scipy.py; here that it falls as the difference grows, and is capped. */
static void fewer_sets_are_asked_for_where_the_difference_is_larger(void **state)
{
    struct compared *c = *state;
    size_t before = BP_MORE_MAX + 1;
    for (int k = 0; k < 6; k++) {
        double gap = 0.01 * pow(2.0, k);
        c->count = 0;
        for (size_t i = 0; i < 3; i++) {
            add(c, "a", "L1", 1, bp_quantity_plain(1.0 + gap + 0.2 * (double)i));
            add(c, "b", "L1", 1, bp_quantity_plain(1.0 + 0.2 * (double)i));
        }
        const struct bp_compare_pair *p = only_pair(c);
        assert_int_equal(p->verdict, BP_CANNOT_TELL);
        assert_true(p->more_as_seen <= before && p->more_as_seen > 0);
        before = p->more_as_seen;
        if (k == 0) {
            assert_int_equal(p->more_as_seen, BP_MORE_MAX + 1);
        }
    }
    assert_true(before < 15);
}

static void scatter_is_taken_apart(void **state)
{
    /* Three sets of three reps at -d, 0, d about set means 1, 1 + e, 1 - e: rep mean square d^2, set e^2. */
    struct compared *c = *state;
    const double d = 0.3, e = 0.4, mean[] = {1.0, 1.4, 0.6};
    struct bp_quantity reps[3][3];
    for (size_t s = 0; s < 3; s++) {
        for (size_t r = 0; r < 3; r++) {
            reps[s][r] = bp_quantity_plain(mean[s] + d * ((double)r - 1.0));
        }
        add(c, "a", "L1", 1, bp_quantity_plain(mean[s]));
        c->sets[s].reps = reps[s];
        c->sets[s].rep_count = 3;
    }
    assert_int_equal(compare(c), BP_OK);
    near(c->result.scatter.rep_to_rep, d, 1e-12);
    near(c->result.scatter.set_to_set, sqrt(e * e - d * d / 3.0), 1e-12);
    near(c->result.scatter.measurement, 0.0, 0.0);
    assert_true(c->result.scatter.rep_df == 6.0 && c->result.scatter.set_df == 2.0);
    /* the same with each rep measured to 0.1 by itself: that much less is the lifter's */
    for (size_t s = 0; s < 3; s++) {
        for (size_t r = 0; r < 3; r++) {
            reps[s][r] = measured(reps[s][r].value, 0.1);
        }
        c->sets[s].set = measured(mean[s], 0.1 / sqrt(3.0));
    }
    assert_int_equal(compare(c), BP_OK);
    near(c->result.scatter.rep_to_rep, sqrt(d * d - 0.01), 1e-9);
    near(c->result.scatter.measurement, 0.1 / sqrt(3.0), 1e-9);
    near(c->result.scatter.set_to_set, sqrt(e * e - d * d / 3.0), 1e-9);
}

/* ---- errors ---- */

static void refused(struct compared *c, enum bp_code code)
{
    assert_int_equal(compare(c), code);
    assert_int_equal(c->error.code, code);
    assert_true(c->error.text[0] != '\0');
    assert_true(c->result.groups == NULL && c->result.pairs == NULL && c->result.pair_count == 0);
}

static void what_cannot_be_compared_is_refused(void **state)
{
    struct compared *c = *state;
    refused(c, BP_ERR_EMPTY);
    add_day(c, "a", "L1", 1, 3);
    c->settings.level = 1.0;
    refused(c, BP_ERR_ARGUMENT);
    c->settings = bp_compare_defaults;
    c->settings.by = (enum bp_compare_by)9;
    refused(c, BP_ERR_ARGUMENT);
    c->settings = bp_compare_defaults;
    c->figure.worth = -1.0;
    refused(c, BP_ERR_ARGUMENT);
    c->figure.worth = 0.9;
    c->figure.scale = BP_SCALE_RATIO;
    refused(c, BP_ERR_ARGUMENT);
    c->figure.worth = 0.0;
    c->figure.scatter_df = 0.5;
    refused(c, BP_ERR_ARGUMENT);
    c->figure.scatter_df = 0.0;
    c->sets[1].group = NULL;
    refused(c, BP_ERR_ARGUMENT);
    c->sets[1].group = "a";
    assert_int_equal(compare(c), BP_OK);
    assert_int_equal(c->result.pair_count, 0);
    static char names[BP_COMPARE_GROUPS_MAX + 1][8];
    c->count = 0;
    for (size_t i = 0; i <= BP_COMPARE_GROUPS_MAX; i++) {
        snprintf(names[i], sizeof names[i], "g%zu", i);
        add_day(c, names[i], "L1", 1, 1);
    }
    refused(c, BP_ERR_LIMIT);
    assert_int_equal(bp_compare_figure(&c->figure, c->sets, BP_COMPARE_OBSERVATIONS_MAX + 1, NULL, &c->arena,
                                       &c->result, &c->error),
                     BP_ERR_LIMIT);
    assert_int_equal(bp_compare_figure(NULL, c->sets, 2, NULL, &c->arena, &c->result, NULL), BP_ERR_ARGUMENT);
}

static void memory_that_runs_out_is_reported(void **state)
{
    struct compared *c = *state;
    static struct bp_observation many[3000];
    for (size_t i = 0; i < 3000; i++) {
        many[i] = (struct bp_observation){.group = i % 2 == 0 ? "a" : "b",
                                          .lifter = "L1",
                                          .day = (long)(i / 100),
                                          .set = bp_quantity_plain(1.0 + (double)(i % 17))};
    }
    bool failed = true;
    size_t n = 0;
    for (; failed && n < 100; n++) {
        bp_arena_free(&c->arena);
        failing_alloc_arm(n);
        enum bp_code code = bp_compare_figure(&c->figure, many, 3000, NULL, &c->arena, &c->result, &c->error);
        failed = failing_alloc_disarm();
        assert_int_equal(code, failed ? BP_ERR_MEMORY : BP_OK);
        assert_int_equal(c->result.pair_count, failed ? 0 : 1);
    }
    assert_false(failed);
    assert_true(n > 1);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(students_sleep_comes_out_paired_by_lifter_and_day),
        TEST(students_sleep_comes_out_by_welch_when_not_paired),
        TEST(names_order_and_swapping_only_turn_the_sign),
        TEST(the_unit_is_the_smallest_that_chance_moves),
        TEST(where_nothing_can_be_said_the_reason_is),
        TEST(one_set_a_side_is_judged_by_the_prior),
        TEST(prior_and_sample_are_weighed_by_their_degrees_of_freedom),
        TEST(units_that_scatter_more_than_the_prior_overrule_it),
        TEST(sets_that_agree_by_luck_are_no_surer_than_the_measurement),
        TEST(an_error_in_common_does_not_average_out),
        TEST(three_days_of_loads_are_as_sure_as_the_measurement),
        TEST(ratios_are_worked_out_on_logarithms),
        TEST(a_set_without_its_figure_takes_its_reps_mean),
        TEST(families_are_adjusted_by_bonferroni_and_holm),
        TEST(verdicts_heed_what_is_worth_naming),
        TEST(fewer_sets_are_asked_for_where_the_difference_is_larger),
        TEST(scatter_is_taken_apart),
        TEST(what_cannot_be_compared_is_refused),
        TEST(memory_that_runs_out_is_reported),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
