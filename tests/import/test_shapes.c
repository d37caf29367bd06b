/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logs in other shapes than rows of plain numbers: other locales' numbers, times run together, words among
 * the rows, UTF-16, JSON in columns; and headings that the readings contradict.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define DEG 0.017453292519943295
enum { ROWS = 400, RATE = 50 };

/* Readings named linear that hardly ever fall below gravity's length; a gyroscope in deg/s that nothing says
 * is, which turns too slowly for the size of its readings to tell, but in rad/s would turn gravity right
 * round. */
static void import_believes_gravity_more_than_headings(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "stamp,linear_acceleration.x,linear_acceleration.y,linear_acceleration.z,"
                       "angular_velocity.x,angular_velocity.y,angular_velocity.z\n");
    for (int i = 0; i < 1000; i++) {
        double t = 0.01 * i;
        double row[] = {t, 0.1, 0.2, 9.8 + 0.5 * sin(3.0 * t), 2.0 * cos(t), 0.0, 0.0};
        for (size_t k = 0; k < sizeof row / sizeof row[0]; k++) {
            bp_text_put(&text, k > 0 ? "," : "");
            bp_text_put_number(&text, row[k], 6);
        }
        bp_text_put(&text, "\n");
    }
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    assert_int_equal(in->code, BP_OK);
    assert_false(in->trace.gravity_removed);
    assert_non_null(support_finding(&in->trace, "gravity-present"));
    assert_true(in->trace.gyroscope);
    assert_true(fabs(in->trace.turn[0][0] - 2.0 * DEG) < 1e-9);
}

/* One line a row of the same second; the marks of other locales. */
static void import_reads_thousands_apart_and_other_signs(void **state)
{
    static const struct {
        const char *header, *first, *second;
        char separator, point;
    } list[] = {
        {"time (ms);ax (m/s2);ay (m/s2);az (m/s2)\n", "1,", "2,", ';', '.'},
        {"time (ms);ax (m/s2);ay (m/s2);az (m/s2)\n", "1.", "2.", ';', ','},
        {"time (ms);ax (m/s2);ay (m/s2);az (m/s2)\n", "1 ", "2 ", ';', ','},
        {"time (ms),ax (m/s2),ay (m/s2),az (m/s2)\n", "1'", "2'", ',', '.'},
        {"time (ms),ax (m/s2),ay (m/s2),az (m/s2)\n", "1\xe2\x80\xaf", "2\xe2\x80\xaf", ',', '.'},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, list[i].header);
        for (int k = 0; k < 2000; k += 10) {
            char row[80], s = list[i].separator, p = list[i].point;
            snprintf(row, sizeof row, "%s%03d%c5%c\xe2\x88\x92%d%c25%c0%c5%c9%c75\n",
                     k < 1000 ? list[i].first : list[i].second, k % 1000, p, s, k % 7, p, s, p, s, p);
            bp_text_put(&text, row);
        }
        support_bytes(in, text.data, text.length);
        bp_text_free(&text);
        if (in->code != BP_OK) {
            fail_msg("%zu: %s", i, in->error.text);
        }
        assert_int_equal(in->trace.count, 200);
        assert_true(fabs(in->trace.time_s[199] - 1.99) < 1e-9);
        assert_true(fabs(in->trace.force[0][3] + 30 % 7 + 0.25) < 1e-12);
        assert_true(fabs(in->trace.force[2][3] - 9.75) < 1e-12);
    }
}

/* Digits without the signs of a date and a time; the minute ends on the way. */
static void import_reads_dates_and_times_run_together(void **state)
{
    static const struct {
        const char *between, *fraction, *zone;
    } list[] = {{"T", ".", "Z"}, {"", "", ""}, {"_", "_", ""}, {" ", ",", " UTC"}};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "time;ax (m/s2);ay (m/s2);az (m/s2)\n");
        for (int ms = 58000; ms < 62000; ms += 10) {
            char row[80];
            snprintf(row, sizeof row, "20250201%s12%02d%02d%s%03d%s;0.1;0.2;9.8\n", list[i].between,
                     ms / 60000, ms / 1000 % 60, list[i].fraction, ms % 1000, list[i].zone);
            bp_text_put(&text, row);
        }
        support_bytes(in, text.data, text.length);
        bp_text_free(&text);
        if (in->code != BP_OK) {
            fail_msg("'%s': %s", list[i].between, in->error.text);
        }
        assert_int_equal(in->trace.count, 400);
        assert_true(fabs(in->trace.time_s[399] - 3.99) < 1e-6);
        if (list[i].zone[0] != '\0' && !(fabs(in->trace.start_epoch_s - 1738411258.0) < 1e-3)) {
            fail_msg("'%s' starts at %f", list[i].between, in->trace.start_epoch_s);
        }
    }
}

