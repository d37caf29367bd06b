/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/finding.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

static void findings_keep_what_was_added_in_order(void **state)
{
    (void)state;
    struct bp_findings findings = {0};
    bp_findings_add(&findings, "gap", BP_RESERVATION, 2.5, "%s s missing", "0.30");
    bp_findings_add(&findings, "no-gyroscope", BP_NOTE, (double)NAN, "no gyroscope");
    assert_int_equal(findings.count, 2);
    assert_string_equal(findings.list[0].code, "gap");
    assert_int_equal(findings.list[0].severity, BP_RESERVATION);
    assert_true(findings.list[0].at_s == 2.5);
    assert_string_equal(findings.list[0].text, "0.30 s missing");
    assert_true(isnan(findings.list[1].at_s));
}

static void findings_past_the_limit_are_counted(void **state)
{
    (void)state;
    struct bp_findings findings = {0};
    for (int i = 0; i < BP_FINDINGS_MAX + 5; i++) {
        bp_findings_add(&findings, "gap", BP_NOTE, i, "number %d", i);
    }
    assert_int_equal(findings.count, BP_FINDINGS_MAX);
    assert_int_equal(findings.dropped, 5);
    assert_string_equal(findings.list[BP_FINDINGS_MAX - 1].text, "number 63");
}

static void findings_long_text_is_cut_and_cleaned(void **state)
{
    (void)state;
    struct bp_findings findings = {0};
    char text[500];
    memset(text, 'x', sizeof text);
    text[3] = '\n';
    text[sizeof text - 1] = '\0';
    bp_findings_add(&findings, "long", BP_NOTE, 0.0, "%s", text);
    assert_int_equal(strlen(findings.list[0].text), BP_FINDING_TEXT - 1);
    assert_int_equal(findings.list[0].text[3], '?');
}

static void findings_worst_is_the_highest_severity(void **state)
{
    (void)state;
    struct bp_findings findings = {0};
    assert_int_equal(bp_findings_worst(&findings), BP_NOTE);
    bp_findings_add(&findings, "a", BP_RESERVATION, 0.0, "a");
    assert_int_equal(bp_findings_worst(&findings), BP_RESERVATION);
    bp_findings_add(&findings, "b", BP_REFUSAL, 0.0, "b");
    bp_findings_add(&findings, "c", BP_NOTE, 0.0, "c");
    assert_int_equal(bp_findings_worst(&findings), BP_REFUSAL);
}

static void severities_have_plain_names(void **state)
{
    (void)state;
    assert_string_equal(bp_severity_name(BP_NOTE), "note");
    assert_string_equal(bp_severity_name(BP_RESERVATION), "reservation");
    assert_string_equal(bp_severity_name(BP_REFUSAL), "refusal");
    assert_string_equal(bp_severity_name((enum bp_severity)9), "unknown");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(findings_keep_what_was_added_in_order),
        cmocka_unit_test(findings_past_the_limit_are_counted),
        cmocka_unit_test(findings_long_text_is_cut_and_cleaned),
        cmocka_unit_test(findings_worst_is_the_highest_severity),
        cmocka_unit_test(severities_have_plain_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
