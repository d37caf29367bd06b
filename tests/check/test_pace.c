/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* Steps are `factor` times as long from time `at` on. */
static void stretch(struct log *log, double at, double factor)
{
    for (size_t i = 0; i < log->trace.count; i++) {
        double past = log->time_s[i] - at;
        log->time_s[i] = past > 0 ? at + factor * past : log->time_s[i];
    }
}

/* Sensors change their rates by powers of two, and so do loggers that leave out rows; clocks do as they like.
 */
static void pace_that_changes_half_way_is_told_with_its_time(void **state)
{
    struct log *log = *state;
    static const double factors[] = {0.5, 0.9, 0.97, 1.03, 1.2, 1.9, 2};
    for (size_t k = 0; k < sizeof factors / sizeof *factors; k++) {
        log_make(log, 100, 20);
        stretch(log, 8, factors[k]);
        assert_int_equal(log_check(log), BP_OK);
        const struct bp_finding *found = log_finding(log, "pace-changed");
        assert_non_null(found);
        bool sensors_own = factors[k] == 0.5 || factors[k] == 2;
        assert_int_equal(found->severity, sensors_own ? BP_RESERVATION : BP_REFUSAL);
        assert_true(fabs(found->at_s - 8) < 0.5); /* a block of 48 readings */
        assert_non_null(strstr(found->text, "instead of 10.00"));
    }
}

static void pace_of_an_uneven_clock_with_lost_rows_is_no_finding(void **state)
{
    struct log *log = *state;
    static double late[LOG_MOST];
    signal_noise(late, log->trace.count, 5);
    size_t kept = 0;
    for (size_t i = 0; i < log->trace.count; i++) {
        if (i > 900 && i % 5 == 2) {
            continue; /* one row in five is lost from here on */
        }
        log->time_s[kept] = log->time_s[i] + 0.001 * fmax(-3, fmin(3, late[i]));
        for (size_t a = 0; a < 3; a++) {
            log->force[a][kept] = log->force[a][i];
            log->turn[a][kept] = log->turn[a][i];
        }
        kept++;
    }
    log->trace.count = kept;
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "pace-changed"));
}

static void pace_off_by_a_hundredth_is_no_finding(void **state)
{
    struct log *log = *state;
    stretch(log, 8, 1.01);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "pace-changed"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(pace_that_changes_half_way_is_told_with_its_time),
        WITH_LOG(pace_of_an_uneven_clock_with_lost_rows_is_no_finding),
        WITH_LOG(pace_off_by_a_hundredth_is_no_finding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