/* "EVENT,lap" among the rows, a summary behind them, the header once more while the clock runs on. */
static void import_passes_over_lines_that_are_no_readings(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time,ax,ay,az\n");
    for (int i = 0; i < ROWS; i++) {
        if (i == 100 || i == 200) {
            bp_text_put(&text, i == 100 ? "EVENT,lap\n" : "marker,,,\n");
        }
        if (i == 300) {
            bp_text_put(&text, "time,ax,ay,az\n");
        }
        text_row(&text, (double)i / RATE, 6);
    }
    bp_text_put(&text, "mean,0.1,0.2,9.8\n\nTotal samples,400\n");
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-6);
    const struct bp_finding *asides = support_finding(&in->trace, "asides");
    assert_non_null(asides);
    assert_non_null(strstr(asides->text, "4 lines"));
    assert_non_null(strstr(asides->text, "line 102: EVENT,lap"));
    assert_null(support_finding(&in->trace, "more-recordings"));
}

static void put_wide(struct bp_text *out, const char *text, bool big)
{
    for (; *text != '\0'; text++) {
        bp_text_put_char(out, big ? '\0' : *text);
        bp_text_put_char(out, big ? *text : '\0');
    }
}

static void import_reads_utf_16_with_and_without_its_mark(void **state)
{
    static const struct {
        const char *mark;
        bool big;
    } list[] = {{"\xff\xfe", false}, {"\xfe\xff", true}, {"", false}, {"", true}};
    struct imported *in = *state;
    struct bp_text plain;
    text_motion(&plain, "time (s),ax (m/s2),ay (m/s2),az (m/s2)\n", ROWS, RATE);
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_text wide;
        bp_text_init(&wide);
        bp_text_put(&wide, list[i].mark);
        put_wide(&wide, plain.data, list[i].big);
        support_bytes(in, wide.data, wide.length);
        bp_text_free(&wide);
        assert_int_equal(in->code, BP_OK);
        support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-3);
    }
    bp_text_free(&plain);
}

/* Letters of one, two and three bytes in UTF-8, and one beyond the first 65,536, in a heading nobody reads.
 */
static void import_reads_utf_16_of_any_letters(void **state)
{
    static const char odd[] = "\xe9\0\xac\x20\x3d\xd8\x00\xde";
    struct imported *in = *state;
    struct bp_text wide, plain;
    bp_text_init(&wide);
    bp_text_put(&wide, "\xff\xfe");
    put_wide(&wide, "time (s),ax (m/s2),ay (m/s2),az (m/s2),", false);
    bp_text_put_bytes(&wide, odd, sizeof odd - 1);
    put_wide(&wide, "\n", false);
    for (int i = 0; i < ROWS; i++) {
        bp_text_init(&plain);
        text_row(&plain, (double)i / RATE, 6);
        plain.data[plain.length - 1] = '\0';
        put_wide(&wide, plain.data, false);
        put_wide(&wide, ",1\n", false);
        bp_text_free(&plain);
    }
    support_bytes(in, wide.data, wide.length);
    bp_text_free(&wide);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-3);
}

/* {"accelerometer": {"t": […], "x": […]…}, "gyroscope": {…}}: columns, and a clock for each sensor. */
static void import_reads_json_of_columns(void **state)
{
    static const char *const keys[] = {"t", "x", "y", "z"};
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (int sensor = 0; sensor < 2; sensor++) {
        bp_text_put(&text, sensor == 0 ? "{\"accelerometer\":{" : "},\"gyroscope\":{");
        for (int k = 0; k < 4; k++) {
            bp_text_put(&text, k > 0 ? ",\"" : "\"");
            bp_text_put(&text, keys[k]);
            for (int i = 0; i < ROWS; i++) {
                double t = (double)i / RATE, v[3];
                sensor == 0 ? motion_force(t, true, v) : motion_turn(t, v);
                bp_text_put(&text, i > 0 ? "," : "\":[");
                bp_text_put_number(&text, k == 0 ? t : v[k - 1], 6);
            }
            bp_text_put(&text, "]");
        }
    }
    bp_text_put(&text, "}}");
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    assert_int_equal(in->code, BP_OK);
    assert_true(in->trace.gyroscope);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    support_turns(&in->trace, 0.0, 1e-5);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_believes_gravity_more_than_headings),
        FRESH(import_reads_thousands_apart_and_other_signs),
        FRESH(import_reads_dates_and_times_run_together),
        FRESH(import_passes_over_lines_that_are_no_readings),
        FRESH(import_reads_utf_16_with_and_without_its_mark),
        FRESH(import_reads_utf_16_of_any_letters),
        FRESH(import_reads_json_of_columns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
