/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is mended, marked and told: bad cells, clocks, gaps, clipping, rounding, cut-off files.
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

#define HEADER "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n"
#define G 9.80665

static void finish(struct imported *in, struct bp_text *text)
{
    support_text(in, text->data);
    bp_text_free(text);
    if (in->code != BP_OK) {
        fail_msg("%s: %s", bp_code_name(in->code), in->error.text);
    }
    support_sound_trace(&in->trace);
}

static void import_interpolates_isolated_bad_cells_and_names_them(void **state)
{
    static const char *const bad[] = {"nan", "inf", "-", "", "1e999", "9.8x"};
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        if (i % 150 == 100 && i < 900) {
            double f[3];
            motion_force((double)i / 100.0, true, f);
            bp_text_put_number(&text, (double)i / 100.0, 2);
            bp_text_put(&text, ",");
            bp_text_put_number(&text, f[0], 6);
            bp_text_put(&text, ",");
            bp_text_put(&text, bad[i / 150]);
            bp_text_put(&text, ",");
            bp_text_put_number(&text, f[2], 6);
            bp_text_put(&text, "\n");
        } else {
            text_row(&text, (double)i / 100.0, 6);
        }
    }
    finish(in, &text);
    /* halfway on a straight line: off by A w^2 h^2 / 2 = 0.2 (2 pi 0.9)^2 0.01^2 / 2 */
    support_moves(&in->trace, 1000, 100.0, 0.0, 1.0, 0.00032);
    size_t marked = 0;
    for (size_t i = 0; i < 1000; i++) {
        marked += in->trace.marks[i] == BP_MARK_MENDED;
        assert_true((in->trace.marks[i] == BP_MARK_MENDED) == (i % 150 == 100 && i < 900));
    }
    assert_int_equal(marked, 6);
    const struct bp_finding *f = support_finding(&in->trace, "mended");
    assert_non_null(strstr(f->text, "'nan' in line 102, column 3"));
    assert_true(fabs(f->at_s - 1.0) < 1e-9);
    assert_int_equal(f->severity, BP_RESERVATION);
}

static void import_mends_a_time_from_its_neighbours(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    text_motion(&text, HEADER, 100, 100.0);
    char *row = strstr(text.data, "\n0.500000,");
    memcpy(row + 1, "??", 2);
    finish(in, &text);
    assert_true(fabs(in->trace.time_s[50] - 0.5) < 1e-9);
    assert_non_null(support_finding(&in->trace, "mended"));
}

static void import_leaves_out_a_last_row_that_is_cut_off(void **state)
{
    static const char *const tails[] = {"1.00,0.1", "1.00,0.1,0.2,-", "1.00,0.1,0.2,"};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof tails / sizeof tails[0]; i++) {
        struct bp_text text;
        text_motion(&text, HEADER, 100, 100.0);
        bp_text_put(&text, tails[i]);
        finish(in, &text);
        assert_int_equal(in->trace.count, 100);
        assert_true(support_finding(&in->trace, "truncated") != NULL ||
                    support_finding(&in->trace, "ends-cut") != NULL);
    }
}

static void import_sorts_late_rows_and_keeps_equal_ones_in_order(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 300; i++) {
        size_t k = i % 100 == 50 ? i + 1 : i % 100 == 51 ? i - 1 : i; /* three pairs swapped */
        text_row(&text, (double)k / 100.0, 6);
    }
    finish(in, &text);
    support_moves(&in->trace, 300, 100.0, 0.0, 1.0, 6e-7);
    const struct bp_finding *f = support_finding(&in->trace, "time-order");
    assert_non_null(strstr(f->text, "3 rows"));
    assert_int_equal(f->severity, BP_RESERVATION);
}

static void import_takes_rows_written_twice_once(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 200; i++) {
        text_row(&text, (double)i / 100.0, 6);
        if (i % 3 == 0) {
            text_row(&text, (double)i / 100.0, 6);
        }
    }
    finish(in, &text);
    support_moves(&in->trace, 200, 100.0, 0.0, 1.0, 6e-7);
    assert_non_null(strstr(support_finding(&in->trace, "rows-repeated")->text, "67 rows"));
}

