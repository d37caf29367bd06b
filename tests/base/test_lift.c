/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/lift.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static void every_lift_is_found_by_its_own_name(void **state)
{
    (void)state;
    for (int i = 0; i < BP_LIFT_COUNT; i++) {
        const struct bp_lift_facts *facts = bp_lift_facts((enum bp_lift)i);
        enum bp_lift found = BP_LIFT_COUNT;
        assert_non_null(facts);
        assert_true(bp_lift_named(facts->name, &found));
        assert_int_equal(found, i);
        for (int k = 0; k < 3; k++) {
            assert_non_null(facts->range_names[k]);
        }
        assert_true(0.0 < facts->least_range_m && facts->least_range_m < facts->most_range_m);
    }
}

static void ranges_are_named_as_the_trade_names_them(void **state)
{
    (void)state;
    assert_string_equal(bp_lift_facts(BP_BENCH)->range_names[0], "off the chest");
    assert_string_equal(bp_lift_facts(BP_SQUAT)->range_names[0], "out of the hole");
    assert_string_equal(bp_lift_facts(BP_DEADLIFT)->range_names[1], "past the knee");
    assert_string_equal(bp_lift_facts(BP_PRESS)->range_names[2], "lockout");
}

static void an_unknown_lift_changes_nothing(void **state)
{
    (void)state;
    enum bp_lift lift = BP_SQUAT;
    assert_false(bp_lift_named("curl", &lift));
    assert_false(bp_lift_named("", &lift));
    assert_false(bp_lift_named("Bench", &lift));
    assert_int_equal(lift, BP_SQUAT);
    assert_null(bp_lift_facts(BP_LIFT_COUNT));
    assert_null(bp_lift_facts((enum bp_lift)99));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_lift_is_found_by_its_own_name),
        cmocka_unit_test(ranges_are_named_as_the_trade_names_them),
        cmocka_unit_test(an_unknown_lift_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
