/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/shake.h"
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

enum { COUNT = 6000 }; /* 30 s at 200 Hz */
static const double rate = 200;

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

/* A bar that swings 0.02 m to either side at 3 Hz has a peak speed of 2πfA = 0.377 m/s and a peak
 * acceleration of (2πf)²A = 7.106 m/s²; rms values are those over √2 (acceleration 5.024782). */
static void shake_of_a_swinging_bar_is_its_closed_form(void **state)
{
    static double along[COUNT];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    signal_sine(along, COUNT, rate, 7.106115, 3, 0);
    assert_int_equal(bp_shake_make(along, NULL, NULL, COUNT, rate, NULL, *state, &bands), BP_OK);
    assert_int_equal(bands.count, COUNT);
    assert_null(bands.fore_m);
    assert_null(bands.clatter_m_s2[0]);
    assert_int_equal(bp_shake_measure(&bands, 1000, 4999, &bp_shake_defaults, *state, &figures), BP_OK);
    assert_true(fabs(figures.rms_m - 0.02 / sqrt(2)) < 1e-5);
    assert_true(fabs(figures.rms_m_s - 0.376991 / sqrt(2)) < 2e-4);
    assert_true(fabs(figures.rms_m_s2 - 5.024782) < 3e-3);
    assert_true(fabs(figures.dominant_hz - 3) < 1e-3);
    assert_true(isnan(figures.clatter_rms_m_s2) && isnan(figures.clatter_crest));
    assert_true(isnan(figures.sway_area_m2));
    /* Of one second, a drive's length, too. */
    assert_int_equal(bp_shake_measure(&bands, 2000, 2199, NULL, *state, &figures), BP_OK);
    assert_true(fabs(figures.rms_m - 0.02 / sqrt(2)) < 1e-5);
    assert_true(fabs(figures.dominant_hz - 3) < 0.1);
}

/* A bar that goes round a circle of radius r: variances r²/2, area 2π F r²/2. */
static void shake_sway_area_of_a_circle(void **state)
{
    static double along[COUNT], fore[COUNT];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    double radius = 0.01, turn = 2 * BP_PI * 2;
    signal_sine(along, COUNT, rate, radius * turn * turn, 2, 0);
    signal_sine(fore, COUNT, rate, radius * turn * turn, 2, BP_PI / 2);
    assert_int_equal(bp_shake_make(along, fore, NULL, COUNT, rate, NULL, *state, &bands), BP_OK);
    assert_int_equal(bp_shake_measure(&bands, 2000, 3999, NULL, *state, &figures), BP_OK);
    double want = BP_PI * bp_ellipse_quantile(2000) * radius * radius;
    assert_true(fabs(figures.sway_area_m2 / want - 1) < 1e-3);
}

static void shake_clatter_is_the_length_of_the_three_axes(void **state)
{
    static double axis[3][COUNT], along[COUNT];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    signal_sine(axis[0], COUNT, rate, 3, 40, 0);
    signal_sine(axis[1], COUNT, rate, 4, 40, 0);
    signal_sine(axis[2], COUNT, rate, 50, 1, 0); /* the lift itself, far below */
    const double *const clatter[3] = {axis[0], axis[1], axis[2]};
    assert_int_equal(bp_shake_make(along, NULL, clatter, COUNT, rate, NULL, *state, &bands), BP_OK);
    assert_int_equal(bp_shake_measure(&bands, 1000, 4999, NULL, *state, &figures), BP_OK);
    double gain = 1 / sqrt(1 + pow(15.0 / 40, 8));
    assert_true(fabs(figures.clatter_rms_m_s2 - 5 * gain / sqrt(2)) < 0.002);
    /* 40 of 200 Hz is sampled five times a period; the largest of the five is sin(72°) = 0.951057 of it. */
    assert_true(fabs(figures.clatter_crest - 0.951057 * sqrt(2)) < 0.005);
    assert_true(isnan(figures.dominant_hz)); /* nothing moves along the bar */
    assert_true(figures.rms_m == 0);
}

