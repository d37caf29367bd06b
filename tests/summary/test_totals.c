/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "summary/totals.h"

#include <math.h>

/* cmocka compares in single precision; this does not. */
#define assert_near(value, expected, tolerance) assert_true(fabs((value) - (expected)) <= (tolerance))

enum { REPS = 4 };

/* Speeds 0.50, 0.47, 0.40 m/s and a missed rep. */
static void make_reps(struct bp_rep_figures reps[REPS])
{
    static const double SPEEDS[REPS] = {0.50, 0.47, 0.40, 9.0};
    for (size_t r = 0; r < REPS; r++) {
        reps[r] = (struct bp_rep_figures){.index = r + 1, .missed = r == 3};
        reps[r].mean_velocity_m_s = bp_quantity_plain(SPEEDS[r]);
        reps[r].shake_mm = bp_quantity_plain((double)r + 1);
        reps[r].shake_hz = r == 1 ? bp_quantity_unknown() : bp_quantity_plain(2);
    }
}

/* Velocity loss (best - last) / best: 0.50 to 0.40 is 20 % (Sánchez-Medina & González-Badillo 2011). */
static void totals_lose_a_fifth_from_half_to_four_tenths(void **state)
{
    (void)state;
    struct bp_rep_figures reps[REPS];
    struct bp_set_figures set = {0};
    make_reps(reps);
    bp_totals_of(reps, REPS, &set);
    assert_near(set.velocity_loss_pct.value, 20.0, 1e-9);
    assert_near(set.best_velocity_m_s.value, 0.50, 0);
    assert_near(set.mean_velocity_m_s.value, (0.50 + 0.47 + 0.40) / 3, 1e-12);
}

/* The last rep's speed is not known: a loss up to the one before would be of another set. */
static void totals_tell_no_loss_up_to_a_rep_that_is_not_known(void **state)
{
    (void)state;
    struct bp_rep_figures reps[REPS];
    struct bp_set_figures set = {0};
    make_reps(reps);
    reps[2].mean_velocity_m_s = bp_quantity_unknown();
    bp_totals_of(reps, REPS, &set);
    assert_true(isnan(set.velocity_loss_pct.value));
    assert_near(set.best_velocity_m_s.value, 0.50, 0);
    reps[0].mean_velocity_m_s = bp_quantity_unknown();
    reps[2].mean_velocity_m_s = bp_quantity_plain(0.40);
    bp_totals_of(reps, REPS, &set);
    assert_near(set.velocity_loss_pct.value, 100 * (0.47 - 0.40) / 0.47, 1e-9);
}

static void totals_leave_missed_reps_out_of_every_mean(void **state)
{
    (void)state;
    struct bp_rep_figures reps[REPS];
    struct bp_set_figures set = {0};
    make_reps(reps);
    bp_totals_of(reps, REPS, &set);
    assert_int_equal(set.reps, 3);
    assert_int_equal(set.missed, 1);
    assert_near(set.shake_mm.value, 2.0, 1e-12);
}

static void totals_mean_over_what_is_known(void **state)
{
    (void)state;
    struct bp_rep_figures reps[REPS];
    struct bp_set_figures set = {0};
    make_reps(reps);
    bp_totals_of(reps, REPS, &set);
    assert_near(set.shake_hz.value, 2.0, 0);
    assert_true(isnan(set.clatter_m_s2.value) || set.clatter_m_s2.value == 0);
}

static void totals_of_missed_reps_alone_are_unknown(void **state)
{
    (void)state;
    struct bp_rep_figures reps[REPS];
    struct bp_set_figures set = {0};
    make_reps(reps);
    bp_totals_of(reps + 3, 1, &set);
    assert_int_equal(set.reps, 0);
    assert_true(isnan(set.mean_velocity_m_s.value));
    assert_true(isnan(set.best_velocity_m_s.value));
    assert_true(isnan(set.velocity_loss_pct.value));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(totals_lose_a_fifth_from_half_to_four_tenths),
        cmocka_unit_test(totals_tell_no_loss_up_to_a_rep_that_is_not_known),
        cmocka_unit_test(totals_leave_missed_reps_out_of_every_mean),
        cmocka_unit_test(totals_mean_over_what_is_known),
        cmocka_unit_test(totals_of_missed_reps_alone_are_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
