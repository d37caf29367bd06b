/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/strength.h"
#include "near.h"

static void every_reason_has_its_own_sentence(void **state)
{
    (void)state;
    assert_string_equal(bp_strength_reason_text(BP_STRENGTH_GIVEN), "");
    for (int i = BP_STRENGTH_GIVEN + 1; i < BP_STRENGTH_REASON_COUNT; i++) {
        const char *text = bp_strength_reason_text((enum bp_strength_reason)i);
        assert_non_null(text);
        size_t length = strlen(text);
        assert_true(length > 20 && text[length - 1] == '.' && !strchr(text, '\n'));
        for (int j = 0; j < i; j++) {
            assert_string_not_equal(text, bp_strength_reason_text((enum bp_strength_reason)j));
        }
    }
    assert_string_equal(bp_strength_reason_text(BP_STRENGTH_REASON_COUNT), "unknown reason");
    assert_string_equal(bp_strength_reason_text((enum bp_strength_reason) - 1), "unknown reason");
}

static void caution_defers_to_coach_and_gym(void **state)
{
    (void)state;
    const char *text = bp_strength_caution();
    assert_non_null(strstr(text, "not a permission"));
    assert_non_null(strstr(text, "coach"));
    assert_non_null(strstr(text, "rules of the gym"));
    assert_non_null(strstr(text, "day to day"));
}

/* Published means (docs/strength.md): each group's lies inside the interval of its lift. */
static void minimal_velocity_covers_the_published_groups(void **state)
{
    (void)state;
    static const struct {
        enum bp_lift lift;
        double mean;
    } groups[] = {{BP_BENCH, 0.17}, {BP_BENCH, 0.16}, {BP_BENCH, 0.10},   {BP_SQUAT, 0.32},
                  {BP_SQUAT, 0.29}, {BP_SQUAT, 0.23}, {BP_DEADLIFT, 0.14}};
    for (size_t i = 0; i < sizeof groups / sizeof *groups; i++) {
        struct bp_quantity q = bp_strength_minimal(groups[i].lift)->m_s;
        assert_true(q.low <= groups[i].mean && groups[i].mean <= q.high);
    }
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        const struct bp_strength_minimal *minimal = bp_strength_minimal((enum bp_lift)lift);
        assert_true(minimal->m_s.low > 0 && strlen(minimal->source) > 20);
        bool from_memory = strncmp(minimal->source, "from memory", 11) == 0;
        assert_true(from_memory == (lift == BP_PRESS || lift == BP_ROW));
    }
    assert_null(bp_strength_minimal(BP_LIFT_COUNT));
    assert_null(bp_strength_minimal((enum bp_lift) - 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_reason_has_its_own_sentence),
        cmocka_unit_test(caution_defers_to_coach_and_gym),
        cmocka_unit_test(minimal_velocity_covers_the_published_groups),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
