/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/random.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void draws_stay_within_their_bounds_and_reach_them(void **state)
{
    (void)state;
    struct bp_random random;
    int seen[4] = {0};
    bp_random_init(&random, 9, 0);
    for (int i = 0; i < 2000; i++) {
        double x = bp_random_between(&random, -2.0, 3.0);
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
        cmocka_unit_test(draws_stay_within_their_bounds_and_reach_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
