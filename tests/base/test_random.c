/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/random.h"

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
    struct bp_random random = {.state = {1, 2, 3, 4}};
    assert_true(bp_random_next(&random) == UINT64_C(11520));
    assert_true(bp_random_next(&random) == UINT64_C(0));
    assert_true(bp_random_next(&random) == UINT64_C(1509978240));
    assert_true(bp_random_next(&random) == UINT64_C(1215971899390074240));
}

static void same_seed_same_numbers_and_other_streams_others(void **state)
{
    (void)state;
    struct bp_random a, b, c;
    bp_random_init(&a, 42, 1);
    bp_random_init(&b, 42, 1);
    bp_random_init(&c, 42, 2);
    int same = 0;
    for (int i = 0; i < 100; i++) {
        uint64_t x = bp_random_next(&a);
        assert_true(x == bp_random_next(&b));
        same += x == bp_random_next(&c);
    }
    assert_int_equal(same, 0);
}

static void normals_have_mean_nought_and_variance_one(void **state)
{
    (void)state;
    enum { COUNT = 200000 };
    struct bp_random random;
    double sum = 0.0, square = 0.0, fourth = 0.0;
    bp_random_init(&random, 3, 0);
    for (int i = 0; i < COUNT; i++) {
        double x = bp_random_normal(&random);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(generator_gives_the_reference_numbers),
        cmocka_unit_test(same_seed_same_numbers_and_other_streams_others),
        cmocka_unit_test(normals_have_mean_nought_and_variance_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
