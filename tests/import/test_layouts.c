/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every layout in fixtures/layouts, read right or refused with its reason. The fixtures hold one invented
 * motion (support.h), so each sample is checked against its formula to the rounding of its text.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <math.h>
#include <string.h>

#define EPOCH 1735732800.0 /* 2025-01-01 12:00 UTC, where the fixtures with a date begin */
#define G 9.80665

struct expected {
    const char *file;
    size_t count;
    double rate_hz, sign, tolerance;
};

static void import_reads_layouts_with_gravity_in_si_and_g(void **state)
{
    static const struct expected list[] = {
        {"01-quoted-exponent.csv", 60, 50.0, 1.0, 1e-8},
        {"02-semicolon-point.csv", 60, 50.0, 1.0, 1e-8},
        {"04-tab-decimal-comma.csv", 60, 50.0, 1.0, 1e-8},
        {"04-semicolon-decimal-comma.csv", 60, 50.0, 1.0, 6e-6},
        {"08-minus-g.csv", 60, 50.0, -1.0, 6e-9},
        {"10-many-sensors.csv", 60, 50.0, 1.0, 6e-5},
        {"11-g-and-ms2.csv", 60, 50.0, 1.0, 6e-6},
        {"12-preamble.csv", 60, 50.0, 1.0, 6e-6},
        {"13-bom-cr-whole-seconds.csv", 150, 50.0, 1.0, 6e-6},
        {"14-stated-gs.csv", 60, 50.0, -1.0, 6e-6},
        {"15-reversed.csv", 60, 50.0, -1.0, 6e-6},
        {"16-mm-s2.csv", 60, 50.0, 1.0, 6e-6},
        {"17-same-names.csv", 60, 50.0, 1.0, 6e-5},
        {"18-mg-iso.csv", 60, 50.0, 1.0, 0.5e-3 * G + 1e-9},
        {"19-rate-rows.csv", 60, 50.0, 1.0, 0.5 * G / 64.0 + 1e-9},
        {"20-seconds-of-minute.csv", 60, 50.0, 1.0, 6e-6},
        {"23-interleaved.csv", 600, 500.0, 1.0, 0.02}, /* ns in a double: times to 0.3 us */
        {"24-several-recordings.csv", 60, 50.0, 1.0, 6e-5},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        const struct expected *e = &list[i];
        if (support_file(in, e->file) != BP_OK) {
            fail_msg("%s: %s", e->file, in->error.text);
        }
        assert_false(in->trace.gravity_removed);
        if (strcmp(e->file, "23-interleaved.csv") != 0) {
            support_moves(&in->trace, e->count, e->rate_hz, 0.0, e->sign, e->tolerance);
        } else {
            support_sound_trace(&in->trace);
            assert_int_equal(in->trace.count, e->count);
        }
    }
}

static void import_reads_the_gyroscope_beside_the_acceleration(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "10-many-sensors.csv"), BP_OK);
    support_turns(&in->trace, 0.0, 6e-7);
    assert_int_equal(support_file(in, "11-g-and-ms2.csv"), BP_OK);
    support_turns(&in->trace, 0.0, 6e-7);
    assert_non_null(support_finding(&in->trace, "units-inferred"));
}

static void import_reads_rows_without_header_as_x_y_z_and_says_so(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "09-no-header.csv"), BP_OK);
    assert_non_null(support_finding(&in->trace, "no-header"));
    support_sound_trace(&in->trace);
    double f[3];
    motion_force(0.2, true, f);
    /* the file's columns are z, y, x in -g; nothing in it says so */
    assert_true(fabs(in->trace.force[0][10] + f[2]) < 1e-7);
    assert_true(fabs(in->trace.force[2][10] + f[0]) < 1e-7);
    in->settings.columns = "ax=5,ay=4,az=3";
    assert_int_equal(support_file(in, "09-no-header.csv"), BP_OK);
    support_moves(&in->trace, 60, 50.0, 0.0, -1.0, 6e-9);
}

