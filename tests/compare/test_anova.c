/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * NIST Statistical Reference Datasets (StRD): certified values of one-way analysis of variance and of
 * univariate summaries, https://www.itl.nist.gov/div898/strd.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/compare.h"

#include <stdlib.h>

static void assert_close(double got, double want, double relative)
{
    assert_true(fabs(got - want) <= relative * fabs(want));
}

static void silicon_resistivity_has_nists_certified_analysis(void **state)
{
    /* SiRstv: five instruments, five readings each. */
    static const double values[] = {196.3052, 196.1240, 196.1890, 196.2569, 196.3403, 196.3042, 196.3825,
                                    196.1669, 196.3257, 196.0422, 196.1303, 196.2005, 196.2889, 196.0343,
                                    196.1811, 196.2795, 196.1748, 196.1494, 196.1485, 195.9885, 196.2119,
                                    196.1051, 196.1850, 196.0052, 196.2090};
    static const size_t sizes[] = {5, 5, 5, 5, 5};
    (void)state;
    struct bp_anova a = bp_anova_one_way(values, sizes, 5);
    assert_true(a.between_df == 4.0 && a.within_df == 20.0 && a.even_size == 5.0);
    assert_close(a.between_ss, 5.11462616000000E-02, 1e-9);
    assert_close(a.within_ss, 2.16636560000000E-01, 1e-9);
    assert_close(a.between_ms, 1.27865654000000E-02, 1e-9);
    assert_close(a.within_ms, 1.08318280000000E-02, 1e-9);
    assert_close(a.f, 1.18046237440255E+00, 1e-9);
    assert_close(a.r_squared, 1.90999039051129E-01, 1e-9);
    assert_close(a.residual_sd, 1.04076068334656E-01, 1e-9);
    assert_close(a.group_variance, (1.27865654E-02 - 1.08318280E-02) / 5.0, 1e-8);
}

/* SmLs01, 09: nine groups about offset + 0.4, every second one 0.1 lower or higher; in each a reading at its
 * middle, then 0.1 below and above it in turn (Simon & Lesage 1989, as NIST makes them). Certified for both:
 * within groups 0.1, between them 0.08 a reading. */
static struct bp_anova simon_lesage(double offset, size_t readings)
{
    static const double middle[] = {0.4, 0.3, 0.5, 0.3, 0.5, 0.3, 0.5, 0.3, 0.5};
    double *values = malloc(9 * readings * sizeof *values);
    size_t sizes[9], n = 0;
    assert_non_null(values);
    for (size_t g = 0; g < 9; g++) {
        sizes[g] = readings;
        for (size_t i = 0; i < readings; i++) {
            values[n++] = offset + (i == 0 ? middle[g] : i % 2 == 1 ? middle[g] - 0.1 : middle[g] + 0.1);
        }
    }
    struct bp_anova a = bp_anova_one_way(values, sizes, 9);
    free(values);
    return a;
}

static void nists_small_and_largest_simulated_sets_have_their_certified_f(void **state)
{
    (void)state;
    struct bp_anova small = simon_lesage(1.0, 21);
    assert_close(small.f, 21.0, 1e-12);
    assert_close(small.between_ss, 1.68, 1e-12);
    assert_close(small.within_ss, 1.80, 1e-12);
    assert_close(small.r_squared, 0.482758620689655, 1e-12);
    assert_close(small.residual_sd, 0.1, 1e-12);
    struct bp_anova large = simon_lesage(1e12, 2001);
    /* At 1e12 a double is good to 0.00012, a thousandth of the 0.1 that make up the sums: the data
     * themselves, once they are doubles, have F = 2001.135 (worked out in rational numbers), and no code can
     * do better. */
    assert_close(large.f, 2001.1349262209505, 1e-9);
    assert_close(large.f, 2001.0, 1e-3);
    assert_close(large.between_ss, 160.08, 1e-3);
    assert_close(large.within_ss, 180.0, 1e-3);
}

static void numerical_accuracy_sets_keep_their_digits(void **state)
{
    /* NumAcc1 to 4. */
    static const double first[] = {10000001.0, 10000003.0, 10000002.0};
    double values[1001];
    (void)state;
    struct bp_moments m = bp_sample_moments(first, 3);
    assert_true(m.mean == 10000002.0 && m.sd == 1.0);
    static const double offsets[] = {1.0, 1000000.0, 10000000.0};
    static const double digits[] = {1e-13, 1e-9, 1e-8}; /* what the rounding of the data to doubles leaves */
    for (size_t k = 0; k < 3; k++) {
        values[0] = offsets[k] + 0.2;
        for (size_t i = 1; i < 1001; i++) {
            values[i] = offsets[k] + (i % 2 == 1 ? 0.1 : 0.3);
        }
        m = bp_sample_moments(values, 1001);
        assert_close(m.mean, offsets[k] + 0.2, 1e-14);
        assert_close(m.sd, 0.1, digits[k]);
    }
}

static void too_little_is_said_to_be_so(void **state)
{
    static const double values[] = {1.0, 2.0};
    static const size_t one[] = {2}, two[] = {1, 1};
    (void)state;
    assert_true(isnan(bp_sample_moments(values, 0).mean));
    assert_true(bp_sample_moments(values, 1).mean == 1.0 && isnan(bp_sample_moments(values, 1).sd));
    struct bp_anova a = bp_anova_one_way(values, one, 1);
    assert_true(isnan(a.f) && isnan(a.p) && a.within_ss == 0.5 && isnan(a.group_variance));
    a = bp_anova_one_way(values, two, 2);
    assert_true(isnan(a.f) && isnan(a.residual_sd) && a.between_ss == 0.5);
    a = bp_anova_one_way(values, NULL, 0);
    assert_true(isnan(a.f));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(silicon_resistivity_has_nists_certified_analysis),
        cmocka_unit_test(nists_small_and_largest_simulated_sets_have_their_certified_f),
        cmocka_unit_test(numerical_accuracy_sets_keep_their_digits),
        cmocka_unit_test(too_little_is_said_to_be_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
