/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every recording of a text log, one of them broken.
 */
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

static void every_recording_is_read_and_a_broken_one_is_named(void **state)
{
    struct imported *in = *state;
    struct bp_recordings recordings;
    struct bp_error error;
    struct bp_text text;
    char path[] = "/tmp/barplumb-recordings-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0);
    text_motion(&text, HEADER, 300, 100.0);
    bp_text_put(&text, HEADER);
    bp_text_put(&text, "0,1,2\n0.01,0,0,9.8\n");
    bp_text_put(&text, HEADER);
    for (int i = 0; i < 200; i++) {
        text_row(&text, i / 100.0, 6);
    }
    bp_text_put(&text, HEADER); /* nothing stands behind it */
    assert_int_equal(write(file, text.data, text.length), (ssize_t)text.length);
    close(file);
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

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(
        every_recording_is_read_and_a_broken_one_is_named, support_setup, support_teardown)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