static void import_marks_linear_acceleration_as_gravity_removed(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "03-tab-linear.csv"), BP_OK);
    assert_true(in->trace.gravity_removed);
    assert_int_equal(support_finding(&in->trace, "gravity-removed")->severity, BP_RESERVATION);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 1e-8);
    assert_int_equal(support_file(in, "07-linear-and-gravity/Accelerometer.csv"), BP_OK);
    assert_true(in->trace.gravity_removed);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 1e-8);
}

static void import_refuses_a_log_rewritten_by_a_spreadsheet(void **state)
{
    struct imported *in = *state;
    support_file(in, "05-rewritten-by-spreadsheet.csv");
    support_refused(in, BP_ERR_TIME, 0, 0, "spreadsheet");
    in->settings.units = "t=ns"; /* even with the times believed, gravity's length is absurd */
    support_file(in, "05-rewritten-by-spreadsheet.csv");
    support_refused(in, BP_ERR_UNITS, 0, 0, "not gravity");
}

static void import_spreads_times_rounded_to_three_digits(void **state)
{
    struct imported *in = *state;
    struct bp_clock clock;
    assert_int_equal(support_file(in, "06-three-digits.csv"), BP_OK);
    support_sound_trace(&in->trace);
    assert_true(bp_trace_clock(&in->trace, &in->arena, &clock));
    assert_true(fabs(clock.rate_hz - 250.0) < 0.1);
    assert_true(clock.jitter_s < 1e-6);
    assert_int_equal(support_finding(&in->trace, "time-repeated")->severity, BP_RESERVATION);
    assert_true(fabs(in->trace.force_grid - 0.01) < 1e-9); /* three digits of 9.81 */
}

static void import_adds_gravity_from_its_own_file_and_reads_past_empty_ones(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "07-linear-and-gravity"), BP_OK);
    assert_false(in->trace.gravity_removed);
    assert_non_null(support_finding(&in->trace, "gravity-added"));
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 1e-8);
    /* gyroscope at 100 Hz, 13 ms off: a straight line strays by up to A w^2 h^2 / 8 = 0.1 pi^2 0.01^2 / 8 */
    support_turns(&in->trace, 0.0, 1.3e-5);
    assert_true(fabs(in->trace.start_epoch_s - EPOCH) < 1e-3);
}

static void import_joins_axes_that_have_rows_of_their_own(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "21-one-value-a-row.csv"), BP_OK);
    assert_non_null(support_finding(&in->trace, "sparse"));
    support_sound_trace(&in->trace);
    for (size_t i = 0; i < in->trace.count; i++) {
        double f[3];
        motion_force(in->trace.time_s[i] + 0.02, true, f); /* z has no sample before x's second */
        for (int a = 0; a < 3; a++) {
            /* a straight line over 20 ms: error up to A w^2 h^2 / 8 = 4 (2 pi 0.8)^2 0.02^2 / 8 = 5e-3 */
            assert_true(fabs(in->trace.force[a][i] - f[a]) < 5.1e-3);
        }
    }
}

static void import_merges_one_file_a_sensor_by_their_dates(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "22-one-file-a-sensor"), BP_OK);
    support_moves(&in->trace, 40, 12.5, 0.0, 1.0, 0.6e-5 * G);
    /* 160 ms lie between the files' first rows though both count from 0; 25 Hz, all on whole samples */
    support_turns(&in->trace, 0.0, 1e-6);
    assert_true(fabs(in->trace.start_epoch_s - (EPOCH + 0.160)) < 1e-6);
}

static void import_keeps_interleaved_rows_of_one_sensor_apart(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "23-interleaved.csv"), BP_OK);
    support_sound_trace(&in->trace);
    for (size_t i = 0; i < in->trace.count; i++) {
        double f[3];
        assert_true(fabs(in->trace.time_s[i] - (double)i / 500.0) < 1e-6);
        motion_force((double)i / 500.0, true, f);
        for (int a = 0; a < 3; a++) {
            assert_true(fabs(in->trace.force[a][i] - f[a]) < 1e-7);
        }
    }
    support_turns(&in->trace, 0.0, 1e-6);
    assert_null(support_finding(&in->trace, "time-order")); /* the other rows are late, not these */
}

