/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <complex.h>
#include <math.h>

static void expect_section(struct bp_biquad got, struct bp_biquad want, double tolerance)
{
    assert_true(fabs(got.b0 - want.b0) <= tolerance);
    assert_true(fabs(got.b1 - want.b1) <= tolerance);
    assert_true(fabs(got.b2 - want.b2) <= tolerance);
    assert_true(fabs(got.a1 - want.a1) <= tolerance);
    assert_true(fabs(got.a2 - want.a2) <= tolerance);
}

/* |H| at a frequency, from the coefficients. */
static double gain_of(const struct bp_biquad *s, double hz, double rate_hz)
{
    double complex z = cexp(-2 * BP_PI * hz / rate_hz * (double complex)I);
    return cabs((s->b0 + s->b1 * z + s->b2 * z * z) / (1 + s->a1 * z + s->a2 * z * z));
}

/* Vectors from scipy.signal.butter(2, fc, fs=fs), printed to 12 decimals. */
static void biquad_lowpass_matches_an_independent_design(void **state)
{
    (void)state;
    static const struct {
        double rate_hz, cutoff_hz, b0, b1, a1, a2;
    } rows[] = {
        {100, 10, 0.067455273889, 0.134910547778, -1.142980502540, 0.412801598096},
        {100, 5, 0.020083365564, 0.040166731128, -1.561018075801, 0.641351538058},
        {100, 6, 0.027859766117, 0.055719532234, -1.475480443593, 0.586919508061},
        {50, 10, 0.206572083826, 0.413144167652, -0.369527377351, 0.195815712656},
        {1000, 10, 0.000944691844, 0.001889383688, -1.911197067426, 0.914975834801},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bp_biquad want = {rows[i].b0, rows[i].b1, rows[i].b0, rows[i].a1, rows[i].a2};
        expect_section(bp_biquad_lowpass(rows[i].cutoff_hz, rows[i].rate_hz, 1), want, 1e-12);
    }
}

/* Winter, Biomechanics and Motor Control of Human Movement (from memory), 6 Hz of 100 Hz, two passes; his
 * signs of b1, b2 are the opposite of our a1, a2. */
static void biquad_two_pass_design_follows_winter(void **state)
{
    (void)state;
    struct bp_biquad want = {0.040594681447, 0.081189362895, 0.040594681447, -1.354748815199, 0.517127540989};
    expect_section(bp_biquad_lowpass(6, 100, 2), want, 1e-12);
}

/* The corrected cutoffs of Winter's procedure: a two-pass design is the one-pass design at this cutoff. */
static void biquad_two_pass_cutoff_is_corrected_after_prewarping(void **state)
{
    (void)state;
    static const struct {
        double rate_hz, cutoff_hz, design_hz;
    } rows[] = {
        {200, 6, 7.466822842}, {100, 6, 7.430884958}, {100, 10, 12.249240608}, {200, 10, 12.409008726}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bp_biquad two = bp_biquad_lowpass(rows[i].cutoff_hz, rows[i].rate_hz, 2);
        struct bp_biquad one = bp_biquad_lowpass(rows[i].design_hz, rows[i].rate_hz, 1);
        expect_section(two, one, 1e-9);
    }
}

static void biquad_gain_at_the_cutoff_is_half_the_power_for_any_number_of_passes(void **state)
{
    (void)state;
    for (int passes = 1; passes <= 4; passes++) {
        struct bp_biquad low = bp_biquad_lowpass(6, 100, passes), high = bp_biquad_highpass(6, 100, passes);
        assert_true(fabs(pow(gain_of(&low, 6, 100), passes) - sqrt(0.5)) < 1e-13);
        assert_true(fabs(pow(gain_of(&high, 6, 100), passes) - sqrt(0.5)) < 1e-13);
    }
}

static void biquad_lowpass_passes_a_constant_and_highpass_none_of_it(void **state)
{
    (void)state;
    for (double cutoff_hz = 0.5; cutoff_hz < 48; cutoff_hz += 3.3) {
        struct bp_biquad low = bp_biquad_lowpass(cutoff_hz, 100, 2);
        struct bp_biquad high = bp_biquad_highpass(cutoff_hz, 100, 2);
        assert_true(fabs(gain_of(&low, 0, 100) - 1) < 1e-12);
        assert_true(gain_of(&low, 50, 100) < 1e-12);
        assert_true(gain_of(&high, 0, 100) < 1e-12);
        assert_true(fabs(gain_of(&high, 50, 100) - 1) < 1e-12);
    }
}

static void biquad_design_out_of_range_is_nan(void **state)
{
    (void)state;
    const struct bp_biquad bad[] = {
        bp_biquad_lowpass(0, 100, 1),   bp_biquad_lowpass(50, 100, 1),
        bp_biquad_lowpass(-1, 100, 1),  bp_biquad_lowpass(5, 0, 1),
        bp_biquad_lowpass(5, 100, 0),   bp_biquad_lowpass((double)NAN, 100, 1),
        bp_biquad_highpass(60, 100, 1), bp_biquad_highpass(5, (double)INFINITY, 1)};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_true(isnan(bad[i].b0) && isnan(bad[i].b1) && isnan(bad[i].b2));
        assert_true(isnan(bad[i].a1) && isnan(bad[i].a2));
        assert_int_equal(bp_biquad_reach(&bad[i]), 0);
    }
}

