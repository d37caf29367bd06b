/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Folders of one file a sensor, made for each test: which file is taken, and how clocks are tied together.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct folder {
    struct imported *in;
    char path[64];
};

static int setup(void **state)
{
    struct folder *f = calloc(1, sizeof *f);
    void *in;
    assert_non_null(f);
    support_setup(&in);
    f->in = in;
    strcpy(f->path, "/tmp/barplumb-import-XXXXXX");
    assert_non_null(mkdtemp(f->path));
    *state = f;
    return 0;
}

/* What is in the folder, folders in it too. */
static void empty_folder(const char *folder)
{
    char path[512];
    DIR *dir = opendir(folder);
    for (struct dirent *e; dir != NULL && (e = readdir(dir)) != NULL;) {
        if (e->d_name[0] != '.' && snprintf(path, sizeof path, "%s/%s", folder, e->d_name) > 0 &&
            remove(path) != 0) {
            empty_folder(path);
            remove(path);
        }
    }
    if (dir != NULL) {
        closedir(dir);
    }
}

static int teardown(void **state)
{
    struct folder *f = *state;
    void *in = f->in;
    empty_folder(f->path);
    rmdir(f->path);
    support_teardown(&in);
    free(f);
    return 0;
}

enum what { FORCE, LINEAR, TURN };

/* 200 rows at rate_hz from t0 on; each time is written minus zero. */
static void write_log(const struct folder *f, const char *name, const char *header, enum what what, double t0,
                      double rate_hz, double zero)
{
    char path[512];
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, header);
    for (size_t i = 0; i < 200; i++) {
        double t = t0 + (double)i / rate_hz, v[3];
        if (what == TURN) {
            motion_turn(t, v);
        } else {
            motion_force(t, what == FORCE, v);
        }
        bp_text_put_number(&text, t - zero, 6);
        for (int a = 0; a < 3; a++) {
            bp_text_put(&text, ",");
            bp_text_put_number(&text, v[a], 9);
        }
        bp_text_put(&text, "\n");
    }
    snprintf(path, sizeof path, "%s/%s", f->path, name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text.data, 1, text.length, file), text.length);
    assert_int_equal(fclose(file), 0);
    bp_text_free(&text);
}

