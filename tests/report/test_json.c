/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static void expect_written(const char *value, const char *wanted)
{
    struct bp_text out;
    struct bp_json json;
    bp_text_init(&out);
    bp_json_init(&json, false, &out);
    bp_json_open(&json, NULL, '[');
    bp_json_string(&json, NULL, value);
    bp_json_close(&json, ']');
    assert_string_equal(out.data, wanted);
    bp_text_free(&out);
}

static void json_escapes_what_must_be_escaped(void **state)
{
    (void)state;
    expect_written("", "[\"\"]\n");
    expect_written("plain / text", "[\"plain / text\"]\n");
    expect_written("\"\\", "[\"\\\"\\\\\"]\n");
    expect_written("\b\f\n\r\t", "[\"\\b\\f\\n\\r\\t\"]\n");
    expect_written("\001\033\037", "[\"\\u0001\\u001b\\u001f\"]\n");
    expect_written("\xC3\xA9 \xE2\x96\x88", "[\"\xC3\xA9 \xE2\x96\x88\"]\n");
}

static void json_replaces_invalid_utf8(void **state)
{
    (void)state;
    expect_written("a\xFFz", "[\"a\xEF\xBF\xBDz\"]\n");
    expect_written("\xE2\x96", "[\"\xEF\xBF\xBD\"]\n");
    expect_written("\xE2\x96\"", "[\"\xEF\xBF\xBD\\\"\"]\n");
    expect_written("\xC0\xAF", "[\"\xEF\xBF\xBD\xEF\xBF\xBD\"]\n");
}

static void put_everything(struct bp_json *json)
{
    const struct bp_quantity measured = {0.5124, 0.50437, 0.52}, endless = {(double)INFINITY, 0.0, 0.0};
    bp_json_open(json, NULL, '{');
    bp_json_null(json, "n");
    bp_json_bool(json, "b", true);
    bp_json_count(json, "c", 7);
    bp_json_number(json, "x", -0.5, 2);
    bp_json_number(json, "nan", (double)NAN, 2);
    bp_json_number(json, "inf", (double)-INFINITY, 2);
    bp_json_quantity(json, "q", measured, 3);
    bp_json_quantity(json, "plain", bp_quantity_plain(1.0), 1);
    bp_json_quantity(json, "unknown", bp_quantity_unknown(), 1);
    bp_json_quantity(json, "endless", endless, 1);
    bp_json_open(json, "empty", '[');
    bp_json_close(json, ']');
    bp_json_open(json, "list", '[');
    bp_json_count(json, NULL, 1);
    bp_json_open(json, NULL, '{');
    bp_json_close(json, '}');
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

static void json_on_one_line_has_no_space(void **state)
{
    (void)state;
    struct bp_text out;
    struct bp_json json;
    bp_text_init(&out);
    bp_json_init(&json, false, &out);
    put_everything(&json);
    assert_string_equal(out.data, "{\"n\":null,\"b\":true,\"c\":7,\"x\":-0.50,\"nan\":null,\"inf\":null,"
                                  "\"q\":{\"value\":0.512,\"low\":0.504,\"high\":0.520},"
                                  "\"plain\":{\"value\":1.0,\"low\":null,\"high\":null},"
                                  "\"unknown\":null,\"endless\":null,\"empty\":[],\"list\":[1,{}]}\n");
    bp_text_free(&out);
}

static void json_indented_keeps_a_quantity_on_one_line(void **state)
{
    (void)state;
    struct bp_text out;
    struct bp_json json;
    bp_text_init(&out);
    bp_json_init(&json, true, &out);
    put_everything(&json);
    assert_string_equal(out.data, "{\n  \"n\": null,\n  \"b\": true,\n  \"c\": 7,\n  \"x\": -0.50,\n"
                                  "  \"nan\": null,\n  \"inf\": null,\n"
                                  "  \"q\": {\"value\": 0.512, \"low\": 0.504, \"high\": 0.520},\n"
                                  "  \"plain\": {\"value\": 1.0, \"low\": null, \"high\": null},\n"
                                  "  \"unknown\": null,\n  \"endless\": null,\n  \"empty\": [],\n"
                                  "  \"list\": [\n    1,\n    {}\n  ]\n}\n");
    bp_text_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(json_escapes_what_must_be_escaped),
        cmocka_unit_test(json_replaces_invalid_utf8),
        cmocka_unit_test(json_on_one_line_has_no_space),
        cmocka_unit_test(json_indented_keeps_a_quantity_on_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
