/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/columns.h"
#include "report/utf8.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

enum { ROWS = 2 };

static const struct bp_column columns[] = {
    {"mean", "m/s", 3, 1.0, 0, true},
    {"range", "cm", 1, 100.0, 0, false},
    {"mostly", "Hz", 1, 1.0, 1, false},
};

struct grid {
    struct bp_quantity cells[ROWS][3];
};

static size_t number(const void *about, size_t row)
{
    (void)about;
    return row + 1;
}

static struct bp_quantity cell(const void *about, size_t row, size_t column)
{
    const struct grid *grid = about;
    return grid->cells[row][column];
}

static bool has_remark(const void *about, size_t row)
{
    (void)about;
    return row == 1;
}

static void put_remark(const void *about, size_t row, struct bp_text *out)
{
    (void)about;
    (void)row;
    bp_text_put(out, "  nothing known");
}

static void expect_table(const struct grid *grid, size_t width, const char *wanted)
{
    struct bp_text out;
    const struct bp_report_settings settings = {false, width};
    const struct bp_table table = {columns, 3, ROWS, grid, "rep", number, cell, has_remark, put_remark};
    bp_text_init(&out);
    bp_table_put(&out, &table, &settings);
    assert_string_equal(out.data, wanted);
    bp_text_free(&out);
}

static struct bp_quantity with_half(double value, double half)
{
    return (struct bp_quantity){value, value - half, value + half};
}

static void columns_put_each_interval_beside_its_figure_points_aligned(void **state)
{
    (void)state;
    const struct grid grid = {{
        {with_half(0.4, 0.008), with_half(0.401, 0.011), with_half(2.1, 0.2)},
        {with_half(0.55, 0.18), with_half(1.401, 0.011), bp_quantity_unknown()},
    }};
    expect_table(&grid, 80,
                 "rep          mean       range    mostly\n"
                 "              m/s          cm        Hz\n"
                 "  1  0.400 ±0.008   40.1 ±1.1  2.1 ±0.2\n"
                 "  2  0.55  ±0.18   140.1 ±1.1  -\n");
}

static void columns_always_have_room_for_a_remark(void **state)
{
    (void)state;
    struct bp_quantity unknown = bp_quantity_unknown();
    const struct grid grid = {{{bp_quantity_plain(0.4), bp_quantity_plain(0.4), bp_quantity_plain(2)},
                               {unknown, unknown, bp_quantity_plain(2)}}};
    expect_table(&grid, 80,
                 "rep   mean  range\n"
                 "       m/s     cm\n"
                 "  1  0.400   40.0\n"
                 "  2  nothing known\n"
                 "\n"
                 "rep  mostly\n"
                 "         Hz\n"
                 "  1     2.0\n"
                 "  2     2.0\n");
}

static void columns_leave_out_what_no_row_knows_but_not_the_first(void **state)
{
    (void)state;
    struct bp_quantity unknown = bp_quantity_unknown();
    const struct grid grid = {{{unknown, unknown, unknown}, {unknown, unknown, unknown}}};
    expect_table(&grid, 80,
                 "rep  mean\n"
                 "      m/s\n"
                 "  1     -\n"
                 "  2  nothing known\n");
}

static void columns_without_intervals_leave_no_room_for_them(void **state)
{
    (void)state;
    const struct grid grid = {{{bp_quantity_plain(0.4), bp_quantity_plain(0.4), bp_quantity_plain(2)},
                               {bp_quantity_plain(0.3), bp_quantity_plain(0.4), bp_quantity_plain(2)}}};
    expect_table(&grid, 80,
                 "rep   mean  range  mostly\n"
                 "       m/s     cm      Hz\n"
                 "  1  0.400   40.0     2.0\n"
                 "  2  0.300   40.0     2.0\n");
}

static void columns_that_do_not_fit_go_on_below_a_group_at_a_time(void **state)
{
    (void)state;
    const struct grid grid = {{
        {with_half(0.4, 0.008), with_half(0.401, 0.011), with_half(2.1, 0.2)},
        {with_half(0.4, 0.008), with_half(0.401, 0.011), with_half(2.1, 0.2)},
    }};
    struct bp_text out;
    const struct bp_report_settings narrow = {false, 40};
    const struct bp_column wide[] = {columns[0], columns[1], {"mostly so", "Hz", 1, 1.0, 1, false}};
    const struct bp_table table = {wide, 3, ROWS, &grid, "rep", number, cell, NULL, NULL};
    bp_text_init(&out);
    bp_table_put(&out, &table, &narrow);
    assert_string_equal(out.data, "rep          mean      range  mostly so\n"
                                  "              m/s         cm         Hz\n"
                                  "  1  0.400 ±0.008  40.1 ±1.1   2.1 ±0.2\n"
                                  "  2  0.400 ±0.008  40.1 ±1.1   2.1 ±0.2\n");
    const struct bp_column wider[] = {columns[0], columns[1], {"mostly so then", "Hz", 1, 1.0, 1, false}};
    const struct bp_table broken = {wider, 3, ROWS, &grid, "rep", number, cell, NULL, NULL};
    bp_text_free(&out);
    bp_table_put(&out, &broken, &narrow);
    assert_string_equal(out.data, "rep          mean      range\n"
                                  "              m/s         cm\n"
                                  "  1  0.400 ±0.008  40.1 ±1.1\n"
                                  "  2  0.400 ±0.008  40.1 ±1.1\n\n"
                                  "rep  mostly so then\n"
                                  "                 Hz\n"
                                  "  1        2.1 ±0.2\n"
                                  "  2        2.1 ±0.2\n");
    bp_text_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_put_each_interval_beside_its_figure_points_aligned),
        cmocka_unit_test(columns_always_have_room_for_a_remark),
        cmocka_unit_test(columns_leave_out_what_no_row_knows_but_not_the_first),
        cmocka_unit_test(columns_without_intervals_leave_no_room_for_them),
        cmocka_unit_test(columns_that_do_not_fit_go_on_below_a_group_at_a_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
