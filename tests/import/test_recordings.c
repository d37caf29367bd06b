/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every recording of a text log, one of them broken.
 */
#include "import/failing_arena.h"
#include "import/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char HEADER[] = "time (s),x (m/s^2),y (m/s^2),z (m/s^2)\n";

/* A file with that text; the name's last letters are filled in. */
static void write_log(char *path, const struct bp_text *text)
{
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, text->data, text->length), (ssize_t)text->length);
    close(file);
}

static void every_recording_is_read_and_a_broken_one_is_named(void **state)
{
    struct imported *in = *state;
    struct bp_recordings recordings;
    struct bp_error error;
    struct bp_text text;
    char path[] = "/tmp/barplumb-recordings-XXXXXX";
    text_motion(&text, HEADER, 300, 100.0);
    bp_text_put(&text, HEADER);
    bp_text_put(&text, "0,1,2\n0.01,0,0,9.8\n");
    bp_text_put(&text, HEADER);
    for (int i = 0; i < 200; i++) {
        text_row(&text, i / 100.0, 6);
    }
    bp_text_put(&text, HEADER); /* nothing stands behind it */
    write_log(path, &text);
    bp_text_free(&text);
    assert_int_equal(bp_import_recordings(path, NULL, &in->arena, &recordings, &error), BP_OK);
    assert_int_equal(recordings.count, 3);
    assert_int_equal(recordings.list[0].code, BP_OK);
    support_moves(recordings.list[0].trace, 300, 100.0, 0.0, 1.0, 1e-3);
    assert_int_equal(recordings.list[1].code, BP_ERR_COLUMNS);
    assert_int_equal(recordings.list[1].error.line, 303);
    assert_non_null(strstr(recordings.list[1].error.text, "recording 2 of 3 (line 302)"));
    assert_int_equal(recordings.list[2].code, BP_OK);
    support_moves(recordings.list[2].trace, 200, 100.0, 0.0, 1.0, 1e-3);
    assert_int_equal(recordings.list[2].trace->recording, 3);
    assert_non_null(support_finding(recordings.list[2].trace, "recording-left-out"));
    struct bp_import_settings settings = bp_import_defaults;
    settings.rows_max = 400; /* together */
    assert_int_equal(bp_import_recordings(path, &settings, &in->arena, &recordings, &error), BP_OK);
    assert_int_equal(recordings.list[2].code, BP_ERR_LIMIT);
    unlink(path);
}

/* A header anew every so often, the clock going on, is no recording's beginning, wherever the blocks in which
 * a log is read may end; a jump back is, behind remarks too. */
static void headers_that_stand_again_begin_a_recording_where_the_clock_does_not_go_on(void **state)
{
    enum { ROWS = 60000, EVERY = 97 };
    struct imported *in = *state;
    struct bp_recordings recordings;
    struct bp_text text;
    char path[] = "/tmp/barplumb-recordings-XXXXXX";
    bp_text_init(&text);
    for (int part = 0; part < 2; part++) {
        bp_text_put(&text, HEADER);
        bp_text_put(&text, "# the same again\n\n");
        for (int i = 0; i < ROWS; i++) {
            if (i % EVERY == EVERY - 1) {
                bp_text_put(&text, HEADER);
            }
            text_row(&text, i / 100.0, 6);
        }
    }
    write_log(path, &text);
    bp_text_free(&text);
    assert_int_equal(bp_import_recordings(path, NULL, &in->arena, &recordings, NULL), BP_OK);
    assert_int_equal(recordings.count, 2);
    for (size_t r = 0; r < 2; r++) {
        support_moves(recordings.list[r].trace, ROWS, 100.0, 0.0, 1.0, 1e-3);
    }
    unlink(path);
}

static void a_log_without_a_recording_that_can_be_read_is_refused_for_its_first(void **state)
{
    struct imported *in = *state;
    struct bp_recordings recordings;
    struct bp_error error;
    struct bp_text text;
    char path[] = "/tmp/barplumb-recordings-XXXXXX";
    bp_text_init(&text);
    for (int part = 0; part < 2; part++) {
        bp_text_put(&text, HEADER);
        bp_text_put(&text, "0,1,2,3\n0.01,1,x.1,3\n0.02,1,x.1,3\n0.03,1,x.1,3\n");
    }
    write_log(path, &text);
    bp_text_free(&text);
    assert_int_equal(bp_import_recordings(path, NULL, &in->arena, &recordings, &error), BP_ERR_NUMBER);
    assert_int_equal(error.line, 3);
    assert_int_equal(recordings.count, 0);
    unlink(path);
}

static void a_folder_without_logs_is_refused_by_its_own_name(void **state)
{
    struct imported *in = *state;
    struct bp_recordings recordings;
    struct bp_error error;
    char folder[] = "/tmp/barplumb-recordings-XXXXXX";
    assert_non_null(mkdtemp(folder));
    assert_int_equal(bp_import_recordings(folder, NULL, &in->arena, &recordings, &error), BP_ERR_FORMAT);
    assert_string_equal(error.path, folder);
    rmdir(folder);
}

static void memory_that_runs_out_among_recordings_is_told(void **state)
{
    bool happened = true;
    (void)state;
    for (size_t n = 0; happened && n < 400; n++) {
        struct bp_recordings recordings;
        struct bp_error error;
        struct bp_arena arena;
        bp_arena_init(&arena);
        failing_arena_arm(n);
        enum bp_code code =
            bp_import_recordings(BARPLUMB_SOURCE_DIR "/fixtures/layouts/24-several-recordings.csv", NULL,
                                 &arena, &recordings, &error);
        happened = failing_arena_disarm();
        assert_int_equal(code, happened ? BP_ERR_MEMORY : BP_OK);
        assert_int_equal(recordings.count, happened ? 0 : 2);
        bp_arena_free(&arena);
    }
    assert_false(happened);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(every_recording_is_read_and_a_broken_one_is_named),
        FRESH(headers_that_stand_again_begin_a_recording_where_the_clock_does_not_go_on),
        FRESH(a_log_without_a_recording_that_can_be_read_is_refused_for_its_first),
        FRESH(a_folder_without_logs_is_refused_by_its_own_name),
        FRESH(memory_that_runs_out_among_recordings_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