static void import_prefers_acceleration_with_gravity(void **state)
{
    struct folder *f = *state;
    write_log(f, "Accelerometer.csv", "seconds_elapsed,x,y,z\n", LINEAR, 0.0, 100.0, 0.0);
    write_log(f, "TotalAcceleration.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 50.0, 0.0);
    write_log(f, "LinearAcceleration.csv", "seconds_elapsed,x,y,z\n", LINEAR, 0.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    assert_false(f->in->trace.gravity_removed);
    support_moves(&f->in->trace, 200, 50.0, 0.0, 1.0, 6e-9);
    assert_non_null(strstr(f->in->trace.recognised.container, "TotalAcceleration.csv"));
}

static void import_takes_the_elapsed_time_where_no_date_ties_clocks(void **state)
{
    struct folder *f = *state;
    write_log(f, "Accelerometer.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.30, 100.0, 0.0);
    write_log(f, "Gyroscope.csv", "seconds_elapsed,x,y,z\n", TURN, 0.10, 80.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 100.0, 0.30, 1.0, 6e-9);
    support_turns(&f->in->trace, 0.30, 0.1 * 9.87 / 80.0 / 80.0 / 8.0 + 1e-8); /* A w^2 h^2 / 8 */
}

static void import_knows_a_gyroscope_without_header_by_its_file_s_name(void **state)
{
    struct folder *f = *state;
    write_log(f, "acc.csv", "", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "gyro.csv", "", TURN, 0.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    support_turns(&f->in->trace, 0.0, 1e-8);
}

static void import_passes_over_strangers_and_folders(void **state)
{
    struct folder *f = *state;
    char path[512];
    write_log(f, "Accelerometer.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "Magnetometer.csv", "seconds_elapsed,x,y,z\n", TURN, 0.0, 100.0, 0.0);
    write_log(f, "notes.csv", "some,thing,else,entirely\n", TURN, 0.0, 100.0, 0.0);
    write_log(f, "Gyroscope.png", "not,read,at,all\n", TURN, 0.0, 100.0, 0.0);
    snprintf(path, sizeof path, "%s/Gyroscope.csv", f->path);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    assert_false(f->in->trace.gyroscope);
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
}

static void import_takes_the_only_file_whatever_its_name(void **state)
{
    struct folder *f = *state;
    write_log(f, "set 3.csv", "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2)\n", FORCE, 0.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
}

static void import_refuses_a_broken_gyroscope_file_by_its_name(void **state)
{
    struct folder *f = *state;
    write_log(f, "Accelerometer.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "Gyroscope.csv", "time (s),x (rad/s),y (rad/s),z (rad/s),w\n", TURN, 0.0, 100.0, 0.0);
    support_path(f->in, f->path);
    support_refused(f->in, BP_ERR_COLUMNS, 2, 0, NULL);
    assert_non_null(strstr(f->in->error.path, "/Gyroscope.csv"));
}

static void import_leaves_out_a_gyroscope_of_another_time(void **state)
{
    struct folder *f = *state;
    write_log(f, "Accelerometer.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "Gyroscope.csv", "seconds_elapsed,x,y,z\n", TURN, 100.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    assert_false(f->in->trace.gyroscope);
    assert_non_null(support_finding(&f->in->trace, "gyro-short"));
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
}

static void make_folder(const struct folder *f, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", f->path, name);
    assert_int_equal(mkdir(path, 0700), 0);
}

static void import_goes_into_the_folders_of_a_folder_without_a_log(void **state)
{
    struct folder *f = *state;
    make_folder(f, "export");
    write_log(f, "export/Accelerometer.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "export/Gyroscope.csv", "seconds_elapsed,x,y,z\n", TURN, 0.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    support_turns(&f->in->trace, 0.0, 1e-8);
}

static void import_takes_a_folder_named_after_a_sensor_for_a_file_of_it(void **state)
{
    struct folder *f = *state;
    make_folder(f, "accelerometer");
    make_folder(f, "gyroscope");
    make_folder(f, "magnetometer");
    write_log(f, "accelerometer/data.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "gyroscope/data.csv", "seconds_elapsed,x,y,z\n", TURN, 0.0, 100.0, 0.0);
    write_log(f, "magnetometer/data.csv", "seconds_elapsed,x,y,z\n", FORCE, 5.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    support_turns(&f->in->trace, 0.0, 1e-8);
    assert_null(support_finding(&f->in->trace, "more-recordings"));
}

static void import_reads_names_without_an_ending_only_where_no_other_is_there(void **state)
{
    struct folder *f = *state;
    write_log(f, "accelerometer", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "gyroscope.log", "seconds_elapsed,x,y,z\n", TURN, 0.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    assert_true(f->in->trace.gyroscope);
    write_log(f, "set.csv", "seconds_elapsed,x,y,z\n", FORCE, 1.0, 50.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 50.0, 1.0, 1.0, 6e-9);
}

static void import_says_which_of_two_like_files_it_read(void **state)
{
    struct folder *f = *state;
    write_log(f, "acc_left.csv", "seconds_elapsed,x,y,z\n", FORCE, 0.0, 100.0, 0.0);
    write_log(f, "acc_right.csv", "seconds_elapsed,x,y,z\n", FORCE, 1.0, 100.0, 0.0);
    assert_int_equal(support_path(f->in, f->path), BP_OK);
    support_moves(&f->in->trace, 200, 100.0, 0.0, 1.0, 6e-9);
    const struct bp_finding *said = support_finding(&f->in->trace, "more-recordings");
    assert_non_null(said);
    assert_non_null(strstr(said->text, "acc_left.csv"));
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, setup, teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_prefers_acceleration_with_gravity),
        FRESH(import_takes_the_elapsed_time_where_no_date_ties_clocks),
        FRESH(import_knows_a_gyroscope_without_header_by_its_file_s_name),
        FRESH(import_passes_over_strangers_and_folders),
        FRESH(import_takes_the_only_file_whatever_its_name),
        FRESH(import_refuses_a_broken_gyroscope_file_by_its_name),
        FRESH(import_leaves_out_a_gyroscope_of_another_time),
        FRESH(import_goes_into_the_folders_of_a_folder_without_a_log),
        FRESH(import_takes_a_folder_named_after_a_sensor_for_a_file_of_it),
        FRESH(import_reads_names_without_an_ending_only_where_no_other_is_there),
        FRESH(import_says_which_of_two_like_files_it_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
