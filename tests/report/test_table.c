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

static const struct bp_report_settings plain = {false, 0};

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
    bp_table_put_number(&out, 1.25, 1, 6);
    bp_table_put_number(&out, (double)NAN, 1, 4);
    bp_table_put_text(&out, "too long", 3);
    expect(&out, "  m/s²   1.3   -too long");
}

static void table_figures_show_half_of_a_known_interval(void **state)
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
    expect(&out, "0.500 ±0.025 m/s; -3.2; unknown");
}

static void table_half_widths_stand_under_their_values(void **state)
{
    (void)state;
    struct bp_text out;
    const struct bp_column columns[] = {{"a", "", 6, 2, 1.0}, {"b", "", 6, 1, 100.0}, {"c", "", 5, 0, 1.0}};
    const struct bp_quantity cells[] = {bp_quantity_plain(1.0), {0.4, 0.39, 0.42}, bp_quantity_unknown()};
    bp_text_init(&out);
    bp_table_put_half_widths(&out, columns, cells, 3, &plain);
    expect(&out, "  ±         1.5\n");
    bp_text_put(&out, "");
    bp_table_put_half_widths(&out, columns, cells, 1, &plain);
    expect(&out, "");
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
        cmocka_unit_test(table_figures_show_half_of_a_known_interval),
        cmocka_unit_test(table_half_widths_stand_under_their_values),
        cmocka_unit_test(table_wraps_between_words_only),
        cmocka_unit_test(table_plain_text_sends_no_control_character),
        cmocka_unit_test(table_long_paths_lose_their_front),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