static void import_leaves_jittered_times_alone(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    struct bp_clock clock;
    uint32_t seed = 7;
    double sum = 0.0, squares = 0.0, before = 0.0;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    double times[500];
    for (size_t i = 0; i < 500; i++) {
        seed = seed * 1664525u + 1013904223u;
        double t = (double)i / 100.0 + 0.003 * ((double)(seed >> 8) / 16777216.0 - 0.5);
        times[i] = t = round(t * 1e6) / 1e6;
        text_row(&text, t, 6);
        if (i > 0) {
            sum += t - before;
            squares += (t - before) * (t - before);
        }
        before = t;
    }
    finish(in, &text);
    for (size_t i = 0; i < 500; i++) {
        assert_true(fabs(in->trace.time_s[i] - (times[i] - times[0])) < 1e-12);
    }
    assert_true(bp_trace_clock(&in->trace, &in->arena, &clock));
    double mean = sum / 499.0, sd = sqrt((squares - 499.0 * mean * mean) / 498.0);
    assert_true(fabs(clock.jitter_s - sd) < 1e-9);
    assert_true(fabs(clock.rate_hz - 100.0) < 2.0);
    assert_int_equal(clock.gaps, 0);
    assert_int_equal(in->trace.findings.count, 0);
}

static void import_marks_and_names_gaps(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    struct bp_clock clock;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        if (!(i >= 200 && i < 250) && i != 700) { /* 0.51 s missing; one sample missing is no gap */
            text_row(&text, (double)i / 100.0, 6);
        }
    }
    finish(in, &text);
    for (size_t i = 0; i < in->trace.count; i++) {
        assert_int_equal(in->trace.marks[i], i == 200 ? BP_MARK_AFTER_GAP : 0);
    }
    const struct bp_finding *f = support_finding(&in->trace, "gap");
    assert_true(fabs(f->at_s - 1.99) < 1e-9);
    assert_non_null(strstr(f->text, "0.51 s"));
    assert_true(bp_trace_clock(&in->trace, &in->arena, &clock));
    assert_int_equal(clock.gaps, 1);
    assert_true(fabs(clock.longest_step_s - 0.51) < 1e-9);
    assert_true(fabs(clock.step_s - 0.01) < 1e-9);
    assert_true(fabs(clock.duration_s - 9.99) < 1e-9);
}

static void import_sums_up_many_gaps(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 2000; i++) {
        if (i % 40 < 36) {
            text_row(&text, (double)i / 100.0, 6);
        }
    }
    finish(in, &text);
    size_t gaps = 0;
    for (size_t i = 0; i < in->trace.findings.count; i++) {
        gaps += strcmp(in->trace.findings.list[i].code, "gap") == 0;
    }
    assert_int_equal(gaps, 7); /* six by name and one for the other 43 */
    assert_non_null(strstr(in->trace.findings.list[in->trace.findings.count - 1].text, "43 more"));
}

/* Rows at rest with one hard knock on z, cut at limit. */
static void put_knock(struct bp_text *text, double limit, int decimals)
{
    bp_text_init(text);
    bp_text_put(text, HEADER);
    for (size_t i = 0; i < 400; i++) {
        double t = (double)i / 100.0, x = (t - 2.0) / 0.05;
        double z = 9.81 + 90.0 * exp(-x * x);
        bp_text_put_number(text, t, 2);
        bp_text_put(text, ",");
        bp_text_put_number(text, 0.01 * sin(7.0 * t), 6);
        bp_text_put(text, ",0.02,");
        bp_text_put_number(text, z < limit ? z : limit, decimals);
        bp_text_put(text, "\n");
    }
}

static void import_sees_clipping_at_a_known_limit_and_at_any_other(void **state)
{
    static const double limits[] = {4.0 * G, 8.0 * G, 50.0};
    struct imported *in = *state;
    for (size_t k = 0; k < 3; k++) {
        struct bp_text text;
        put_knock(&text, limits[k], 6);
        finish(in, &text);
        assert_true(fabs(in->trace.force_limit - limits[k]) < 1e-5);
        const struct bp_finding *f = support_finding(&in->trace, "clipped");
        assert_int_equal(f->severity, BP_RESERVATION);
        for (size_t i = 0; i < in->trace.count; i++) {
            bool clipped = in->trace.force[2][i] >= limits[k] - 1e-5;
            assert_int_equal((in->trace.marks[i] & BP_MARK_CLIPPED) != 0, clipped);
            if (clipped) {
                assert_true(f->at_s <= in->trace.time_s[i]);
            }
        }
    }
}

static void import_sees_no_clipping_in_a_knock_that_is_not_cut(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    put_knock(&text, 1000.0, 1); /* rounded to 0.1: rest repeats exactly, the peak does not */
    finish(in, &text);
    assert_true(isnan(in->trace.force_limit));
    assert_null(support_finding(&in->trace, "clipped"));
}

