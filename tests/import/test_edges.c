/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What rarely happens: files that cannot be opened or read, folders that hold too much or too little,
 * readings beyond all size, and text that ends where nobody expects it.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <dirent.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

struct place {
    struct imported *in;
    char folder[64];
};

static int setup(void **state)
{
    struct place *p = calloc(1, sizeof *p);
    void *in;
    assert_non_null(p);
    support_setup(&in);
    p->in = in;
    strcpy(p->folder, "/tmp/barplumb-edges-XXXXXX");
    assert_non_null(mkdtemp(p->folder));
    *state = p;
    return 0;
}

static int teardown(void **state)
{
    struct place *p = *state;
    void *in = p->in;
    char path[512];
    DIR *dir = opendir(p->folder);
    for (struct dirent *e; dir != NULL && (e = readdir(dir)) != NULL;) {
        snprintf(path, sizeof path, "%s/%s", p->folder, e->d_name);
        if (e->d_name[0] != '.') {
            remove(path);
        }
    }
    closedir(dir);
    rmdir(p->folder);
    support_teardown(&in);
    free(p);
    return 0;
}

static const char *path_in(const struct place *p, const char *name, char path[512])
{
    snprintf(path, 512, "%s/%s", p->folder, name);
    return path;
}

static void put_file(const struct place *p, const char *name, const char *bytes, size_t count)
{
    char path[512];
    FILE *file = fopen(path_in(p, name, path), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
}

enum what { FORCE, LINEAR, TURN, GRAVITY };

/* 200 rows at 100 Hz: "time,x,y,z"; clock: how the time is written, with the seconds for its %s. */
static void put_log(const struct place *p, const char *name, const char *header, enum what what, double t0,
                    const char *clock)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, header);
    for (size_t i = 0; i < 200; i++) {
        double t = t0 + (double)i / 100.0, v[3] = {0.0, 0.0, 9.81};
        char number[40], time[96];
        if (what == TURN) {
            motion_turn(t, v);
        } else if (what != GRAVITY) {
            motion_force(t, what == FORCE, v);
        }
        bp_number_write(t, 3, number, sizeof number);
        snprintf(time, sizeof time, clock, number);
        bp_text_put(&text, time);
        for (int a = 0; a < 3; a++) {
            bp_text_put_char(&text, ',');
            bp_text_put_number(&text, v[a], 9);
        }
        bp_text_put_char(&text, '\n');
    }
    put_file(p, name, text.data, text.length);
    bp_text_free(&text);
}

#define PLAIN "seconds_elapsed,x,y,z\n"

/* ---- files ---- */

static void import_says_why_a_file_cannot_be_opened(void **state)
{
    struct place *p = *state;
    char path[512], deep[5200];
    assert_int_equal(symlink("loop", path_in(p, "loop", path)), 0);
    support_path(p->in, path);
    support_refused(p->in, BP_ERR_OPEN, 0, 0, "circle");
    memset(deep, 'x', sizeof deep - 1);
    deep[sizeof deep - 1] = '\0';
    support_path(p->in, deep);
    support_refused(p->in, BP_ERR_OPEN, 0, 0, "too long");
    put_log(p, "log.csv", PLAIN, FORCE, 0.0, "%s");
    support_path(p->in, path_in(p, "log.csv/more", path));
    support_refused(p->in, BP_ERR_OPEN, 0, 0, "no such file");
    struct rlimit before, none;
    assert_int_equal(getrlimit(RLIMIT_NOFILE, &before), 0);
    none = before;
    none.rlim_cur = 0;
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &none), 0);
    support_path(p->in, path_in(p, "log.csv", path));
    enum bp_code code = p->in->code;
    support_path(p->in, p->folder);
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &before), 0);
    assert_int_equal(code, BP_ERR_OPEN);
    support_refused(p->in, BP_ERR_OPEN, 0, 0, "folder cannot be opened");
}

/* Reads from standard input, which is `file` for as long (-1: closed). */
static void read_input(struct imported *in, int file)
{
    int before = dup(STDIN_FILENO);
    if (file >= 0) {
        dup2(file, STDIN_FILENO);
    } else {
        close(STDIN_FILENO);
    }
    support_path(in, "-");
    dup2(before, STDIN_FILENO);
    close(before);
}

static void import_says_why_standard_input_cannot_be_read(void **state)
{
    struct place *p = *state;
    int folder = open(p->folder, O_RDONLY);
    assert_true(folder >= 0);
    read_input(p->in, folder);
    close(folder);
    support_refused(p->in, BP_ERR_OPEN, 0, 0, "folder");
    read_input(p->in, -1);
    support_refused(p->in, BP_ERR_READ, 0, 0, "reading it failed");
}

