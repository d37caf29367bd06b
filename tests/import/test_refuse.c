/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every error code the importer can give, with its place, and the trace unusable after it.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define HEADER "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n"

/* The invented motion, 100 rows at 100 Hz, with one row replaced. row counts from 0; NULL: none. */
static void import_with_row(struct imported *in, size_t row, const char *instead)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 100; i++) {
        if (i == row && instead != NULL) {
            bp_text_put(&text, instead);
        } else {
            text_row(&text, (double)i / 100.0, 6);
        }
    }
    support_text(in, text.data);
    bp_text_free(&text);
}

static char *temporary_folder(char *path)
{
    strcpy(path, "/tmp/barplumb-import-XXXXXX");
    assert_non_null(mkdtemp(path));
    return path;
}

static void write_file(const char *folder, const char *name, const char *bytes, size_t count)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
}

static void import_refuses_an_empty_log(void **state)
{
    struct imported *in = *state;
    support_text(in, "");
    support_refused(in, BP_ERR_EMPTY, 0, 0, "empty");
    support_text(in, "\n \r\n\n");
    support_refused(in, BP_ERR_EMPTY, 0, 0, NULL);
    assert_string_equal(in->error.path, "log.csv");
}

static void import_refuses_a_header_without_rows(void **state)
{
    struct imported *in = *state;
    support_text(in, HEADER);
    support_refused(in, BP_ERR_EMPTY, 1, 0, "header");
}

static void import_refuses_one_sample(void **state)
{
    struct imported *in = *state;
    support_text(in, HEADER "0,0.1,0.2,9.81\n");
    support_refused(in, BP_ERR_EMPTY, 0, 0, "one sample");
}

static void import_refuses_text_that_is_no_log(void **state)
{
    struct imported *in = *state;
    support_text(in, "Dear coach,\nthe bar was heavy today.\nSee you at the harbour.\n");
    support_refused(in, BP_ERR_FORMAT, 0, 0, "no rows");
    support_text(in, "{\"time\": [0, 1, 2], \"x\": [1, 2, 3]}\n");
    support_refused(in, BP_ERR_FORMAT, 0, 0, NULL);
    support_text(in, "<html><body>12,13,14</body></html>\n");
    support_refused(in, BP_ERR_FORMAT, 0, 0, "web page");
    support_text(
        in, "t=0,01;ax=1;ay=2;az=3\nt=0,02;ax=1;ay=2;az=3\nt=0,03;ax=1;ay=2;az=3\nt=0,04;ax=1;ay=2;az=3\n");
    support_refused(in, BP_ERR_FORMAT, 0, 0, "no rows");
}

/* A count of rows called a time: hundredths of a second, milliseconds, or no time at all. */
static void import_refuses_a_time_that_only_counts_rows_until_it_is_told(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "time,ax,ay,az\n");
    for (int i = 0; i < 300; i++) {
        char row[64];
        snprintf(row, sizeof row, "%d,0.1,0.2,9.80%d\n", i, i % 7);
        bp_text_put(&text, row);
    }
    support_text(in, text.data);
    support_refused(in, BP_ERR_COLUMNS, 2, 0, "goes up by 1 a row");
    in->settings.units = "t=ms";
    assert_int_equal(support_text(in, text.data), BP_OK);
    assert_true(in->trace.time_s[1] == 0.001);
    in->settings.units = NULL;
    in->settings.rate_hz = 100;
    assert_int_equal(support_text(in, text.data), BP_OK);
    assert_true(in->trace.time_s[1] == 0.01);
    bp_text_free(&text);
}

static void import_refuses_json_without_readings_in_it(void **state)
{
    static const struct {
        const char *text, *part;
        enum bp_code code;
    } list[] = {
        {"{\"note\": \"hello\"}", "no list of readings", BP_ERR_EMPTY},
        {"{\"a\": {\"b\": {\"c\": {}}}}", "no list of readings", BP_ERR_EMPTY},
        {"[{\"t\": 0, \"x\": }]", "record 1 of it is no JSON", BP_ERR_FORMAT},
        {"{\"t\": 0", "record 1 of it is no JSON", BP_ERR_FORMAT},
        {"[{\"a\": \"b\"}, {\"a\": \"c\"}, {\"a\": \"d\"}]", "no rows", BP_ERR_FORMAT},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        support_text(in, list[i].text);
        support_refused(in, list[i].code, 0, 0, list[i].part);
    }
}