static void shake_of_one_knock_has_a_high_crest(void **state)
{
    static double axis[3][COUNT];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    memset(axis, 0, sizeof axis);
    axis[1][3000] = 30;
    const double *const clatter[3] = {axis[0], axis[1], axis[2]};
    assert_int_equal(bp_shake_make(axis[0], NULL, clatter, COUNT, rate, NULL, *state, &bands), BP_OK);
    assert_int_equal(bp_shake_measure(&bands, 2900, 3099, NULL, *state, &figures), BP_OK);
    assert_true(figures.clatter_crest > 8);
    assert_int_equal(bp_shake_measure(&bands, 100, 299, NULL, *state, &figures), BP_OK);
    assert_true(figures.clatter_rms_m_s2 < 1e-4);
}

/* A rep's own sideways path, 3 cm once in four seconds, is not shake. */
static void shake_does_not_count_the_path_of_the_rep(void **state)
{
    static double along[COUNT];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    double turn = 2 * BP_PI * 0.25;
    signal_sine(along, COUNT, rate, 0.03 * turn * turn, 0.25, 0);
    assert_int_equal(bp_shake_make(along, NULL, NULL, COUNT, rate, NULL, *state, &bands), BP_OK);
    assert_int_equal(bp_shake_measure(&bands, 1000, 4999, NULL, *state, &figures), BP_OK);
    assert_true(figures.rms_m < 0.0005); /* (0.25/0.7)⁴ = 1.6 % of 21 mm rms */
}

static void shake_band_ends_below_half_a_slow_rate(void **state)
{
    enum { SLOW = 400 };
    double along[SLOW];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    signal_sine(along, SLOW, 10, 1, 2, 0);
    assert_int_equal(bp_shake_make(along, NULL, NULL, SLOW, 10, NULL, *state, &bands), BP_OK);
    assert_int_equal(bp_shake_measure(&bands, 100, 299, NULL, *state, &figures), BP_OK);
    double gain = 1 / sqrt((1 + pow(0.7 / 2, 8)) * (1 + pow(2 / 4.5, 8)));
    assert_true(fabs(figures.rms_m_s2 - gain / sqrt(2)) < 1e-3);
    assert_true(fabs(figures.dominant_hz - 2) < 0.01);
}

static void shake_clatter_is_unknown_at_too_low_a_rate(void **state)
{
    static double x[COUNT];
    const double *const clatter[3] = {x, x, x};
    struct bp_shake_bands bands;
    assert_int_equal(bp_shake_make(x, NULL, clatter, COUNT, 37.4, NULL, *state, &bands), BP_OK);
    assert_null(bands.clatter_m_s2[0]);
    assert_int_equal(bp_shake_make(x, NULL, clatter, COUNT, 37.5, NULL, *state, &bands), BP_OK);
    assert_non_null(bands.clatter_m_s2[0]);
    assert_non_null(bands.clatter_m_s2[2]);
}

static void expect_all_unknown(const struct bp_shake_figures *figures)
{
    assert_true(isnan(figures->rms_m) && isnan(figures->rms_m_s) && isnan(figures->rms_m_s2));
    assert_true(isnan(figures->dominant_hz) && isnan(figures->clatter_rms_m_s2));
    assert_true(isnan(figures->clatter_crest) && isnan(figures->sway_area_m2));
}

static void shake_of_too_short_or_outside_a_stretch_is_unknown(void **state)
{
    static double x[COUNT];
    const double *const clatter[3] = {x, x, x};
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    signal_noise(x, COUNT, 3);
    assert_int_equal(bp_shake_make(x, x, clatter, COUNT, rate, NULL, *state, &bands), BP_OK);
    const size_t stretches[][2] = {{10, 11}, {10, 9}, {10, COUNT}, {COUNT, COUNT + 5}, {0, SIZE_MAX}};
    for (size_t i = 0; i < sizeof stretches / sizeof stretches[0]; i++) {
        memset(&figures, 0, sizeof figures);
        assert_int_equal(bp_shake_measure(&bands, stretches[i][0], stretches[i][1], NULL, *state, &figures),
                         BP_OK);
        expect_all_unknown(&figures);
    }
    assert_int_equal(bp_shake_measure(&bands, COUNT - 3, COUNT - 1, NULL, *state, &figures), BP_OK);
    assert_true(isfinite(figures.rms_m) && isfinite(figures.sway_area_m2));
    assert_true(isnan(figures.dominant_hz));
}

