/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* Multiplies the acceleration by factor while the bar moves on, from time `at` to half a second later ever
 * more, so that nothing leaps. */
static void scale_slowly(struct log *log, double at, double factor)
{
    for (size_t i = 0; i < log->trace.count; i++) {
        double part = fmin(fmax((log->time_s[i] - at) / 0.5, 0), 1);
        for (size_t a = 0; a < 3; a++) {
            log->force[a][i] *= 1 + part * (factor - 1);
        }
    }
}

static void gravity_of_another_length_at_the_next_rest_is_a_refusal(void **state)
{
    struct log *log = *state;
    static const double factors[] = {0.9, 1.08};
    for (size_t k = 0; k < sizeof factors / sizeof *factors; k++) {
        log_make(log, 100, 20);
        scale_slowly(log, 9, factors[k]);
        assert_int_equal(log_check(log), BP_OK);
        assert_null(log_finding(log, "jump"));
        const struct bp_finding *found = log_finding(log, "gravity-changed");
        assert_non_null(found);
        assert_int_equal(found->severity, BP_REFUSAL);
        assert_true(found->at_s > 3 && found->at_s < 5); /* where the first rest ends */
    }
}

static void gravity_that_an_offset_explains_is_no_finding(void **state)
{
    struct log *log = *state;
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gravity-changed"));
    scale_slowly(log, 9, 1.02);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gravity-changed"));
}

static void gravity_that_is_gone_half_way_is_a_refusal(void **state)
{
    struct log *log = *state;
    for (size_t i = 1700; i < log->trace.count; i++) {
        for (size_t a = 0; a < 3; a++) {
            log->force[a][i] *= 0.01;
        }
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "gravity-changed"), BP_REFUSAL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(gravity_of_another_length_at_the_next_rest_is_a_refusal),
        WITH_LOG(gravity_that_an_offset_explains_is_no_finding),
        WITH_LOG(gravity_that_is_gone_half_way_is_a_refusal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
