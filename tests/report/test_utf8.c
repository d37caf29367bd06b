/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/utf8.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static void expect_step(const char *text, size_t bytes, bool valid)
{
    bool got = !valid;
    assert_int_equal(bp_utf8_step(text, &got), bytes);
    assert_int_equal(got, valid);
}

static void utf8_takes_whole_characters(void **state)
{
    (void)state;
    expect_step("a", 1, true);
    expect_step("\xC3\xA9x", 2, true);
    expect_step("\xE2\x96\x88x", 3, true);
    expect_step("\xF0\x9F\x8F\x8Bx", 4, true);
    expect_step("\xF4\x8F\xBF\xBF", 4, true);
}

/* Unicode Standard 15.0, table 3-7 and the examples of table 3-8 to 3-11 (from memory). */
static void utf8_steps_over_the_longest_piece_that_could_begin_a_character(void **state)
{
    (void)state;
    expect_step("\x80", 1, false);
    expect_step("\xC0\xAF", 1, false);
    expect_step("\xE0\x80\xBF", 1, false);
    expect_step("\xED\xA0\x80", 1, false);
    expect_step("\xF4\x91\x92\x93", 1, false);
    expect_step("\xF5\x80\x80\x80", 1, false);
    expect_step("\xE1\x80\xE2", 2, false);
    expect_step("\xF1\x80\x80\xE2", 3, false);
    expect_step("\xF1\x80", 2, false);
    expect_step("\xFF", 1, false);
}

static void utf8_width_counts_characters(void **state)
{
    (void)state;
    assert_int_equal(bp_utf8_width(""), 0);
    assert_int_equal(bp_utf8_width("m/s\xC2\xB2"), 4);
    assert_int_equal(bp_utf8_width("\xE2\x96\x88\xE2\x96\x81"), 2);
    assert_int_equal(bp_utf8_width("a\x80\xFFz"), 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(utf8_takes_whole_characters),
        cmocka_unit_test(utf8_steps_over_the_longest_piece_that_could_begin_a_character),
        cmocka_unit_test(utf8_width_counts_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