/* Half a second at 200 Hz holds one period of 2 Hz: too few to name a frequency. */
static void shake_frequency_needs_a_period_and_a_half(void **state)
{
    static double along[COUNT];
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    signal_sine(along, COUNT, rate, 1, 2, 0);
    assert_int_equal(bp_shake_make(along, NULL, NULL, COUNT, rate, NULL, *state, &bands), BP_OK);
    assert_int_equal(bp_shake_measure(&bands, 3000, 3099, NULL, *state, &figures), BP_OK);
    assert_true(isnan(figures.dominant_hz));
    assert_int_equal(bp_shake_measure(&bands, 3000, 3399, NULL, *state, &figures), BP_OK);
    assert_true(fabs(figures.dominant_hz - 2) < 0.1);
}

static void shake_filter_gives_two_records_what_make_gives_each(void **state)
{
    static double first[COUNT], second[COUNT], out[3][COUNT];
    struct bp_shake_bands one, two;
    struct bp_band_plan plan;
    struct bp_arena *arena = *state;
    signal_noise(first, COUNT, 1);
    signal_noise(second, COUNT, 2);
    assert_int_equal(bp_shake_make(first, NULL, NULL, COUNT, rate, NULL, arena, &one), BP_OK);
    assert_int_equal(bp_shake_make(second, NULL, NULL, COUNT, rate, NULL, arena, &two), BP_OK);
    assert_int_equal(bp_band_plan_make(COUNT, rate, bp_shake_defaults.low_hz, arena, &plan), BP_OK);
    size_t before = arena->taken_bytes;
    double *const out_a[3] = {out[0], out[1], out[2]};
    double *const out_b[3] = {NULL, NULL, second}; /* in place */
    assert_int_equal(bp_shake_filter(&plan, first, second, NULL, out_a, out_b), BP_OK);
    assert_int_equal(arena->taken_bytes, before);
    assert_true(signal_distance(out[BP_BAND_ACCELERATION], one.along_m_s2, COUNT) < 1e-12);
    assert_true(signal_distance(out[BP_BAND_SPEED], one.along_m_s, COUNT) < 1e-12);
    assert_true(signal_distance(out[BP_BAND_DISPLACEMENT], one.along_m, COUNT) < 1e-12);
    assert_true(signal_distance(second, two.along_m, COUNT) < 1e-12);
    struct bp_shake_settings bad = {8, 0.7, 15};
    assert_int_equal(bp_shake_filter(&plan, second, NULL, &bad, out_a, NULL), BP_ERR_ARGUMENT);
    assert_true(signal_distance(out[BP_BAND_DISPLACEMENT], one.along_m, COUNT) < 1e-12);
    bp_band_plan_free(&plan);
}

static void shake_made_with_a_plan_is_the_same(void **state)
{
    static double along[COUNT], fore[COUNT];
    struct bp_shake_bands bands, fresh;
    struct bp_band_plan plan;
    signal_noise(along, COUNT, 1);
    signal_noise(fore, COUNT, 3);
    assert_int_equal(bp_shake_make(along, fore, NULL, COUNT, rate, NULL, *state, &fresh), BP_OK);
    assert_int_equal(bp_band_plan_make(COUNT, rate, bp_shake_defaults.low_hz, *state, &plan), BP_OK);
    assert_int_equal(bp_shake_make_planned(&plan, along, fore, NULL, NULL, *state, &bands), BP_OK);
    assert_memory_equal(bands.along_m, fresh.along_m, sizeof along);
    assert_memory_equal(bands.along_m_s, fresh.along_m_s, sizeof along);
    assert_memory_equal(bands.along_m_s2, fresh.along_m_s2, sizeof along);
    assert_memory_equal(bands.fore_m, fresh.fore_m, sizeof along);
    struct bp_shake_settings bad = {8, 0.7, 15};
    assert_int_equal(bp_shake_make_planned(&plan, along, fore, NULL, &bad, *state, &bands), BP_ERR_ARGUMENT);
    assert_int_equal(bands.count, 0);
    bp_band_plan_free(&plan);
}

