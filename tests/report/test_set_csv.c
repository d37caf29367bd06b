/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/report.h"
#include "report/expected.h"
#include "report/samples.h"
#include "report/survive.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <stdlib.h>
#include <string.h>

enum { CELLS_MOST = 300, CELL_BYTES = 600 };

static void put_sample(struct bp_text *out)
{
    struct sample sample;
    bp_report_set_csv_header(out);
    sample_full(&sample);
    bp_report_set_csv(&sample.summary, out);
    sample_bare(&sample);
    bp_report_set_csv(&sample.summary, out);
}

/* RFC 4180: one record at text into cells; returns where the next begins. */
static const char *read_record(const char *text, char (*cells)[CELL_BYTES], size_t *count)
{
    bool quoted = false;
    size_t length = 0;
    *count = 0;
    for (;; text++) {
        if (quoted && text[0] == '"' && text[1] == '"') {
            cells[*count][length++] = *++text;
        } else if (*text == '"') {
            quoted = !quoted;
        } else if (*text == '\0' || (!quoted && (*text == ',' || *text == '\n'))) {
            cells[*count][length] = '\0';
            ++*count;
            length = 0;
            if (*text != ',') {
                return *text == '\0' ? text : text + 1;
            }
        } else {
            cells[*count][length++] = *text;
        }
        assert_true(*count < CELLS_MOST && length < CELL_BYTES);
    }
}

struct records {
    char names[CELLS_MOST][CELL_BYTES], cells[CELLS_MOST][CELL_BYTES];
    size_t count;
};

static const char *cell(const struct records *records, const char *name)
{
    for (size_t i = 0; i < records->count; i++) {
        if (strcmp(records->names[i], name) == 0) {
            return records->cells[i];
        }
    }
    fail_msg("no column %s", name);
    return NULL;
}

static void set_csv_is_one_header_and_a_row_a_rep(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    put_sample(&out);
    expected_check("report/set_two.csv", &out);
    struct records *records = calloc(1, sizeof *records);
    assert_non_null(records);
    const char *at = read_record(out.data, records->names, &records->count);
    size_t rows = 0, cells = 0;
    for (; *at != '\0'; rows++) {
        at = read_record(at, records->cells, &cells);
        assert_int_equal(cells, records->count);
    }
    assert_int_equal(rows, SAMPLE_REPS + 1);
    free(records);
    bp_text_free(&out);
}

static void set_csv_names_every_column_once(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    bp_report_set_csv_header(&out);
    struct records *records = calloc(1, sizeof *records);
    assert_non_null(records);
    read_record(out.data, records->names, &records->count);
    for (size_t i = 0; i < records->count; i++) {
        assert_string_not_equal(records->names[i], "");
        for (size_t k = 0; k < i; k++) {
            assert_string_not_equal(records->names[i], records->names[k]);
        }
    }
    free(records);
    bp_text_free(&out);
}

static void set_csv_cells_hold_the_figures_under_their_names(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    bp_report_set_csv_header(&out);
    sample_full(&sample);
    bp_report_set_csv(&sample.summary, &out);
    struct records *records = calloc(1, sizeof *records);
    assert_non_null(records);
    size_t cells = 0;
    const char *at = read_record(out.data, records->names, &records->count);
    at = read_record(at, records->cells, &cells);
    read_record(at, records->cells, &cells); /* the second rep */
    assert_string_equal(cell(records, "path"), "harbour/l1-bench-chains.csv");
    assert_string_equal(cell(records, "setup"), "chains, 2 x 8 kg");
    assert_string_equal(cell(records, "findings"), "gap jitter");
    assert_string_equal(cell(records, "index"), "2");
    assert_string_equal(cell(records, "mean_velocity_m_s"), "0.4200");
    assert_string_equal(cell(records, "mean_velocity_m_s_low"), "0.4158");
    assert_string_equal(cell(records, "mean_velocity_m_s_high"), "0.4242");
    assert_string_equal(cell(records, "sticking"), "true");
    assert_string_equal(cell(records, "sticking_end_pct"), "52.00");
    assert_string_equal(cell(records, "range1_name"), "off the chest");
    assert_string_equal(cell(records, "range3_shake_mm"), "2.300");
    assert_string_equal(cell(records, "range2_load_kg"), "103.00");
    assert_string_equal(cell(records, "range2_force_n_high"), "1079.5");
    assert_string_equal(cell(records, "peak_power_w"), "564.9");
    assert_string_equal(cell(records, "set_load_lockout_kg_low"), "113.80");
    assert_string_equal(cell(records, "set_velocity_loss_pct"), "17.80");
    free(records);
    bp_text_free(&out);
}

/* Left alone but for the apostrophe and invalid UTF-8, the text comes back out of its cell whole. */
static void set_csv_text_cannot_become_a_formula_or_a_second_row(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    bp_report_set_csv_header(&out);
    sample_hostile(&sample);
    sample.summary.rep_count = 1;
    bp_report_set_csv(&sample.summary, &out);
    struct records *records = calloc(1, sizeof *records);
    assert_non_null(records);
    size_t cells = 0;
    const char *at = read_record(out.data, records->names, &records->count);
    at = read_record(at, records->cells, &cells);
    assert_int_equal(*at, '\0');
    assert_int_equal(cells, records->count);
    assert_string_equal(cell(records, "path"),
                        "'=cmd|'/c x'!A1,\"q\"\n\033[2J\\\xEF\xBF\xBD\xEF\xBF\xBD\xC3\xA9.csv");
    assert_string_equal(cell(records, "setup"), "'@chains\r\t\xC2\x9B\xEF\xBF\xBD");
    free(records);
    bp_text_free(&out);
}

static void set_csv_neutralises_each_first_character_and_no_number(void **state)
{
    (void)state;
    static const char firsts[] = "=+-@";
    for (size_t i = 0; i < sizeof firsts - 1; i++) {
        struct bp_text out;
        struct sample sample;
        bp_text_init(&out);
        sample_bare(&sample);
        sample.summary.set.setup[0] = firsts[i];
        sample.reps[0].smoothness = bp_quantity_plain(-3.5);
        bp_report_set_csv(&sample.summary, &out);
        const char wanted[] = {',', '\'', firsts[i], ',', '\0'};
        assert_non_null(strstr(out.data, wanted));
        assert_non_null(strstr(out.data, ",-3.500,"));
        assert_memory_equal(out.data, "'-,", 3); /* the path "-" is text too */
        bp_text_free(&out);
    }
}

static void set_csv_row_may_begin_with_an_empty_cell(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_bare(&sample);
    sample.summary.log.path[0] = '\0';
    bp_report_set_csv(&sample.summary, &out);
    assert_memory_equal(out.data, ",6840,", 6);
    bp_text_free(&out);
}

static void set_csv_survives_each_allocation_failing(void **state)
{
    (void)state;
    survive_check(put_sample);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_csv_is_one_header_and_a_row_a_rep),
        cmocka_unit_test(set_csv_names_every_column_once),
        cmocka_unit_test(set_csv_cells_hold_the_figures_under_their_names),
        cmocka_unit_test(set_csv_text_cannot_become_a_formula_or_a_second_row),
        cmocka_unit_test(set_csv_neutralises_each_first_character_and_no_number),
        cmocka_unit_test(set_csv_row_may_begin_with_an_empty_cell),
        cmocka_unit_test(set_csv_survives_each_allocation_failing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