static void import_takes_a_run_of_zeros_for_no_limit(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time (s),ax (m/s2),ay (m/s2),az (m/s2)\n");
    for (int i = 0; i < 200; i++) {
        double t = i / 100.0, force[3];
        motion_force(t, true, force);
        force[0] = i < 8 ? 0.0 : -fabs(force[0]) - 0.001; /* at most 0, and 0 eight times in a row */
        bp_text_put_number(&text, t, 3);
        for (int a = 0; a < 3; a++) {
            bp_text_put_char(&text, ',');
            bp_text_put_number(&text, force[a], 9);
        }
        bp_text_put_char(&text, '\n');
    }
    assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
    support_sound_trace(&in->trace);
    assert_true(isnan(in->trace.force_limit));
    assert_null(support_finding(&in->trace, "clipped"));
    bp_text_free(&text);
}

static void import_sees_clipping_of_the_gyroscope(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time (s),ax (g),ay (g),az (g),wx (deg/s),wy (deg/s),wz (deg/s)\n");
    for (size_t i = 0; i < 300; i++) {
        double w = 700.0 * sin(0.05 * (double)i);
        bp_text_put_number(&text, (double)i / 100.0, 2);
        bp_text_put(&text, ",0,0,1,");
        bp_text_put_number(&text, w > 500.0 ? 500.0 : w < -500.0 ? -500.0 : w, 3);
        bp_text_put(&text, ",0,0\n");
    }
    finish(in, &text);
    assert_true(fabs(in->trace.turn_limit - 500.0 * 3.14159265358979323846 / 180.0) < 1e-9);
    assert_non_null(support_finding(&in->trace, "gyro-clipped"));
    for (size_t i = 0; i < in->trace.count; i++) {
        bool clipped = fabs(in->trace.turn[0][i]) >= in->trace.turn_limit;
        assert_int_equal((in->trace.marks[i] & BP_MARK_GYRO_CLIPPED) != 0, clipped);
    }
}

static void import_sees_the_step_that_readings_are_rounded_to(void **state)
{
    static const struct {
        int decimals;
        double grid;
    } list[] = {{1, 0.1}, {2, 0.01}, {3, 0.001}};
    struct imported *in = *state;
    for (size_t k = 0; k < 3; k++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, HEADER);
        for (size_t i = 0; i < 500; i++) {
            text_row(&text, (double)i / 100.0, list[k].decimals);
        }
        finish(in, &text);
        assert_true(fabs(in->trace.force_grid - list[k].grid) < 1e-6 * list[k].grid);
        assert_true(in->trace.turn_grid == 0.0);
    }
    /* counts of a 16-bit sensor at +-8 g, printed with six decimals: the sensor's step, not the text's */
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    const double count = 8.0 * G / 32768.0;
    for (size_t i = 0; i < 500; i++) {
        double f[3];
        motion_force((double)i / 100.0, true, f);
        bp_text_put_number(&text, (double)i / 100.0, 2);
        for (int a = 0; a < 3; a++) {
            bp_text_put(&text, ",");
            bp_text_put_number(&text, count * round(f[a] / count), 6);
        }
        bp_text_put(&text, "\n");
    }
    finish(in, &text);
    assert_true(fabs(in->trace.force_grid - count) < 1e-3 * count);
}

static void import_sees_no_step_in_smooth_readings(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 500; i++) {
        text_row(&text, (double)i / 100.0, 9);
    }
    finish(in, &text);
    assert_true(in->trace.force_grid == 0.0);
}

/* Acceleration at 50 Hz and a gyroscope's rows in between, `nothing` in the other's cells; gyroscope rows in
 * [from, to) and not in [hole, hole + 0.5). */
static void put_two_sensors(struct bp_text *text, double from, double to, double hole, const char *nothing)
{
    char none[32];
    snprintf(none, sizeof none, "%s,%s,%s", nothing, nothing, nothing);
    bp_text_init(text);
    bp_text_put(text, "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2),wx (rad/s),wy (rad/s),wz (rad/s)\n");
    for (size_t i = 0; i < 400; i++) {
        double t = (double)i / 100.0, v[3];
        if (i % 2 == 0) {
            motion_force(t, true, v);
        } else {
            motion_turn(t, v);
        }
        if (i % 2 == 1 && (t < from || t >= to || (t >= hole && t < hole + 0.5))) {
            continue;
        }
        bp_text_put_number(text, t, 2);
        bp_text_put(text, i % 2 == 0 ? "" : ",");
        bp_text_put(text, i % 2 == 0 ? "" : none);
        for (int a = 0; a < 3; a++) {
            bp_text_put(text, ",");
            bp_text_put_number(text, v[a], 9);
        }
        bp_text_put(text, i % 2 == 0 ? "," : "");
        bp_text_put(text, i % 2 == 0 ? none : "");
        bp_text_put(text, "\n");
    }
}

