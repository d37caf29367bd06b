/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "logs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static void expect_rate_finding(struct log *log, double rate_hz, const char *code, enum bp_severity severity,
                                const char *word)
{
    log_make(log, rate_hz, 20);
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *finding = log_finding(log, code);
    assert_non_null(finding);
    assert_int_equal(finding->severity, severity);
    assert_true(isnan(finding->at_s));
    assert_non_null(strstr(finding->text, word));
}

static void clock_too_slow_is_refused_and_slow_says_what_is_lost(void **state)
{
    struct log *log = *state;
    expect_rate_finding(log, 8, "too-slow", BP_REFUSAL, "8.0");
    expect_rate_finding(log, 12.5, "slow", BP_RESERVATION, "shake up to 5.6 Hz only");
    expect_rate_finding(log, 25, "slow", BP_RESERVATION, "do not show clatter");
    expect_rate_finding(log, 40, "slow", BP_RESERVATION, "clatter up to 20.0 Hz only");
    log_make(log, 50, 20);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "slow"));
}

static void clock_too_short_a_log_is_refused(void **state)
{
    struct log *log = *state;
    log->trace.count = 195;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "too-short"), BP_REFUSAL);
    assert_non_null(strstr(log_text(log, "too-short"), "1.94 s"));
}

/* Takes samples [first, first + dropped) out of log. */
static void drop(struct log *log, size_t first, size_t dropped)
{
    struct bp_trace *trace = &log->trace;
    size_t moved = trace->count - first - dropped;
    memmove(log->time_s + first, log->time_s + first + dropped, moved * sizeof(double));
    for (size_t axis = 0; axis < 3; axis++) {
        memmove(log->force[axis] + first, log->force[axis] + first + dropped, moved * sizeof(double));
        memmove(log->turn[axis] + first, log->turn[axis] + first + dropped, moved * sizeof(double));
    }
    log->marks[first] |= BP_MARK_AFTER_GAP;
    trace->count -= dropped;
}

static void clock_gap_is_named_with_its_time_and_length(void **state)
{
    struct log *log = *state;
    drop(log, 900, 87);
    assert_int_equal(log_check(log), BP_OK);
    const struct bp_finding *gap = log_finding(log, "gap");
    assert_non_null(gap);
    assert_int_equal(gap->severity, BP_RESERVATION);
    assert_true(fabs(gap->at_s - 8.99) < 1e-9);
    assert_non_null(strstr(gap->text, "0.87 s"));
    assert_true(fabs(log->check.missing_s - 0.87) < 1e-9);
    assert_int_equal(log->check.verdict, BP_FIT_WITH_RESERVATIONS);
    assert_null(log_finding(log, "gaps"));
}

static void clock_short_gaps_are_a_note_together(void **state)
{
    struct log *log = *state;
    drop(log, 700, 4);
    drop(log, 900, 6);
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "gap"));
    const struct bp_finding *gaps = log_finding(log, "gaps");
    assert_non_null(gaps);
    assert_int_equal(gaps->severity, BP_NOTE);
    assert_non_null(strstr(gaps->text, "2 short gaps, 0.10 s of readings in all, the longest 0.06 s"));
    assert_int_equal(log->check.verdict, BP_FIT);
}

static void clock_many_gaps_are_named_up_to_a_number_and_then_counted(void **state)
{
    struct log *log = *state;
    for (size_t i = 0; i < 12; i++) {
        drop(log, 500 + 60 * i, 15);
    }
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_count_findings(log, "gap"), 8);
    assert_non_null(strstr(log_text(log, "gaps"), "4 more gaps"));
    assert_int_equal(log_severity(log, "gaps"), BP_RESERVATION);
    assert_int_equal(log->check.clock.gaps, 12);
}

static void clock_log_full_of_holes_is_refused(void **state)
{
    struct log *log = *state;
    drop(log, 800, 450);
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log->check.verdict, BP_NOT_FIT);
    assert_int_equal(log_severity(log, "holes"), BP_REFUSAL);
}

static void clock_that_loses_many_single_readings_is_a_reservation(void **state)
{
    struct log *log = *state;
    static const size_t every[] = {20, 7}; /* one in so many is lost */
    for (size_t k = 0; k < 2; k++) {
        log_make(log, 100, 20);
        for (size_t i = every[k]; i + 1 < log->trace.count; i += every[k] - 1) {
            drop(log, i, 1);
            log->marks[i] = 0; /* one lost reading is no gap */
        }
        assert_int_equal(log_check(log), BP_OK);
        assert_int_equal(log_severity(log, "lossy"), k == 0 ? -1 : (int)BP_RESERVATION);
    }
    assert_non_null(strstr(log_text(log, "lossy"), "about 14 %"));
}

static void clock_unevenness_is_noted(void **state)
{
    struct log *log = *state;
    log_add_noise(log->time_s, log->trace.count, 0.0015, 99);
    log->time_s[0] = 0;
    assert_int_equal(log_check(log), BP_OK);
    assert_int_equal(log_severity(log, "uneven"), BP_NOTE);
    assert_int_equal(log->check.verdict, BP_FIT);
}

static void clock_that_contradicts_the_container_is_noted(void **state)
{
    struct log *log = *state;
    log->trace.recognised.declared_rate_hz = 100.5;
    assert_int_equal(log_check(log), BP_OK);
    assert_null(log_finding(log, "declared-rate"));
    log->trace.recognised.declared_rate_hz = 120;
    assert_int_equal(log_check(log), BP_OK);
    assert_non_null(strstr(log_text(log, "declared-rate"), "120.00"));
    assert_int_equal(log_severity(log, "declared-rate"), BP_NOTE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(clock_too_slow_is_refused_and_slow_says_what_is_lost),
        WITH_LOG(clock_too_short_a_log_is_refused),
        WITH_LOG(clock_gap_is_named_with_its_time_and_length),
        WITH_LOG(clock_short_gaps_are_a_note_together),
        WITH_LOG(clock_many_gaps_are_named_up_to_a_number_and_then_counted),
        WITH_LOG(clock_log_full_of_holes_is_refused),
        WITH_LOG(clock_that_loses_many_single_readings_is_a_reservation),
        WITH_LOG(clock_unevenness_is_noted),
        WITH_LOG(clock_that_contradicts_the_container_is_noted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
