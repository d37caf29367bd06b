/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where headings, units and files could be taken for more than one thing: what is chosen, and what is
 * refused.
 */
#define _GNU_SOURCE /* symlink, mkdtemp */
#include "barplumb/units.h"
#include "import/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { ROWS = 1000, CELLS_MOST = 12 };
static const double RATE = 50;

/* Fills a row's cells at t; returns how many. */
typedef int cells_at(double t, double cell[CELLS_MOST]);

static enum bp_code read_rows(struct imported *in, const char *header, cells_at *cells, int rows)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, header);
    for (int i = 0; i < rows; i++) {
        double cell[CELLS_MOST];
        int count = cells(i / RATE, cell);
        bp_text_put_number(&text, i / RATE, 3);
        for (int c = 0; c < count; c++) {
            bp_text_put_char(&text, ',');
            bp_text_put_number(&text, cell[c], 6);
        }
        bp_text_put_char(&text, '\n');
    }
    assert_false(text.failed);
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    return in->code;
}

static void assert_read(const struct imported *in)
{
    if (in->code != BP_OK) {
        fail_msg("%s", in->error.text);
    }
    support_sound_trace(&in->trace);
}

/* ---- headings ---- */

static int force_in_g(double t, double cell[CELLS_MOST])
{
    motion_force(t, true, cell);
    for (int a = 0; a < 3; a++) {
        cell[a] /= BP_STANDARD_GRAVITY;
    }
    return 3;
}

static int force_and_turn(double t, double cell[CELLS_MOST])
{
    motion_force(t, true, cell);
    motion_turn(t, cell + 3);
    return 6;
}

static int turn_then_force(double t, double cell[CELLS_MOST])
{
    motion_turn(t, cell);
    motion_force(t, true, cell + 3);
    return 6;
}

/* "gx" is a gyroscope's beside an acceleration; alone, and as long as gravity, it is a force in g. */
static void headings_of_g_alone_are_forces_in_g(void **state)
{
    struct imported *in = *state;
    read_rows(in, "time (s),gx,gy,gz\n", force_in_g, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-4);
    assert_false(in->trace.gyroscope);
}