static void import_refuses_binary_on_its_first_block(void **state)
{
    struct imported *in = *state;
    static const char zeros[300000];
    support_bytes(in, zeros, sizeof zeros);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "not text");
    support_path(in, "/dev/zero"); /* endless: would hang if it were read on */
    support_refused(in, BP_ERR_FORMAT, 0, 0, "not text");
}

static void import_refuses_a_zero_byte_far_into_the_text(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    text_motion(&text, HEADER, 20000, 100.0);
    text.data[text.length - 100] = '\0';
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "zero byte");
    assert_true(in->error.line > 8000);
}

static void import_refuses_strange_archives_by_their_first_bytes(void **state)
{
    struct imported *in = *state;
    support_bytes(in, "PK\x03\x04 and more", 13);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "damaged");
    support_bytes(in, "\x1f\x8b\x08 and more", 12);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "damaged");
    support_bytes(in, "7z\xbc\xaf\x27\x1c and more", 15);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "unpack it");
    support_bytes(in, "BZh91AY and more", 16);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "unpack it");
    support_bytes(in, "RIFF....WAVEfmt ", 16);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "pipe");
}

static void import_refuses_what_cannot_be_opened(void **state)
{
    struct imported *in = *state;
    char folder[64], path[128];
    support_path(in, "/nonexistent/log.csv");
    support_refused(in, BP_ERR_OPEN, 0, 0, "no such file");
    assert_string_equal(in->error.path, "/nonexistent/log.csv");
    temporary_folder(folder);
    write_file(folder, "secret.csv", HEADER, strlen(HEADER));
    snprintf(path, sizeof path, "%s/secret.csv", folder);
    assert_int_equal(chmod(path, 0), 0);
    if (geteuid() != 0) { /* root may read anything */
        support_path(in, path);
        support_refused(in, BP_ERR_OPEN, 0, 0, "permission");
    }
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);
}

static void import_refuses_a_failing_read(void **state)
{
    struct imported *in = *state;
    support_path(in, "/proc/self/mem"); /* opens, but nothing can be read at 0 */
    support_refused(in, BP_ERR_READ, 0, 0, "reading it failed");
}

static void import_refuses_a_folder_without_a_sensor_file(void **state)
{
    struct imported *in = *state;
    char folder[64], path[128];
    temporary_folder(folder);
    support_path(in, folder);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "accelerometer");
    write_file(folder, "Accelerometer.csv", "", 0);
    write_file(folder, "Gyroscope.csv", HEADER, strlen(HEADER));
    support_path(in, folder);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "accelerometer");
    static const char *const names[] = {"Accelerometer.csv", "Gyroscope.csv"};
    for (size_t i = 0; i < 2; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        assert_int_equal(unlink(path), 0);
    }
    assert_int_equal(rmdir(folder), 0);
}

static void import_names_the_file_at_fault_in_a_folder(void **state)
{
    struct imported *in = *state;
    static const char bad[] = "time,seconds_elapsed,z,y,x\n1,2,3,4,5\nthis,is,not,a,row\n1,2\n1,2,3\n";
    char folder[64], path[128];
    temporary_folder(folder);
    write_file(folder, "Accelerometer.csv", bad, strlen(bad));
    support_path(in, folder);
    assert_int_not_equal(in->code, BP_OK);
    assert_non_null(strstr(in->error.path, "/Accelerometer.csv"));
    snprintf(path, sizeof path, "%s/Accelerometer.csv", folder);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);
}

static void import_refuses_a_gyroscope_alone(void **state)
{
    struct imported *in = *state;
    support_file(in, "22-one-file-a-sensor/Gyroscope_25.000Hz.csv");
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "gyroscope");
    support_file(in, "07-linear-and-gravity/Gyroscope.csv"); /* x, y, z only: the file's name says it */
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "gyroscope");
    support_file(in, "07-linear-and-gravity/Gravity.csv");
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "gravity");
}

static void import_refuses_columns_it_does_not_know(void **state)
{
    struct imported *in = *state;
    support_text(in, "time,red,green,blue\n0,1,2,3\n1,2,3,4\n2,1,1,1\n");
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "--columns");
    support_text(in, "1,2,5,4,5\n3,1,2,9,1\n2,8,3,7,2\n7,2,9,1,1\n");
    support_refused(in, BP_ERR_COLUMNS, 1, 0, "5 columns");
    support_text(in, "ax,ay,az\n0.1,0.2,9.8\n0.2,0.3,9.7\n");
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "no time column");
    support_text(in, "time,x,y,z,x,y,z\n0.00,1,2,3,4,5,6\n0.01,1,2,3,4,5,6\n");
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "more than one group");
}

