/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "base/failing_alloc.h"
#include "signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

static const struct bp_band_settings shake_band = {0.7, 8, 4};

static int make_arena(void **state)
{
    static struct bp_arena arena;
    bp_arena_init(&arena);
    *state = &arena;
    return 0;
}

static int free_arena(void **state)
{
    bp_arena_free(*state);
    return 0;
}

static void filter_to(const double *x, size_t count, double rate_hz, struct bp_band_settings band,
                      enum bp_band_output output, double *out, struct bp_arena *arena)
{
    double *outputs[3] = {NULL, NULL, NULL};
    outputs[output] = out;
    assert_int_equal(bp_band_filter(x, count, rate_hz, &band, arena, outputs), BP_OK);
}

/* In closed form: the integral of a sin(ωt) is -a/ω cos(ωt), the double integral -a/ω² sin(ωt). The record
 * holds whole periods and starts and ends at a zero, so that odd reflection continues it exactly. */
static void band_integrates_a_sinusoid_to_its_closed_form(void **state)
{
    enum { COUNT = 4001 };
    static double x[COUNT], got[3][COUNT], want[COUNT];
    double turn = 2 * BP_PI * 2.5, gain = 1 / sqrt(1 + pow(0.7 / 2.5, 8)) / sqrt(1 + pow(2.5 / 8, 8));
    double *outputs[3] = {got[0], got[1], got[2]};
    signal_sine(x, COUNT, 200, 1, 2.5, 0);
    assert_int_equal(bp_band_filter(x, COUNT, 200, &shake_band, *state, outputs), BP_OK);
    enum { EDGE = 600 }; /* the taper's own end effects die out within some periods of 0.7 Hz */
    signal_sine(want, COUNT, 200, gain, 2.5, 0);
    assert_true(signal_distance(got[0] + EDGE, want + EDGE, COUNT - 2 * EDGE) < 1e-5);
    signal_sine(want, COUNT, 200, gain / turn, 2.5, -BP_PI / 2);
    assert_true(signal_distance(got[1] + EDGE, want + EDGE, COUNT - 2 * EDGE) < 1e-5 / turn);
    signal_sine(want, COUNT, 200, -gain / (turn * turn), 2.5, 0);
    assert_true(signal_distance(got[2] + EDGE, want + EDGE, COUNT - 2 * EDGE) < 1e-5 / (turn * turn));
    assert_true(signal_distance(got[2], want, COUNT) < 0.01 / (turn * turn)); /* at the very ends too */
}

static void band_has_half_the_power_at_both_edges(void **state)
{
    enum { COUNT = 24000, EDGE = 4000 };
    static double x[COUNT], got[COUNT];
    const double edges_hz[] = {0.7, 8};
    for (size_t i = 0; i < 2; i++) {
        signal_sine(x, COUNT, 200, 1, edges_hz[i], 0.3);
        filter_to(x, COUNT, 200, shake_band, BP_BAND_ACCELERATION, got, *state);
        double power = pow(signal_rms(got + EDGE, COUNT - 2 * EDGE), 2);
        assert_true(fabs(power / 0.5 - 0.5) < 1e-3);
    }
}

static void band_lowpass_keeps_a_constant_exactly(void **state)
{
    enum { COUNT = 500 };
    double x[COUNT], got[COUNT];
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = 9.75;
    }
    filter_to(x, COUNT, 100, (struct bp_band_settings){0, 6, 2}, BP_BAND_ACCELERATION, got, *state);
    assert_memory_equal(got, x, sizeof x);
    filter_to(x, COUNT, 100, shake_band, BP_BAND_DISPLACEMENT, got, *state);
    assert_true(signal_rms(got, COUNT) == 0);
}

static void band_of_everything_changes_nothing(void **state)
{
    enum { COUNT = 777 };
    double x[COUNT], got[COUNT];
    signal_noise(x, COUNT, 6);
    filter_to(x, COUNT, 100, (struct bp_band_settings){0, (double)INFINITY, 4}, BP_BAND_ACCELERATION, got,
              *state);
    assert_true(signal_distance(got, x, COUNT) < 1e-13);
}

static void band_lowpass_and_highpass_powers_sum_to_the_whole(void **state)
{
    enum { COUNT = 16000 };
    static double x[COUNT], low[COUNT], high[COUNT];
    signal_noise(x, COUNT, 8);
    filter_to(x, COUNT, 100, (struct bp_band_settings){0, 6, 3}, BP_BAND_ACCELERATION, low, *state);
    filter_to(x, COUNT, 100, (struct bp_band_settings){6, (double)INFINITY, 3}, BP_BAND_ACCELERATION, high,
              *state);
    double whole = pow(signal_rms(x, COUNT), 2);
    double parts = pow(signal_rms(low, COUNT), 2) + pow(signal_rms(high, COUNT), 2);
    assert_true(fabs(parts / whole - 1) < 2e-3); /* but for the ends, 1/(1+u) + u/(1+u) = 1 at each bin */
}

