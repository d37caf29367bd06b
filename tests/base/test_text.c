/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/text.h"
#include "base/failing_alloc.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

static void text_puts_join_into_one_terminated_string(void **state)
{
    (void)state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "bench");
    bp_text_put_char(&text, ' ');
    bp_text_put_count(&text, 5);
    bp_text_fill(&text, '-', 3);
    bp_text_put_bytes(&text, "xyz", 2);
    bp_text_put_number(&text, 1.005, 2);
    bp_text_put_number_in(&text, -2.5, 1, 7);
    bp_text_put_number_in(&text, 123456.0, 0, 3);
    assert_string_equal(text.data, "bench 5---xy1.00   -2.5123456");
    assert_int_equal(text.length, strlen(text.data));
    assert_false(text.failed);
    bp_text_free(&text);
    assert_null(text.data);
    assert_int_equal(text.length, 0);
}

static void text_counts_reach_the_largest_size(void **state)
{
    (void)state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put_count(&text, 0);
    bp_text_put_char(&text, ' ');
    bp_text_put_count(&text, SIZE_MAX);
    assert_string_equal(text.data, SIZE_MAX == UINT64_MAX ? "0 18446744073709551615" : "0 4294967295");
    bp_text_free(&text);
}

static void text_nothing_put_is_still_terminated(void **state)
{
    (void)state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put_bytes(&text, NULL, 0);
    bp_text_fill(&text, 'x', 0);
    assert_string_equal(text.data, "");
    bp_text_free(&text);
}

static void text_grows_past_many_doublings(void **state)
{
    (void)state;
    struct bp_text text;
    bp_text_init(&text);
    for (int i = 0; i < 100000; i++) {
        bp_text_put_char(&text, (char)('a' + i % 26));
    }
    assert_int_equal(text.length, 100000);
    for (int i = 0; i < 100000; i++) {
        assert_int_equal(text.data[i], 'a' + i % 26);
    }
    bp_text_free(&text);
}

/* Every allocation failed in turn: what went in before stays, later puts do nothing. */
static void text_keeps_what_it_had_when_memory_runs_out(void **state)
{
    (void)state;
    for (size_t nth = 0;; nth++) {
        struct bp_text text;
        bp_text_init(&text);
        failing_alloc_arm(nth);
        size_t before = 0;
        for (int i = 0; i < 300; i++) {
            before = text.failed ? before : text.length;
            bp_text_put(&text, "0123456789");
        }
        bool happened = failing_alloc_disarm();
        assert_int_equal(happened, text.failed);
        if (!happened) {
            assert_int_equal(text.length, 3000);
            bp_text_free(&text);
            assert_true(nth >= 4);
            return;
        }
        assert_int_equal(text.length, before);
        bp_text_fill(&text, 'x', 5);
        bp_text_put_count(&text, 5);
        bp_text_put_number(&text, 5.0, 1);
        assert_int_equal(text.length, before);
        for (size_t i = 0; i < before; i++) {
            assert_int_equal(text.data[i], '0' + i % 10);
        }
        bp_text_free(&text);
    }
}

static void text_refuses_a_length_no_memory_can_hold(void **state)
{
    (void)state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "kept");
    bp_text_fill(&text, 'x', SIZE_MAX / 2);
    assert_true(text.failed);
    assert_string_equal(text.data, "kept");
    bp_text_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_puts_join_into_one_terminated_string),
        cmocka_unit_test(text_counts_reach_the_largest_size),
        cmocka_unit_test(text_nothing_put_is_still_terminated),
        cmocka_unit_test(text_grows_past_many_doublings),
        cmocka_unit_test(text_keeps_what_it_had_when_memory_runs_out),
        cmocka_unit_test(text_refuses_a_length_no_memory_can_hold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