static void import_refuses_rows_of_the_wrong_length(void **state)
{
    struct imported *in = *state;
    import_with_row(in, 41, "0.41,0.1,0.2\n");
    support_refused(in, BP_ERR_COLUMNS, 43, 3, "3 cells instead of 4");
    import_with_row(in, 41, "0.41,0.1,0.2,9.8,7\n");
    support_refused(in, BP_ERR_COLUMNS, 43, 5, "more cells");
    import_with_row(in, 41, "0.41,0.1,-1.2e\n"); /* a number cut short is no word */
    support_refused(in, BP_ERR_COLUMNS, 43, 3, "3 cells instead of 4");
    import_with_row(in, 41, "0.41,0.1,0.2,9.81,,\n"); /* empty cells at the end are none */
    assert_int_equal(in->code, BP_OK);
}

static void import_refuses_more_bad_cells_than_one_in_a_hundred(void **state)
{
    struct imported *in = *state;
    import_with_row(in, 41, "0.41,oops,nan,9.81\n");
    support_refused(in, BP_ERR_NUMBER, 43, 2, "'oops' is no number");
    struct bp_text text;
    text_motion(&text, HEADER, 100, 100.0);
    for (int i = 0; i < 20000; i++) {
        bp_text_put(&text, "1.5,a,b,c\n"); /* given up long before the end */
    }
    support_text(in, text.data);
    bp_text_free(&text);
    support_refused(in, BP_ERR_NUMBER, 102, 2, "'a' is no number");
}

static void import_refuses_a_long_run_of_bad_cells(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 1000; i++) {
        if (i >= 500 && i < 504) {
            bp_text_put(&text, i == 500 ? "5.00,0,nan,9\n" : "5.01,0,NaN,9\n");
        } else {
            text_row(&text, (double)i / 100.0, 4);
        }
    }
    support_text(in, text.data);
    bp_text_free(&text);
    support_refused(in, BP_ERR_NUMBER, 502, 3, "in a row");
}

static void import_refuses_a_time_that_cannot_be_read(void **state)
{
    struct imported *in = *state;
    import_with_row(in, 0, "?,0.1,0.2,9.81\n");
    support_refused(in, BP_ERR_NUMBER, 2, 1, "time");
}

static void import_names_the_time_column_it_cannot_read(void **state)
{
    struct imported *in = *state;
    support_text(in, "time,ax,ay,az\nPT1S,0,0,9.8\nPT2S,0,0,9.8\nPT3S,0,0,9.8\n");
    support_refused(in, BP_ERR_COLUMNS, 2, 1, "headed as a time");
}

static void import_refuses_more_lines_of_words_than_one_in_a_hundred(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    text_motion(&text, HEADER, 200, 100.0);
    for (int i = 0; i < 13; i++) { /* ten, and one in a hundred rows */
        bp_text_put(&text, "EVENT,lap\n");
    }
    support_text(in, text.data);
    bp_text_free(&text);
    support_refused(in, BP_ERR_COLUMNS, 202, 0, "'EVENT,lap' is no row of readings, and 12 more");
}

static void import_refuses_units_that_the_numbers_contradict(void **state)
{
    struct imported *in = *state;
    support_text(in, "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n0.00,1,2,310\n0.01,1,2,312\n0.02,1,2,311\n");
    support_refused(in, BP_ERR_UNITS, 0, 0, "311");
    support_text(in, "time (s),ax,ay,az\n0.00,1,2,310\n0.01,1,2,312\n0.02,1,2,311\n");
    support_refused(in, BP_ERR_UNITS, 0, 0, "no known unit");
    support_text(in, "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n0.00,0,0,1\n0.01,0,0.1,1\n0.02,0,0,0.98\n");
    support_refused(in, BP_ERR_UNITS, 0, 0, "not gravity"); /* they are in g */
    support_text(in, "time (s),ax (g),ay (g),az (g),wx (rad/s),wy (rad/s),wz (rad/s)\n"
                     "0.00,0,0,1,150,2,3\n0.01,0,0,1,160,2,3\n0.02,0,0,1,155,2,3\n");
    support_refused(in, BP_ERR_UNITS, 0, 0, "no gyroscope");
}

