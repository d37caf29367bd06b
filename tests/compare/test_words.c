/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/compare.h"

#include <string.h>

static struct bp_compare_group groups[] = {{.name = "chains"}, {.name = "bands"}};

static void says(const struct bp_compare_figure *figure, struct bp_compare_pair pair, const char *sentence)
{
    struct bp_compare_result result = {.figure = *figure, .group_count = 2, .groups = groups};
    struct bp_text text;
    bp_text_init(&text);
    pair.second = 1;
    bp_compare_put_sentence(&result, &pair, &text);
    assert_string_equal(text.data, sentence);
    bp_text_free(&text);
}

static struct bp_quantity q(double value, double low, double high)
{
    return (struct bp_quantity){value, low, high};
}

static void differences_are_said_with_the_more_first(void **state)
{
    struct bp_compare_figure f = bp_compare_speed;
    (void)state;
    f.words = "speed at lockout";
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_MORE, .difference_all = q(0.04, 0.011, 0.069)},
         "speed at lockout: 0.04 m/s more with chains than with bands (0.01 to 0.07)");
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_LESS, .difference_all = q(-0.04, -0.069, -0.011)},
         "speed at lockout: 0.04 m/s more with bands than with chains (0.01 to 0.07)");
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_MORE, .difference_all = q(0.04, 0.003, 0.077)},
         "speed at lockout: 0.040 m/s more with chains than with bands (0.003 to 0.077)");
    says(&f,
         (struct bp_compare_pair){
             .verdict = BP_FIRST_MORE, .small = true, .difference_all = q(0.012, 0.006, 0.018)},
         "speed at lockout: 0.012 m/s more with chains than with bands (0.006 to 0.018), which is less than "
         "is worth "
         "naming");
}

static void ratios_are_said_as_times(void **state)
{
    struct bp_compare_figure f = bp_compare_shake;
    (void)state;
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_MORE, .ratio_all = q(1.8, 1.4, 2.3)},
         "Chains shook 1.8 times as much as bands (1.4 to 2.3)");
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_LESS, .ratio_all = q(0.5, 0.4, 0.8)},
         "Bands shook 2.0 times as much as chains (1.3 to 2.5)");
    f.deed = NULL;
    f.words = "clatter";
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_MORE, .ratio_all = q(1.8, 1.4, 2.3)},
         "clatter: 1.8 times as much with chains as with bands (1.4 to 2.3)");
}

static void no_difference_is_said_with_how_much_it_could_be(void **state)
{
    struct bp_compare_figure f = bp_compare_speed;
    (void)state;
    f.words = "speed at lockout";
    says(&f, (struct bp_compare_pair){.verdict = BP_NO_DIFFERENT, .difference_all = q(0.002, -0.021, 0.025)},
         "speed at lockout: chains and bands no different within 0.03 m/s");
    f = bp_compare_shake;
    says(&f, (struct bp_compare_pair){.verdict = BP_NO_DIFFERENT, .ratio_all = q(1.0, 0.9, 1.1)},
         "shake: chains and bands no different within 1.12 times");
}

static void what_cannot_be_told_is_said_with_what_would_tell(void **state)
{
    struct bp_compare_figure f = bp_compare_speed;
    struct bp_compare_pair p = {.unit = BP_UNIT_SET, .difference = q(0.05, -0.02, 0.12), .more_as_seen = 3};
    (void)state;
    p.more_for_worth = 9;
    says(&f, p, "speed: cannot tell chains from bands; about 3 more sets of each would");
    p.difference.value = 0.01; /* looks smaller than is worth naming: that is what is looked for */
    says(&f, p, "speed: cannot tell chains from bands; about 9 more sets of each would");
    p.more_for_worth = 1;
    p.unit = BP_UNIT_DAY;
    says(&f, p, "speed: cannot tell chains from bands; about 1 more day of each would");
    p.more_for_worth = BP_MORE_MAX + 1;
    says(&f, p, "speed: cannot tell chains from bands; more than 99 more days of each would");
    p.reason = BP_REASON_FEW;
    says(&f, p,
         "speed: cannot tell chains from bands; at least two of each are needed, on one day or on several");
    p.reason = BP_REASON_LIFTERS;
    says(&f, p, "speed: cannot tell chains from bands; no lifter did both");
    p.reason = BP_REASON_NOTHING;
    says(&f, p, "speed: cannot tell chains from bands; it was not measured on both sides");
}

static void loads_are_said_to_differ_or_to_match(void **state)
{
    struct bp_compare_figure f = bp_compare_load;
    (void)state;
    f.where = "at lockout";
    says(&f, (struct bp_compare_pair){.verdict = BP_FIRST_MORE, .difference_all = q(12.0, 10.0, 14.0)},
         "loads differ: 12.0 kg more at lockout with chains than with bands (10.0 to 14.0)");
    says(&f, (struct bp_compare_pair){.verdict = BP_NO_DIFFERENT, .difference_all = q(0.1, -0.5, 0.7)},
         "loads match: chains and bands at lockout within 0.7 kg");
}

static void names_for_json_exist_for_every_value(void **state)
{
    (void)state;
    assert_string_equal(bp_compare_verdict_name(BP_NO_DIFFERENT), "no_different");
    assert_string_equal(bp_compare_unit_name(BP_UNIT_LIFTER), "lifter");
    assert_string_equal(bp_compare_reason_name(BP_REASON_LIFTERS), "lifters");
    assert_string_equal(bp_compare_verdict_name((enum bp_compare_verdict)99), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(differences_are_said_with_the_more_first),
        cmocka_unit_test(ratios_are_said_as_times),
        cmocka_unit_test(no_difference_is_said_with_how_much_it_could_be),
        cmocka_unit_test(what_cannot_be_told_is_said_with_what_would_tell),
        cmocka_unit_test(loads_are_said_to_differ_or_to_match),
        cmocka_unit_test(names_for_json_exist_for_every_value),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