static void shake_refuses_settings_and_rates_out_of_range(void **state)
{
    static double x[COUNT];
    const double nan = (double)NAN, endless = (double)INFINITY;
    const struct {
        size_t count;
        double rate_hz;
        struct bp_shake_settings settings;
    } bad[] = {
        {2, 200, {0.7, 8, 15}},           {COUNT, 3.9, {0.7, 8, 15}}, {COUNT, nan, {0.7, 8, 15}},
        {COUNT, endless, {0.7, 8, 15}},   {COUNT, 200, {0, 8, 15}},   {COUNT, 200, {8, 8, 15}},
        {COUNT, 200, {0.7, endless, 15}}, {COUNT, 200, {0.7, 8, 0}},  {COUNT, 200, {nan, 8, 15}},
        {COUNT, 200, {0.7, 8, nan}},      {COUNT, 10, {5, 8, 15}},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct bp_shake_bands bands;
        memset(&bands, 0xA5, sizeof bands);
        assert_int_equal(
            bp_shake_make(x, NULL, NULL, bad[i].count, bad[i].rate_hz, &bad[i].settings, *state, &bands),
            BP_ERR_ARGUMENT);
        assert_int_equal(bands.count, 0);
        assert_null(bands.along_m);
    }
    struct bp_shake_bands bands;
    struct bp_shake_figures figures = {0};
    assert_int_equal(bp_shake_make(x, NULL, NULL, COUNT, rate, NULL, *state, &bands), BP_OK);
    struct bp_shake_settings upside_down = {8, 0.7, 15};
    assert_int_equal(bp_shake_measure(&bands, 0, 100, &upside_down, *state, &figures), BP_ERR_ARGUMENT);
    expect_all_unknown(&figures);
}

static void shake_says_so_at_each_allocation_that_fails(void **state)
{
    (void)state;
    enum { LONG = 150000 }; /* each array past the arena's blocks, so that many an allocation is needed */
    static double x[LONG];
    const double *const clatter[3] = {x, x, x};
    size_t failed = 0;
    for (size_t n = 0;; n++) {
        struct bp_arena arena;
        struct bp_shake_bands bands;
        bp_arena_init(&arena);
        failing_alloc_arm(n);
        enum bp_code code = bp_shake_make(x, x, clatter, LONG, rate, NULL, &arena, &bands);
        bool met = failing_alloc_disarm();
        assert_int_equal(code, met ? BP_ERR_MEMORY : BP_OK);
        assert_int_equal(bands.count, met ? 0 : LONG);
        bp_arena_free(&arena);
        if (!met) {
            break;
        }
        failed++;
    }
    assert_true(failed >= 3);
}

#define WITH_ARENA(test) cmocka_unit_test_setup_teardown(test, make_arena, free_arena)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_ARENA(shake_of_a_swinging_bar_is_its_closed_form),
        WITH_ARENA(shake_sway_area_of_a_circle),
        WITH_ARENA(shake_clatter_is_the_length_of_the_three_axes),
        WITH_ARENA(shake_of_one_knock_has_a_high_crest),
        WITH_ARENA(shake_does_not_count_the_path_of_the_rep),
        WITH_ARENA(shake_band_ends_below_half_a_slow_rate),
        WITH_ARENA(shake_clatter_is_unknown_at_too_low_a_rate),
        WITH_ARENA(shake_of_too_short_or_outside_a_stretch_is_unknown),
        WITH_ARENA(shake_frequency_needs_a_period_and_a_half),
        WITH_ARENA(shake_filter_gives_two_records_what_make_gives_each),
        WITH_ARENA(shake_made_with_a_plan_is_the_same),
        WITH_ARENA(shake_refuses_settings_and_rates_out_of_range),
        WITH_ARENA(shake_says_so_at_each_allocation_that_fails),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
