/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "shake/fft.h"
#include "signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <pthread.h>

static int is_smooth(size_t n)
{
    const size_t primes[] = {2, 3, 5};
    for (size_t i = 0; i < 3; i++) {
        while (n % primes[i] == 0) {
            n /= primes[i];
        }
    }
    return n == 1;
}

/* Against the plainest search there is. */
static void fast_length_is_the_smallest_product_of_two_three_and_five(void **state)
{
    (void)state;
    for (size_t count = 1; count <= 3000; count++) {
        size_t want = count;
        while (!is_smooth(want)) {
            want++;
        }
        assert_int_equal(bp_fast_length(count), want);
    }
    assert_int_equal(bp_fast_length(0), 1);
    assert_int_equal(bp_fast_length(13714), 13824);
}

static void fast_length_that_does_not_fit_is_zero(void **state)
{
    (void)state;
    assert_int_equal(bp_fast_length(SIZE_MAX), 0);
    assert_int_equal(bp_fast_length((SIZE_MAX >> 1) + 1), (SIZE_MAX >> 1) + 1);
}

static void fft_refuses_a_length_it_cannot_plan(void **state)
{
    (void)state;
    double nothing[2] = {0};
    assert_null(bp_fft_make(0, nothing));
    assert_null(bp_fft_make((size_t)INT32_MAX + 1, nothing));
    bp_fft_free(NULL);
}

static void *plan_and_filter(void *given)
{
    double *out = given;
    enum { COUNT = 700 };
    double x[COUNT];
    signal_noise(x, COUNT, 3);
    const struct bp_band_settings band = {1, 8, 4};
    for (int round = 0; round < 40; round++) {
        struct bp_arena arena;
        bp_arena_init(&arena);
        double *outputs[3] = {NULL, NULL, out};
        if (bp_band_filter(x, COUNT - (size_t)(round % 5), 100, &band, &arena, outputs) != BP_OK) {
            out[0] = 1e9;
        }
        bp_arena_free(&arena);
    }
    return NULL;
}

static void fft_planned_in_several_threads_gives_the_same_bytes(void **state)
{
    (void)state;
    enum { THREADS = 4, COUNT = 700 };
    static double out[THREADS][COUNT];
    static double alone[COUNT];
    plan_and_filter(alone);
    pthread_t threads[THREADS];
    for (size_t i = 0; i < THREADS; i++) {
        assert_int_equal(pthread_create(&threads[i], NULL, plan_and_filter, out[i]), 0);
    }
    for (size_t i = 0; i < THREADS; i++) {
        assert_int_equal(pthread_join(threads[i], NULL), 0);
        assert_memory_equal(out[i], alone, sizeof alone);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fast_length_is_the_smallest_product_of_two_three_and_five),
        cmocka_unit_test(fast_length_that_does_not_fit_is_zero),
        cmocka_unit_test(fft_refuses_a_length_it_cannot_plan),
        cmocka_unit_test(fft_planned_in_several_threads_gives_the_same_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
