/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "../shake/signals.h"
#include "reps/turning.h"
#include "turns.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

enum { SAMPLES = 4000 };

static double path[SAMPLES];
static struct bp_turning found[SAMPLES];

static size_t find(size_t samples, double least_m)
{
    size_t counted = bp_turning_find(path, 0, samples - 1, least_m, NULL);
    assert_int_equal(bp_turning_find(path, 0, samples - 1, least_m, found), counted);
    return counted;
}

static void turning_points_are_the_heights_the_path_turns_at(void **state)
{
    (void)state;
    const double heights[] = {0, 0.3, -0.1, 0.4, 0.05, 0.35};
    size_t samples = turns_path(heights, 6, path);
    assert_int_equal(find(samples, 0.2), 6);
    for (size_t i = 0; i < 6; i++) {
        assert_int_equal(found[i].sample, i * TURNS_STEPS);
        assert_true(fabs(found[i].height_m - heights[i]) < 1e-12);
        assert_int_equal(found[i].top, i % 2);
    }
}

static void moves_smaller_than_the_least_are_no_turns(void **state)
{
    (void)state;
    const double heights[] = {0, 0.3, 0.22, 0.5, 0.4, 0.48, 0, 0.06, 0.02, 0.5};
    size_t samples = turns_path(heights, 10, path);
    assert_int_equal(find(samples, 0.15), 4);
    assert_int_equal(found[1].sample, 3 * TURNS_STEPS);
    assert_int_equal(found[2].sample, 6 * TURNS_STEPS);
    assert_int_equal(found[3].sample, 9 * TURNS_STEPS);
    assert_int_equal(find(samples, 0.03), 10);
    assert_int_equal(find(samples, 0.05), 8); /* 0.06 to 0.02 is gone */
    assert_int_equal(find(samples, 0.6), 0);
}

/* Whatever the path: tops and bottoms take turns, in time order, at least least_m apart, and each is the
 * extreme between its neighbours. */
static void turning_points_alternate_on_any_path(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 30; seed++) {
        signal_noise(path, SAMPLES, seed);
        for (size_t i = 1; i < SAMPLES; i++) {
            path[i] = path[i - 1] + 0.02 * path[i];
        }
        size_t count = find(SAMPLES, 0.2);
        assert_true(count > 2);
        for (size_t k = 1; k < count; k++) {
            assert_true(found[k].top != found[k - 1].top && found[k].sample > found[k - 1].sample);
            assert_true(fabs(found[k].height_m - found[k - 1].height_m) >= 0.2);
            assert_true(found[k].height_m == path[found[k].sample]);
            double low = fmin(found[k].height_m, found[k - 1].height_m);
            double high = fmax(found[k].height_m, found[k - 1].height_m);
            for (size_t i = found[k - 1].sample; i <= found[k].sample; i++) {
                assert_true(path[i] >= low && path[i] <= high);
            }
        }
    }
}

static void turning_points_do_not_depend_on_the_way_of_time(void **state)
{
    (void)state;
    static struct bp_turning forward[SAMPLES];
    signal_noise(path, SAMPLES, 5);
    for (size_t i = 1; i < SAMPLES; i++) {
        path[i] = path[i - 1] + 0.02 * path[i];
    }
    size_t count = find(SAMPLES, 0.2);
    for (size_t k = 0; k < count; k++) {
        forward[k] = found[k];
    }
    signal_reverse(path, SAMPLES);
    assert_int_equal(find(SAMPLES, 0.2), count);
    for (size_t k = 0; k < count; k++) {
        assert_int_equal(found[k].sample, SAMPLES - 1 - forward[count - 1 - k].sample);
        assert_int_equal(found[k].top, forward[count - 1 - k].top);
    }
}

static void turning_points_turn_over_with_the_path(void **state)
{
    (void)state;
    const double heights[] = {0.1, 0.5, 0, 0.45, 0.02};
    size_t samples = turns_path(heights, 5, path);
    size_t count = find(samples, 0.2);
    for (size_t i = 0; i < samples; i++) {
        path[i] = -path[i];
    }
    assert_int_equal(find(samples, 0.2), count);
    for (size_t k = 0; k < count; k++) {
        assert_int_equal(found[k].sample, k * TURNS_STEPS);
        assert_int_equal(found[k].top, k % 2 == 0);
    }
}

static void a_path_that_stays_has_no_turn(void **state)
{
    (void)state;
    for (size_t i = 0; i < SAMPLES; i++) {
        path[i] = 0.7;
    }
    assert_int_equal(find(SAMPLES, 0.01), 0);
    assert_int_equal(find(1, 0.01), 0);
}

static void only_the_asked_stretch_is_looked_at(void **state)
{
    (void)state;
    const double heights[] = {0, 0.4, 0, 0.4, 0, 0.4};
    turns_path(heights, 6, path);
    size_t count = bp_turning_find(path, 100, 200, 0.2, found); /* one bottom, one top, one bottom */
    assert_int_equal(count, 3);
    assert_int_equal(found[0].sample, 100);
    assert_int_equal(found[1].sample, 150);
    assert_true(found[1].top);
    assert_int_equal(found[2].sample, 200);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turning_points_are_the_heights_the_path_turns_at),
        cmocka_unit_test(moves_smaller_than_the_least_are_no_turns),
        cmocka_unit_test(turning_points_alternate_on_any_path),
        cmocka_unit_test(turning_points_do_not_depend_on_the_way_of_time),
        cmocka_unit_test(turning_points_turn_over_with_the_path),
        cmocka_unit_test(a_path_that_stays_has_no_turn),
        cmocka_unit_test(only_the_asked_stretch_is_looked_at),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
