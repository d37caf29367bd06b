/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "shake/bins.h"
#include "signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* The definition itself, in long double. */
static double power_by_definition(const double *x, size_t count, size_t length, size_t k)
{
    long double re = 0, im = 0;
    for (size_t n = 0; n < count; n++) {
        long double angle = 2 * 3.14159265358979323846264338327950288L * (long double)((n * k) % length) /
                            (long double)length;
        re += (long double)x[n] * cosl(angle);
        im -= (long double)x[n] * sinl(angle);
    }
    return (double)(re * re + im * im);
}

static void bins_summed_directly_match_the_definition(void **state)
{
    (void)state;
    enum { COUNT = 300, LENGTH = 4096 };
    double x[COUNT], power[LENGTH / 2 + 1];
    signal_noise(x, COUNT, 4);
    for (size_t i = 0; i < COUNT; i++) {
        x[i] += 5; /* a large constant beside it, as a speed has */
    }
    assert_true(bp_bins_direct(COUNT, 2048));
    assert_true(bp_bins_power(x, COUNT, LENGTH, 1, 2048, NULL, power));
    for (size_t k = 0; k < 2048; k += 61) {
        double want = power_by_definition(x, COUNT, LENGTH, k + 1);
        assert_true(fabs(power[k] - want) < 1e-11 * 5 * 5 * COUNT * COUNT);
        assert_true(fabs(power[k] - want) < 1e-9 * want + 1e-9);
    }
}

static void bins_of_a_long_record_match_the_definition(void **state)
{
    (void)state;
    enum { COUNT = 2500, LENGTH = 10000, BINS = 40 };
    static double x[COUNT];
    double power[BINS];
    struct bp_arena arena;
    bp_arena_init(&arena);
    signal_noise(x, COUNT, 9);
    assert_false(bp_bins_direct(COUNT, BINS));
    assert_true(bp_bins_power(x, COUNT, LENGTH, 35, BINS, &arena, power));
    for (size_t k = 0; k < BINS; k++) {
        double want = power_by_definition(x, COUNT, LENGTH, k + 35);
        assert_true(fabs(power[k] - want) < 1e-10 * COUNT);
    }
    bp_arena_free(&arena);
}

static void bins_of_a_long_record_need_memory_and_say_so(void **state)
{
    (void)state;
    static double x[3000];
    double power[4];
    struct bp_arena arena;
    bp_arena_init(&arena);
    failing_alloc_arm(0);
    assert_false(bp_bins_power(x, 3000, 12000, 1, 4, &arena, power));
    assert_true(failing_alloc_disarm());
    bp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bins_summed_directly_match_the_definition),
        cmocka_unit_test(bins_of_a_long_record_match_the_definition),
        cmocka_unit_test(bins_of_a_long_record_need_memory_and_say_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
