/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/compare.h"

/* NIST/SEMATECH e-Handbook 1.3.6.7.2 (three decimals), worked out further. */
static void quantiles_are_the_tables(void **state)
{
    static const struct {
        double df, probability, t;
    } table[] = {{1, 0.975, 12.706205}, {2, 0.975, 4.302653},   {3, 0.975, 3.182446},
                 {4, 0.975, 2.776445},  {5, 0.975, 2.570582},   {6, 0.975, 2.446912},
                 {8, 0.975, 2.306004},  {10, 0.975, 2.228139},  {15, 0.975, 2.131450},
                 {20, 0.975, 2.085963}, {30, 0.975, 2.042272},  {40, 0.975, 2.021075},
                 {60, 0.975, 2.000298}, {120, 0.975, 1.979930}, {(double)INFINITY, 0.975, 1.959964},
                 {1, 0.95, 6.313752},   {5, 0.95, 2.015048},    {10, 0.95, 1.812461},
                 {30, 0.95, 1.697261}};
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        double t = bp_student_quantile(table[i].probability, table[i].df);
        assert_true(fabs(t - table[i].t) < 6e-7);
        assert_true(fabs(bp_student_quantile(1.0 - table[i].probability, table[i].df) + t) < 1e-9);
        assert_true(fabs(bp_student_cdf(t, table[i].df) - table[i].probability) < 1e-12);
    }
    assert_true(isnan(bp_student_quantile(0.0, 3)) && isnan(bp_student_quantile(1.0, 3)));
    assert_true(isnan(bp_student_quantile(0.9, 0.0)) && isnan(bp_student_cdf((double)NAN, 3)));
    assert_true(isnan(bp_student_shifted_cdf(1.0, -1.0, 0.0)));
}

/* A shift of nothing is no shift; t below 0 at shift d is t above 0 at shift -d; P(T <= 0) = Phi(-shift). */
static void a_shifted_t_keeps_what_must_hold(void **state)
{
    (void)state;
    for (double df = 1.0; df < 300.0; df *= 1.7) {
        for (double t = -6.0; t <= 6.0; t += 1.3) {
            assert_true(fabs(bp_student_shifted_cdf(t, df, 0.0) - bp_student_cdf(t, df)) < 1e-6);
            double there = bp_student_shifted_cdf(t, df, 1.7), back = bp_student_shifted_cdf(-t, df, -1.7);
            assert_true(fabs(there - (1.0 - back)) < 1e-9);
        }
        assert_true(fabs(bp_student_shifted_cdf(0.0, df, 1.0) - 0.15865525393145707) < 1e-9);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantiles_are_the_tables),
        cmocka_unit_test(a_shifted_t_keeps_what_must_hold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
