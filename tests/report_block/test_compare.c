/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/survive.h"
#include "report/utf8.h"
#include "report_block/hostile.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <jansson.h>
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

static void put_text(struct bp_text *out)
{
    const struct bp_report_settings plain = {false, 0};
    bp_report_compare_text(&made.survey, &plain, out);
}

static void put_json(struct bp_text *out)
{
    bp_report_compare_json(&made.survey, true, out);
}

static void put_csv(struct bp_text *out)
{
    bp_report_compare_csv_header(out);
    bp_report_compare_csv(&made.survey, out);
}

static const struct bp_survey_figure *speed(void)
{
    return &made.survey.comparisons[0].figures[0];
}

static void text_says_the_loads_before_any_figure(void **state)
{
    struct bp_text out;
    (void)state;
    bp_text_init(&out);
    put_text(&out);
    const char *pair = strstr(out.data, "straight and chains\n");
    assert_non_null(pair);
    const char *loads = strstr(pair, "at the bottom"), *first = strstr(pair, "Mean velocity: ");
    assert_true(loads != NULL && first != NULL && loads < first);
    assert_non_null(strstr(out.data, "coaching"));
    assert_non_null(strstr(out.data, "no rep in the log"));
    bp_text_free(&out);
}

static void text_stays_within_80_columns(void **state)
{
    struct bp_text out;
    (void)state;
    bp_text_init(&out);
    put_text(&out);
    for (char *line = strtok(out.data, "\n"); line != NULL; line = strtok(NULL, "\n")) {
        /* a name without a space cannot be broken, and a pair of them is a heading */
        if (strstr(line, "script") == NULL && bp_utf8_width(line) > 80) {
            fail_msg("%zu columns: %s", bp_utf8_width(line), line);
        }
    }
    bp_text_free(&out);
}

static json_t *parsed(void)
{
    struct bp_text out;
    json_error_t error;
    bp_text_init(&out);
    put_json(&out);
    json_t *root = json_loadb(out.data, out.length, JSON_REJECT_DUPLICATES, &error);
    assert_non_null(root);
    bp_text_free(&out);
    return root;
}

static double number(const json_t *object, const char *key, const char *end)
{
    return json_number_value(json_object_get(json_object_get(object, key), end));
}

static void json_holds_the_surveys_numbers(void **state)
{
    (void)state;
    json_t *root = parsed();
    assert_string_equal(json_string_value(json_object_get(root, "schema")), "barplumb.compare/1");
    const json_t *comparison = json_array_get(json_object_get(root, "comparisons"), 0);
    const json_t *figure = json_array_get(json_object_get(comparison, "figures"), 0);
    const json_t *pair = json_array_get(json_object_get(figure, "pairs"), 0);
    const struct bp_compare_pair *truth = &speed()->result.pairs[0];
    assert_string_equal(json_string_value(json_object_get(figure, "name")), "mean_velocity_m_s");
    assert_true(fabs(number(pair, "difference", "value") - truth->difference.value) <= 0.5e-5);
    assert_true(fabs(number(pair, "difference_all", "low") - truth->difference_all.low) <= 0.5e-5);
    assert_true(fabs(number(pair, "ratio_all", "high") - truth->ratio_all.high) <= 0.5e-5);
    assert_string_equal(json_string_value(json_object_get(pair, "verdict")), "less");
    assert_string_equal(json_string_value(json_object_get(pair, "sentence")), speed()->sentences[0]);
    const json_t *groups = json_object_get(comparison, "groups");
    assert_string_equal(json_string_value(json_object_get(json_array_get(groups, 2), "name")),
                        HOSTILE_MARKUP);
    assert_true(json_is_null(json_object_get(json_array_get(groups, 2), "load_low_kg")));
    json_decref(root);
}

static void csv_has_a_row_for_each_figure_and_pair(void **state)
{
    static struct record names, row;
    struct bp_text out;
    size_t rows = 0;
    (void)state;
    bp_text_init(&out);
    put_csv(&out);
    const struct bp_survey_comparison *c = &made.survey.comparisons[0];
    for (const char *at = record_read(out.data, &names); *at != '\0'; rows++) {
        at = record_read(at, &row);
        assert_int_equal(row.count, names.count);
        const struct bp_survey_figure *figure = &c->figures[rows / c->pair_count];
        double low, wanted = figure->result.pairs[rows % c->pair_count].difference_all.low;
        const char *cell = record_cell(&names, &row, "difference_all_low");
        assert_string_equal(record_cell(&names, &row, "figure"), figure->key);
        if (isnan(wanted)) {
            assert_string_equal(cell, "");
        } else {
            assert_true(bp_number_read(cell, strlen(cell), '.', &low) > 0 && fabs(low - wanted) <= 0.5e-5);
        }
    }
    assert_int_equal(rows, c->figure_count * c->pair_count);
    bp_text_free(&out);
}

static void nothing_measured_is_said(void **state)
{
    struct bp_block empty = {0};
    struct bp_survey survey;
    struct bp_text out;
    const struct bp_report_settings plain = {false, 0};
    (void)state;
    bp_text_init(&out);
    assert_int_equal(bp_survey_block(&empty, NULL, &made.arena, &survey, NULL), BP_OK);
    bp_report_compare_text(&survey, &plain, &out);
    assert_non_null(strstr(out.data, "nothing to compare"));
    bp_text_free(&out);
}

static void a_failed_allocation_fails_the_text(void **state)
{
    (void)state;
    survive_check(put_text);
    survive_check(put_json);
    survive_check(put_csv);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(text_says_the_loads_before_any_figure, set_up, tear_down),
        cmocka_unit_test_setup_teardown(text_stays_within_80_columns, set_up, tear_down),
        cmocka_unit_test_setup_teardown(json_holds_the_surveys_numbers, set_up, tear_down),
        cmocka_unit_test_setup_teardown(csv_has_a_row_for_each_figure_and_pair, set_up, tear_down),
        cmocka_unit_test_setup_teardown(nothing_measured_is_said, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_failed_allocation_fails_the_text, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
