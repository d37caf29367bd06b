/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/comma_locale.h"

#include "barplumb/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct read {
    struct bp_arena arena;
    struct bp_sheet sheet;
    struct bp_error error;
};

static int setup(void **state)
{
    struct read *r = test_malloc(sizeof *r);
    bp_arena_init(&r->arena);
    *state = r;
    return 0;
}

static int teardown(void **state)
{
    struct read *r = *state;
    bp_arena_free(&r->arena);
    test_free(r);
    return 0;
}

static enum bp_code parse(struct read *r, const char *text, const char *path)
{
    memset(&r->sheet, 0x5a, sizeof r->sheet);
    memset(&r->error, 0x5a, sizeof r->error);
    return bp_sheet_parse(text, strlen(text), path, &r->arena, &r->sheet, &r->error);
}

static void refused(struct read *r, const char *text, enum bp_code code, size_t line, size_t column)
{
    assert_int_equal(parse(r, text, "gym/sheet.csv"), code);
    assert_int_equal(r->error.code, code);
    assert_int_equal(r->error.line, line);
    assert_int_equal(r->error.column, column);
    assert_string_equal(r->error.path, "gym/sheet.csv");
    assert_true(r->error.text[0] != '\0');
    assert_int_equal(r->sheet.row_count, 0);
    assert_null(r->sheet.rows);
}

static void row_error(const struct read *r, size_t i, enum bp_code code, size_t line, size_t column,
                      const char *part)
{
    assert_true(i < r->sheet.error_count);
    const struct bp_error *e = &r->sheet.errors[i];
    assert_int_equal(e->code, code);
    assert_int_equal(e->line, line);
    assert_int_equal(e->column, column);
    assert_string_equal(e->path, "gym/sheet.csv");
    assert_non_null(strstr(e->text, part));
}

static void a_row_is_a_set_with_all_that_the_coach_wrote(void **state)
{
    struct read *r = *state;
    assert_int_equal(
        parse(r,
              "date,lifter,lift,setup,bar (kg),plates lb,rig,log,target speed,notes,effort\n"
              "2024-03-09,L1,bench,chains,20,90,rigs/chains.ini,logs/a.csv,0.45,\"felt \"\"easy\"\"\",8\n",
              "gym/sheet.csv"),
        BP_OK);
    assert_int_equal(r->sheet.row_count, 1);
    assert_int_equal(r->sheet.error_count, 0);
    const struct bp_sheet_row *row = &r->sheet.rows[0];
    assert_int_equal(row->line, 2);
    assert_true(row->dated);
    assert_int_equal(row->day, 19791);
    assert_string_equal(row->date, "2024-03-09");
    assert_string_equal(row->lifter, "L1");
    assert_true(row->lift_given);
    assert_int_equal(row->lift, BP_BENCH);
    assert_string_equal(row->setup, "chains");
    assert_true(row->bar_kg == 20.0);
    assert_true(fabs(row->plates_kg - 40.8233133) < 1e-9);
    assert_string_equal(row->rig, "rigs/chains.ini");
    assert_string_equal(row->rig_path, "gym/rigs/chains.ini");
    assert_string_equal(row->log, "logs/a.csv");
    assert_string_equal(row->log_path, "gym/logs/a.csv");
    assert_true(row->target_m_s == 0.45);
    assert_string_equal(row->notes, "felt \"easy\"");
    assert_int_equal(r->sheet.extra_count, 1);
    assert_string_equal(r->sheet.extra_names[0], "effort");
    assert_string_equal(row->extra[0], "8");
}

static void columns_stand_in_any_order_and_only_the_log_is_needed(void **state)
{
    struct read *r = *state;
    assert_int_equal(parse(r, "Recording\na.csv\n", NULL), BP_OK);
    const struct bp_sheet_row *row = &r->sheet.rows[0];
    assert_string_equal(row->log_path, "a.csv");
    assert_false(row->dated);
    assert_false(row->lift_given);
    assert_true(isnan(row->bar_kg) && isnan(row->plates_kg) && isnan(row->target_m_s));
    assert_string_equal(row->lifter, "");
    assert_string_equal(row->rig_path, "");
    assert_string_equal(row->date, "");
    assert_int_equal(parse(r, "notes,log,lifter\nn,a,L2\n", NULL), BP_OK);
    assert_string_equal(r->sheet.rows[0].notes, "n");
    assert_string_equal(r->sheet.rows[0].lifter, "L2");
}

