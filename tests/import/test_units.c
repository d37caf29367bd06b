/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Units stated, inferred and given; gravity in, out and put back; columns by setting; text variants.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/comma_locale.h"
#include "import/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define G 9.80665
#define DEGREE 0.017453292519943295

/* One log of the invented motion: how it is written. */
struct writing {
    const char *header;
    double time_factor; /* written = seconds * this + time_zero */
    double time_zero;
    double force_factor; /* written = m/s^2 * this */
    double turn_factor;  /* written = rad/s * this; 0: no gyroscope */
    bool linear;
    double tilt; /* rad of slow roll about x, so that gravity turns as the gyroscope says */
};

static void put_log(struct bp_text *text, const struct writing *w, size_t rows)
{
    bp_text_init(text);
    bp_text_put(text, w->header);
    for (size_t i = 0; i < rows; i++) {
        double t = (double)i / 100.0, f[3], turn[3] = {0.0, 0.0, 0.0};
        motion_force(t, !w->linear, f);
        if (w->tilt > 0.0) {
            double a = w->tilt * sin(2.0 * t);
            f[0] = 0.0;
            f[1] = G * sin(a); /* df/dt = -w x f for w = (a', 0, 0) */
            f[2] = G * cos(a);
            turn[0] = w->tilt * 2.0 * cos(2.0 * t);
        }
        bp_text_put_number(text, t * w->time_factor + w->time_zero, w->time_factor > 1.0 ? 1 : 6);
        for (int a = 0; a < 3; a++) {
            bp_text_put(text, ",");
            bp_text_put_number(text, f[a] * w->force_factor, 8);
        }
        for (int a = 0; a < 3 && w->turn_factor > 0.0; a++) {
            bp_text_put(text, ",");
            bp_text_put_number(text, turn[a] * w->turn_factor, 8);
        }
        bp_text_put(text, "\n");
    }
}

static void import_log_of(struct imported *in, const struct writing *w, size_t rows)
{
    struct bp_text text;
    put_log(&text, w, rows);
    support_text(in, text.data);
    bp_text_free(&text);
}

static void import_converts_stated_units(void **state)
{
    static const struct writing list[] = {
        {"time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n", 1.0, 5.0, 1.0, 0.0, false, 0.0},
        {"time (ms),ax (g),ay (g),az (g)\n", 1e3, 0.0, 1.0 / G, 0.0, false, 0.0},
        {"time (us),ax (mg),ay (mg),az (mg)\n", 1e6, 7.0, 1e3 / G, 0.0, false, 0.0},
        {"time (ns),ax (mm/s2),ay (mm/s2),az (mm/s2)\n", 1e9, 3e9, 1e3, 0.0, false, 0.0},
        {"time (s),ax (G),ay (G),az (G)\n", 1.0, 0.0, -1.0 / G, 0.0, false, 0.0}, /* the other sign */
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        import_log_of(in, &list[i], 150);
        assert_int_equal(in->code, BP_OK);
        support_moves(&in->trace, 150, 100.0, 0.0, list[i].force_factor < 0.0 ? -1.0 : 1.0, 6e-8);
        assert_null(support_finding(&in->trace, "units-inferred"));
    }
}

static void import_infers_units_from_steps_and_from_gravity(void **state)
{
    static const double times[] = {1.0, 1e3, 1e6, 1e9};
    static const double forces[] = {1.0, 1.0 / G, 1e3 / G, 1e3, -1.0 / G, 64.0 / G};
    struct imported *in = *state;
    for (size_t t = 0; t < sizeof times / sizeof times[0]; t++) {
        for (size_t f = 0; f < sizeof forces / sizeof forces[0]; f++) {
            struct writing w = {"time,ax,ay,az\n", times[t], 0.0, forces[f], 0.0, false, 0.0};
            import_log_of(in, &w, 150);
            assert_int_equal(in->code, BP_OK);
            support_moves(&in->trace, 150, 100.0, 0.0, forces[f] < 0.0 ? -1.0 : 1.0, 6e-8);
            assert_int_equal(support_finding(&in->trace, "units-inferred")->severity, BP_NOTE);
        }
    }
}