static void import_reads_only_the_first_of_several_recordings(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "24-several-recordings.csv"), BP_OK);
    const struct bp_finding *f = support_finding(&in->trace, "more-recordings");
    assert_non_null(f);
    assert_int_equal(f->severity, BP_RESERVATION);
    assert_non_null(strstr(f->text, "line 62"));
}

static void import_finds_the_date_of_the_first_sample(void **state)
{
    static const struct {
        const char *file;
        double epoch;
    } list[] = {
        {"08-minus-g.csv", EPOCH},
        {"14-stated-gs.csv", EPOCH + 0.928411},
        {"18-mg-iso.csv", EPOCH + 541.0},
        {"19-rate-rows.csv", EPOCH},
        {"13-bom-cr-whole-seconds.csv", EPOCH + 0.4},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        assert_int_equal(support_file(in, list[i].file), BP_OK);
        assert_true(fabs(in->trace.start_epoch_s - list[i].epoch) < 1e-3);
    }
    assert_int_equal(support_file(in, "01-quoted-exponent.csv"), BP_OK);
    assert_true(isnan(in->trace.start_epoch_s));
}

static void import_says_what_it_recognised(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "04-tab-decimal-comma.csv"), BP_OK);
    assert_string_equal(in->trace.recognised.container, "CSV, separator TAB, decimal comma");
    assert_non_null(strstr(in->trace.recognised.columns, "time 'Time (s)'"));
    assert_non_null(strstr(in->trace.recognised.columns, "units: s, m/s2"));
    assert_int_equal(in->trace.recognised.rows, 60);
    assert_true(isnan(in->trace.recognised.declared_rate_hz));
    assert_int_equal(support_file(in, "19-rate-rows.csv"), BP_OK);
    assert_true(in->trace.recognised.declared_rate_hz == 50.0);
}

static void import_gives_the_same_trace_whatever_was_in_the_arena(void **state)
{
    struct imported *in = *state;
    assert_int_equal(support_file(in, "10-many-sensors.csv"), BP_OK);
    double sum = 0.0;
    for (size_t i = 0; i < in->trace.count; i++) {
        sum += in->trace.force[2][i] * (double)(i + 1);
    }
    assert_int_equal(support_file(in, "06-three-digits.csv"), BP_OK);
    assert_int_equal(support_file(in, "10-many-sensors.csv"), BP_OK);
    double again = 0.0;
    for (size_t i = 0; i < in->trace.count; i++) {
        again += in->trace.force[2][i] * (double)(i + 1);
    }
    assert_true(sum == again);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(import_reads_layouts_with_gravity_in_si_and_g),
        cmocka_unit_test(import_reads_the_gyroscope_beside_the_acceleration),
        cmocka_unit_test_setup_teardown(import_reads_rows_without_header_as_x_y_z_and_says_so, support_setup,
                                        support_teardown),
        cmocka_unit_test(import_marks_linear_acceleration_as_gravity_removed),
        cmocka_unit_test_setup_teardown(import_refuses_a_log_rewritten_by_a_spreadsheet, support_setup,
                                        support_teardown),
        cmocka_unit_test(import_spreads_times_rounded_to_three_digits),
        cmocka_unit_test(import_adds_gravity_from_its_own_file_and_reads_past_empty_ones),
        cmocka_unit_test(import_joins_axes_that_have_rows_of_their_own),
        cmocka_unit_test(import_merges_one_file_a_sensor_by_their_dates),
        cmocka_unit_test(import_keeps_interleaved_rows_of_one_sensor_apart),
        cmocka_unit_test(import_reads_only_the_first_of_several_recordings),
        cmocka_unit_test(import_finds_the_date_of_the_first_sample),
        cmocka_unit_test(import_says_what_it_recognised),
        cmocka_unit_test(import_gives_the_same_trace_whatever_was_in_the_arena),
    };
    return cmocka_run_group_tests(tests, support_setup, support_teardown);
}
