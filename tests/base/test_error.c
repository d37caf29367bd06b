/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/error.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

static const char *line_of(const struct bp_error *error)
{
    static char line[BP_ERROR_PATH + BP_ERROR_TEXT + 64];
    return bp_error_line(error, line, sizeof line);
}

static void error_every_code_has_its_own_name(void **state)
{
    (void)state;
    for (int i = 0; i < BP_CODE_COUNT; i++) {
        const char *name = bp_code_name((enum bp_code)i);
        assert_string_not_equal(name, "unknown");
        for (int k = 0; k < i; k++) {
            assert_string_not_equal(name, bp_code_name((enum bp_code)k));
        }
    }
    assert_string_equal(bp_code_name(BP_CODE_COUNT), "unknown");
    assert_string_equal(bp_code_name((enum bp_code)1000), "unknown");
}

static void error_set_fills_code_and_text_and_clears_the_place(void **state)
{
    (void)state;
    struct bp_error error;
    memset(&error, 0xA5, sizeof error);
    assert_int_equal(bp_error_set(&error, BP_ERR_NUMBER, "'%s' is not a number", "1.2.3"), BP_ERR_NUMBER);
    assert_int_equal(error.code, BP_ERR_NUMBER);
    assert_string_equal(error.text, "'1.2.3' is not a number");
    assert_string_equal(error.path, "");
    assert_int_equal(error.line, 0);
    assert_int_equal(error.column, 0);
    assert_true(isnan(error.at_s));
}

static void error_may_be_null(void **state)
{
    (void)state;
    bp_error_clear(NULL);
    bp_error_place(NULL, "log.csv", 1, 2, 3.0);
    assert_int_equal(bp_error_set(NULL, BP_ERR_EMPTY, "nothing"), BP_ERR_EMPTY);
}

static void error_line_leaves_out_absent_parts(void **state)
{
    (void)state;
    struct bp_error error;
    bp_error_set(&error, BP_ERR_NUMBER, "no number");
    assert_string_equal(line_of(&error), "no number");
    bp_error_place(&error, "a.csv", 0, 0, (double)NAN);
    assert_string_equal(line_of(&error), "a.csv: no number");
    bp_error_place(&error, NULL, 7, 0, (double)NAN);
    assert_string_equal(line_of(&error), "a.csv:7: no number");
    bp_error_place(&error, NULL, 7, 3, 1.5);
    assert_string_equal(line_of(&error), "a.csv:7:3: no number");
    bp_error_place(&error, "", 7, 3, 1.5);
    assert_string_equal(line_of(&error), "7:3: no number");
}

static void error_line_without_text_names_the_code(void **state)
{
    (void)state;
    struct bp_error error;
    bp_error_clear(&error);
    error.code = BP_ERR_MEMORY;
    assert_string_equal(line_of(&error), "memory");
}

static void error_line_is_terminated_in_one_byte(void **state)
{
    (void)state;
    struct bp_error error;
    bp_error_set(&error, BP_ERR_NUMBER, "no number");
    char one[2] = "xx";
    bp_error_line(&error, one, 1);
    assert_int_equal(one[0], '\0');
    assert_int_equal(one[1], 'x');
}

static void error_text_keeps_to_one_line_and_sends_no_escape(void **state)
{
    (void)state;
    struct bp_error error;
    bp_error_set(&error, BP_ERR_FORMAT,
                 "a\nb\033[31mc\177d\xC2\x9B"
                 "e\xC3\xA9");
    assert_string_equal(error.text, "a?b?[31mc?d??e\xC3\xA9");
    bp_error_place(&error, "evil\n\033[2J.csv", 0, 0, (double)NAN);
    assert_string_equal(error.path, "evil??[2J.csv");
}

static void error_text_is_cut_at_a_whole_character(void **state)
{
    (void)state;
    struct bp_error error;
    for (size_t lead = 0; lead < 4; lead++) {
        char text[600] = "";
        memset(text, 'a', lead);
        for (size_t i = lead; i + 3 < sizeof text; i += 3) {
            memcpy(text + i, "\xE2\x96\x88", 4);
        }
        bp_error_set(&error, BP_ERR_FORMAT, "%s", text);
        assert_true(strlen(error.text) < BP_ERROR_TEXT);
        assert_true(strlen(error.text) > BP_ERROR_TEXT - 5);
        assert_int_equal((strlen(error.text) - lead) % 3, 0);
    }
}

static void error_text_may_quote_the_error_itself(void **state)
{
    (void)state;
    struct bp_error error;
    bp_error_set(&error, BP_ERR_READ, "inner");
    bp_error_set(&error, BP_ERR_FORMAT, "outer: %s", error.text);
    assert_string_equal(error.text, "outer: inner");
}

static void error_long_path_keeps_its_end(void **state)
{
    (void)state;
    struct bp_error error;
    char path[1000];
    bp_error_set(&error, BP_ERR_OPEN, "absent");
    memset(path, 'd', sizeof path);
    memcpy(path + sizeof path - 9, "/set1.csv", 9);
    path[sizeof path - 1] = '\0';
    bp_error_place(&error, path, 0, 0, (double)NAN);
    assert_int_equal(strlen(error.path), BP_ERROR_PATH - 1);
    assert_memory_equal(error.path, "...d", 4);
    assert_string_equal(error.path + strlen(error.path) - 8, "/set1.cs");
    path[BP_ERROR_PATH - 1] = '\0';
    bp_error_place(&error, path, 0, 0, (double)NAN);
    assert_string_equal(error.path, path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(error_every_code_has_its_own_name),
        cmocka_unit_test(error_set_fills_code_and_text_and_clears_the_place),
        cmocka_unit_test(error_may_be_null),
        cmocka_unit_test(error_line_leaves_out_absent_parts),
        cmocka_unit_test(error_line_without_text_names_the_code),
        cmocka_unit_test(error_line_is_terminated_in_one_byte),
        cmocka_unit_test(error_text_keeps_to_one_line_and_sends_no_escape),
        cmocka_unit_test(error_text_is_cut_at_a_whole_character),
        cmocka_unit_test(error_text_may_quote_the_error_itself),
        cmocka_unit_test(error_long_path_keeps_its_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
