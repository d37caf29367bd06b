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

/* The published program's own example: exp(-5 t²), t = -1 … 0.99 by 0.01
 * (Balasubramanian et al. 2015, reference program smoothness.py, docstring). */
static void arc_length_of_the_published_example(void **state)
{
    (void)state;
    double speed[200];
    for (int i = 0; i < 200; i++) {
        double t = -1 + 0.01 * i;
        speed[i] = exp(-5 * t * t);
    }
    assert_true(fabs(bp_spectral_arc_length(speed, 200, 100, NULL) - -1.4140312617) < 1e-9);
}

/* Minimum-jerk speed 30τ² - 60τ³ + 30τ⁴, both ends included; figures from the reference program. */
static void arc_length_of_minimum_jerk_movements(void **state)
{
    (void)state;
    static const struct {
        size_t count;
        double rate_hz, want;
    } rows[] = {{101, 100, -1.405829}, {1001, 1000, -1.402426}, {121, 200, -1.400407}};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        static double speed[1001];
        for (size_t i = 0; i < rows[r].count; i++) {
            double t = (double)i / (double)(rows[r].count - 1);
            speed[i] = t * t * (30 - 60 * t + 30 * t * t);
        }
        double got = bp_spectral_arc_length(speed, rows[r].count, rows[r].rate_hz, NULL);
        assert_true(fabs(got - rows[r].want) < 1e-5);
    }
}

static void arc_length_does_not_depend_on_size_or_direction(void **state)
{
    (void)state;
    double speed[180], other[180];
    for (size_t i = 0; i < 180; i++) {
        speed[i] = sin(BP_PI * (double)i / 179) * (1 + 0.3 * sin(0.2 * (double)i));
        other[i] = -7.5 * speed[i];
    }
    double want = bp_spectral_arc_length(speed, 180, 200, NULL);
    assert_true(fabs(bp_spectral_arc_length(other, 180, 200, NULL) - want) < 1e-10);
    signal_reverse(speed, 180);
    assert_true(fabs(bp_spectral_arc_length(speed, 180, 200, NULL) - want) < 1e-10);
}

/* The same path in one go, or in two, three, four, with a stop between. */
static void arc_length_grows_with_every_stop(void **state)
{
    (void)state;
    double before = 0;
    for (int moves = 1; moves <= 4; moves++) {
        double speed[240];
        for (size_t i = 0; i < 240; i++) {
            speed[i] = pow(sin(moves * BP_PI * (double)i / 239), 2);
        }
        double now = bp_spectral_arc_length(speed, 240, 200, NULL);
        assert_true(now < before - 0.2);
        before = now;
    }
}

static void arc_length_of_a_long_movement_comes_out_the_same(void **state)
{
    (void)state;
    enum { COUNT = 3001 }; /* past what is summed directly */
    static double speed[COUNT];
    struct bp_arena arena;
    bp_arena_init(&arena);
    for (size_t i = 0; i < COUNT; i++) {
        double t = (double)i / (COUNT - 1);
        speed[i] = t * t * (30 - 60 * t + 30 * t * t);
    }
    /* One movement at two rates: the finer one goes through FFTW. */
    double fine = bp_spectral_arc_length(speed, COUNT, 3000, &arena);
    double coarse[1001];
    for (size_t i = 0; i < 1001; i++) {
        coarse[i] = speed[3 * i];
    }
    assert_true(fabs(fine - bp_spectral_arc_length(coarse, 1001, 1000, NULL)) < 0.002);
    bp_arena_free(&arena);
}

static void arc_length_is_unknown_where_nothing_moves_or_too_little_is_there(void **state)
{
    (void)state;
    double none[50] = {0}, two[2] = {1, 1}, broken[5] = {0, 1, (double)NAN, 1, 0};
    assert_true(isnan(bp_spectral_arc_length(none, 50, 100, NULL)));
    assert_true(isnan(bp_spectral_arc_length(two, 2, 100, NULL)));
    assert_true(isnan(bp_spectral_arc_length(broken, 5, 100, NULL)));
    assert_true(isnan(bp_spectral_arc_length(none, 50, 0, NULL)));
    /* Three samples at 20 kHz: one bin below the cutoff, no arc. */
    double quick[3] = {0, 1, 0};
    assert_true(isnan(bp_spectral_arc_length(quick, 3, 20000, NULL)));
}

static void arc_length_is_unknown_when_memory_is_out(void **state)
{
    (void)state;
    static double speed[3000];
    signal_sine(speed, 3000, 200, 1, 0.03, 0);
    struct bp_arena arena;
    bp_arena_init(&arena);
    failing_alloc_arm(0);
    assert_true(isnan(bp_spectral_arc_length(speed, 3000, 200, &arena)));
    assert_true(failing_alloc_disarm());
    bp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arc_length_of_the_published_example),
        cmocka_unit_test(arc_length_of_minimum_jerk_movements),
        cmocka_unit_test(arc_length_does_not_depend_on_size_or_direction),
        cmocka_unit_test(arc_length_grows_with_every_stop),
        cmocka_unit_test(arc_length_of_a_long_movement_comes_out_the_same),
        cmocka_unit_test(arc_length_is_unknown_where_nothing_moves_or_too_little_is_there),
        cmocka_unit_test(arc_length_is_unknown_when_memory_is_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
