/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/survive.h"
#include "report_block/hostile.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

static struct hostile made;
static const struct bp_block_page_settings linked = {"assets/", "sets/", "lifters/", "index.html",
                                                     "compare.html"};

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

static void put_compare(struct bp_text *out)
{
    assert_int_equal(bp_report_compare_html(&made.survey, &linked, out, NULL), BP_OK);
}

static void put_index(struct bp_text *out)
{
    assert_int_equal(bp_report_block_html(&made.survey, &linked, out, NULL), BP_OK);
}

static void put_hostile_lifter(struct bp_text *out)
{
    assert_int_equal(bp_report_lifter_html(&made.survey, 1, &linked, out, NULL), BP_OK);
}

static void (*const pages[])(struct bp_text *out) = {put_compare, put_index, put_hostile_lifter};
enum { PAGES = sizeof pages / sizeof *pages };

static size_t count_of(const char *text, const char *part)
{
    size_t count = 0;
    for (const char *at = text; (at = strstr(at, part)) != NULL; at++) {
        count++;
    }
    return count;
}

static void hostile_names_are_inert_on_every_page(void **state)
{
    (void)state;
    for (size_t p = 0; p < PAGES && bp_report_has_page(); p++) {
        struct bp_text page;
        bp_text_init(&page);
        pages[p](&page);
        assert_int_equal(count_of(page.data, "<script"), 3); /* two blocks of data and the script's file */
        assert_int_equal(count_of(page.data, "<img"), 0);
        assert_int_equal(count_of(page.data, "</noscript"), 1);
        assert_non_null(strstr(page.data, "&lt;script&gt;alert(1)"));       /* in the plain tables */
        assert_non_null(strstr(page.data, "\\u003cscript\\u003ealert(1)")); /* in the data */
        bp_text_free(&page);
    }
}

static void links_stay_in_the_blocks_folders(void **state)
{
    size_t links = 0;
    (void)state;
    for (size_t p = 0; p < PAGES && bp_report_has_page(); p++) {
        struct bp_text page;
        bp_text_init(&page);
        pages[p](&page);
        for (const char *at = page.data; (at = strstr(at, "href=\"")) != NULL; links++) {
            at += strlen("href=\"");
            size_t length = strcspn(at, "\""), plain = strspn(at, "abcdefghijklmnopqrstuvwxyz"
                                                                  "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/.");
            assert_true(plain >= length);
            assert_true(strncmp(at, "sets/", 5) == 0 || strncmp(at, "assets/", 7) == 0);
            assert_null(memchr(at, '.', 1));
        }
        bp_text_free(&page);
    }
    assert_true(!bp_report_has_page() || links > 8);
}

static void the_policy_lets_only_the_pages_own_script_run(void **state)
{
    struct bp_text page;
    (void)state;
    if (!bp_report_has_page()) {
        skip();
    }
    bp_text_init(&page);
    put_index(&page);
    assert_non_null(strstr(page.data, "default-src 'none'; script-src 'self'; style-src 'self'"));
    bp_text_free(&page);
    bp_text_init(&page);
    assert_int_equal(bp_report_compare_html(&made.survey, NULL, &page, NULL), BP_OK);
    assert_non_null(strstr(page.data, "script-src 'sha256-"));
    assert_int_equal(count_of(page.data, "href="),
                     count_of(page.data, "href=\"")); /* none by another quote */
    bp_text_free(&page);
}

static void a_reader_without_scripts_sees_the_main_numbers(void **state)
{
    struct bp_text page;
    (void)state;
    if (!bp_report_has_page()) {
        skip();
    }
    bp_text_init(&page);
    put_index(&page);
    const char *plain = strstr(page.data, "<noscript>"), *end = strstr(page.data, "</noscript>");
    const char *figure = strstr(plain, "<td>0.500 ±0.010 m/s</td>");
    assert_true(figure != NULL && figure < end);
    assert_non_null(strstr(plain, "Not measured: harbour/set.csv: no rep in the log"));
    bp_text_free(&page);
    bp_text_init(&page);
    put_compare(&page);
    assert_non_null(strstr(page.data, made.survey.comparisons[0].figures[0].sentences[0]));
    bp_text_free(&page);
}

static void lifters_pages_have_plain_and_different_names(void **state)
{
    struct bp_text names[3];
    (void)state;
    assert_int_equal(made.survey.lifter_count, 3);
    for (size_t l = 0; l < 3; l++) {
        bp_text_init(&names[l]);
        bp_report_lifter_page_name(&made.survey, l, &names[l]);
    }
    assert_string_equal(names[0].data, "lifter-1-L1.html");
    assert_string_equal(names[1].data, "lifter-2-HYPERLINKx1.html");
    assert_string_equal(names[2].data, "lifter-3-L3.html");
    for (size_t l = 0; l < 3; l++) {
        bp_text_free(&names[l]);
    }
}

static void there_is_no_page_of_a_lifter_who_is_not_there(void **state)
{
    struct bp_text page;
    struct bp_error error;
    (void)state;
    bp_text_init(&page);
    assert_int_equal(bp_report_lifter_html(&made.survey, 3, &linked, &page, &error), BP_ERR_ARGUMENT);
    assert_true(page.length == 0);
    bp_text_free(&page);
}

static void a_failed_allocation_fails_the_page(void **state)
{
    (void)state;
    for (size_t p = 0; p < PAGES && bp_report_has_page(); p++) {
        survive_check(pages[p]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(hostile_names_are_inert_on_every_page, set_up, tear_down),
        cmocka_unit_test_setup_teardown(links_stay_in_the_blocks_folders, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_policy_lets_only_the_pages_own_script_run, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_reader_without_scripts_sees_the_main_numbers, set_up, tear_down),
        cmocka_unit_test_setup_teardown(lifters_pages_have_plain_and_different_names, set_up, tear_down),
        cmocka_unit_test_setup_teardown(there_is_no_page_of_a_lifter_who_is_not_there, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_failed_allocation_fails_the_page, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