static void import_refuses_times_that_cannot_be_mended(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    support_text(in, HEADER "1,0,0,9.8\n1,0,0,9.8\n1,0,0,9.9\n");
    support_refused(in, BP_ERR_TIME, 0, 0, "same time");
    import_with_row(in, 50, "-20.0,0,0,9.8\n"); /* a row from another recording */
    support_refused(in, BP_ERR_TIME, 52, 0, "time runs back by 20.49 s");
    support_text(in, "time,ax (g),ay (g),az (g)\n0,0,0,1\n0.35,0,0,1\n0.70,0,0,1\n1.05,0,0,1\n");
    support_refused(in, BP_ERR_TIME, 0, 0, "--units");
    text_motion(&text, HEADER, 50, 100.0);
    for (size_t i = 0; i < 50; i++) {
        text_row(&text, 0.505 + (double)(i / 2) / 50.0 - (double)(i % 2) * 0.3, 4);
    }
    support_text(in, text.data);
    bp_text_free(&text);
    support_refused(in, BP_ERR_TIME, 0, 0, "time runs back in");
    /* late by far too many rows for a late sample */
    bp_text_init(&text);
    bp_text_put(&text, HEADER);
    for (size_t i = 0; i < 4000; i++) {
        bool late = i % 10 == 9 && i > 2000;
        text_row(&text, late ? (double)(i - 1500) / 1000.0 + 0.0001 : (double)i / 1000.0, 4);
    }
    support_text(in, text.data);
    bp_text_free(&text);
    support_refused(in, BP_ERR_TIME, 0, 0, "out of time order");
    /* a clock that only shows minutes */
    support_text(in, "time,ax (g),ay (g),az (g)\n2025-01-01 12:00:00,0,0,1\n2025-01-01 12:00:00,0,0,1.1\n"
                     "2025-01-01 12:00:00,0,0,1.2\n2025-01-01 12:01:00,0,0,1\n");
    support_refused(in, BP_ERR_TIME, 0, 0, NULL);
}

static void import_refuses_a_second_recording_without_its_header(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    text_motion(&text, HEADER, 500, 100.0);
    for (size_t i = 0; i < 500; i++) {
        text_row(&text, (double)i / 100.0, 6);
    }
    support_text(in, text.data);
    bp_text_free(&text);
    support_refused(in, BP_ERR_TIME, 502, 0, "more than one recording");
}

static void import_refuses_what_passes_its_limits(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    in->settings.rows_max = 99;
    import_with_row(in, 0, NULL);
    support_refused(in, BP_ERR_LIMIT, 101, 0, "99 rows");
    in->settings.rows_max = 100;
    import_with_row(in, 0, NULL);
    assert_int_equal(in->code, BP_OK);
    in->settings.line_bytes_max = 60;
    import_with_row(in, 70, "0.70,0.1,0.2,9.810000000000000000000000000000000000000000000000000000001\n");
    support_refused(in, BP_ERR_LIMIT, 72, 0, "60 bytes");
    in->settings.line_bytes_max = 0;
    bp_text_init(&text);
    bp_text_fill(&text, '1', 400000); /* one line, longer than a block */
    support_text(in, text.data);
    support_refused(in, BP_ERR_LIMIT, 1, 0, "65536 bytes");
    bp_text_free(&text);
    bp_text_init(&text);
    for (int row = 0; row < 3; row++) {
        for (int i = 0; i < 300; i++) {
            bp_text_put(&text, i == 0 ? "1" : ",1");
        }
        bp_text_put_char(&text, '\n');
    }
    support_text(in, text.data);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "columns");
    bp_text_free(&text);
}

static void import_refuses_settings_it_does_not_understand(void **state)
{
    static const char *const columns[] = {"nonsense", "q=1", "ax=1,ay=2", "t=", "ax=2,ay=2,az=3"};
    static const char *const units[] = {"a=furlong", "w=", "v=m/s", "t=g"};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
        in->settings.columns = columns[i];
        import_with_row(in, 0, NULL);
        support_refused(in, BP_ERR_ARGUMENT, 0, 0, "columns");
    }
    in->settings.columns = "ax=9,ay=2,az=3";
    import_with_row(in, 0, NULL);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "'9'");
    in->settings.columns = NULL;
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        in->settings.units = units[i];
        import_with_row(in, 0, NULL);
        support_refused(in, BP_ERR_ARGUMENT, 0, 0, "units");
    }
    in->settings.units = NULL;
    in->settings.rate_hz = -1.0;
    import_with_row(in, 0, NULL);
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, "rate");
    in->settings.rate_hz = (double)INFINITY;
    import_with_row(in, 0, NULL);
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, "rate");
    in->settings.rate_hz = 0.0;
    static const double scales[] = {(double)NAN, (double)INFINITY, -1.0};
    for (int i = 0; i < 6; i++) {
        in->settings.full_scale_force = i < 3 ? scales[i] : 0.0;
        in->settings.full_scale_turn = i < 3 ? 0.0 : scales[i - 3];
        import_with_row(in, 0, NULL);
        support_refused(in, BP_ERR_ARGUMENT, 0, 0, "full scale");
    }
    in->settings = bp_import_defaults;
    support_path(in, NULL);
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, NULL);
}