/* Zero phase: a record read backward gives the band backward; its integral changes sign as well. */
static void band_is_the_same_read_backward(void **state)
{
    enum { COUNT = 1500 };
    static double x[COUNT], y[COUNT], forward[3][COUNT], backward[3][COUNT];
    signal_noise(x, COUNT, 2);
    memcpy(y, x, sizeof x);
    signal_reverse(y, COUNT);
    double *outputs[3] = {forward[0], forward[1], forward[2]};
    double *reversed[3] = {backward[0], backward[1], backward[2]};
    assert_int_equal(bp_band_filter(x, COUNT, 100, &shake_band, *state, outputs), BP_OK);
    assert_int_equal(bp_band_filter(y, COUNT, 100, &shake_band, *state, reversed), BP_OK);
    for (size_t i = 0; i < COUNT; i++) {
        backward[1][i] = -backward[1][i];
    }
    for (size_t k = 0; k < 3; k++) {
        signal_reverse(backward[k], COUNT);
        assert_true(signal_distance(forward[k], backward[k], COUNT) < 1e-13);
        assert_true(signal_rms(forward[k], COUNT) > 1e-4);
    }
}

static void band_is_linear(void **state)
{
    enum { COUNT = 900 };
    static double a[COUNT], b[COUNT], sum[COUNT], band_a[COUNT], band_b[COUNT], got[COUNT];
    signal_noise(a, COUNT, 21);
    signal_noise(b, COUNT, 22);
    for (size_t i = 0; i < COUNT; i++) {
        sum[i] = 3 * a[i] - 0.25 * b[i];
    }
    filter_to(a, COUNT, 100, shake_band, BP_BAND_DISPLACEMENT, band_a, *state);
    filter_to(b, COUNT, 100, shake_band, BP_BAND_DISPLACEMENT, band_b, *state);
    filter_to(sum, COUNT, 100, shake_band, BP_BAND_DISPLACEMENT, got, *state);
    for (size_t i = 0; i < COUNT; i++) {
        band_a[i] = 3 * band_a[i] - 0.25 * band_b[i];
    }
    assert_true(signal_distance(got, band_a, COUNT) < 1e-15);
}

/* A slope and a step at the ends are what an imperfect attitude leaves: 0.2 m/s² of leaked gravity that is
 * not the same before and after the set. It must not come out as shake. */
static void band_lets_a_record_that_does_not_close_leak_nothing(void **state)
{
    enum { COUNT = 12000 };
    static double x[COUNT], got[COUNT];
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = 0.1 + 0.2 * (double)i / COUNT;
    }
    filter_to(x, COUNT, 200, shake_band, BP_BAND_DISPLACEMENT, got, *state);
    assert_true(signal_rms(got, COUNT) < 2e-5);
    for (size_t i = 0; i < COUNT; i++) {
        assert_true(fabs(got[i]) < 2e-4);
    }
}

/* White noise of 1 through a band keeps the share of its power that lies under the gain's square. */
static void band_scales_noise_by_its_bandwidth(void **state)
{
    enum { COUNT = 200000 };
    static double x[COUNT], got[COUNT];
    signal_noise(x, COUNT, 17);
    filter_to(x, COUNT, 200, shake_band, BP_BAND_ACCELERATION, got, *state);
    double power = 0, step = 0.001;
    for (double f = step / 2; f < 100; f += step) {
        power += step / 100 / ((1 + pow(0.7 / f, 8)) * (1 + pow(f / 8, 8)));
    }
    assert_true(fabs(signal_rms(got, COUNT) / sqrt(power) - 1) < 0.015);
}

static void band_plan_carries_two_records_without_mixing_them(void **state)
{
    enum { COUNT = 1111 };
    static double a[COUNT], b[COUNT], got_a[COUNT], got_b[COUNT], alone[COUNT];
    struct bp_band_plan plan;
    signal_noise(a, COUNT, 31);
    signal_sine(b, COUNT, 100, 50, 3, 1);
    assert_int_equal(bp_band_plan_make(COUNT, 100, 0.7, *state, &plan), BP_OK);
    bp_band_load(&plan, a, b);
    for (int output = BP_BAND_ACCELERATION; output <= BP_BAND_DISPLACEMENT; output++) {
        enum bp_band_output kind = (enum bp_band_output)output;
        assert_int_equal(bp_band_store(&plan, &shake_band, kind, got_a, got_b), BP_OK);
        filter_to(a, COUNT, 100, shake_band, kind, alone, *state);
        assert_true(signal_distance(got_a, alone, COUNT) < 1e-13);
        filter_to(b, COUNT, 100, shake_band, kind, alone, *state);
        assert_true(signal_distance(got_b, alone, COUNT) < 1e-13);
    }
    /* One output alone, and a plan loaded again, leave nothing of what was there before. */
    bp_band_load(&plan, a, NULL);
    assert_int_equal(bp_band_store(&plan, &shake_band, BP_BAND_SPEED, NULL, got_b), BP_OK);
    assert_true(signal_rms(got_b, COUNT) < 1e-14);
    bp_band_plan_free(&plan);
    assert_null(plan.transform);
    bp_band_plan_free(&plan);
}

