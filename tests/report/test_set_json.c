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

#include <string.h>

static void put_sample(struct bp_text *out)
{
    struct sample sample;
    sample_full(&sample);
    bp_report_set_json(&sample.summary, true, out);
}

static void set_json_of_a_full_set_is_as_documented(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    put_sample(&out);
    expected_check("report/set_full.json", &out);
    bp_text_free(&out);
}

static void set_json_lines_hold_one_document_a_line(void **state)
{
    (void)state;
    struct sample sample;
    struct bp_text out;
    bp_text_init(&out);
    sample_bare(&sample);
    bp_report_set_json(&sample.summary, false, &out);
    sample_hostile(&sample);
    bp_report_set_json(&sample.summary, false, &out);
    size_t lines = 0;
    for (const char *c = out.data; (c = strchr(c, '\n')) != NULL; c++) {
        lines++;
    }
    assert_int_equal(lines, 2);
    assert_int_equal(out.data[out.length - 1], '\n');
    expected_check("report/set_two.jsonl", &out);
    bp_text_free(&out);
}

static void set_json_survives_each_allocation_failing(void **state)
{
    (void)state;
    survive_check(put_sample);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_json_of_a_full_set_is_as_documented),
        cmocka_unit_test(set_json_lines_hold_one_document_a_line),
        cmocka_unit_test(set_json_survives_each_allocation_failing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
