/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The page as bytes: what stands in it and what cannot. That it works is for tests/page, with a browser.
 */
#include "barplumb/report.h"
#include "report/samples.h"
#include "report/survive.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

/* The page of summary; freed by the caller. */
static struct bp_text page_of(const struct bp_summary *summary, const struct bp_page_settings *settings)
{
    struct bp_text out;
    struct bp_error error;
    bp_text_init(&out);
    assert_int_equal(bp_report_set_html(summary, settings, &out, &error), BP_OK);
    assert_true(!out.failed);
    return out;
}

static size_t count_of(const char *text, const char *wanted)
{
    size_t count = 0;
    for (; (text = strstr(text, wanted)) != NULL; text += strlen(wanted)) {
        count++;
    }
    return count;
}

/* The data block of that name, up to the end of its element, in a buffer of its own. */
static void block_of(const struct bp_text *page, const char *name, struct bp_text *block)
{
    char open[80];
    snprintf(open, sizeof open, "<script type=\"application/json\" id=\"barplumb-%s\">", name);
    const char *from = strstr(page->data, open);
    assert_non_null(from);
    from += strlen(open);
    const char *to = strstr(from, "</script>");
    assert_non_null(to);
    bp_text_init(block);
    bp_text_put_bytes(block, from, (size_t)(to - from));
}

static void page_holds_the_json_of_the_set_and_every_part(void **state)
{
    (void)state;
    struct sample sample;
    struct bp_text json, block;
    sample_full(&sample);
    struct bp_text page = page_of(&sample.summary, NULL);
    bp_text_init(&json);
    bp_report_set_json(&sample.summary, false, &json);
    block_of(&page, "set", &block);
    assert_string_equal(block.data, json.data); /* nothing in this sample needs an escape */
    assert_int_equal(strncmp(page.data, "<!doctype html>", 15), 0);
    assert_null(strstr(page.data, "{{title}}"));
    assert_non_null(strstr(page.data, "<title>bench, chains, 2 x 8 kg: l1-bench-chains.csv</title>"));
    assert_non_null(strstr(page.data, "How fast")); /* the text report, for a reader without scripts */
    assert_non_null(
        strstr(page.data, "Permission is hereby granted")); /* the chart library's licence asks for it */
    bp_text_free(&block);
    bp_text_free(&json);
    bp_text_free(&page);
}

static void nothing_but_its_own_script_may_run_or_be_fetched(void **state)
{
    (void)state;
    struct sample sample;
    sample_full(&sample);
    struct bp_text page = page_of(&sample.summary, NULL);
    const char *policy = strstr(page.data, "Content-Security-Policy");
    assert_non_null(policy);
    const char *first = strstr(page.data, "<script");
    assert_true(policy < strstr(page.data, "<style>") && policy < first);
    assert_non_null(strstr(policy, "default-src 'none'; script-src 'sha256-"));
    assert_non_null(strstr(policy, "; style-src 'sha256-"));
    assert_int_equal(count_of(page.data, "unsafe-"), 0);
    assert_int_equal(count_of(page.data, "src=\""), 0);
    assert_int_equal(count_of(page.data, "href=\""), 0);
    assert_int_equal(count_of(page.data, "<script"), 4); /* three blocks of data and the script */
    assert_int_equal(count_of(page.data, "</script"), 4);
    bp_text_free(&page);
}

static void hostile_names_cannot_leave_their_place(void **state)
{
    (void)state;
    struct sample sample;
    sample_full(&sample);
    snprintf(sample.summary.log.path, sizeof sample.summary.log.path,
             "gym/</script><!--<script>\xE2\x80\xA8\"'&\x80<b>.csv");
    snprintf(sample.summary.set.setup, sizeof sample.summary.set.setup,
             "</title></style></noscript><i>{{set}}");
    const struct bp_page_settings settings = {.lifter = "</script><img src=x onerror=alert(1)>"};
    struct bp_text page = page_of(&sample.summary, &settings), block;
    assert_int_equal(count_of(page.data, "<script"), 4);
    assert_int_equal(count_of(page.data, "</script"), 4);
    assert_int_equal(count_of(page.data, "<!--"), 0);
    assert_int_equal(count_of(page.data, "</noscript"), 1);
    assert_int_equal(count_of(page.data, "</title"), 1);
    assert_int_equal(count_of(page.data, "</style"), 1);
    assert_int_equal(count_of(page.data, "<img"), 0);
    assert_int_equal(count_of(page.data, "<i>"), 0);
    assert_int_equal(count_of(page.data, "<b>"), 0);
    assert_non_null(strstr(page.data, "&lt;/title&gt;&lt;/style&gt;&lt;/noscript&gt;&lt;i&gt;{{set}}"));
    block_of(&page, "set", &block);
    assert_non_null(strstr(block.data,
                           "gym/\\u003c/script\\u003e\\u003c!--\\u003cscript\\u003e\\u2028\\\"'\\u0026"
                           "\xEF\xBF\xBD\\u003cb\\u003e.csv"));
    assert_null(strchr(block.data, '<'));
    bp_text_free(&block);
    block_of(&page, "about", &block);
    assert_non_null(
        strstr(block.data, "\"lifter\":\"\\u003c/script\\u003e\\u003cimg src=x onerror=alert(1)\\u003e\""));
    bp_text_free(&block);
    bp_text_free(&page);
}

static void a_set_without_traces_has_none_in_its_page(void **state)
{
    (void)state;
    struct sample sample;
    struct bp_text block;
    sample_bare(&sample);
    struct bp_text page = page_of(&sample.summary, NULL);
    block_of(&page, "traces", &block);
    assert_string_equal(block.data, "null");
    bp_text_free(&block);
    bp_text_free(&page);
}

