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

/* Vectors from scipy's own tests (scipy/signal/tests/test_spectral.py, TestWelch): impulses at 0 and 8. */
static void welch_matches_published_vectors_for_even_and_odd_segments(void **state)
{
    double x[16] = {0}, psd[5];
    x[0] = x[8] = 1;
    const double even[5] = {0.08333333, 0.15277778, 0.22222222, 0.22222222, 0.11111111};
    assert_int_equal(bp_welch_density(x, 16, 1, 8, *state, psd), BP_OK);
    assert_true(signal_distance(psd, even, 5) < 1e-7);
    const double odd[5] = {0.12477455, 0.23430933, 0.17072113, 0.17072113, 0.17072113};
    assert_int_equal(bp_welch_density(x, 16, 1, 9, *state, psd), BP_OK);
    assert_true(signal_distance(psd, odd, 5) < 1e-7);
}

/* Parseval, exactly for one segment: Σ P Δf = Σ (w (x - mean))² / Σ w². */
static void welch_keeps_the_power_of_a_segment(void **state)
{
    enum { COUNT = 250 };
    double x[COUNT], psd[COUNT / 2 + 1], mean = 0;
    signal_noise(x, COUNT, 11);
    for (size_t i = 0; i < COUNT; i++) {
        mean += x[i] / COUNT;
    }
    double power = 0, weight = 0;
    for (size_t i = 0; i < COUNT; i++) {
        double w = 0.5 - 0.5 * cos(2 * BP_PI * (double)i / COUNT);
        power += w * w * (x[i] - mean) * (x[i] - mean);
        weight += w * w;
    }
    assert_int_equal(bp_welch_density(x, COUNT, 50, COUNT, *state, psd), BP_OK);
    double sum = 0;
    for (size_t k = 0; k <= COUNT / 2; k++) {
        sum += psd[k] * 50 / COUNT;
    }
    assert_true(fabs(sum - power / weight) < 1e-12);
}

static void welch_of_white_noise_is_flat_at_twice_variance_over_rate(void **state)
{
    enum { COUNT = 40000, SEGMENT = 100 };
    static double x[COUNT];
    double psd[SEGMENT / 2 + 1], sum = 0;
    signal_noise(x, COUNT, 5);
    assert_int_equal(bp_welch_density(x, COUNT, 200, SEGMENT, *state, psd), BP_OK);
    for (size_t k = 2; k < SEGMENT / 2; k++) {
        assert_true(fabs(psd[k] - 0.01) < 0.0025); /* 800 segments: one bin's sd is some 4 % */
        sum += psd[k];
    }
    assert_true(fabs(sum / (SEGMENT / 2 - 2) - 0.01) < 0.0002);
}

/* A sinusoid's power A²/2 stands in its bin and the two beside it (Hann). */
static void welch_puts_a_sinusoid_where_it_belongs(void **state)
{
    enum { COUNT = 2000, SEGMENT = 200 };
    static double x[COUNT];
    double psd[SEGMENT / 2 + 1];
    signal_sine(x, COUNT, 200, 3, 20, 0.3);
    assert_int_equal(bp_welch_density(x, COUNT, 200, SEGMENT, *state, psd), BP_OK);
    assert_true(fabs(psd[19] + psd[20] + psd[21] - 4.5) < 1e-10);
    assert_true(psd[30] < 1e-20);
}

static void welch_refuses_what_it_cannot_do_and_leaves_the_output(void **state)
{
    double x[16] = {0}, psd[9] = {77, 77, 77, 77, 77, 77, 77, 77, 77};
    assert_int_equal(bp_welch_density(x, 16, 1, 7, *state, psd), BP_ERR_ARGUMENT);
    assert_int_equal(bp_welch_density(x, 16, 1, 17, *state, psd), BP_ERR_ARGUMENT);
    assert_int_equal(bp_welch_density(x, 16, 0, 8, *state, psd), BP_ERR_ARGUMENT);
    assert_int_equal(bp_welch_density(x, 16, (double)NAN, 8, *state, psd), BP_ERR_ARGUMENT);
    failing_alloc_arm(0);
    assert_int_equal(bp_welch_density(x, 16, 1, 16, *state, psd), BP_ERR_MEMORY);
    assert_true(failing_alloc_disarm());
    for (size_t k = 0; k < 9; k++) {
        assert_true(psd[k] == 77);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(welch_matches_published_vectors_for_even_and_odd_segments, make_arena,
                                        free_arena),
        cmocka_unit_test_setup_teardown(welch_keeps_the_power_of_a_segment, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(welch_of_white_noise_is_flat_at_twice_variance_over_rate, make_arena,
                                        free_arena),
        cmocka_unit_test_setup_teardown(welch_puts_a_sinusoid_where_it_belongs, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(welch_refuses_what_it_cannot_do_and_leaves_the_output, make_arena,
                                        free_arena),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