static void import_reads_dates_since_1970_in_any_unit(void **state)
{
    static const double factors[] = {1.0, 1e3, 1e6, 1e9};
    struct imported *in = *state;
    for (size_t i = 0; i < 4; i++) {
        struct writing w = {"timestamp,ax (g),ay (g),az (g)\n",
                            factors[i],
                            1735732800.0 * factors[i],
                            1.0 / G,
                            0.0,
                            false,
                            0.0};
        import_log_of(in, &w, 150);
        assert_int_equal(in->code, BP_OK);
        assert_true(fabs(in->trace.start_epoch_s - 1735732800.0) < 1e-6);
        support_sound_trace(&in->trace);
        assert_true(fabs(in->trace.time_s[149] - 1.49) < 1e-6);
    }
}

/* Twenty minutes after the phone was started its clock of nanoseconds passes what milliseconds since 1970 are
 * in 2001 and on. */
static void import_takes_no_uptime_for_a_date(void **state)
{
    static const char *const headers[] = {"timestamp,ax (g),ay (g),az (g)\n",
                                          "timestamp_ns,ax (g),ay (g),az (g)\n"};
    struct imported *in = *state;
    for (size_t i = 0; i < 2; i++) {
        struct writing w = {headers[i], 1e9, 1.2e12, 1.0 / G, 0.0, false, 0.0};
        import_log_of(in, &w, 150);
        assert_int_equal(in->code, BP_OK);
        assert_true(isnan(in->trace.start_epoch_s));
        support_sound_trace(&in->trace);
        assert_true(fabs(in->trace.time_s[149] - 1.49) < 1e-6);
    }
}

static void import_lets_given_units_override(void **state)
{
    struct imported *in = *state;
    struct writing w = {
        "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2),wx,wy,wz\n", 1e3, 0.0, 1.0 / G, 1.0 / DEGREE, false, 0.5};
    import_log_of(in, &w, 300);
    support_refused(in, BP_ERR_TIME, 0, 0, NULL); /* the header lies */
    in->settings.units = "t=ms, a=g, w=deg/s";
    import_log_of(in, &w, 300);
    assert_int_equal(in->code, BP_OK);
    assert_true(fabs(in->trace.time_s[1] - 0.01) < 1e-12);
    assert_true(fabs(in->trace.force[2][0] - G) < 1e-7);
    assert_true(fabs(in->trace.turn[0][0] - 1.0) < 1e-9);
    assert_null(support_finding(&in->trace, "units-inferred"));
}

static void import_infers_the_gyroscopes_unit_from_the_turn_of_gravity(void **state)
{
    static const double factors[] = {1.0, 1.0 / DEGREE};
    struct imported *in = *state;
    for (size_t i = 0; i < 2; i++) {
        for (int sign = -1; sign <= 1; sign += 2) { /* either sign convention of the acceleration */
            struct writing w = {"time,ax,ay,az,gx,gy,gz\n", 1.0, 0.0, sign, factors[i], false, 0.1};
            import_log_of(in, &w, 400);
            assert_int_equal(in->code, BP_OK);
            assert_true(in->trace.gyroscope);
            /* 0.2 rad/s at most: 11.5 deg/s, which by size alone could be either */
            assert_true(fabs(in->trace.turn[0][0] - 0.2) < 1e-9);
            bool note = false;
            for (size_t k = 0; k < in->trace.findings.count; k++) {
                const struct bp_finding *f = &in->trace.findings.list[k];
                note = note || (strstr(f->text, "turn of gravity") != NULL && f->severity == BP_NOTE);
            }
            assert_true(note);
        }
    }
}

static void import_takes_gravity_out_of_account_only_where_it_is_out(void **state)
{
    struct imported *in = *state;
    struct writing linear = {"time (s),x (m/s^2),y (m/s^2),z (m/s^2)\n", 1.0, 0.0, 1.0, 0.0, true, 0.0};
    import_log_of(in, &linear, 300); /* no word says so, the numbers do */
    assert_int_equal(in->code, BP_OK);
    assert_true(in->trace.gravity_removed);
    struct writing wrong = {
        "time (s),linear x (m/s^2),linear y (m/s^2),linear z (m/s^2)\n", 1.0, 0.0, 1.0, 0.0, false, 0.0};
    import_log_of(in, &wrong, 300); /* the header says so, the numbers do not */
    assert_int_equal(in->code, BP_OK);
    assert_false(in->trace.gravity_removed);
    assert_non_null(support_finding(&in->trace, "gravity-present"));
    in->settings.gravity_removed = true;
    import_log_of(in, &wrong, 300);
    assert_true(in->trace.gravity_removed);
}

