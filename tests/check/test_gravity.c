/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* NIMA TR8350.2's formula evaluated independently with its defining constants. */
static void gravity_matches_the_ellipsoid_at_sea_level(void **state)
{
    (void)state;
    static const struct {
        double latitude_deg, want;
    } rows[] = {{0, 9.7803253359},  {15, 9.7837849624}, {30, 9.7932472692}, {45, 9.8061977694},
                {60, 9.8191769531}, {75, 9.8286966275}, {90, 9.8321849379}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_true(fabs(bp_gravity_at(rows[i].latitude_deg, 0) - rows[i].want) < 1e-9);
        assert_true(bp_gravity_at(-rows[i].latitude_deg, 0) == bp_gravity_at(rows[i].latitude_deg, 0));
    }
}

static void gravity_falls_with_height(void **state)
{
    (void)state;
    assert_true(fabs(bp_gravity_at(45, 100) - 9.80588922) < 1e-8);
    assert_true(fabs(bp_gravity_at(45, 1000) - 9.80311294) < 1e-8);
    assert_true(fabs(bp_gravity_at(45, 10000) - 9.77541460) < 1e-8);
}

static void gravity_is_expected_anywhere_or_at_a_place(void **state)
{
    struct log *log = *state;
    assert_int_equal(log_check(log), BP_OK);
    assert_true(log->check.gravity_low == 9.780 && log->check.gravity_high == 9.833);
    assert_true(log->check.gravity_low <= bp_gravity_at(0, 0) + 4e-4);
    assert_true(log->check.gravity_high >= bp_gravity_at(90, 0));
    struct bp_check_settings at_sea = {54.3, 0};
    assert_int_equal(bp_check_trace(&log->trace, &at_sea, &log->arena, &log->check, &log->error), BP_OK);
    assert_true(log->check.gravity_low < bp_gravity_at(54.3, 0));
    assert_true(log->check.gravity_high > bp_gravity_at(54.3, 0));
    assert_true(log->check.gravity_high - log->check.gravity_low < 0.01);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gravity_matches_the_ellipsoid_at_sea_level),
        cmocka_unit_test(gravity_falls_with_height),
        WITH_LOG(gravity_is_expected_anywhere_or_at_a_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