static void band_gives_the_same_bytes_again(void **state)
{
    enum { COUNT = 5003 };
    static double x[COUNT], first[COUNT], again[COUNT];
    signal_noise(x, COUNT, 77);
    filter_to(x, COUNT, 100, shake_band, BP_BAND_DISPLACEMENT, first, *state);
    bp_arena_reset(*state);
    filter_to(x, COUNT, 100, shake_band, BP_BAND_DISPLACEMENT, again, *state);
    assert_memory_equal(first, again, sizeof first);
}

static void band_takes_records_shorter_than_its_reach(void **state)
{
    for (size_t count = 1; count < 12; count++) {
        double x[12], got[12];
        signal_noise(x, count, count);
        filter_to(x, count, 100, shake_band, BP_BAND_DISPLACEMENT, got, *state);
        for (size_t i = 0; i < count; i++) {
            assert_true(fabs(got[i]) < 0.1);
        }
    }
}

static void band_refuses_what_is_out_of_range_and_leaves_the_output(void **state)
{
    double x[64] = {0}, got[64];
    const double nan = (double)NAN;
    const struct {
        struct bp_band_settings band;
        double rate_hz;
        size_t count;
        enum bp_band_output output;
    } bad[] = {
        {{8, 0.7, 4}, 100, 64, BP_BAND_ACCELERATION},   {{3, 3, 4}, 100, 64, BP_BAND_ACCELERATION},
        {{-1, 8, 4}, 100, 64, BP_BAND_ACCELERATION},    {{0.7, 8, 0}, 100, 64, BP_BAND_ACCELERATION},
        {{0.7, 8, 9}, 100, 64, BP_BAND_ACCELERATION},   {{nan, 8, 4}, 100, 64, BP_BAND_ACCELERATION},
        {{0.7, nan, 4}, 100, 64, BP_BAND_ACCELERATION}, {{0, 8, 4}, 100, 64, BP_BAND_SPEED},
        {{0, 8, 4}, 100, 64, BP_BAND_DISPLACEMENT},     {{0.7, 8, 4}, 0, 64, BP_BAND_SPEED},
        {{0.7, 8, 4}, nan, 64, BP_BAND_SPEED},          {{0.7, 8, 4}, 100, 0, BP_BAND_SPEED},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        got[0] = got[63] = 77;
        double *outputs[3] = {NULL, NULL, NULL};
        outputs[bad[i].output] = got;
        assert_int_equal(bp_band_filter(x, bad[i].count, bad[i].rate_hz, &bad[i].band, *state, outputs),
                         BP_ERR_ARGUMENT);
        assert_true(got[0] == 77 && got[63] == 77);
    }
    struct bp_band_plan plan;
    assert_int_equal(bp_band_plan_make(64, 100, 0, *state, &plan), BP_ERR_ARGUMENT);
    assert_int_equal(bp_band_plan_make(64, 100, 1e-12, *state, &plan), BP_ERR_MEMORY);
    assert_null(plan.transform);
    assert_int_equal(bp_band_plan_make(64, 100, 0.7, *state, &plan), BP_OK);
    bp_band_load(&plan, x, NULL);
    got[0] = 77;
    assert_int_equal(bp_band_store(&plan, &shake_band, (enum bp_band_output)3, got, NULL), BP_ERR_ARGUMENT);
    assert_true(got[0] == 77);
    bp_band_plan_free(&plan);
}

static void band_says_so_when_memory_is_out(void **state)
{
    (void)state;
    /* Long enough that either of the two arrays needs a block of the arena's own. */
    enum { COUNT = 100000 };
    static double x[COUNT], got[COUNT];
    for (size_t n = 0; n < 2; n++) {
        struct bp_arena arena;
        bp_arena_init(&arena);
        double *outputs[3] = {NULL, NULL, got};
        got[0] = 77;
        failing_alloc_arm(n);
        assert_int_equal(bp_band_filter(x, COUNT, 200, &shake_band, &arena, outputs), BP_ERR_MEMORY);
        assert_true(failing_alloc_disarm());
        assert_true(got[0] == 77);
        bp_arena_free(&arena);
    }
}

#define WITH_ARENA(test) cmocka_unit_test_setup_teardown(test, make_arena, free_arena)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_ARENA(band_integrates_a_sinusoid_to_its_closed_form),
        WITH_ARENA(band_has_half_the_power_at_both_edges),
        WITH_ARENA(band_lowpass_keeps_a_constant_exactly),
        WITH_ARENA(band_of_everything_changes_nothing),
        WITH_ARENA(band_lowpass_and_highpass_powers_sum_to_the_whole),
        WITH_ARENA(band_is_the_same_read_backward),
        WITH_ARENA(band_is_linear),
        WITH_ARENA(band_lets_a_record_that_does_not_close_leak_nothing),
        WITH_ARENA(band_scales_noise_by_its_bandwidth),
        WITH_ARENA(band_plan_carries_two_records_without_mixing_them),
        WITH_ARENA(band_gives_the_same_bytes_again),
        WITH_ARENA(band_takes_records_shorter_than_its_reach),
        WITH_ARENA(band_refuses_what_is_out_of_range_and_leaves_the_output),
        WITH_ARENA(band_says_so_when_memory_is_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