/* A pipe says nothing of its length, and gives what it has. */
static void import_reads_a_long_log_from_a_pipe(void **state)
{
    enum { LONG = 40000 };
    struct place *p = *state;
    struct bp_text text;
    int ends[2];
    text_motion(&text, "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n", LONG, 100.0);
    assert_int_equal(pipe(ends), 0);
    pid_t writer = fork();
    assert_true(writer >= 0);
    if (writer == 0) {
        close(ends[0]);
        for (size_t at = 0; at < text.length;) {
            ssize_t n = write(ends[1], text.data + at, text.length - at < 10007 ? text.length - at : 10007);
            if (n <= 0) {
                _exit(1);
            }
            at += (size_t)n;
        }
        _exit(0);
    }
    close(ends[1]);
    read_input(p->in, ends[0]);
    close(ends[0]);
    waitpid(writer, NULL, 0);
    bp_text_free(&text);
    assert_int_equal(p->in->code, BP_OK);
    support_moves(&p->in->trace, LONG, 100.0, 0.0, 1.0, 6e-7);
}

/* ---- folders ---- */

static void import_takes_both_sensors_from_one_file_of_a_folder(void **state)
{
    struct place *p = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2),wx (rad/s),wy (rad/s),wz (rad/s)\n");
    for (int i = 0; i < 200; i++) {
        double v[6];
        motion_force(i / 100.0, true, v);
        motion_turn(i / 100.0, v + 3);
        bp_text_put_number(&text, i / 100.0, 3);
        for (int a = 0; a < 6; a++) {
            bp_text_put_char(&text, ',');
            bp_text_put_number(&text, v[a], 9);
        }
        bp_text_put_char(&text, '\n');
    }
    put_file(p, "Accelerometer.csv", text.data, text.length);
    bp_text_free(&text);
    put_log(p, "Gyroscope.csv", PLAIN, TURN, 50.0, "%s"); /* of another time: not looked at */
    put_log(p, "Orientation.csv", PLAIN, TURN, 0.0, "%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_turns(&p->in->trace, 0.0, 1e-8);
    assert_non_null(support_finding(&p->in->trace, "attitude-ignored"));
}

static void import_ties_clocks_by_what_both_files_have(void **state)
{
    static const struct {
        const char *force, *turn; /* how the time is written */
        const char *said;
    } list[] = {
        {"2025-01-01T12:00:0%sZ", "2025-01-01T12:00:0%sZ", "the date"},
        {"2025-01-01T12:00:0%s", "2025-01-01T12:00:0%sZ", "elapsed time"}, /* whose clock? not tied by it */
        {"%s", "%s", "elapsed time"},
    };
    struct place *p = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        put_log(p, "Accelerometer.csv", "time,x (m/s^2),y (m/s^2),z (m/s^2)\n", FORCE, 0.25, list[i].force);
        put_log(p, "Gyroscope.csv", "time,x (rad/s),y (rad/s),z (rad/s)\n", TURN, 0.245, list[i].turn);
        assert_int_equal(support_path(p->in, p->folder), BP_OK);
        assert_true(p->in->trace.gyroscope);
        const struct bp_finding *merged = support_finding(&p->in->trace, "merged");
        assert_non_null(merged);
        if (strstr(merged->text, list[i].said) == NULL) {
            fail_msg("'%s' does not say '%s'", merged->text, list[i].said);
        }
        support_turns(&p->in->trace, 0.25,
                      1.6e-3); /* at the end, 5 ms beyond its last reading, at up to 0.1 pi rad/s2 */
    }
}