/* Three lines: sensors, axes, units; and the sensors' line begins with nothing. */
static void a_header_in_three_lines_is_read(void **state)
{
    struct imported *in = *state;
    read_rows(in, ",accelerometer,,,gyroscope,,\ntime,x,y,z,x,y,z\ns,m/s2,m/s2,m/s2,rad/s,rad/s,rad/s\n",
              force_and_turn, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    assert_true(in->trace.gyroscope);
    support_turns(&in->trace, 0.0, 1e-5);
}

static int with_a_clock_each(double t, double cell[CELLS_MOST])
{
    motion_force(t, true, cell);
    cell[3] = t + 0.002;
    motion_turn(t + 0.002, cell + 4);
    return 7;
}

static int with_the_same_clock_twice(double t, double cell[CELLS_MOST])
{
    motion_force(t, true, cell);
    cell[3] = t;
    motion_turn(t, cell + 4);
    return 7;
}

/* A gyroscope beside the acceleration with a time of its own is left out, unless it is the same time. */
static void a_clock_of_the_gyroscope_s_own_matters_where_it_differs(void **state)
{
    struct imported *in = *state;
    static const char header[] =
        "time (s),acc x (m/s2),acc y (m/s2),acc z (m/s2),gyro time (s),gyro x (rad/s),gyro y "
        "(rad/s),gyro z (rad/s)\n";
    read_rows(in, header, with_the_same_clock_twice, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    assert_true(in->trace.gyroscope);
    support_turns(&in->trace, 0.0, 1e-5);
    read_rows(in, header, with_a_clock_each, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    assert_false(in->trace.gyroscope);
}

/* Two lines of headings, and in neither an acceleration. */
static void two_lines_of_headings_without_an_acceleration_are_refused(void **state)
{
    struct imported *in = *state;
    read_rows(in, ",magnetometer,,,barometer,,\ntime,field,field,field,mbar,mbar,mbar\n", force_and_turn,
              ROWS);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, NULL);
}

/* Of two groups that say no sensor the plainer named is the acceleration. */
static void the_plainest_of_nameless_groups_is_the_acceleration(void **state)
{
    struct imported *in = *state;
    read_rows(in, "time (s),filtered old x,filtered old y,filtered old z,x,y,z\n", turn_then_force, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    read_rows(in, "time (s),x,y,z,x,y,z\n", turn_then_force, ROWS);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "say which is which with --columns");
}

static void headings_are_named_with_or_without_capitals(void **state)
{
    static const struct {
        const char *columns, *part;
    } wrong[] = {
        {"ax=Fore,ay=Side,az=Top~", "no column 'Top~' for az"},
        {"ax=Fore,ay=Side,az=99999999999999999999", "no column '99999999999999999999' for az"},
        {"ax=Fore,ay=Side,az=+4", "no column '+4' for az"},
    };
    struct imported *in = *state;
    in->settings.columns = "ax=FORE,ay=side,az=[Up]";
    in->settings.units = "a=m/s2";
    read_rows(in, "Time (s),Fore,Side,[up]\n", force_and_turn, 3); /* three cells too many */
    assert_int_not_equal(in->code, BP_OK);
    read_rows(in, "Time (s),Fore,Side,[up],p,q,r\n", force_and_turn, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        in->settings.columns = wrong[i].columns;
        read_rows(in, "Time (s),Fore,Side,[up],p,q,r\n", force_and_turn, ROWS);
        support_refused(in, BP_ERR_COLUMNS, 0, 0, wrong[i].part);
    }
}

/* Two sensors in one log: which is read is told, unless somebody said which is to be. */
static void a_second_acceleration_is_told_unless_one_was_named(void **state)
{
    const char *header = "time (s),left acc x,left acc y,left acc z,right acc x,right acc y,right acc z\n";
    struct imported *in = *state;
    in->settings.units = "a=m/s2";
    read_rows(in, header, force_and_turn, ROWS);
    assert_read(in);
    in->settings.columns = "ax=2,ay=3,az=4";
    read_rows(in, header, force_and_turn, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
    assert_null(support_finding(&in->trace, "second-acceleration"));
}

static void a_heading_of_any_length_is_read_as_far_as_it_goes(void **state)
{
    char header[1024] = "time (s),ax (m/s2),ay (m/s2),az (m/s2),";
    struct imported *in = *state;
    size_t length = strlen(header);
    memset(header + length, 'n', 900);
    snprintf(header + length + 900, sizeof header - length - 900, ",q,r\n");
    read_rows(in, header, force_and_turn, ROWS);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
}

/* Braces about the headings make no JSON of it. */
static void a_header_in_braces_is_no_json(void **state)
{
    struct imported *in = *state;
    read_rows(in, "{time (s)},{ax (m/s2)},{ay (m/s2)},{az (m/s2)}\n", force_in_g, 3);
    assert_null(strstr(in->trace.recognised.container, "JSON"));
    assert_null(strstr(in->error.text, "JSON"));
}

/* Rows without a header whose last cells are empty: what is not there is no column. */
static void empty_cells_behind_rows_without_a_header_are_no_columns(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (int i = 0; i < ROWS; i++) {
        double v[3];
        motion_force(i / RATE, true, v);
        bp_text_put_number(&text, i / RATE, 3);
        for (int a = 0; a < 3; a++) {
            bp_text_put_char(&text, ',');
            bp_text_put_number(&text, v[a], 6);
        }
        bp_text_put(&text, ",,\n");
    }
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    assert_read(in);
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
}

/* ---- units ---- */

static int steady_and_short(double t, double cell[CELLS_MOST])
{
    cell[0] = 0.02 * sin(t);
    cell[1] = 0.01;
    cell[2] = 0.5;
    return 3;
}

/* Any direction, `length` long. */
static int anywhere(double t, double length, double cell[CELLS_MOST])
{
    cell[0] = length * sin(7 * t) * cos(3 * t);
    cell[1] = length * sin(7 * t) * sin(3 * t);
    cell[2] = length * cos(7 * t);
    return 3;
}

static int anywhere_and_long(double t, double cell[CELLS_MOST])
{
    return anywhere(t, 60 * (0.2 + fabs(sin(2 * t))), cell);
}

static int anywhere_near_gravity(double t, double cell[CELLS_MOST])
{
    return anywhere(t, 20 * fabs(sin(2 * t)), cell);
}

static int upward_in_no_unit(double t, double cell[CELLS_MOST])
{
    cell[0] = cell[1] = 0.01 * cos(t);
    cell[2] = 14 * fabs(sin(2 * t));
    return 3;
}

static int anywhere_in_no_unit(double t, double cell[CELLS_MOST])
{
    return anywhere(t, 14 * fabs(sin(2 * t)), cell);
}

static int anywhere_and_even(double t, double cell[CELLS_MOST])
{
    return anywhere(t, 5, cell);
}

/* A stated unit is believed so far as gravity's length allows: what is shorter lacks gravity, what is of any
 * length and points anywhere lacks it too, and what is longer than any lift is in another unit. */
static void a_stated_unit_is_held_against_gravity(void **state)
{
    struct imported *in = *state;
    static const char header[] = "time (s),ax (m/s2),ay (m/s2),az (m/s2)\n";
    read_rows(in, header, steady_and_short, ROWS);
    assert_read(in);
    assert_true(in->trace.gravity_removed);
    read_rows(in, header, anywhere_near_gravity, ROWS);
    assert_read(in);
    assert_true(in->trace.gravity_removed);
    read_rows(in, header, anywhere_and_long, ROWS);
    support_refused(in, BP_ERR_UNITS, 0, 0, "that is not gravity");
}

static void without_a_unit_what_points_anywhere_lacks_gravity(void **state)
{
    struct imported *in = *state;
    static const char header[] = "time (s),ax,ay,az\n";
    read_rows(in, header, anywhere_and_even, ROWS);
    assert_read(in);
    assert_true(in->trace.gravity_removed);
    read_rows(in, header, anywhere_in_no_unit,
              ROWS); /* usually as long as gravity, and often next to nothing */
    assert_read(in);
    assert_true(in->trace.gravity_removed);
    read_rows(in, header, upward_in_no_unit, ROWS); /* the same, but always upward */
    assert_read(in);
    assert_false(in->trace.gravity_removed);
    read_rows(in, header, steady_and_short, ROWS);
    support_refused(in, BP_ERR_UNITS, 0, 0, "gravity in no known unit");
}

/* The gyroscope follows gravity's turn, but a thousand times too far for any unit. */
static int turn_in_no_unit(double t, double cell[CELLS_MOST])
{
    double angle = 0.5 * sin(t);
    cell[0] = BP_STANDARD_GRAVITY * sin(angle);
    cell[1] = 0;
    cell[2] = BP_STANDARD_GRAVITY * cos(angle);
    cell[3] = cell[5] = 0;
    cell[4] = -0.5 * cos(t) * 4000;
    return 6;
}

static void a_gyroscope_in_no_known_unit_is_said_to_be_guessed(void **state)
{
    struct imported *in = *state;
    read_rows(in, "time (s),ax (m/s2),ay (m/s2),az (m/s2),gx,gy,gz\n", turn_in_no_unit, ROWS);
    assert_read(in);
    const struct bp_finding *finding = support_finding(&in->trace, "units-inferred");
    assert_true(finding != NULL && finding->severity == BP_RESERVATION);
}

/* ---- cells ---- */

/* The last of every `every` rows holds a word. */
static void read_with_words(struct imported *in, int rows, int every)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time (s),ax (m/s2),ay (m/s2),az (m/s2)\n");
    for (int i = 0; i < rows; i++) {
        if (i % every == every - 1) {
            bp_text_put_number(&text, i / RATE, 3);
            bp_text_put(&text, ",0.1,what,9.8\n");
        } else {
            text_row(&text, i / RATE, 6);
        }
    }
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
}

static void words_in_few_of_many_rows_are_counted_to_the_end(void **state)
{
    struct imported *in = *state;
    read_with_words(in, 6000, 40); /* 150: too many to mend, too few to give up on at the 100th */
    support_refused(in, BP_ERR_NUMBER, 41, 3, "149 more");
    read_with_words(in, 6000, 10);
    support_refused(in, BP_ERR_NUMBER, 11, 3, "99 more");
}

/* ---- files ---- */

static void bytes_of_no_text_are_named_for_what_they_are(void **state)
{
    static const struct {
        char bytes[20];
        const char *part;
    } list[] = {
        {"RIFF\x24\x08\x00\x00WAVEfmt ", "from a file only"},
        {"PK\x03\x04\x14\x00\x00\x00\x08\x00", "the archive is damaged"},
        {"BZh91AY&SY\x01\x02\x03\x04", "only zip, tar and gzip"},
        {"time,x\0,y", "a zero byte"},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        support_bytes(in, list[i].bytes, 12);
        assert_int_not_equal(in->code, BP_OK);
        if (strstr(in->error.text, list[i].part) == NULL) {
            fail_msg("'%s' does not say '%s'", in->error.text, list[i].part);
        }
    }
}

static void what_cannot_be_read_as_a_file_is_told(void **state)
{
    char folder[] = "/tmp/barplumb-choices-XXXXXX", path[2048], inner[512];
    struct imported *in = *state;
    support_path(in, "/proc/self/mem"); /* opens, and cannot be read at 0 */
    support_refused(in, BP_ERR_READ, 0, 0, "reading it failed");
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/round.csv", folder);
    assert_int_equal(symlink(path, path), 0);
    support_path(in, path);
    support_refused(in, BP_ERR_OPEN, 0, 0, NULL);
    support_path(in, folder); /* a link that leads nowhere is no log, and there is no other */
    support_refused(in, BP_ERR_FORMAT, 0, 0, "no file in the folder");
    unlink(path);
    snprintf(inner, sizeof inner, "%s", folder); /* a log is looked for three folders deep, no deeper */
    for (int depth = 0; depth < 4; depth++) {
        snprintf(inner + strlen(inner), sizeof inner - strlen(inner), "/in");
        assert_int_equal(mkdir(inner, 0700), 0);
    }
    snprintf(path, sizeof path, "cp %s/fixtures/layouts/08-minus-g.csv %s/a.csv", BARPLUMB_SOURCE_DIR, inner);
    assert_int_equal(system(path), 0); /* NOLINT(cert-env33-c): the test's own line */
    support_path(in, folder);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "no file in the folder");
    snprintf(path, sizeof path, "rm -r %s", folder);
    assert_int_equal(system(path), 0); /* NOLINT(cert-env33-c) */
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(headings_of_g_alone_are_forces_in_g),
        FRESH(a_header_in_three_lines_is_read),
        FRESH(a_clock_of_the_gyroscope_s_own_matters_where_it_differs),
        FRESH(two_lines_of_headings_without_an_acceleration_are_refused),
        FRESH(the_plainest_of_nameless_groups_is_the_acceleration),
        FRESH(headings_are_named_with_or_without_capitals),
        FRESH(a_second_acceleration_is_told_unless_one_was_named),
        FRESH(a_heading_of_any_length_is_read_as_far_as_it_goes),
        FRESH(a_header_in_braces_is_no_json),
        FRESH(empty_cells_behind_rows_without_a_header_are_no_columns),
        FRESH(a_stated_unit_is_held_against_gravity),
        FRESH(without_a_unit_what_points_anywhere_lacks_gravity),
        FRESH(a_gyroscope_in_no_known_unit_is_said_to_be_guessed),
        FRESH(words_in_few_of_many_rows_are_counted_to_the_end),
        FRESH(bytes_of_no_text_are_named_for_what_they_are),
        FRESH(what_cannot_be_read_as_a_file_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
