/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/random.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* xoshiro256** from state {1, 2, 3, 4}: first outputs of the authors' reference code (Blackman & Vigna,
 * prng.di.unimi.it; from memory: 11520, 0, 1509978240, 1215971899390074240). */
static void generator_gives_the_reference_numbers(void **state)
{
    (void)state;
    struct sim_random random = {.state = {1, 2, 3, 4}};
    assert_true(sim_random_next(&random) == UINT64_C(11520));
    assert_true(sim_random_next(&random) == UINT64_C(0));
    assert_true(sim_random_next(&random) == UINT64_C(1509978240));
    assert_true(sim_random_next(&random) == UINT64_C(1215971899390074240));
}

static void same_seed_same_numbers_and_other_streams_others(void **state)
{
    (void)state;
    struct sim_random a, b, c;
    sim_random_init(&a, 42, 1);
    sim_random_init(&b, 42, 1);
    sim_random_init(&c, 42, 2);
    int same = 0;
    for (int i = 0; i < 100; i++) {
        uint64_t x = sim_random_next(&a);
        assert_true(x == sim_random_next(&b));
        same += x == sim_random_next(&c);
    }
    assert_int_equal(same, 0);
}

static void normals_have_mean_nought_and_variance_one(void **state)
{
    (void)state;
    enum { COUNT = 200000 };
    struct sim_random random;
    double sum = 0.0, square = 0.0, fourth = 0.0;
    sim_random_init(&random, 3, 0);
    for (int i = 0; i < COUNT; i++) {
        double x = sim_random_normal(&random);
        sum += x;
        square += x * x;
        fourth += x * x * x * x;
    }
    /* Five standard errors each: 1, sqrt(2), sqrt(96) over sqrt(COUNT). */
    double error = 5.0 / sqrt((double)COUNT);
    assert_true(fabs(sum / COUNT) < error);
    assert_true(fabs(square / COUNT - 1.0) < sqrt(2.0) * error);
    assert_true(fabs(fourth / COUNT - 3.0) < sqrt(96.0) * error);
}

static void draws_stay_within_their_bounds_and_reach_them(void **state)
{
    (void)state;
    struct sim_random random;
    int seen[4] = {0};
    sim_random_init(&random, 9, 0);
    for (int i = 0; i < 2000; i++) {
        double x = sim_random_between(&random, -2.0, 3.0);
        assert_true(x >= -2.0 && x < 3.0);
        assert_true(fabs(sim_random_normal_within(&random, 1.5)) <= 1.5);
        int n = sim_random_count(&random, 5, 8);
        assert_in_range(n, 5, 8);
        seen[n - 5]++;
    }
    for (int i = 0; i < 4; i++) {
        assert_in_range(seen[i], 400, 600);
    }
    assert_false(sim_random_chance(&random, 0.0));
    assert_true(sim_random_chance(&random, 1.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(generator_gives_the_reference_numbers),
        cmocka_unit_test(same_seed_same_numbers_and_other_streams_others),
        cmocka_unit_test(normals_have_mean_nought_and_variance_one),
        cmocka_unit_test(draws_stay_within_their_bounds_and_reach_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
