/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/compare.h"

/* Hedges 1981, J Educ Stat 6:107-128: the exact factor, worked out. */
static void hedges_factor_is_exact(void **state)
{
    static const double table[][2] = {{2, 0.56418958},  {4, 0.79788456},  {6, 0.86862669},  {8, 0.90270333},
                                      {10, 0.92274561}, {18, 0.95764643}, {28, 0.97293212}, {38, 0.98011040}};
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        assert_true(fabs(bp_hedges_factor(table[i][0]) - table[i][1]) < 6e-9);
    }
    assert_true(isnan(bp_hedges_factor(1.0)) && bp_hedges_factor((double)INFINITY) == 1.0);
}

/* Borenstein et al. 2009, Introduction to Meta-Analysis, ch. 4: means 103 and 100, SD 5.5 and 4.5, 50 each.
 * Their interval is the large-sample one, g +- 1.96 SE; at 98 degrees of freedom the exact one is near. */
static void the_worked_example_of_hedges_g_comes_out(void **state)
{
    double pooled = sqrt((49.0 * 5.5 * 5.5 + 49.0 * 4.5 * 4.5) / 98.0);
    (void)state;
    assert_true(fabs(pooled - 5.024938) < 1e-6);
    struct bp_quantity g = bp_hedges_effect(3.0 / pooled, 98.0, sqrt(25.0), 0.95);
    assert_true(fabs(g.value - 0.592442) < 5e-5); /* theirs has J by the approximation 1 - 3 / (4 df - 1) */
    assert_true(fabs(g.low - (0.5924 - 1.96 * 0.2028)) < 0.006);
    assert_true(fabs(g.high - (0.5924 + 1.96 * 0.2028)) < 0.006);
}

static void turning_the_sides_about_turns_the_effect_about(void **state)
{
    (void)state;
    for (double df = 2.0; df < 40.0; df *= 2.0) {
        struct bp_quantity a = bp_hedges_effect(1.3, df, 1.5, 0.95),
                           b = bp_hedges_effect(-1.3, df, 1.5, 0.95);
        assert_true(a.low < a.value && a.value < a.high);
        assert_true(fabs(a.low + b.high) < 1e-5 && fabs(a.high + b.low) < 1e-5);
    }
    assert_true(isnan(bp_hedges_effect(1.0, 1.0, 1.0, 0.95).value));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hedges_factor_is_exact),
        cmocka_unit_test(the_worked_example_of_hedges_g_comes_out),
        cmocka_unit_test(turning_the_sides_about_turns_the_effect_about),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