static void import_finds_the_columns_that_settings_name(void **state)
{
    static const struct {
        const char *columns;
        enum bp_code code;
    } list[] = {
        {"t= 1 ,ax=2,ay = 3,az=4 ", BP_OK},
        {"t=TIME (S),ax=AX (m/s^2)", BP_ERR_ARGUMENT}, /* one axis of three */
        {"t=time (S)", BP_OK},
        {"t=time (s", BP_ERR_COLUMNS},
        {"t=timE {s)", BP_ERR_COLUMNS},
        {"t=0", BP_ERR_COLUMNS},
        {"t=5", BP_ERR_COLUMNS},
        {"t=99999", BP_ERR_COLUMNS},
        {"t=a heading that is longer than all there is room for in a message of one sentence and then some "
         "more of "
         "it",
         BP_ERR_COLUMNS},
        {"an option that is no pair at all and goes on for much longer than is of use to anyone who reads it",
         BP_ERR_ARGUMENT},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        in->settings.columns = list[i].columns;
        import_with_row(in, 0, NULL);
        if (in->code != list[i].code) {
            fail_msg("%s: %s", list[i].columns, in->error.text);
        }
    }
    in->settings.columns = "t=time,ax=2,ay=3,az=4"; /* a name, and no header that has it */
    support_text(in, "0.00,0.1,0.2,9.8\n0.01,0.1,0.2,9.8\n0.02,0.1,0.2,9.9\n");
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "'time'");
    in->settings = bp_import_defaults;
    in->settings.units =
        "a=a unit whose name is much too long to be any whoever may have thought of such a one";
    import_with_row(in, 0, NULL);
    support_refused(in, BP_ERR_ARGUMENT, 0, 0, "is no unit for a");
}

static void import_takes_no_error_struct_and_default_settings(void **state)
{
    struct imported *in = *state;
    assert_int_equal(bp_import_csv_bytes(NULL, "", 0, NULL, &in->arena, &in->trace, NULL), BP_ERR_EMPTY);
    assert_int_equal(bp_import_log("/nonexistent", NULL, &in->arena, &in->trace, NULL), BP_ERR_OPEN);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_refuses_an_empty_log),
        FRESH(import_refuses_a_header_without_rows),
        FRESH(import_refuses_one_sample),
        FRESH(import_refuses_text_that_is_no_log),
        FRESH(import_refuses_a_time_that_only_counts_rows_until_it_is_told),
        FRESH(import_refuses_json_without_readings_in_it),
        FRESH(import_refuses_binary_on_its_first_block),
        FRESH(import_refuses_a_zero_byte_far_into_the_text),
        FRESH(import_refuses_strange_archives_by_their_first_bytes),
        FRESH(import_refuses_what_cannot_be_opened),
        FRESH(import_refuses_a_failing_read),
        FRESH(import_refuses_a_folder_without_a_sensor_file),
        FRESH(import_names_the_file_at_fault_in_a_folder),
        FRESH(import_refuses_a_gyroscope_alone),
        FRESH(import_refuses_columns_it_does_not_know),
        FRESH(import_refuses_rows_of_the_wrong_length),
        FRESH(import_refuses_more_bad_cells_than_one_in_a_hundred),
        FRESH(import_refuses_a_long_run_of_bad_cells),
        FRESH(import_refuses_a_time_that_cannot_be_read),
        FRESH(import_names_the_time_column_it_cannot_read),
        FRESH(import_refuses_more_lines_of_words_than_one_in_a_hundred),
        FRESH(import_refuses_units_that_the_numbers_contradict),
        FRESH(import_refuses_times_that_cannot_be_mended),
        FRESH(import_refuses_a_second_recording_without_its_header),
        FRESH(import_refuses_what_passes_its_limits),
        FRESH(import_refuses_settings_it_does_not_understand),
        FRESH(import_finds_the_columns_that_settings_name),
        FRESH(import_takes_no_error_struct_and_default_settings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