static void import_puts_the_gyroscope_on_the_accelerometers_clock(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    static const char *const nothing[] = {"", "NaN", "null", "-", "N/A"}; /* as rows are joined elsewhere */
    for (size_t n = 0; n < sizeof nothing / sizeof nothing[0]; n++) {
        put_two_sensors(&text, 0.0, 9.0, 9.0, nothing[n]);
        finish(in, &text);
        support_moves(&in->trace, 200, 50.0, 0.0, 1.0, 6e-9);
        for (size_t i = 1; i + 1 < in->trace.count; i++) {
            double w[3];
            motion_turn(in->trace.time_s[i], w);
            for (int a = 0; a < 3; a++) { /* straight lines over 20 ms: 0.1 pi^2 0.02^2 / 8 */
                assert_true(fabs(in->trace.turn[a][i] - w[a]) < 5e-5);
            }
        }
    }
}

/* A word is no reading in any row. */
static void import_refuses_words_where_sensors_take_turns(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    put_two_sensors(&text, 0.0, 9.0, 9.0, "off");
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    support_refused(in, BP_ERR_NUMBER, 2, 5, "'off' is no number");
}

static void import_keeps_only_what_the_gyroscope_covers(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    put_two_sensors(&text, 0.5, 3.0, 9.0, "");
    finish(in, &text);
    assert_true(in->trace.gyroscope);
    assert_non_null(support_finding(&in->trace, "gyro-span"));
    assert_true(in->trace.time_s[in->trace.count - 1] < 2.56);
    double f[3];
    motion_force(0.5, true, f); /* one gyroscope step may be missing at either end */
    assert_true(fabs(in->trace.force[2][0] - f[2]) < 4.0 * 2.0 * 3.1416 * 0.8 * 0.021);
    put_two_sensors(&text, 1.0, 2.0, 9.0, ""); /* a quarter of the time: of no use */
    finish(in, &text);
    assert_false(in->trace.gyroscope);
    assert_non_null(support_finding(&in->trace, "gyro-short"));
    support_moves(&in->trace, 200, 50.0, 0.0, 1.0, 6e-9);
}

static void import_marks_where_the_gyroscope_has_a_hole(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    put_two_sensors(&text, 0.0, 9.0, 2.0, "");
    finish(in, &text);
    assert_non_null(support_finding(&in->trace, "gyro-gap"));
    size_t marked = 0;
    for (size_t i = 0; i < in->trace.count; i++) {
        double t = in->trace.time_s[i];
        bool inside = t > 1.995 && t < 2.505;
        marked += (in->trace.marks[i] & BP_MARK_MENDED) != 0;
        assert_int_equal((in->trace.marks[i] & BP_MARK_MENDED) != 0, inside);
    }
    assert_int_equal(marked, 26);
}

static void clock_of_a_short_trace_is_zero(void **state)
{
    struct imported *in = *state;
    struct bp_clock clock;
    double times[1] = {0.0};
    struct bp_trace trace = {.count = 1, .time_s = times};
    memset(&clock, 0xA5, sizeof clock);
    assert_true(bp_trace_clock(&trace, &in->arena, &clock));
    assert_true(clock.rate_hz == 0.0 && clock.gaps == 0 && clock.duration_s == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(import_interpolates_isolated_bad_cells_and_names_them),
        cmocka_unit_test(import_mends_a_time_from_its_neighbours),
        cmocka_unit_test(import_leaves_out_a_last_row_that_is_cut_off),
        cmocka_unit_test(import_sorts_late_rows_and_keeps_equal_ones_in_order),
        cmocka_unit_test(import_takes_rows_written_twice_once),
        cmocka_unit_test(import_leaves_jittered_times_alone),
        cmocka_unit_test(import_marks_and_names_gaps),
        cmocka_unit_test(import_sums_up_many_gaps),
        cmocka_unit_test(import_sees_clipping_at_a_known_limit_and_at_any_other),
        cmocka_unit_test(import_sees_no_clipping_in_a_knock_that_is_not_cut),
        cmocka_unit_test(import_takes_a_run_of_zeros_for_no_limit),
        cmocka_unit_test(import_sees_clipping_of_the_gyroscope),
        cmocka_unit_test(import_sees_the_step_that_readings_are_rounded_to),
        cmocka_unit_test(import_sees_no_step_in_smooth_readings),
        cmocka_unit_test(import_puts_the_gyroscope_on_the_accelerometers_clock),
        cmocka_unit_test(import_refuses_words_where_sensors_take_turns),
        cmocka_unit_test(import_keeps_only_what_the_gyroscope_covers),
        cmocka_unit_test(import_marks_where_the_gyroscope_has_a_hole),
        cmocka_unit_test(clock_of_a_short_trace_is_zero),
    };
    return cmocka_run_group_tests(tests, support_setup, support_teardown);
}
