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

static void dominant_frequency_of_a_sinusoid_is_its_own(void **state)
{
    (void)state;
    enum { COUNT = 1000 };
    double x[COUNT];
    for (double hz = 1.0; hz < 7.9; hz += 0.37) {
        signal_sine(x, COUNT, 200, 0.02, hz, 1.1);
        double found = bp_dominant_frequency(x, COUNT, 200, 0.7, 8, NULL);
        assert_true(fabs(found - hz) < 2e-3);
    }
}

static void dominant_frequency_of_a_long_record_needs_no_other_answer(void **state)
{
    (void)state;
    enum { COUNT = 12000 };
    static double x[COUNT];
    struct bp_arena arena;
    bp_arena_init(&arena);
    signal_sine(x, COUNT, 200, 1, 2.345, 0);
    assert_true(fabs(bp_dominant_frequency(x, COUNT, 200, 0.7, 8, &arena) - 2.345) < 1e-4);
    bp_arena_free(&arena);
}

static void dominant_frequency_is_that_of_the_stronger_of_two(void **state)
{
    (void)state;
    enum { COUNT = 800 };
    double x[COUNT], y[COUNT];
    signal_sine(x, COUNT, 100, 1.0, 2, 0);
    signal_sine(y, COUNT, 100, 0.8, 5, 1);
    for (size_t i = 0; i < COUNT; i++) {
        x[i] += y[i];
    }
    assert_true(fabs(bp_dominant_frequency(x, COUNT, 100, 0.7, 8, NULL) - 2) < 0.01);
    assert_true(fabs(bp_dominant_frequency(x, COUNT, 100, 3.0, 8, NULL) - 5) < 0.01);
}

static void dominant_frequency_does_not_see_a_constant(void **state)
{
    (void)state;
    enum { COUNT = 400 };
    double x[COUNT];
    signal_sine(x, COUNT, 100, 0.01, 3, 0);
    for (size_t i = 0; i < COUNT; i++) {
        x[i] += 1000;
    }
    assert_true(fabs(bp_dominant_frequency(x, COUNT, 100, 0.7, 8, NULL) - 3) < 0.01);
}

static void dominant_frequency_is_unknown_without_a_peak_in_the_band(void **state)
{
    (void)state;
    enum { COUNT = 400 };
    double x[COUNT];
    signal_sine(x, COUNT, 100, 1, 0.3, 0); /* below the band: highest at its lower edge */
    assert_true(isnan(bp_dominant_frequency(x, COUNT, 100, 0.7, 8, NULL)));
    signal_sine(x, COUNT, 100, 1, 8.2, 0); /* above it: highest at its upper edge */
    assert_true(isnan(bp_dominant_frequency(x, COUNT, 100, 0.7, 8, NULL)));
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = 0.1;
    }
    assert_true(isnan(bp_dominant_frequency(x, COUNT, 100, 0.7, 8, NULL)));
}

static void dominant_frequency_is_unknown_out_of_range(void **state)
{
    (void)state;
    double x[4] = {0, 1, 0, -1};
    assert_true(isnan(bp_dominant_frequency(x, 2, 100, 0.7, 8, NULL)));
    assert_true(isnan(bp_dominant_frequency(x, 4, 0, 0.7, 8, NULL)));
    assert_true(isnan(bp_dominant_frequency(x, 4, 100, 8, 8, NULL)));
    assert_true(isnan(bp_dominant_frequency(x, 4, 100, -1, 8, NULL)));
    assert_true(isnan(bp_dominant_frequency(x, 4, 100, 60, 80, NULL)));
}

static void dominant_frequency_is_unknown_when_memory_is_out(void **state)
{
    (void)state;
    enum { COUNT = 40000 }; /* its transform needs a block of the arena's own */
    static double x[COUNT];
    signal_sine(x, COUNT, 100, 1, 3, 0);
    for (size_t n = 0; n < 2; n++) {
        struct bp_arena arena;
        bp_arena_init(&arena);
        failing_alloc_arm(n);
        assert_true(isnan(bp_dominant_frequency(x, COUNT, 100, 0.7, 8, &arena)));
        assert_true(failing_alloc_disarm());
        bp_arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dominant_frequency_of_a_sinusoid_is_its_own),
        cmocka_unit_test(dominant_frequency_of_a_long_record_needs_no_other_answer),
        cmocka_unit_test(dominant_frequency_is_that_of_the_stronger_of_two),
        cmocka_unit_test(dominant_frequency_does_not_see_a_constant),
        cmocka_unit_test(dominant_frequency_is_unknown_without_a_peak_in_the_band),
        cmocka_unit_test(dominant_frequency_is_unknown_out_of_range),
        cmocka_unit_test(dominant_frequency_is_unknown_when_memory_is_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