static void spreadsheets_of_all_countries_are_read_alike(void **state)
{
    static const char *const sheets[] = {
        "date,setup,plates,log\n2024-03-09,chains,62.5,a.csv\n",
        "\xef\xbb\xbf"
        "date;setup;plates;log\r\n9.3.2024;chains;62,5;a.csv\r\n",
        "date\tsetup\tplates\tlog\n2024-03-09\tchains\t62,5 kg\ta.csv",
        "sep=;\r\ndate;setup;plates;log\r\n2024-03-09;chains;62.5;a.csv\r\n",
        "date,setup,plates,log\r2024-03-09,chains,62.5,a.csv\r",
        "\n# made for Port Merrow \"\n,,,\ndate,setup,plates,log\n\n# a remark, with a comma\n;;\n"
        "2024-03-09,chains,\"62,5\",a.csv\n,,,\n",
        "\"date\",\"setup\",\"plates\",\"log\"\n\"2024-03-09\" , \"chains\",\"62.5\", a.csv\n",
    };
    struct read *r = *state;
    for (size_t i = 0; i < sizeof sheets / sizeof sheets[0]; i++) {
        assert_int_equal(parse(r, sheets[i], "s"), BP_OK);
        size_t bad = i == 5 ? 1 : 0; /* ";;" is a word in a sheet of commas */
        assert_int_equal(r->sheet.row_count, 1);
        assert_int_equal(r->sheet.error_count, bad);
        assert_string_equal(r->sheet.rows[0].date, "2024-03-09");
        assert_string_equal(r->sheet.rows[0].setup, "chains");
        assert_true(r->sheet.rows[0].plates_kg == 62.5);
        assert_string_equal(r->sheet.rows[0].log, "a.csv");
    }
}

/* RFC 4180, 2: its own examples. */
static void quoted_cells_hold_line_ends_and_quotes(void **state)
{
    struct read *r = *state;
    assert_int_equal(
        parse(r, "log,notes,setup\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\n\"aaa\",\"b\"\"bb\",\"ccc\"\r\nx,,\r\n",
              "s"),
        BP_OK);
    assert_int_equal(r->sheet.row_count, 3);
    assert_string_equal(r->sheet.rows[0].log, "aaa");
    assert_string_equal(r->sheet.rows[0].notes, "b  bb"); /* each control character a blank */
    assert_string_equal(r->sheet.rows[0].setup, "ccc");
    assert_string_equal(r->sheet.rows[1].notes, "b\"bb");
    assert_int_equal(r->sheet.rows[0].line, 2);
    assert_int_equal(r->sheet.rows[1].line, 4);
    assert_int_equal(r->sheet.rows[2].line, 5);
}

/* A quote opens a cell only at its beginning. */
static void an_inch_mark_does_not_swallow_the_rows_behind_it(void **state)
{
    struct read *r = *state;
    assert_int_equal(parse(r, "log,setup\na,band 1/2\"\nb,straight\nc,band 1/2\"\n", "s"), BP_OK);
    assert_int_equal(r->sheet.row_count, 3);
    assert_string_equal(r->sheet.rows[0].setup, "band 1/2\"");
    assert_string_equal(r->sheet.rows[1].setup, "straight");
}

static void a_bad_row_is_reported_and_the_others_are_read(void **state)
{
    struct read *r = *state;
    assert_int_equal(parse(r,
                           "date,lift,plates,log,target\n"
                           "3/4/2024,bench,60,a,\n"
                           "2024-03-09,curl,60,b,\n"
                           "2024-03-09,bench,heavy,c,\n"
                           "2024-03-09,bench,60 stone,d,\n"
                           "2024-03-09,bench,60,,\n"
                           "2024-03-09,bench,60,e,0.5,more\n"
                           "2024-03-09,bench,60,-,\n"
                           "2024-03-09,bench,60,f,40\n"
                           "2024-03-09,bench,60,g\n"
                           "2024-03-09,bench,60,\"h,\n"
                           "2024-03-09,bench,-,i,-\n",
                           "gym/sheet.csv"),
                     BP_OK);
    assert_int_equal(r->sheet.row_count, 2);
    assert_string_equal(r->sheet.rows[0].log, "g");
    assert_string_equal(r->sheet.rows[1].log, "i");
    assert_true(isnan(r->sheet.rows[1].plates_kg));
    assert_int_equal(r->sheet.error_count, 9);
    row_error(r, 0, BP_ERR_TIME, 2, 1, "write 2024-03-04 or 2024-04-03");
    row_error(r, 1, BP_ERR_ARGUMENT, 3, 2, "no lift");
    row_error(r, 2, BP_ERR_NUMBER, 4, 3, "\"heavy\" is not a number");
    row_error(r, 3, BP_ERR_UNITS, 5, 3, "\"stone\"");
    row_error(r, 4, BP_ERR_COLUMNS, 6, 4, "the log is missing");
    row_error(r, 5, BP_ERR_COLUMNS, 7, 6, "more cells than headings");
    row_error(r, 6, BP_ERR_COLUMNS, 8, 4, "not a file");
    row_error(r, 7, BP_ERR_NUMBER, 9, 5, "\"40\" cannot be");
    row_error(r, 8, BP_ERR_FORMAT, 11, 4, "never closed");
}