static void import_says_that_nothing_ties_two_clocks(void **state)
{
    struct place *p = *state;
    p->in->settings.rate_hz = 100.0;
    put_log(p, "Accelerometer.csv", "note,x (m/s^2),y (m/s^2),z (m/s^2)\n", FORCE, 0.0, "n%s");
    put_log(p, "Gyroscope.csv", "note,x (rad/s),y (rad/s),z (rad/s)\n", TURN, 0.0, "n%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_turns(&p->in->trace, 0.0, 1e-8);
    assert_int_equal(support_finding(&p->in->trace, "clocks-assumed")->severity, BP_RESERVATION);
}

static void import_finds_the_gyroscope_by_its_header_where_only_the_acceleration_is_named(void **state)
{
    struct place *p = *state;
    put_log(p, "Accelerometer.csv", PLAIN, FORCE, 0.0, "%s");
    put_log(p, "b.csv", "seconds_elapsed,wx,wy,wz\n", TURN, 0.0, "%s");
    put_log(p, "c.csv", "seconds_elapsed,wx,wy,wz\n", TURN, 5.0, "%s"); /* the second is not taken */
    put_log(p, "d.csv", "seconds_elapsed,ax,ay,az\n", FORCE, 0.0, "%s");
    put_file(p, "broken.csv", "PK", 2);
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_moves(&p->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    support_turns(&p->in->trace, 0.0, 1e-8);
}

/* "gx" is a g-force or a gyroscope; in a gyroscope's file it is clear which. */
static void import_reads_gx_as_the_file_is_named(void **state)
{
    struct place *p = *state;
    put_log(p, "Accelerometer.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, "%s");
    put_log(p, "Gyroscope.csv", "seconds_elapsed,gx,gy,gz\n", TURN, 0.0, "%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_turns(&p->in->trace, 0.0, 1e-8);
    put_log(p, "Gyroscope.csv", "seconds_elapsed,gx (rad/s),gy (rad/s),gz (rad/s)\n", TURN, 0.0, "%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_turns(&p->in->trace, 0.0, 1e-8);
    put_log(p, "Gyroscope.csv", "seconds_elapsed,foo x,foo y,foo z\n", TURN, 0.0, "%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_turns(&p->in->trace, 0.0, 1e-8);
}

static void import_refuses_a_header_of_too_many_columns(void **state)
{
    struct place *p = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "t,ax,ay,az");
    for (int i = 0; i < 252; i++) {
        bp_text_put(&text, ",more");
    }
    bp_text_put(&text, "\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.9\n");
    support_text(p->in, text.data);
    bp_text_free(&text);
    support_refused(p->in, BP_ERR_LIMIT, 0, 0, "more than 255 columns");
}

static void import_refuses_gravity_of_another_time(void **state)
{
    static const double starts[] = {3.0, -3.0};
    struct place *p = *state;
    for (size_t i = 0; i < 2; i++) {
        put_log(p, "Accelerometer.csv", PLAIN, LINEAR, 5.0, "%s");
        put_log(p, "Gravity.csv", PLAIN, GRAVITY, 5.0 + starts[i], "%s");
        support_path(p->in, p->folder);
        support_refused(p->in, BP_ERR_TIME, 0, 0, "gravity file does not cover");
    }
    put_log(p, "Gravity.csv", "seconds_elapsed,x,y,z,w\n", GRAVITY, 5.0,
            "%s");                                            /* broken: not missed where… */
    put_log(p, "Accelerometer.csv", PLAIN, FORCE, 5.0, "%s"); /* …gravity is not */
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    assert_false(p->in->trace.gravity_removed);
    /* told that gravity is out, it is not put back */
    put_log(p, "Gravity.csv", PLAIN, GRAVITY, 5.0, "%s");
    put_log(p, "Accelerometer.csv", PLAIN, LINEAR, 5.0, "%s");
    p->in->settings.gravity_removed = true;
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    assert_true(p->in->trace.gravity_removed);
}

static void import_ties_gravity_to_the_acceleration_by_what_both_have(void **state)
{
    static const struct {
        const char *force, *gravity;
    } list[] = {{"2025-01-01T12:00:0%sZ", "2025-01-01T12:00:0%sZ"},
                {"2025-01-01T12:00:0%s", "2025-01-01T12:00:0%sZ"},
                {"%s", "%s"}};
    struct place *p = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        put_log(p, "Accelerometer.csv", "time,x (m/s^2),y (m/s^2),z (m/s^2)\n", LINEAR, 0.25, list[i].force);
        put_log(p, "Gravity.csv", "time,x (m/s^2),y (m/s^2),z (m/s^2)\n", GRAVITY, 0.1, list[i].gravity);
        assert_int_equal(support_path(p->in, p->folder), BP_OK);
        assert_non_null(support_finding(&p->in->trace, "gravity-added"));
        support_moves(&p->in->trace, 200, 100.0, 0.25, 1.0, 6e-9);
    }
    p->in->settings.rate_hz = 100.0; /* no clock at all: both from their beginnings */
    put_log(p, "Accelerometer.csv", "note,x (m/s^2),y (m/s^2),z (m/s^2)\n", LINEAR, 0.0, "n%s");
    put_log(p, "Gravity.csv", "note,x (m/s^2),y (m/s^2),z (m/s^2)\n", GRAVITY, 0.0, "n%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_moves(&p->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    p->in->settings.rate_hz = 0.0; /* linear twice: the second is no better */
    put_log(p, "Accelerometer.csv", PLAIN, LINEAR, 0.0, "%s");
    put_log(p, "UserAcceleration.csv", PLAIN, LINEAR, 0.0, "%s");
    put_log(p, "Gravity.csv", PLAIN, GRAVITY, 0.0, "%s");
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_moves(&p->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
}

static void import_reads_the_names_of_packed_files_only_as_they_are(void **state)
{
    struct place *p = *state;
    put_log(p, "Accelerometer.csv", PLAIN, FORCE, 0.0, "%s");
    put_file(p, "Gyroscope.png.gz", "\x1f\x8b", 2); /* no text log: not unpacked */
    put_file(p, "Gyroscope.tar", "x", 1);
    put_file(p, ".gz", "x", 1);
    assert_int_equal(support_path(p->in, p->folder), BP_OK);
    support_moves(&p->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    put_file(p, "Gyroscope.csv.gz", "\x1f\x8b", 2);
    support_path(p->in, p->folder);
    support_refused(p->in, BP_ERR_FORMAT, 0, 0, "damaged");
    char many[32];
    for (int i = 0; i < 260; i++) {
        snprintf(many, sizeof many, "a%d.csv", i);
        put_file(p, many, "x", 1);
    }
    char path[512];
    remove(path_in(p, "Gyroscope.csv.gz", path));
    support_path(p->in, p->folder);
    support_refused(p->in, BP_ERR_LIMIT, 0, 0, "256 files in the folder");
}

/* ---- readings ---- */

static void import_refuses_a_reading_that_a_unit_makes_infinite(void **state)
{
    struct place *p = *state;
    for (int column = 0; column < 6; column++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "t (s),ax (g),ay (g),az (g),wx (rad/s),wy (rad/s),wz (rad/s)\n");
        for (int i = 0; i < 300; i++) {
            bp_text_put_number(&text, i / 100.0, 3);
            for (int c = 0; c < 6; c++) {
                bp_text_put(&text, i == 200 && c == column ? ",1.7e308" : c == 2 ? ",1.001" : ",0.01");
            }
            bp_text_put_char(&text, '\n');
        }
        support_text(p->in, text.data);
        bp_text_free(&text);
        if (column < 3) {
            support_refused(p->in, BP_ERR_NUMBER, 0, 0, "too large");
            assert_true(fabs(p->in->error.at_s - 2.0) < 1e-9);
        } else {
            assert_int_equal(p->in->code, BP_OK); /* absurd, but a number; what follows judges it */
        }
    }
}

/* Cells that are no numbers, more than are remembered one by one, and runs of them at the ends. */
static void import_judges_many_bad_cells(void **state)
{
    static const struct {
        int first, step, count; /* rows with a bad cell */
        bool time;              /* …in the time */
        enum bp_code code;
    } list[] = {{100, 100, 90, false, BP_OK},
                {9990, 1, 3, false, BP_OK},
                {0, 1, 2, false, BP_OK},
                {0, 1, 4, false, BP_ERR_NUMBER},
                {9995, 1, 5, false, BP_ERR_NUMBER},
                {5000, 1, 4, false, BP_ERR_NUMBER},
                {100, 100, 90, true, BP_OK},
                {5000, 1, 4, true, BP_ERR_NUMBER},
                {9999, 1, 1, true, BP_OK},
                {0, 1, 1, true, BP_ERR_NUMBER},
                {9998, 1, 2, true, BP_ERR_NUMBER},
                {0, 10, 600, false, BP_ERR_NUMBER}};
    struct place *p = *state;
    for (size_t k = 0; k < sizeof list / sizeof list[0]; k++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n");
        for (int i = 0; i < 10000; i++) {
            int since = i - list[k].first;
            bool bad = since >= 0 && since % list[k].step == 0 && since / list[k].step < list[k].count;
            if (!bad) {
                text_row(&text, i / 100.0, 6);
                continue;
            }
            bp_text_put_number(&text, i / 100.0, 4);
            bp_text_put(&text, list[k].time ? "x,0,0,9.8\n" : ",0,?,9.8\n");
        }
        support_text(p->in, text.data);
        bp_text_free(&text);
        if (p->in->code != list[k].code) {
            fail_msg("%zu: %s", k, p->in->code == BP_OK ? "ok" : p->in->error.text);
        }
        if (p->in->code == BP_OK) {
            support_sound_trace(&p->in->trace);
            assert_true(support_finding(&p->in->trace, "mended") != NULL ||
                        support_finding(&p->in->trace, "truncated") != NULL);
        } else {
            support_refused(p->in, list[k].code, 0, 0, NULL);
            assert_true(p->in->error.line > 0);
        }
    }
}

static void import_refuses_axes_of_fewer_than_two_samples(void **state)
{
    struct place *p = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n");
    for (int i = 0; i < 300; i++) {
        bp_text_put_number(&text, i / 100.0, 3);
        bp_text_put(&text, i == 7 ? ",0.1,,\n" : i % 2 == 0 ? ",,0.1,\n" : ",,,9.81\n");
    }
    support_text(p->in, text.data);
    bp_text_free(&text);
    support_refused(p->in, BP_ERR_EMPTY, 0, 0, "fewer than two samples");
}

static void import_loses_no_line_among_many_remarks(void **state)
{
    enum { GROUPS = 600 }; /* more than the places it remembers */
    struct place *p = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "t,ax,ay,az\n");
    for (int i = 0; i < GROUPS; i++) {
        text_row(&text, i / 100.0, 6);
        bp_text_put(&text, "# remark\n");
    }
    assert_int_equal(support_text(p->in, text.data), BP_OK);
    support_moves(&p->in->trace, GROUPS, 100.0, 0.0, 1.0, 6e-7);
    bp_text_put(&text, "6.5,1,2,3,4\n");
    support_text(p->in, text.data);
    bp_text_free(&text);
    support_refused(p->in, BP_ERR_COLUMNS, 1 + 2 * GROUPS + 1, 5, NULL);
}

static void import_refuses_a_short_row_before_the_next_recording(void **state)
{
    struct place *p = *state;
    struct bp_text text;
    text_motion(&text, "t,ax,ay,az\n", 200, 100.0);
    bp_text_put(&text, "2.0,1,2\nt,ax,ay,az\n0.0,1,2,3\n");
    support_text(p->in, text.data);
    bp_text_free(&text);
    support_refused(p->in, BP_ERR_COLUMNS, 202, 3, "3 cells instead of 4");
}

static void import_gives_up_on_text_without_a_row(void **state)
{
    struct place *p = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (int i = 0; text.length < 3000000; i++) {
        bp_text_put(&text, "a line of prose, and another\n");
    }
    support_bytes(p->in, text.data, text.length);
    bp_text_free(&text);
    support_refused(p->in, BP_ERR_FORMAT, 0, 0, "no rows");
    assert_int_equal(support_bytes(p->in, "", 0), BP_ERR_EMPTY);
}

/* ---- clocks and rows ---- */

struct text_case {
    const char *text;
    enum bp_code code;
    const char *said; /* in the error, or a finding's code; NULL: nothing asked */
};

/* Every one is tried, so that all that fail are told. */
static void check_texts(struct imported *in, const struct text_case *list, size_t count)
{
    size_t wrong = 0;
    for (size_t i = 0; i < count; i++) {
        support_text(in, list[i].text);
        bool said =
            list[i].said == NULL || (in->code != BP_OK ? strstr(in->error.text, list[i].said) != NULL
                                                       : support_finding(&in->trace, list[i].said) != NULL);
        if (in->code != list[i].code || !said) {
            print_error("%s%s: %s\n", list[i].text, bp_code_name(in->code),
                        in->code == BP_OK ? "" : in->error.text);
            wrong++;
        } else if (in->code == BP_OK) {
            support_sound_trace(&in->trace);
        } else {
            support_refused(in, list[i].code, 0, 0, list[i].said);
        }
    }
    assert_int_equal(wrong, 0);
}

static const struct text_case strange_texts[] = {
    /* headers and units */
    {"t,ax,ay,az\ns,m/s2,m/s2,m/s2\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.9\n", BP_OK, NULL},
    {"t,x,y,z\n,g,g,g\n0,0,0,1\n0.01,0,0,1.01\n0.02,0,0,0.99\n", BP_OK, NULL},
    {"#\n# \n#t,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.9\n", BP_OK, NULL},
    {"/ not a remark\n// one\nt,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.9\n", BP_OK, NULL},
    {"t,ax,ay,az,,\n0,0,0,9.8,,\n0.01,0,0,9.8,,\n0.02,0,0,9.9,,\n", BP_OK, NULL},
    {"0,0.1,0.2,9.8,\n0.01,0.1,0.2,9.8,\n0.02,0.1,0.2,9.9,\n0.03,0.1,0.2,9.9,\n", BP_OK, "no-header"},
    {",,,\n,,,\n", BP_ERR_FORMAT, "no rows"},
    {"t,gravity,gravity,gravity\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.9\n", BP_ERR_COLUMNS, "holds gravity"},
    {"t,ax,ay,az,ax2,ay2,az2\n0,0,0,9.8,0,0,0\n0.01,0,0,9.8,0,0,0\n0.02,0,0,9.9,0,0,0\n", BP_OK, NULL},
    {"t,a x,a y,a z,b x,b y,b z\n0,0,0,9.8,1,1,1\n0.01,0,0,9.8,1,1,1\n0.02,0,0,9.9,1,1,1\n", BP_OK, NULL},
    {"t,p x,p y,p z,q x,q y,q z\n0,0,0,9.8,1,1,1\n0.01,0,0,9.8,1,1,1\n0.02,0,0,9.9,1,1,1\n", BP_ERR_COLUMNS,
     "more than one group"},
    {"t (s),ax (g),ay (g),az (g),foo\ns,g,g,g,ns\n0,0,0,1,5\n0.01,0,0,1.01,6\n0.02,0,0,0.99,7\n", BP_OK,
     NULL},
    {"t (s),ax,ay,az,acc x,acc y,acc z\n0,0,0,9.8,0,0,0\n0.01,0,0,9.8,0,0,0\n0.02,0,0,9.9,0,0,0\n", BP_OK,
     NULL},
    {"t (s),acc x,acc y,acc z,ax,ay,az\n0,0,0,0,0,0,9.8\n0.01,0,0,0,0,0,9.8\n0.02,0,0,0,0,0,9.9\n", BP_OK,
     NULL},
    {"t (s),ax (s),ay (s),az (s)\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.9\n", BP_OK, "units-inferred"},
    {"t,sensor,a,b\n0,accelerometer,1,2\n0.01,gyroscope,1,2\n0.02,accelerometer,1,2\n0.03,gyroscope,1,"
     "2\n",
     BP_ERR_COLUMNS, "no three columns"},
    {"t (s),sensor,x,y,z\n0,accelerometer,0,0,9.8\n0.003,gravity,0,0,9.8\n0.01,accelerometer,0,0,9.8\n"
     "0.013,gravity,0,0,9.8\n0.02,accelerometer,0,0,9.9\n0.023,gravity,0,0,9.8\n",
     BP_OK, "rows-chosen"},
    {"t (s),words that tell us next to nothing here: x acc,words that tell us next to nothing here: y "
     "acc,"
     "words that tell us next to nothing here: z acc,words that tell us next to nothing here: x "
     "gyro,"
     "words that tell us next to nothing here: y gyro,words that tell us next to nothing here: z "
     "gyro,"
     "words that tell us next to nothing here: x gravity,words that tell us next to nothing here: "
     "y gravity,"
     "words that tell us next to nothing here: z gravity\n"
     "0,0,0,1,0,0,0,0,0,9.8\n0.01,0,0,1,0,0,0,0,0,9.8\n0.02,0,0,1,0,0,0,0,0,9.8\n",
     BP_OK, NULL},
    /* dates */
    {"date,t (s),ax,ay,az\n\n,0,0,0,9.8\n2025-01-01 12:00:00,0.01,0,0,9.8\n2025-01-01 "
     "12:00:01,0.02,0,0,9.9\n",
     BP_OK, NULL},
    {"time,epoch,ax,ay,az\n0,1735732800,0,0,9.8\n0.01,1735732800,0,0,9.8\n0.02,1735732801,0,0,9.9\n", BP_OK,
     NULL},
    {"time,epoch,ax,ay,az\n0,x,0,0,9.8\n0.01,1735732800,0,0,9.8\n0.02,1735732801,0,0,9.9\n", BP_OK, NULL},
    {"when,where,ax,ay,az\n1,12:00:00.00,0,0,9.8\n3,12:00:00.01,0,0,9.8\n5,12:00:00.02,0,0,9.9\n", BP_OK,
     "time-assumed"},
    {"where,when,ax,ay,az\n12:00:00.00,12:00:00.00,0,0,9.8\n12:00:00.01,12:00:00.01,0,0,9.8\n"
     "12:00:00.02,12:00:00.02,0,0,9.9\n",
     BP_OK, "time-assumed"},
    {"where,when,ax,ay,az\n0.5,,0,0,9.8\n0.4,0.01,0,0,9.8\n0.6,0.02,0,0,9.9\n", BP_ERR_COLUMNS, "--rate"},
    /* the time since the row before */
    {"dt,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\n0.011,0,0,9.9\n0.009,0,0,9.9\n", BP_OK, "time-summed"},
    {"delta_ms,ax,ay,az\n,0,0,9.8\n10,0,0,9.8\n10,0,0,9.9\n10,0,0,9.9\n", BP_OK, "time-summed"},
    {"time delta (s),ax,ay,az\n0.01,0,0,9.8\n0.02,0,0,9.8\n0.03,0,0,9.9\n0.04,0,0,9.9\n", BP_OK, NULL},
    {"dt,ax,ay,az\n0.01,0,0,9.8\n0,0,0,9.8\n0.01,0,0,9.9\n0,0,0,9.9\n", BP_ERR_COLUMNS, NULL},
    {"time,dt,ax,ay,az\n5,0.01,0,0,9.8\n5.02,0.01,0,0,9.8\n5.04,0.01,0,0,9.9\n", BP_OK, NULL},
    /* times that repeat too unevenly */
    {"t "
     "(s),ax,ay,az\n0,0,0,9.8\n0,0,1,9.8\n0,0,2,9.9\n0,0,3,9.8\n0,0,4,9.8\n0,0,5,9.8\n0.0000001,0,6,9.8\n"
     "1,0,7,9.8\n2,0,8,9.8\n3,0,9,9.8\n",
     BP_OK, "time-repeated"},
    /* rows */
    {"t,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\n\n;\n@x\n0.02,0,0,9.9\n", BP_ERR_COLUMNS, NULL},
    {"t,ax,ay,az\n0,0,0,9.8\n0.01,\"0\",\" 0 \",9.8\n0.02,0,\" \",9.8\n0.03,0,0,9.9\n0.04,0,0,9.9\n", BP_OK,
     "sparse"},
    {"t,ax,ay,az\n0,,0,9.8\n0.01,,0,9.8\n0.02,0,0,9.8\n", BP_ERR_EMPTY, "fewer than two"},
    {"t,ax,ay,az\n0,0,0,9.8\n0.01,0,0,\n", BP_ERR_EMPTY, "fewer than two"},
    {"t,ax,ay,az\n,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.8\n", BP_ERR_NUMBER, "time cannot be read"},
    {"t,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\nx,0,0,9.8\n", BP_OK, "truncated"},
    {"t,ax,ay,az\r\n0,0,0,9.8\r\n0.01,0,0,9.8\r\n0.02,0,0,9.8\r\nt,ax,ay,az\r\n0,0,0,9.8\r\n", BP_OK,
     "more-recordings"},
    {"t,ax,ay,az\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.8\nt,ax,ay,azz\n0,0,0,9.8\n", BP_ERR_NUMBER, NULL},
    /* units */
    {"t (s),ax,ay,az,gravx,gravy,gravz\n0,.1,0,0,0,0,5\n0.01,0,.1,0,0,0,5\n0.02,0,0,.1,0,0,5\n", BP_ERR_UNITS,
     "gravity columns"},
    {"t (ms),ax (g),ay (g),az (g)\n0,0,0,1\n3000,0,0,1\n6000,0,0,1\n", BP_ERR_TIME, "usual step"},
    {"t (s),ax (g),ay (g),az (g)\n0,0,0,1\n0.000001,0,0,1\n0.000002,0,0,1\n", BP_ERR_TIME, "usual step"},
    {"t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n0,0,0,1\n0.01,0,0,1.001\n0.02,0,0,1\n", BP_ERR_UNITS,
     "not gravity"},
    {"t (s),ax (g),ay (g),az (g)\n0,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.8\n", BP_ERR_UNITS, "not gravity"},
    {"t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n0,0,0,5\n0.01,0,0,5\n0.02,0,0,5\n", BP_ERR_UNITS,
     "not gravity"},
    {"t (s),ax,ay,az\n0,0,0,0\n0.01,0,0,0\n0.02,0,0,0\n", BP_ERR_UNITS, "no known unit"},
    /* a start, a rate, and what only looks like them */
    {"1735732800,1735732800,1735732800\n50,50,50\n0,0,9.8\n0,0,9.8\n0,0,9.9\n", BP_OK, "no-header"},
    {"1735732800,1735732800,1735732800\n50000,50000,50000\n0,0,9.8\n0,0,9.8\n", BP_ERR_COLUMNS, "--rate"},
    {"1735732800,1735732800,1735732800\n0.5,0.5,0.5\n0,0,9.8\n0,0,9.8\n", BP_ERR_COLUMNS, "--rate"},
    {"12,12,12\n50,50,50\n0,0,9.8\n0,0,9.8\n", BP_ERR_COLUMNS, "--rate"},
    {"0,0,9.8\n0,0,9.8\n", BP_ERR_COLUMNS, "--rate"},
    {"1,2,9,9.3,5,5,5,7\n2,2,9,9.3,4,4,4,6\n3,2,9,9.3,4,4,3,6\n4,2,9,9.3,4,3,3,6\n", BP_ERR_COLUMNS,
     "--columns"},
};

static void import_judges_short_and_strange_texts(void **state)
{
    struct place *p = *state;
    check_texts(p->in, strange_texts, sizeof strange_texts / sizeof strange_texts[0]);
}

static void import_refuses_repeated_times_that_cannot_be_spread(void **state)
{
    struct place *p = *state;
    struct bp_text text;
    /* three seconds at one time, again and again */
    bp_text_init(&text);
    bp_text_put(&text, "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n");
    for (int i = 0; i < 300; i++) {
        bp_text_put_number(&text, 3.0 * (i / 30), 1);
        bp_text_put(&text, ",0.1,");
        bp_text_put_number(&text, 0.001 * i, 3);
        bp_text_put(&text, ",9.8\n");
    }
    support_text(p->in, text.data);
    bp_text_free(&text);
    support_refused(p->in, BP_ERR_TIME, 0, 0, "too coarse");
    /* written twice, and a coarse clock besides */
    bp_text_init(&text);
    bp_text_put(&text, "t (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n");
    for (int i = 0; i < 600; i++) {
        int row = i / 2;
        bp_text_put_number(&text, i % 40 == 5 ? (row - 1) / 100.0 : row / 100.0, 2);
        bp_text_put(&text, ",0.1,");
        bp_text_put_number(&text, 0.001 * (i % 40 == 5 ? i + 1000 : row), 3);
        bp_text_put(&text, ",9.8\n");
    }
    assert_int_equal(support_text(p->in, text.data), BP_OK);
    bp_text_free(&text);
    assert_non_null(support_finding(&p->in->trace, "rows-repeated"));
    support_sound_trace(&p->in->trace);
}

static void import_takes_columns_and_units_from_settings_in_any_mixture(void **state)
{
    static const char rows[] = "0.00,0.1,0.2,9.8,0.1,0.2,0.3,7\n0.01,0.1,0.2,9.8,0.1,0.2,0.3,7\n"
                               "0.02,0.1,0.2,9.9,0.1,0.2,0.3,8\n";
    static const struct {
        const char *header, *columns, *units;
        bool gyroscope;
    } list[] = {
        {"t,ax,ay,az,p,q,r,n\n", "gx=p,gy=q,gz=r", "w=rad/s", true},
        {"t,u,v,w1,wx,wy,wz,n\n", "ax=2,ay=3,az=4", "a=m/s2,w=deg/s", true},
        {"t,u,v,w1,wx,wy,wz,n\n", "ax=u,ay=v,az=w1,gx=5,gy=6,gz=7", "", true},
        {"t,gravity x,gravity y,gravity z,wx,wy,wz,n\n", "ax=2,ay=3,az=4", NULL, true},
        {"t,ax,ay,az,p,q,r,n\n", "t=1,gravx=5,gravy=6,gravz=7", NULL, false},
        {"", "t=1,ax=2,ay=3,az=4", "t=s", false},
        {"", "ax=2,ay=3,az=4,gx=5,gy=6,gz=7", "t=s", true},
        {"t,ax,ay,az,wx,wy,wz,n\n", NULL, "t=s", true},
    };
    struct place *p = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        char text[512];
        snprintf(text, sizeof text, "%s%s", list[i].header, rows);
        p->in->settings.columns = list[i].columns;
        p->in->settings.units = list[i].units;
        if (support_text(p->in, text) != BP_OK && i != 4) {
            fail_msg("%s, %s: %s", list[i].header, list[i].columns, p->in->error.text);
        }
        if (p->in->code == BP_OK) {
            assert_int_equal(p->in->trace.gyroscope, list[i].gyroscope);
            assert_true(fabs(p->in->trace.force[2][0]) > 9.0);
        } else {
            support_refused(p->in, BP_ERR_UNITS, 0, 0, "gravity columns"); /* 0.4 long: in no unit */
        }
    }
    p->in->settings = bp_import_defaults; /* a count of rows in front, told to be a time or not */
    static const char counted[] = "0,0.1,0.2,9.8\n1,0.1,0.2,9.8\n2,0.1,0.2,9.9\n3,0.1,0.2,9.9\n";
    support_text(p->in, counted);
    support_refused(p->in, BP_ERR_COLUMNS, 0, 0, "--rate");
    p->in->settings.units = "t=ms";
    assert_int_equal(support_text(p->in, counted), BP_OK);
    assert_true(fabs(p->in->trace.time_s[3] - 0.003) < 1e-12);
    p->in->settings.units = NULL;
    p->in->settings.rate_hz = 50.0;
    assert_int_equal(support_text(p->in, counted), BP_OK);
    assert_true(fabs(p->in->trace.time_s[3] - 0.06) < 1e-12);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, setup, teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_says_why_a_file_cannot_be_opened),
        FRESH(import_says_why_standard_input_cannot_be_read),
        FRESH(import_reads_a_long_log_from_a_pipe),
        FRESH(import_takes_both_sensors_from_one_file_of_a_folder),
        FRESH(import_ties_clocks_by_what_both_files_have),
        FRESH(import_says_that_nothing_ties_two_clocks),
        FRESH(import_finds_the_gyroscope_by_its_header_where_only_the_acceleration_is_named),
        FRESH(import_reads_gx_as_the_file_is_named),
        FRESH(import_refuses_a_header_of_too_many_columns),
        FRESH(import_refuses_gravity_of_another_time),
        FRESH(import_ties_gravity_to_the_acceleration_by_what_both_have),
        FRESH(import_reads_the_names_of_packed_files_only_as_they_are),
        FRESH(import_refuses_a_reading_that_a_unit_makes_infinite),
        FRESH(import_judges_many_bad_cells),
        FRESH(import_refuses_axes_of_fewer_than_two_samples),
        FRESH(import_loses_no_line_among_many_remarks),
        FRESH(import_refuses_a_short_row_before_the_next_recording),
        FRESH(import_gives_up_on_text_without_a_row),
        FRESH(import_judges_short_and_strange_texts),
        FRESH(import_takes_columns_and_units_from_settings_in_any_mixture),
        FRESH(import_refuses_repeated_times_that_cannot_be_spread),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
