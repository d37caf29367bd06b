/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whichever array an arena refuses, the import says that memory is out, and nothing else: each one in turn,
 * on logs that go through every part of the importer.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/failing_arena.h"
#include "import/support.h"

#include <sndfile.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { ARRAYS_MOST = 400 };

typedef enum bp_code reader(struct imported *in, const void *what);

static enum bp_code read_fixture(struct imported *in, const void *what)
{
    return support_file(in, what);
}

static enum bp_code read_text(struct imported *in, const void *what)
{
    return support_text(in, what);
}

static enum bp_code read_path(struct imported *in, const void *what)
{
    return support_path(in, what);
}

static void fail_each(reader *read, const void *what)
{
    bool happened = true;
    size_t n = 0;
    for (; happened && n < ARRAYS_MOST; n++) {
        void *fresh;
        support_setup(&fresh);
        struct imported *in = fresh;
        failing_arena_arm(n);
        enum bp_code code = read(in, what);
        happened = failing_arena_disarm();
        if (happened) {
            support_refused(in, BP_ERR_MEMORY, 0, 0, "memory");
        } else {
            assert_int_equal(code, BP_OK);
        }
        support_teardown(&fresh);
    }
    assert_false(happened);
    assert_true(n > 5); /* some were refused */
}

static void import_reports_memory_whichever_array_is_refused(void **state)
{
    static const char *const fixtures[] = {
        "04-tab-decimal-comma.csv", "06-three-digits.csv",         "07-linear-and-gravity",
        "10-many-sensors.csv",      "13-bom-cr-whole-seconds.csv", "15-reversed.csv",
        "19-rate-rows.csv",         "20-seconds-of-minute.csv",    "21-one-value-a-row.csv",
        "22-one-file-a-sensor",     "23-interleaved.csv",          "24-several-recordings.csv",
        "25-zip-named.CSV"};
    (void)state;
    for (size_t i = 0; i < sizeof fixtures / sizeof fixtures[0]; i++) {
        fail_each(read_fixture, fixtures[i]);
    }
}

/* The seeds of tools/fuzz that no layout of the table is like. */
static void import_reports_memory_on_json_wide_characters_and_attitude(void **state)
{
    static const char *const fixtures[] = {
        "../fuzz/csv/records.json", "../fuzz/csv/columns.json",        "../fuzz/csv/lines.jsonl",
        "../fuzz/csv/wide.csv",     "../fuzz/csv/attitude-angles.csv", "../fuzz/csv/attitude-quaternion.csv"};
    (void)state;
    for (size_t i = 0; i < sizeof fixtures / sizeof fixtures[0]; i++) {
        fail_each(read_fixture, fixtures[i]);
    }
}

static void import_reports_memory_on_rows_of_several_sensors(void **state)
{
    struct bp_text text;
    (void)state;
    bp_text_init(&text);
    bp_text_put(&text, "t (s),sensor,x,y,z\n");
    for (int i = 0; i < 200; i++) {
        double force[3], turn[3];
        motion_force(i / 50.0, false, force);
        motion_turn(i / 50.0, turn);
        for (int k = 0; k < 3; k++) {
            static const char *const names[] = {"linear acceleration", "gravity", "gyroscope"};
            bp_text_put_number(&text, i / 50.0 + k * 0.003, 4);
            bp_text_put_char(&text, ',');
            bp_text_put(&text, names[k]);
            for (int a = 0; a < 3; a++) {
                bp_text_put_char(&text, ',');
                bp_text_put_number(&text, k == 0 ? force[a] : k == 2 ? turn[a] : a == 2 ? 9.81 : 0.0, 6);
            }
            bp_text_put_char(&text, '\n');
        }
    }
    fail_each(read_text, text.data);
    bp_text_free(&text);
}

static void import_reports_memory_on_a_header_in_two_lines(void **state)
{
    struct bp_text text;
    (void)state;
    bp_text_init(&text);
    bp_text_put(&text, "time,accelerometer,,,gyroscope,,\n(s),x,y,z,x,y,z\n");
    for (int i = 0; i < 200; i++) {
        double force[3], turn[3];
        motion_force(i / 50.0, true, force);
        motion_turn(i / 50.0, turn);
        bp_text_put_number(&text, i / 50.0, 2);
        for (int a = 0; a < 6; a++) {
            bp_text_put_char(&text, ',');
            bp_text_put_number(&text, a < 3 ? force[a] : turn[a - 3], 6);
        }
        bp_text_put_char(&text, '\n');
    }
    fail_each(read_text, text.data);
    bp_text_free(&text);
}

/* Acceleration, and in folders and archives of their own the gyroscope and the attitude. */
static void import_reports_memory_on_a_folder_of_folders_and_archives(void **state)
{
    char folder[] = "/tmp/barplumb-memory-XXXXXX", command[2048];
    (void)state;
    assert_non_null(mkdtemp(folder));
    snprintf(command, sizeof command,
             "cd %s && cp %s/fixtures/layouts/22-one-file-a-sensor/Acc*.csv Accelerometer.csv && mkdir "
             "gyroscope && "
             "cp %s/fixtures/layouts/22-one-file-a-sensor/Gyr*.csv gyroscope/data.csv && "
             "awk -F, -v OFS=, 'NR == 1 { print $1, $2, $3, \"qw,qx,qy,qz\"; next } { print $1, $2, $3, "
             "\"1,0,0,0\" }' Accelerometer.csv | gzip >Orientation.csv.gz",
             folder, BARPLUMB_SOURCE_DIR, BARPLUMB_SOURCE_DIR);
    assert_int_equal(system(command), 0); /* NOLINT(cert-env33-c): the test's own line */
    fail_each(read_path, folder);
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0); /* NOLINT(cert-env33-c) */
}

static void import_reports_memory_on_a_recording(void **state)
{
    char path[] = "/tmp/barplumb-memory-XXXXXX";
    SF_INFO info = {.samplerate = 100, .channels = 6, .format = SF_FORMAT_WAV | SF_FORMAT_DOUBLE};
    (void)state;
    int file = mkstemp(path);
    assert_true(file >= 0);
    SNDFILE *out = sf_open_fd(file, SFM_WRITE, &info, 1);
    assert_non_null(out);
    for (int i = 0; i < 300; i++) {
        double frame[6];
        motion_force(i / 100.0, true, frame);
        motion_turn(i / 100.0, frame + 3);
        assert_int_equal(sf_writef_double(out, frame, 1), 1);
    }
    sf_close(out);
    fail_each(read_path, path);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(import_reports_memory_whichever_array_is_refused),
        cmocka_unit_test(import_reports_memory_on_json_wide_characters_and_attitude),
        cmocka_unit_test(import_reports_memory_on_rows_of_several_sensors),
        cmocka_unit_test(import_reports_memory_on_a_header_in_two_lines),
        cmocka_unit_test(import_reports_memory_on_a_folder_of_folders_and_archives),
        cmocka_unit_test(import_reports_memory_on_a_recording),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