static void a_row_may_say_which_set_of_its_log_it_is(void **state)
{
    struct read *r = *state;
    assert_int_equal(
        parse(r, "log,Part of log\na,2\na,\na,-\na,1.5\na,0\na,two\na,1001\na,1 kg\n", "gym/sheet.csv"),
        BP_OK);
    assert_int_equal(r->sheet.row_count, 3);
    assert_int_equal(r->sheet.rows[0].part, 2);
    assert_int_equal(r->sheet.rows[1].part, 0);
    assert_int_equal(r->sheet.rows[2].part, 0);
    assert_int_equal(r->sheet.error_count, 5);
    row_error(r, 0, BP_ERR_NUMBER, 5, 2, "whole number");
    row_error(r, 1, BP_ERR_NUMBER, 6, 2, "whole number");
    row_error(r, 2, BP_ERR_NUMBER, 7, 2, "not a number");
    row_error(r, 3, BP_ERR_NUMBER, 8, 2, "cannot be");
    row_error(r, 4, BP_ERR_UNITS, 9, 2, "not a unit");
    assert_int_equal(parse(r, "log,set\na,2\n", NULL), BP_OK); /* many a sheet counts the sets of a day */
    assert_int_equal(r->sheet.rows[0].part, 0);
    assert_int_equal(r->sheet.extra_count, 1);
}

static void paths_start_from_the_sheets_folder(void **state)
{
    struct read *r = *state;
    assert_int_equal(parse(r, "log\nlogs\\a.csv\n/data/b.csv\n../c.csv\n", "/gym/block 2/sheet.csv"), BP_OK);
    assert_string_equal(r->sheet.rows[0].log, "logs\\a.csv");
    assert_string_equal(r->sheet.rows[0].log_path, "/gym/block 2/logs/a.csv");
    assert_string_equal(r->sheet.rows[1].log_path, "/data/b.csv");
    assert_string_equal(r->sheet.rows[2].log_path, "/gym/block 2/../c.csv");
    assert_int_equal(parse(r, "log\na.csv\n", "sheet.csv"), BP_OK);
    assert_string_equal(r->sheet.rows[0].log_path, "a.csv");
}

static void what_is_no_sheet_is_refused_with_the_place(void **state)
{
    struct read *r = *state;
    refused(r, "", BP_ERR_EMPTY, 0, 0);
    refused(r, "\n\n# nothing\n", BP_ERR_EMPTY, 0, 0);
    refused(r, "date,log\n", BP_ERR_EMPTY, 1, 0);
    refused(r, "\ndate,lifter\n2024-03-09,L1\n", BP_ERR_COLUMNS, 2, 0);
    refused(r, "date,log,day\n", BP_ERR_COLUMNS, 1, 3);
    refused(r, "log,\"notes\nx,y\n", BP_ERR_FORMAT, 1, 2);
    refused(r, "PK\x03\x04 and the rest", BP_ERR_FORMAT, 0, 0);
    refused(r,
            "\xff\xfe"
            "d",
            BP_ERR_FORMAT, 0, 0);
    assert_int_equal(bp_sheet_parse("log\na\0b\n", 8, "s", &r->arena, &r->sheet, &r->error), BP_ERR_FORMAT);
    assert_int_equal(bp_sheet_read(NULL, &r->arena, &r->sheet, &r->error), BP_ERR_ARGUMENT);
    assert_int_equal(bp_sheet_read("/nowhere/at/all.csv", &r->arena, &r->sheet, &r->error), BP_ERR_OPEN);
    assert_string_equal(r->error.path, "/nowhere/at/all.csv");
    assert_int_equal(bp_sheet_read("/", &r->arena, &r->sheet, &r->error), BP_ERR_OPEN);
}

