/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "barplumb/motion.h"
#include "barplumb/random.h"
#include "base/failing_alloc.h"

#include <math.h>
#include <string.h>

enum { MOST = 2000 };
static const double STEP = 0.005;

struct log {
    struct bp_arena arena;
    struct bp_trace trace;
    double sampled[MOST], stamp[MOST];
    uint8_t marks[MOST];
};

static struct log the_log;

/* Sampled every STEP (one in lost of them not), stamped with an error of sd. */
static struct log *stamped(double sd, size_t lost)
{
    struct log *log = &the_log;
    struct bp_random random;
    memset(log, 0, sizeof *log);
    bp_arena_init(&log->arena);
    bp_random_init(&random, 5, 1);
    for (size_t i = 0, sample = 0; i < MOST; i++, sample++) {
        sample += lost > 0 && i > 0 && i % lost == 0;
        log->sampled[i] = (double)sample * STEP;
        log->stamp[i] =
            log->sampled[i] + fmax(-0.45 * STEP, fmin(0.45 * STEP, sd * bp_random_normal(&random)));
    }
    log->trace = (struct bp_trace){.count = MOST, .time_s = log->stamp, .marks = log->marks};
    return log;
}

static double rms_off(const struct log *log, const double *time)
{
    double sum = 0;
    for (size_t i = 0; i < MOST; i++) {
        double off = time[i] - log->sampled[i];
        sum += off * off;
    }
    return sqrt(sum / MOST);
}

static void assert_rises_from(double first, const double *time)
{
    assert_true(time[0] == first);
    for (size_t i = 1; i < MOST; i++) {
        assert_true(time[i] > time[i - 1]);
    }
}

static void stamps_that_scatter_go_back_onto_the_sensors_clock(void **state)
{
    (void)state;
    static const size_t lost[] = {0, 37};
    for (size_t k = 0; k < 2; k++) {
        struct log *log = stamped(0.0006, lost[k]);
        double *even;
        assert_true(bp_motion_even_clock(&log->trace, STEP, &log->arena, &even));
        assert_true(rms_off(log, log->stamp) > 0.0005);
        assert_true(rms_off(log, even) < 0.0001); /* 0.0006 / sqrt(400), twice that at the ends */
        assert_rises_from(log->stamp[0], even);
        bp_arena_free(&log->arena);
    }
}

static void stamps_in_whole_milliseconds_become_even(void **state)
{
    (void)state;
    struct log *log = stamped(0, 0);
    double *even;
    for (size_t i = 0; i < MOST; i++) {
        log->sampled[i] = 0.0025 * (double)i;
        log->stamp[i] = floor(1000 * log->sampled[i]) / 1000; /* steps of 2 and 3 ms in turn */
    }
    assert_true(bp_motion_even_clock(&log->trace, 0.003, &log->arena, &even));
    assert_true(even[0] == 0); /* not moved, so the first step is not quite even */
    for (size_t i = 2; i < MOST; i++) {
        assert_true(fabs(even[i] - even[i - 1] - 0.0025) < 0.00003);
    }
    bp_arena_free(&log->arena);
}

static void a_clock_that_is_not_even_is_left_alone(void **state)
{
    (void)state;
    struct log *log = stamped(0, 0);
    double *even;
    struct bp_random random;
    bp_random_init(&random, 6, 1);
    for (size_t i = 1; i < MOST; i++) { /* no clock behind it: every step is another */
        log->stamp[i] = log->stamp[i - 1] + bp_random_between(&random, 0.2, 1.8) * STEP;
    }
    assert_true(bp_motion_even_clock(&log->trace, STEP, &log->arena, &even));
    assert_memory_equal(even, log->stamp, sizeof log->stamp);
    bp_arena_free(&log->arena);
}

static void a_change_of_rate_and_a_gap_keep_their_place(void **state)
{
    (void)state;
    struct log *log = stamped(0.0003, 0);
    double *even;
    for (size_t i = MOST / 2; i < MOST; i++) {
        log->sampled[i] += 1.234;
        log->stamp[i] += 1.234;
    }
    log->marks[MOST / 2] = BP_MARK_AFTER_GAP;
    for (size_t i = MOST / 4; i < MOST; i++) { /* from here on twice as slow */
        double more = (double)((i < MOST / 2 ? i : MOST / 2) - MOST / 4) * STEP;
        log->sampled[i] += more;
        log->stamp[i] += more;
    }
    assert_true(bp_motion_even_clock(&log->trace, STEP, &log->arena, &even));
    assert_rises_from(log->stamp[0], even);
    for (size_t i = 0; i < MOST; i++) {
        assert_true(fabs(even[i] - log->sampled[i]) < 0.75 * STEP);
    }
    bp_arena_free(&log->arena);
}

static void every_allocation_may_fail(void **state)
{
    (void)state;
    bool done = false;
    for (size_t n = 0; !done; n++) {
        struct log *log = stamped(0.0006, 0);
        double *even = NULL;
        failing_alloc_arm(n);
        bool good = bp_motion_even_clock(&log->trace, STEP, &log->arena, &even);
        done = !failing_alloc_disarm();
        assert_int_equal(good, done);
        bp_arena_free(&log->arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stamps_that_scatter_go_back_onto_the_sensors_clock),
        cmocka_unit_test(stamps_in_whole_milliseconds_become_even),
        cmocka_unit_test(a_clock_that_is_not_even_is_left_alone),
        cmocka_unit_test(a_change_of_rate_and_a_gap_keep_their_place),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