static void import_refuses_linear_acceleration_of_no_unit(void **state)
{
    struct imported *in = *state;
    struct writing w = {"time (s),x,y,z\n", 1.0, 0.0, 1.0 / G, 0.0, true, 0.0};
    import_log_of(in, &w, 300);
    support_refused(in, BP_ERR_UNITS, 0, 0, "--units a=");
    in->settings.units = "a=g";
    import_log_of(in, &w, 300);
    assert_int_equal(in->code, BP_OK);
    assert_true(in->trace.gravity_removed);
    support_moves(&in->trace, 300, 100.0, 0.0, 1.0, 6e-8);
}

static void import_adds_linear_acceleration_and_gravity_columns(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time (s),user acceleration x (G),user acceleration y (G),user acceleration z (G),"
                       "gravity x (G),gravity y (G),gravity z (G)\n");
    for (size_t i = 0; i < 150; i++) {
        double f[3];
        motion_force((double)i / 100.0, false, f);
        bp_text_put_number(&text, (double)i / 100.0, 2);
        for (int a = 0; a < 3; a++) {
            bp_text_put(&text, ",");
            bp_text_put_number(&text, -f[a] / G, 8);
        }
        bp_text_put(&text, ",0,0,");
        bp_text_put_number(&text, -9.81 / G, 8);
        bp_text_put(&text, "\n");
    }
    support_text(in, text.data);
    assert_int_equal(in->code, BP_OK);
    assert_false(in->trace.gravity_removed);
    assert_non_null(support_finding(&in->trace, "gravity-added"));
    support_moves(&in->trace, 150, 100.0, 0.0, -1.0, 2e-7);
    in->settings.columns = "ax=2,ay=3,az=4,gravx=5,gravy=6,gravz=7,t=time (s)"; /* the same by hand */
    support_text(in, text.data);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 150, 100.0, 0.0, -1.0, 2e-7);
    bp_text_free(&text);
}

static void import_takes_columns_by_number_and_by_heading(void **state)
{
    static const char *const choices[] = {"t=1,ax=2,ay=3,az=4", "t=when,ax=red,ay=GREEN,az=Blue",
                                          "t=when, ax=2, ay=green, az=4"};
    struct imported *in = *state;
    struct writing w = {"when,red,green,blue\n", 1.0, 0.0, 1.0, 0.0, false, 0.0};
    for (size_t i = 0; i < 3; i++) {
        in->settings.columns = choices[i];
        import_log_of(in, &w, 150);
        assert_int_equal(in->code, BP_OK);
        support_moves(&in->trace, 150, 100.0, 0.0, 1.0, 6e-8);
    }
    in->settings.columns = "ax=red,ay=green,az=purple";
    import_log_of(in, &w, 150);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "'purple'");
    in->settings.columns = "ax=red,ay=green";
    import_log_of(in, &w, 150);
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, "all three");
    in->settings.columns = "t=when,ax=red,ay=red,az=blue";
    import_log_of(in, &w, 150);
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, "twice");
}

static void import_takes_a_rate_where_there_is_no_time(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "x (g),y (g),z (g)\n");
    for (size_t i = 0; i < 150; i++) {
        double f[3];
        motion_force((double)i / 200.0, true, f);
        for (int a = 0; a < 3; a++) {
            bp_text_put(&text, a > 0 ? "," : "");
            bp_text_put_number(&text, f[a] / G, 8);
        }
        bp_text_put(&text, "\n");
    }
    support_text(in, text.data);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "--rate");
    in->settings.rate_hz = 200.0;
    support_text(in, text.data);
    bp_text_free(&text);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 150, 200.0, 0.0, 1.0, 6e-8);
}

