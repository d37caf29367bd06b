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

static const struct bp_report_settings plain = {false, 0};

static void put_sample(struct bp_text *out)
{
    struct sample_check sample;
    sample_check(&sample);
    bp_report_check_text("harbour/l1-bench-chains.csv", &sample.trace, &sample.check, &plain, out);
    bp_report_check_json("harbour/l1-bench-chains.csv", &sample.trace, &sample.check, true, out);
}

static void check_report_is_as_documented(void **state)
{
    (void)state;
    struct bp_text out;
    bp_text_init(&out);
    put_sample(&out);
    expected_check("report/check.txt", &out);
    bp_text_free(&out);
}

static void check_json_on_one_line_is_one_line(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample_check sample;
    bp_text_init(&out);
    sample_check(&sample);
    bp_report_check_json("a\nb", &sample.trace, &sample.check, false, &out);
    assert_ptr_equal(strchr(out.data, '\n'), out.data + out.length - 1);
    bp_text_free(&out);
}

static void check_text_of_a_log_without_gravity_or_gyroscope(void **state)
{
    (void)state;
    struct bp_text out;
    struct sample_check sample;
    bp_text_init(&out);
    sample_check(&sample);
    sample.trace.gravity_removed = true;
    sample.trace.gyroscope = false;
    sample.check.clipped = 0;
    sample.check.stuck[4] = false;
    sample.check.verdict = BP_NOT_FIT;
    bp_report_check_text("x.csv", &sample.trace, &sample.check, &plain, &out);
    assert_memory_equal(out.data, "x.csv: not fit\n", 15);
    assert_non_null(strstr(out.data, "taken out by the phone"));
    assert_non_null(strstr(out.data, "gyroscope   no\n"));
    assert_null(strstr(out.data, "rad/s a sample"));
    assert_null(strstr(out.data, "clipped  "));
    assert_null(strstr(out.data, "stuck"));
    bp_text_free(&out);
}

static void check_report_survives_each_allocation_failing(void **state)
{
    (void)state;
    survive_check(put_sample);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_report_is_as_documented),
        cmocka_unit_test(check_json_on_one_line_is_one_line),
        cmocka_unit_test(check_text_of_a_log_without_gravity_or_gyroscope),
        cmocka_unit_test(check_report_survives_each_allocation_failing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