static void biquad_reach_grows_as_the_cutoff_falls_and_is_capped(void **state)
{
    (void)state;
    struct bp_biquad quick = bp_biquad_lowpass(20, 100, 1), slow = bp_biquad_lowpass(2, 100, 1);
    struct bp_biquad slower = bp_biquad_lowpass(0.01, 100, 1);
    assert_true(bp_biquad_reach(&quick) >= 3);
    assert_true(bp_biquad_reach(&slow) > 5 * bp_biquad_reach(&quick));
    assert_int_equal(bp_biquad_reach(&slower), BP_BIQUAD_REACH_MAX);
    struct bp_biquad unstable = {1, 0, 0, -2.5, 1.0};
    assert_int_equal(bp_biquad_reach(&unstable), 0);
    struct bp_biquad plain = {1, 0, 0, 0, 0};
    assert_int_equal(bp_biquad_reach(&plain), 1);
}

static void biquad_both_ways_keeps_a_constant_and_a_line(void **state)
{
    (void)state;
    enum { COUNT = 300 };
    double x[COUNT], want[COUNT];
    struct bp_biquad low = bp_biquad_lowpass(6, 100, 2);
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = want[i] = 9.80665;
    }
    bp_biquad_both_ways(&low, x, COUNT);
    assert_true(signal_distance(x, want, COUNT) < 1e-12);
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = want[i] = 3 - 0.01 * (double)i;
    }
    bp_biquad_both_ways(&low, x, COUNT);
    assert_true(signal_distance(x, want, COUNT) < 1e-7); /* reflection continues a line; its start settles */
}

static void biquad_both_ways_has_no_phase_and_the_designed_gain(void **state)
{
    (void)state;
    enum { COUNT = 1200 };
    static double x[COUNT], want[COUNT];
    struct bp_biquad low = bp_biquad_lowpass(6, 100, 2);
    signal_sine(x, COUNT, 100, 1, 6, 0.4);
    signal_sine(want, COUNT, 100, sqrt(0.5), 6, 0.4);
    bp_biquad_both_ways(&low, x, COUNT);
    assert_true(signal_distance(x + 200, want + 200, COUNT - 400) < 1e-9);
}

static void biquad_both_ways_is_the_same_read_backward(void **state)
{
    (void)state;
    enum { COUNT = 900 };
    static double x[COUNT], y[COUNT];
    struct bp_biquad low = bp_biquad_lowpass(8, 100, 2);
    signal_noise(x, COUNT, 7);
    for (size_t i = 0; i < COUNT; i++) {
        y[i] = x[COUNT - 1 - i];
    }
    bp_biquad_both_ways(&low, x, COUNT);
    bp_biquad_both_ways(&low, y, COUNT);
    signal_reverse(y, COUNT);
    /* Forward-backward is not backward-forward at the very ends, only once each pass has settled. */
    size_t reach = bp_biquad_reach(&low);
    assert_true(signal_distance(x + reach, y + reach, COUNT - 2 * reach) < 1e-5);
    assert_true(signal_distance(x + 2 * reach, y + 2 * reach, COUNT - 4 * reach) < 1e-11);
}

static void biquad_both_ways_takes_records_of_no_and_few_samples(void **state)
{
    (void)state;
    struct bp_biquad low = bp_biquad_lowpass(6, 100, 2);
    double poison = 77, one = 5, two[2] = {1, 1};
    bp_biquad_both_ways(&low, &poison, 0);
    assert_true(poison == 77);
    bp_biquad_both_ways(&low, &one, 1);
    assert_true(fabs(one - 5) < 1e-12);
    bp_biquad_both_ways(&low, two, 2);
    assert_true(fabs(two[0] - 1) < 1e-12 && fabs(two[1] - 1) < 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(biquad_lowpass_matches_an_independent_design),
        cmocka_unit_test(biquad_two_pass_design_follows_winter),
        cmocka_unit_test(biquad_two_pass_cutoff_is_corrected_after_prewarping),
        cmocka_unit_test(biquad_gain_at_the_cutoff_is_half_the_power_for_any_number_of_passes),
        cmocka_unit_test(biquad_lowpass_passes_a_constant_and_highpass_none_of_it),
        cmocka_unit_test(biquad_design_out_of_range_is_nan),
        cmocka_unit_test(biquad_reach_grows_as_the_cutoff_falls_and_is_capped),
        cmocka_unit_test(biquad_both_ways_keeps_a_constant_and_a_line),
        cmocka_unit_test(biquad_both_ways_has_no_phase_and_the_designed_gain),
        cmocka_unit_test(biquad_both_ways_is_the_same_read_backward),
        cmocka_unit_test(biquad_both_ways_takes_records_of_no_and_few_samples),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