static void limits_are_kept(void **state)
{
    struct read *r = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "log");
    bp_text_fill(&text, ',', BP_SHEET_COLUMNS_MAX);
    refused(r, text.data, BP_ERR_LIMIT, 1, BP_SHEET_COLUMNS_MAX + 1);
    bp_text_free(&text);
    bp_text_put(&text, "log\n");
    for (size_t i = 0; i <= BP_SHEET_ROWS_MAX; i++) {
        bp_text_put(&text, "a\n");
    }
    refused(r, text.data, BP_ERR_LIMIT, BP_SHEET_ROWS_MAX + 2, 0);
    bp_text_free(&text);
    bp_text_put(&text, "log\n");
    bp_text_fill(&text, 'a', BP_SHEET_ROW_BYTES_MAX + 1);
    refused(r, text.data, BP_ERR_LIMIT, 2, 0);
    bp_text_free(&text);
    bp_text_put(&text, "log\n");
    bp_text_fill(&text, 'a', BP_SHEET_PATH_MAX);
    assert_int_equal(parse(r, text.data, "gym/sheet.csv"), BP_OK);
    row_error(r, 0, BP_ERR_LIMIT, 2, 1, "too long");
    bp_text_free(&text);
    bp_text_put(&text, "log\n");
    bp_text_fill(&text, '\n', BP_SHEET_BYTES_MAX);
    refused(r, text.data, BP_ERR_LIMIT, 0, 0);
    bp_text_free(&text);
}

static void of_many_bad_rows_all_are_counted_and_the_first_kept(void **state)
{
    struct read *r = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "log,plates\na,1\n");
    for (size_t i = 0; i < BP_SHEET_ERRORS_KEPT + 50; i++) {
        bp_text_put(&text, "a,x\n");
    }
    assert_int_equal(parse(r, text.data, "gym/sheet.csv"), BP_OK);
    assert_int_equal(r->sheet.error_count, BP_SHEET_ERRORS_KEPT + 50);
    assert_int_equal(r->sheet.errors[BP_SHEET_ERRORS_KEPT - 1].line, BP_SHEET_ERRORS_KEPT + 2);
    bp_text_free(&text);
}

static void a_file_is_read_like_its_bytes_in_any_locale(void **state)
{
    static const char text[] = "log,plates\na.csv,62.5\nb.csv,\"62,5\"\n";
    struct read *r = *state;
    char path[] = "sheet-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_true(write(file, text, sizeof text - 1) == (ssize_t)(sizeof text - 1));
    close(file);
    bool comma = comma_locale_enter();
    enum bp_code code = bp_sheet_read(path, &r->arena, &r->sheet, &r->error);
    if (comma) {
        comma_locale_leave();
    }
    unlink(path);
    assert_int_equal(code, BP_OK);
    assert_int_equal(r->sheet.row_count, 2);
    assert_true(r->sheet.rows[0].plates_kg == 62.5 && r->sheet.rows[1].plates_kg == 62.5);
    assert_string_equal(r->sheet.rows[1].log_path, "b.csv");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_is_a_set_with_all_that_the_coach_wrote),
        cmocka_unit_test(columns_stand_in_any_order_and_only_the_log_is_needed),
        cmocka_unit_test(spreadsheets_of_all_countries_are_read_alike),
        cmocka_unit_test(quoted_cells_hold_line_ends_and_quotes),
        cmocka_unit_test(an_inch_mark_does_not_swallow_the_rows_behind_it),
        cmocka_unit_test(a_bad_row_is_reported_and_the_others_are_read),
        cmocka_unit_test(a_row_may_say_which_set_of_its_log_it_is),
        cmocka_unit_test(paths_start_from_the_sheets_folder),
        cmocka_unit_test(what_is_no_sheet_is_refused_with_the_place),
        cmocka_unit_test(limits_are_kept),
        cmocka_unit_test(of_many_bad_rows_all_are_counted_and_the_first_kept),
        cmocka_unit_test(a_file_is_read_like_its_bytes_in_any_locale),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
