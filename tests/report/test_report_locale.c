/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every writer once more under a locale that writes a decimal comma: the same bytes as under "C".
 */
#include "barplumb/report.h"
#include "base/comma_locale.h"
#include "report/expected.h"
#include "report/samples.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <locale.h>
#include <string.h>

static const struct bp_report_settings plain = {false, 0};

static int enter(void **state)
{
    (void)state;
    comma_locale_enter(); /* each test sees for itself whether it worked */
    return 0;
}

static int leave(void **state)
{
    (void)state;
    comma_locale_leave();
    return 0;
}

static void need_decimal_comma(void)
{
    if (strcmp(localeconv()->decimal_point, ",") != 0) {
        print_message("skipped: no decimal-comma locale can be made here\n");
        skip();
    }
}

static void set_json_is_the_same_under_a_decimal_comma(void **state)
{
    (void)state;
    need_decimal_comma();
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    bp_report_set_json(&sample.summary, true, &out);
    expected_check("report/set_full.json", &out);
    bp_text_free(&out);
}

static void set_csv_is_the_same_under_a_decimal_comma(void **state)
{
    (void)state;
    need_decimal_comma();
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    bp_report_set_csv_header(&out);
    sample_full(&sample);
    bp_report_set_csv(&sample.summary, &out);
    sample_bare(&sample);
    bp_report_set_csv(&sample.summary, &out);
    expected_check("report/set_two.csv", &out);
    bp_text_free(&out);
}

static void set_text_is_the_same_under_a_decimal_comma(void **state)
{
    (void)state;
    need_decimal_comma();
    struct bp_text out;
    struct sample sample;
    bp_text_init(&out);
    sample_full(&sample);
    bp_report_set_text(&sample.summary, &plain, &out);
    expected_check("report/set_full.txt", &out);
    bp_text_free(&out);
}

static void check_report_is_the_same_under_a_decimal_comma(void **state)
{
    (void)state;
    need_decimal_comma();
    struct bp_text out;
    struct sample_check sample;
    bp_text_init(&out);
    sample_check(&sample);
    bp_report_check_text("harbour/l1-bench-chains.csv", &sample.trace, &sample.check, &plain, &out);
    bp_report_check_json("harbour/l1-bench-chains.csv", &sample.trace, &sample.check, true, &out);
    expected_check("report/check.txt", &out);
    bp_text_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_json_is_the_same_under_a_decimal_comma),
        cmocka_unit_test(set_csv_is_the_same_under_a_decimal_comma),
        cmocka_unit_test(set_text_is_the_same_under_a_decimal_comma),
        cmocka_unit_test(check_report_is_the_same_under_a_decimal_comma),
    };
    return cmocka_run_group_tests(tests, enter, leave);
}
