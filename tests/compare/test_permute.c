/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/compare.h"

/* Darwin's maize, Fisher, The Design of Experiments (1935), section 21: 863 of 32,768 sums are as high as
 * 314. */
static const double maize[] = {49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48};

static void fishers_sign_flips_of_darwins_maize(void **state)
{
    (void)state;
    struct bp_permutation p = bp_sign_flips(maize, 15, 1);
    assert_true(p.exact);
    assert_int_equal(p.count, 32768);
    assert_true(fabs(p.upper * 32768.0 - 863.0) < 1e-6);
    assert_true(fabs(p.two_sided * 32768.0 - 2.0 * 863.0) < 1e-6);
    assert_true(p.lower > 0.97);
}

/* Efron & Tibshirani, An Introduction to the Bootstrap, ch. 15, mice: 1613 of 11,440, two-sided 3184. Ernst
 * 2004, Statist Sci 19:676-685: 3 of 35, two-sided 4. */
static void published_regroupings_come_out(void **state)
{
    static const double mice[] = {94, 197, 16, 38, 99, 141, 23, 52, 104, 146, 10, 51, 30, 40, 27, 46};
    static const double ernst[] = {19, 22, 25, 26, 23, 33, 40};
    size_t scratch[16];
    (void)state;
    struct bp_permutation p = bp_regroupings(mice, 7, 9, scratch, 1);
    assert_true(p.exact);
    assert_int_equal(p.count, 11440);
    assert_true(fabs(p.upper * 11440.0 - 1613.0) < 1e-6);
    assert_true(fabs(p.two_sided * 11440.0 - 3184.0) < 1e-6);
    p = bp_regroupings(ernst, 4, 3, scratch, 1);
    assert_int_equal(p.count, 35);
    assert_true(fabs(p.lower * 35.0 - 3.0) < 1e-9);
    assert_true(fabs(p.two_sided * 35.0 - 4.0) < 1e-9);
}

/* Too many ways to go through: drawn, never 0 (Phipson & Smyth 2010), the same for the same seed, and near
 * what the normal says. */
static void many_arrangements_are_drawn_with_the_seed(void **state)
{
    double d[30], far[40];
    size_t scratch[40];
    (void)state;
    for (size_t i = 0; i < 30; i++) {
        d[i] = maize[i % 15];
    }
    for (size_t i = 0; i < 40; i++) {
        far[i] = (i < 20 ? 0.0 : 100.0) + (double)(i % 7);
    }
    struct bp_permutation p = bp_sign_flips(d, 30, 7), again = bp_sign_flips(d, 30, 7),
                          other = bp_sign_flips(d, 30, 8);
    assert_false(p.exact);
    assert_true(p.two_sided == again.two_sided && p.upper == again.upper);
    assert_true(p.two_sided != other.two_sided || p.upper != other.upper);
    /* sum 628, root of the sum of squares 230.3: by the normal 0.0032 */
    assert_true(p.upper > 0.002 && p.upper < 0.0045);
    p = bp_regroupings(far, 20, 20, scratch, 7);
    assert_false(p.exact);
    assert_true(p.two_sided > 0.0 && p.two_sided < 2.0 / (double)p.count);
    assert_true(isnan(bp_sign_flips(d, 0, 1).two_sided) &&
                isnan(bp_regroupings(d, 0, 3, scratch, 1).two_sided));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fishers_sign_flips_of_darwins_maize),
        cmocka_unit_test(published_regroupings_come_out),
        cmocka_unit_test(many_arrangements_are_drawn_with_the_seed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