static void import_reads_line_ends_marks_remarks_and_blanks(void **state)
{
    static const char *const ends[] = {"\n", "\r\n", "\r"};
    struct imported *in = *state;
    for (size_t e = 0; e < 3; e++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "\xef\xbb\xbf# bench, harbour gym");
        bp_text_put(&text, ends[e]);
        bp_text_put(&text, "% lifter;L2;bar;20;kg;x;y;z");
        bp_text_put(&text, ends[e]);
        bp_text_put(&text, ends[e]);
        bp_text_put(&text, "\"time (s)\" ; \"a,x (m/s^2)\";\"a;y (m/s^2)\";\"a z (m/s^2)\"");
        bp_text_put(&text, ends[e]);
        for (size_t i = 0; i < 150; i++) {
            double f[3];
            motion_force((double)i / 100.0, true, f);
            bp_text_put_number(&text, (double)i / 100.0, 2);
            for (int a = 0; a < 3; a++) {
                bp_text_put(&text, a == 1 ? " ; \"" : "; ");
                bp_text_put_number(&text, f[a], 7);
                bp_text_put(&text, a == 1 ? "\"" : " ");
            }
            bp_text_put(&text, ends[e]);
            if (i == 70) {
                bp_text_put(&text, "// a pause");
                bp_text_put(&text, ends[e]);
                bp_text_put(&text, ends[e]);
            }
        }
        support_text(in, text.data);
        bp_text_free(&text);
        assert_int_equal(in->code, BP_OK);
        support_moves(&in->trace, 150, 100.0, 0.0, 1.0, 6e-8);
    }
}

static void import_reads_a_line_of_units_below_the_header(void **state)
{
    struct imported *in = *state;
    struct writing w = {"t,acc x,acc y,acc z\nms,g,g,g\n", 1e3, 0.0, 1.0 / G, 0.0, false, 0.0};
    import_log_of(in, &w, 150);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 150, 100.0, 0.0, 1.0, 6e-8);
    assert_null(support_finding(&in->trace, "units-inferred"));
}

static void import_reads_the_same_from_a_pipe_as_from_memory(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    char path[64] = "/tmp/barplumb-import-XXXXXX", command[320];
    text_motion(&text, "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n", 30000, 1000.0); /* several blocks */
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, text.data, text.length), (ssize_t)text.length);
    close(file);
    support_path(in, path);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 30000, 1000.0, 0.0, 1.0, 6e-7);
    char fifo[80];
    snprintf(fifo, sizeof fifo, "%s.fifo", path);
    snprintf(command, sizeof command, "mkfifo %s && (cat %s > %s &)", fifo, path, fifo);
    assert_int_equal(system(command), 0);
    support_path(in, fifo);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 30000, 1000.0, 0.0, 1.0, 6e-7);
    support_text(in, text.data);
    assert_int_equal(in->code, BP_OK);
    support_moves(&in->trace, 30000, 1000.0, 0.0, 1.0, 6e-7);
    bp_text_free(&text);
    assert_int_equal(unlink(fifo), 0);
    assert_int_equal(unlink(path), 0);
}

static void import_reads_the_same_under_a_decimal_comma_locale(void **state)
{
    struct imported *in = *state;
    if (!comma_locale_enter()) {
        print_message("no decimal-comma locale can be made here\n");
        skip();
    }
    assert_int_equal(support_file(in, "01-quoted-exponent.csv"), BP_OK);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 1e-8);
    assert_int_equal(support_file(in, "04-tab-decimal-comma.csv"), BP_OK);
    support_moves(&in->trace, 60, 50.0, 0.0, 1.0, 1e-8);
    support_file(in, "05-rewritten-by-spreadsheet.csv");
    support_refused(in, BP_ERR_TIME, 0, 0, "20000000 s");
    comma_locale_leave();
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_converts_stated_units),
        FRESH(import_infers_units_from_steps_and_from_gravity),
        FRESH(import_reads_dates_since_1970_in_any_unit),
        FRESH(import_takes_no_uptime_for_a_date),
        FRESH(import_lets_given_units_override),
        FRESH(import_infers_the_gyroscopes_unit_from_the_turn_of_gravity),
        FRESH(import_takes_gravity_out_of_account_only_where_it_is_out),
        FRESH(import_refuses_linear_acceleration_of_no_unit),
        FRESH(import_adds_linear_acceleration_and_gravity_columns),
        FRESH(import_takes_columns_by_number_and_by_heading),
        FRESH(import_takes_a_rate_where_there_is_no_time),
        FRESH(import_reads_line_ends_marks_remarks_and_blanks),
        FRESH(import_reads_a_line_of_units_below_the_header),
        FRESH(import_reads_the_same_from_a_pipe_as_from_memory),
        FRESH(import_reads_the_same_under_a_decimal_comma_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