static struct bp_traces three_points(void)
{
    static double time[3] = {1, 1.02, 1.0407}, value[3] = {0.1, -0.00004, 0.3}, low[3], high[3], none[3];
    static double density[2] = {0.25, 12.3456};
    for (int i = 0; i < 3; i++) {
        low[i] = i == 1 ? value[i] - 0.01 : (double)NAN;
        high[i] = i == 1 ? value[i] + 0.01 : (double)NAN;
        none[i] = (double)NAN;
    }
    const struct bp_record known = {value, low, high}, unknown = {none, none, none};
    return (struct bp_traces){.count = 3,
                              .time_s = time,
                              .height_m = known,
                              .speed_m_s = known,
                              .shake_mm = unknown,
                              .shake_mm_s = unknown,
                              .spectrum_count = 2,
                              .spectrum_step_hz = 0.1,
                              .spectrum_mm2_s2_hz = density};
}

static void where_there_is_no_interval_the_page_gets_none(void **state)
{
    (void)state;
    struct sample sample;
    struct bp_text block;
    struct bp_traces traces = three_points();
    sample_full(&sample);
    sample.summary.traces = &traces;
    struct bp_text page = page_of(&sample.summary, NULL);
    block_of(&page, "traces", &block);
    assert_string_equal(
        block.data,
        "{\"time_s\":[1.000,1.020,1.041],"
        "\"height_m\":{\"value\":[0.1000,0.0000,0.3000],\"low\":[null,-0.0100,null],\"high\":[null,0.0100,"
        "null]},"
        "\"speed_m_s\":{\"value\":[0.1000,0.0000,0.3000],\"low\":[null,-0.0100,null],\"high\":[null,0.0100,"
        "null]},"
        "\"shake_mm\":{\"value\":[null,null,null],\"low\":[null,null,null],\"high\":[null,null,null]},"
        "\"shake_mm_s\":{\"value\":[null,null,null],\"low\":[null,null,null],\"high\":[null,null,null]},"
        "\"spectrum\":{\"step_hz\":0.10,\"density\":[0.250,12.346]}}\n");
    bp_text_free(&block);
    bp_text_free(&page);
}

static void a_set_without_reps_is_a_page_all_the_same(void **state)
{
    (void)state;
    struct sample sample;
    struct bp_text block;
    sample_bare(&sample);
    sample.summary.rep_count = 0;
    sample.summary.reps = NULL;
    struct bp_text page = page_of(&sample.summary, NULL);
    block_of(&page, "set", &block);
    assert_non_null(strstr(block.data, "\"reps\":[]"));
    bp_text_free(&block);
    bp_text_free(&page);
}

static void pages_may_share_one_script_and_style(void **state)
{
    (void)state;
    struct sample sample;
    const struct bp_page_settings settings = {.assets = "assets/\"&/"};
    struct bp_page_file script = bp_report_page_file(BP_PAGE_SCRIPT),
                        style = bp_report_page_file(BP_PAGE_STYLE);
    sample_full(&sample);
    struct bp_text whole = page_of(&sample.summary, NULL), page = page_of(&sample.summary, &settings);
    assert_string_equal(script.name, "barplumb.js");
    assert_string_equal(style.name, "barplumb.css");
    assert_true(script.count > 10000 && style.count > 1000);
    assert_true(whole.length > page.length + script.count);
    assert_non_null(strstr(page.data, "script-src 'self'; style-src 'self'"));
    assert_non_null(strstr(page.data, "<script src=\"assets/&quot;&amp;/barplumb.js\"></script>"));
    assert_non_null(strstr(page.data, "<link rel=\"stylesheet\" href=\"assets/&quot;&amp;/barplumb.css\">"));
    assert_int_equal(count_of(page.data, "<style"), 0);
    bp_text_free(&whole);
    bp_text_free(&page);
}

static void put_sample(struct bp_text *out)
{
    struct sample sample;
    struct bp_error error;
    struct bp_traces traces = three_points();
    sample_hostile(&sample);
    sample.summary.traces = &traces;
    assert_int_equal(bp_report_set_html(&sample.summary, NULL, out, &error), BP_OK);
}

static void page_survives_each_allocation_failing(void **state)
{
    (void)state;
    survive_check(put_sample);
}

static void a_build_without_the_page_says_so(void **state)
{
    (void)state;
    struct sample sample;
    struct bp_text out;
    struct bp_error error;
    sample_full(&sample);
    bp_text_init(&out);
    assert_int_equal(bp_report_set_html(&sample.summary, NULL, &out, &error), BP_ERR_ARGUMENT);
    assert_int_equal(error.code, BP_ERR_ARGUMENT);
    assert_non_null(strstr(error.text, "without its page"));
    assert_int_equal(out.length, 0);
    assert_int_equal(bp_report_page_file(BP_PAGE_SCRIPT).count, 0);
}

int main(void)
{
    const struct CMUnitTest with[] = {
        cmocka_unit_test(page_holds_the_json_of_the_set_and_every_part),
        cmocka_unit_test(nothing_but_its_own_script_may_run_or_be_fetched),
        cmocka_unit_test(hostile_names_cannot_leave_their_place),
        cmocka_unit_test(a_set_without_traces_has_none_in_its_page),
        cmocka_unit_test(where_there_is_no_interval_the_page_gets_none),
        cmocka_unit_test(a_set_without_reps_is_a_page_all_the_same),
        cmocka_unit_test(pages_may_share_one_script_and_style),
        cmocka_unit_test(page_survives_each_allocation_failing),
    };
    const struct CMUnitTest without[] = {cmocka_unit_test(a_build_without_the_page_says_so)};
    return bp_report_has_page() ? cmocka_run_group_tests(with, NULL, NULL)
                                : cmocka_run_group_tests(without, NULL, NULL);
}
