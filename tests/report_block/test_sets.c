/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/survive.h"
#include "report_block/hostile.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

static struct hostile made;

static int set_up(void **state)
{
    (void)state;
    hostile_make(&made);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    hostile_free(&made);
    return 0;
}

static void put_csv(struct bp_text *out)
{
    bp_report_block_csv(&made.survey, &made.sheet, out);
}

static void put_jsonl(struct bp_text *out)
{
    bp_report_block_jsonl(&made.survey, &made.sheet, out);
}

static void put_block(struct bp_text *out)
{
    bp_report_block_json(&made.survey, NULL, false, out);
}

static void csv_has_the_sheets_columns_before_the_sets(void **state)
{
    static struct record names, row, plain_names, plain;
    struct bp_text out, own;
    (void)state;
    bp_text_init(&out);
    bp_text_init(&own);
    put_csv(&out);
    bp_report_set_csv_header(&own);
    bp_report_set_csv(&made.planned.sets[1].summary, &own);
    const char *at = record_read(out.data, &names);
    record_read(record_read(own.data, &plain_names), &plain);
    /* behind the sheet's columns the set's own, as they are */
    size_t before = names.count - plain_names.count;
    assert_int_equal(before, 9 + HOSTILE_EXTRA);
    for (size_t i = 0; i < plain_names.count; i++) {
        assert_string_equal(names.cells[before + i], plain_names.cells[i]);
    }
    for (size_t r = 0; r <= PLANNED_REPS; r++) {
        at = record_read(at, &row); /* the second set's first rep comes last */
    }
    for (size_t i = 0; i < plain.count; i++) {
        assert_string_equal(row.cells[before + i], plain.cells[i]);
    }
    assert_string_equal(record_cell(&names, &row, "lifter"), "L1");
    assert_string_equal(record_cell(&names, &row, "set"), made.planned.sets[1].id);
    assert_string_equal(record_cell(&names, &row, "target_m_s"), "0.6000");
    assert_string_equal(record_cell(&names, &row, "target"), "under");
    assert_string_equal(record_cell(&names, &row, "sheet_mood"), "good");
    bp_text_free(&out);
    bp_text_free(&own);
}

static void csv_neutralises_formulas_and_keeps_every_row_whole(void **state)
{
    static struct record names, row;
    struct bp_text out;
    size_t rows = 0, hostile = 0;
    (void)state;
    bp_text_init(&out);
    put_csv(&out);
    for (const char *at = record_read(out.data, &names); *at != '\0'; rows++) {
        at = record_read(at, &row);
        assert_int_equal(row.count, names.count);
        for (size_t i = 0; i < row.count; i++) {
            char c = row.cells[i][0];
            char *end;
            bool number = c == '-' && (strtol(row.cells[i], &end, 10), end > row.cells[i]);
            assert_true(number || c == '\0' || strchr("=+-@\t\r", c) == NULL);
        }
        if (strcmp(record_cell(&names, &row, "lifter"), "'" HOSTILE_FORMULA) == 0) {
            assert_string_equal(record_cell(&names, &row, "sheet_=1+1"), "'@SUM(A1)");
            assert_string_equal(record_cell(&names, &row, "sheet_mood"), "so, \"so\"\nlike");
            assert_string_equal(record_cell(&names, &row, "date"), "");
            hostile++;
        }
    }
    assert_int_equal(rows, 7 * PLANNED_REPS); /* none of the set that failed */
    assert_int_equal(hostile, PLANNED_REPS);
    bp_text_free(&out);
}

static void json_lines_are_the_sets_documents_with_what_the_sheet_says(void **state)
{
    struct bp_text out;
    size_t lines = 0;
    (void)state;
    bp_text_init(&out);
    put_jsonl(&out);
    for (char *line = strtok(out.data, "\n"); line != NULL; line = strtok(NULL, "\n"), lines++) {
        json_t *root = json_loads(line, JSON_REJECT_DUPLICATES, NULL);
        struct bp_text own;
        assert_non_null(root);
        const json_t *sheet = json_object_get(root, "sheet");
        assert_string_equal(json_string_value(json_object_get(sheet, "id")), made.planned.sets[lines].id);
        const json_t *extra = json_array_get(json_object_get(sheet, "extra"), 1);
        assert_string_equal(json_string_value(json_object_get(extra, "name")), "mood");
        assert_string_equal(json_string_value(json_object_get(extra, "value")),
                            made.planned.rows[lines].extra[1]);
        /* without it, it is the document of `set` */
        json_object_del(root, "sheet");
        bp_text_init(&own);
        bp_report_set_json(&made.planned.sets[lines].summary, false, &own);
        json_t *plain = json_loadb(own.data, own.length, 0, NULL);
        assert_true(json_equal(root, plain));
        bp_text_free(&own);
        json_decref(plain);
        json_decref(root);
    }
    assert_int_equal(lines, 7);
    bp_text_free(&out);
}

static void block_json_of_one_lifter_holds_that_lifter_alone(void **state)
{
    struct bp_text out;
    (void)state;
    bp_text_init(&out);
    bp_report_block_json(&made.survey, "L1", false, &out);
    json_t *root = json_loadb(out.data, out.length, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(root);
    assert_int_equal(json_array_size(json_object_get(root, "sets")), 6);
    assert_int_equal(json_array_size(json_object_get(root, "series")), 2);
    assert_int_equal(json_array_size(json_object_get(root, "failed")), 0);
    assert_int_equal(json_integer_value(json_object_get(json_object_get(root, "counts"), "measured")), 6);
    const json_t *trends = json_object_get(json_array_get(json_object_get(root, "series"), 1), "trends");
    const json_t *speed = json_array_get(trends, 0);
    assert_int_equal(json_array_size(json_object_get(speed, "points")), 3);
    const json_t *point = json_object_get(json_array_get(json_object_get(speed, "points"), 1), "figure");
    assert_true(fabs(json_number_value(json_object_get(point, "value")) - 0.512) < 1e-9);
    json_decref(root);
    bp_text_free(&out);
}

static void block_json_says_what_was_not_measured_and_why(void **state)
{
    struct bp_text out;
    (void)state;
    bp_text_init(&out);
    put_block(&out);
    json_t *root = json_loadb(out.data, out.length, JSON_REJECT_DUPLICATES, NULL);
    const json_t *failed = json_array_get(json_object_get(root, "failed"), 0);
    assert_string_equal(json_string_value(json_object_get(failed, "lifter")), "L3");
    assert_string_equal(json_string_value(json_object_get(failed, "text")), "no rep in the log");
    const json_t *first = json_array_get(json_object_get(root, "sets"), 0);
    assert_string_equal(json_string_value(json_array_get(json_object_get(first, "reservations"), 0)),
                        "a gap of 0.4 s");
    assert_string_equal(json_string_value(json_object_get(first, "target")), "over");
    json_decref(root);
    bp_text_free(&out);
}

static void a_failed_allocation_fails_the_text(void **state)
{
    (void)state;
    survive_check(put_csv);
    survive_check(put_jsonl);
    survive_check(put_block);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(csv_has_the_sheets_columns_before_the_sets, set_up, tear_down),
        cmocka_unit_test_setup_teardown(csv_neutralises_formulas_and_keeps_every_row_whole, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(json_lines_are_the_sets_documents_with_what_the_sheet_says, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(block_json_of_one_lifter_holds_that_lifter_alone, set_up, tear_down),
        cmocka_unit_test_setup_teardown(block_json_says_what_was_not_measured_and_why, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_failed_allocation_fails_the_text, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
