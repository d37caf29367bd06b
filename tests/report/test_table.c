/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/table.h"
#include "report/utf8.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

static void expect(struct bp_text *out, const char *wanted)
{
    assert_string_equal(out->data, wanted);
    bp_text_free(out);
}

static void table_cells_align_by_characters_not_bytes(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    bp_table_put_text(&out, "m/s²", 6);
    bp_table_put_text(&out, "too long", 3);
    expect(&out, "  m/s²too long");
}

static void table_figures_show_the_wider_side_of_a_known_interval(void **state)
{
    (void)state;
    struct bp_text out;
    const struct bp_quantity measured = {0.5, 0.48, 0.53};
    bp_text_init(&out);
    bp_table_put_figure(&out, measured, 3, "m/s");
    bp_text_put(&out, "; ");
    bp_table_put_figure(&out, bp_quantity_plain(-3.2), 1, "");
    bp_text_put(&out, "; ");
    bp_table_put_figure(&out, bp_quantity_unknown(), 1, "mm");
    expect(&out, "0.500 ±0.030 m/s; -3.2; unknown");
}

static void table_lopsided_intervals_are_told_as_they_are(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    bp_table_put_figure(&out, (struct bp_quantity){1.93, 0.4, 2.1}, 2, "mm");
    bp_text_put(&out, "; ");
    bp_table_put_figure(&out, (struct bp_quantity){0, 0, 0.3}, 2, "s");
    bp_text_put(&out, "; "); /* rounding alone makes nothing lopsided */
    bp_table_put_figure(&out, (struct bp_quantity){0.5, 0.499, 0.504}, 2, "s");
    expect(&out, "1.9 (0.4 to 2.1) mm; 0.00 (0.00 to 0.30) s; 0.50 ±0.01 s");
}

/* GUM (JCGM 100:2008) 7.2.6: at most two significant digits of an uncertainty, the estimate rounded to be
 * consistent with it; its example of 10.05762 ohm with 27 milliohm is written 10.058(27). */
static void table_shows_no_more_digits_than_the_interval_supports(void **state)
{
    (void)state;
    const struct {
        double value, half;
        int most;
        double shown, shown_half;
        int decimals;
    } cases[] = {
        {10.05762, 0.027, 9, 10.05762, 0.027, 3}, /* the value is rounded as it is written */
        {0.4123, 0.0087, 3, 0.4123, 0.009, 3},    /* no finer than asked for */
        {0.548, 0.131, 3, 0.548, 0.13, 2},        {0.548, 0.0996, 3, 0.548, 0.10, 2},
        {0.548, 0.0994, 3, 0.548, 0.099, 3},      {1.234, 0.0004, 2, 1.234, 0.01, 2}, /* never 0 */
        {1.234, 0.0, 2, 1.234, 0.01, 2},          {56.4, 33.2, 0, 56.4, 33, 0},
        {812.3, 143.0, 0, 810, 140, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double v = cases[i].value, h = cases[i].half;
        struct bp_shown shown = bp_table_shown((struct bp_quantity){v, v - h, v + h}, cases[i].most);
        assert_int_equal(shown.decimals, cases[i].decimals);
        assert_true(fabs(shown.value - cases[i].shown) < 1e-9);
        assert_true(fabs(shown.half - cases[i].shown_half) < 1e-9);
    }
    struct bp_shown plain_one = bp_table_shown(bp_quantity_plain(1.5), 2);
    assert_int_equal(plain_one.decimals, 2);
    assert_true(isnan(plain_one.half));
}

static void table_wraps_between_words_only(void **state)
{
    (void)state;
    struct bp_text out;
    const struct bp_report_settings narrow = {false, 40};
    bp_text_init(&out);
    bp_table_put_wrapped(&out, "nine hundred and ninety nine thousand samples of the log", 0, 4, &narrow);
    expect(&out, "nine hundred and ninety nine thousand\n    samples of the log\n");
    bp_table_put_wrapped(&out, "averyveryveryverylongwordthatfitsnowhereatall next", 30, 2, &narrow);
    expect(&out, "averyveryveryverylongwordthatfitsnowhereatall\n  next\n");
    bp_table_put_wrapped(&out, "", 0, 2, &narrow);
    expect(&out, "\n");
}

static void table_plain_text_sends_no_control_character(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    bp_table_put_plain(&out, "a\nb\033\177\xC2\x9B\xFF\xC3\xA9");
    expect(&out, "a?b???\xEF\xBF\xBD\xC3\xA9");
}

static void table_long_paths_lose_their_front(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    bp_table_put_plain_end(&out, "0123456789", 10);
    bp_table_put_plain_end(&out, "0123456789é", 6);
    expect(&out, "0123456789…6789é");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_cells_align_by_characters_not_bytes),
        cmocka_unit_test(table_figures_show_the_wider_side_of_a_known_interval),
        cmocka_unit_test(table_lopsided_intervals_are_told_as_they_are),
        cmocka_unit_test(table_shows_no_more_digits_than_the_interval_supports),
        cmocka_unit_test(table_wraps_between_words_only),
        cmocka_unit_test(table_plain_text_sends_no_control_character),
        cmocka_unit_test(table_long_paths_lose_their_front),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
