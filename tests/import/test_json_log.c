/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What JSON logs come as, beside the plain shapes of test_variants.c and test_shapes.c: odd cells, odd names,
 * columns of unequal length, several sensors, and logs that break off.
 */
#include "base/comma_locale.h"
#include "import/support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROWS = 200, LONG = 300 };
static const double RATE = 50;

/* "t":…,"ax":…,"ay":…,"az":… of row i. */
static void put_reading(struct bp_text *text, int i)
{
    double v[3];
    motion_force(i / RATE, true, v);
    bp_text_put(text, "\"t\":");
    bp_text_put_number(text, i / RATE, 3);
    for (int a = 0; a < 3; a++) {
        char name[8];
        snprintf(name, sizeof name, ",\"a%c\":", "xyz"[a]);
        bp_text_put(text, name);
        bp_text_put_number(text, v[a], 6);
    }
}

/* Records with `more` in each, the first as `first` has it instead, and `end` behind them. */
static enum bp_code read_records(struct imported *in, const char *before, const char *first, const char *more,
                                 const char *end)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, before);
    for (int i = 0; i < ROWS; i++) {
        bp_text_put(&text, i > 0 ? ",\n{" : "{");
        put_reading(&text, i);
        bp_text_put(&text, i == 0 ? first : more);
        bp_text_put_char(&text, '}');
    }
    bp_text_put(&text, end);
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    return in->code;
}

static void assert_the_motion(const struct imported *in)
{
    if (in->code != BP_OK) {
        fail_msg("%s", in->error.text);
    }
    support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
}

static void cells_that_are_no_readings_stand_beside_them(void **state)
{
    struct imported *in = *state;
    static const char *const more[] = {
        ",\"fit\":true,\"moved\":false,\"note\":null",
        ",\"note\":\"a \\\"quoted\\\" word,\\n\\u0001 and a second line\",\"count\":7",
        ",\"place\":{\"room\":\"gym\",\"rack\":[1,\"two\",null]},\"empty\":[],\"none\":{}",
    };
    for (size_t m = 0; m < sizeof more / sizeof more[0]; m++) {
        read_records(in, "[", more[m], more[m], "]");
        assert_the_motion(in);
    }
}

static void names_that_come_later_are_columns_too(void **state)
{
    struct imported *in = *state;
    read_records(in, "\xef\xbb\xbf [ ", "", ",\"battery\":0.5", " ] ");
    assert_the_motion(in);
    assert_string_equal(in->trace.recognised.container, "JSON");
}

static void names_too_long_and_values_too_deep_are_passed_over(void **state)
{
    struct imported *in = *state;
    char more[LONG + 200] = ",\"";
    memset(more + 2, 'n', LONG);
    snprintf(more + 2 + LONG, 190,
             "\":1,\"a\":{\"b\":{\"c\":{\"d\":{\"e\":{\"f\":{\"g\":1}}}}}},\"h\":[[[[[[[2]]]]]]]");
    read_records(in, "[", more, more, "]");
    assert_the_motion(in);
}

static void more_names_than_columns_are_refused(void **state)
{
    struct imported *in = *state;
    struct bp_text more;
    bp_text_init(&more);
    for (int i = 0; i < LONG; i++) {
        char name[32];
        snprintf(name, sizeof name, ",\"extra%d\":%d", i, i);
        bp_text_put(&more, name);
    }
    read_records(in, "[", more.data, more.data, "]");
    bp_text_free(&more);
    support_refused(in, BP_ERR_LIMIT, 0, 0, "more different names than columns");
}

static void a_log_that_breaks_off_is_read_up_to_there_and_said_to(void **state)
{
    struct imported *in = *state;
    read_records(in, "[", "", "", ",{\"t\":9.5,\"ax\":0.1,");
    assert_the_motion(in);
    assert_string_equal(in->trace.recognised.container, "JSON, its last record cut off");
}

static void a_record_that_is_no_json_is_named(void **state)
{
    struct imported *in = *state;
    read_records(in, "[", "", "", ",{\"t\":9.5,\"ax\":bad}]");
    support_refused(in, BP_ERR_FORMAT, 0, 0, "record 201 of it is no JSON");
}

static void lists_that_hold_no_readings_are_refused(void **state)
{
    static const struct {
        const char *text, *part;
        enum bp_code code;
    } list[] = {
        {"[]", "", BP_ERR_FORMAT},
        {"{\"a\":[],\"b\":[1]}", "no list of readings", BP_ERR_EMPTY},
        {"{\"a\":{\"b\":{\"c\":{\"d\":{\"e\":{\"f\":{\"t\":[1,2],\"x\":[1,2]}}}}}}}", "no list of readings",
         BP_ERR_EMPTY},
        {"{\"a\":[{\"note\":\"x\"},{\"note\":\"y\"}]}", "", BP_ERR_FORMAT},
        {"{\"a\":{\"0\":[1,2]},\"b\":{\"0\":1}}", "", BP_ERR_FORMAT},
        {"{\"a\":[\"x\",\"y\"],\"b\":[[1,2,3],[4,5,6]]}", "", BP_ERR_FORMAT}, /* two names of three cells */
        {"{\"a\":[\"x\",\"y\",1],\"b\":[[1,2,3]]}", "", BP_ERR_FORMAT},
        {"{\"a\":[\"x\",\"y\"],\"b\":{\"c\":[[1,2],[3]]}}", "", BP_ERR_FORMAT},
        {"{\"a\":[true,false,true],\"b\":[null,null,null]}", "", BP_ERR_FORMAT},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        support_text(in, list[i].text);
        if (in->code == BP_OK || strstr(in->error.text, list[i].part) == NULL) {
            fail_msg("%s: %d %s", list[i].text, in->code, in->error.text);
        }
    }
}

/* One sensor's array of records each; the gyroscope's is the longer one. */
static void several_sensors_in_one_object_are_told_apart(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (int sensor = 0; sensor < 2; sensor++) {
        bp_text_put(&text, sensor == 0 ? "{\"start\":\"noon\",\"accelerometer\":[" : "],\"gyroscope\":[");
        for (int i = 0; i < ROWS + sensor; i++) {
            bp_text_put(&text, i > 0 ? ",{" : "{");
            double v[3];
            sensor == 0 ? motion_force(i / RATE, true, v) : motion_turn(i / RATE, v);
            bp_text_put(&text, "\"t\":");
            bp_text_put_number(&text, i / RATE, 3);
            for (int a = 0; a < 3; a++) {
                char name[8];
                snprintf(name, sizeof name, ",\"%c\":", "xyz"[a]);
                bp_text_put(&text, name);
                bp_text_put_number(&text, v[a], 6);
            }
            bp_text_put_char(&text, '}');
        }
    }
    bp_text_put(&text, "]}");
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    assert_the_motion(in);
    assert_true(in->trace.gyroscope);
    support_turns(&in->trace, 0.0, 1e-5);
}

/* {"log": {"t": […], "acc": {"x": […], …}, "beside": …}}: a column that is short has no cells at the end. */
static void columns_of_unequal_length_in_objects_are_read(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "{\"log\":{\"t\":[");
    for (int i = 0; i < ROWS; i++) {
        bp_text_put(&text, i > 0 ? "," : "");
        bp_text_put_number(&text, i / RATE, 3);
    }
    bp_text_put(&text, "],\"acc\":{");
    for (int a = 0; a < 3; a++) {
        char name[16];
        snprintf(name, sizeof name, "%s\"%c\":[", a > 0 ? "]," : "", "xyz"[a]);
        bp_text_put(&text, name);
        for (int i = 0; i < ROWS; i++) {
            double v[3];
            motion_force(i / RATE, true, v);
            bp_text_put(&text, i > 0 ? "," : "");
            bp_text_put_number(&text, v[a], 6);
        }
    }
    bp_text_put(&text, "]},\"heart\":[60,61,62],\"name\":\"set one\"}}");
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    assert_the_motion(in);
}

static void a_zero_byte_behind_the_records_is_no_record(void **state)
{
    struct imported *in = *state;
    struct bp_text text;
    bp_text_init(&text);
    for (int i = 0; i < ROWS; i++) {
        bp_text_put(&text, "{");
        put_reading(&text, i);
        bp_text_put(&text, "}\n");
    }
    bp_text_put_char(&text, '\0');
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
    support_refused(in, BP_ERR_FORMAT, 0, 0, "a zero byte is in it");
}

/* A name just so long that what is in it has no room for its own. */
static void values_under_names_too_long_are_passed_over(void **state)
{
    struct imported *in = *state;
    for (int length = 150; length < 160; length++) {
        char more[512] = ",\"";
        memset(more + 2, 'n', (size_t)length);
        snprintf(more + 2 + length, sizeof more - 2 - (size_t)length, "\":[1,2]");
        read_records(in, "[", more, more, "]");
        assert_the_motion(in);
    }
}

/* {NAME: {"t": […], …}}, and the same in a list of one: what is under a name too long is not found. */
static void columns_under_names_too_long_are_not_found(void **state)
{
    struct imported *in = *state;
    for (int lists = 0; lists < 2; lists++) {
        for (int length = 150; length < 170; length += 19) {
            struct bp_text text;
            bp_text_init(&text);
            bp_text_put(&text, lists == 1 ? "[{\"" : "{\"");
            for (int i = 0; i < length; i++) {
                bp_text_put_char(&text, 'n');
            }
            bp_text_put(&text, "\":{\"time after the set's begin\":[1,2,3],\"t\":[");
            for (int i = 0; i < ROWS; i++) {
                bp_text_put(&text, i > 0 ? "," : "");
                bp_text_put_number(&text, i / RATE, 3);
            }
            bp_text_put(&text, "]}}");
            bp_text_put(&text, lists == 1 ? "]" : "");
            support_bytes(in, text.data, text.length);
            bp_text_free(&text);
            assert_int_not_equal(in->code, BP_OK);
        }
    }
}

/* {"accelerometer": [[t, x, y, z], …], …}: nothing but their order says what the numbers are. And of more
 * sensors than are read the first are. */
static void lists_of_lists_and_of_many_sensors_are_read(void **state)
{
    struct imported *in = *state;
    for (int named = 0; named < 2; named++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "{\"accelerometer\":[");
        for (int i = 0; i < ROWS; i++) {
            double v[4] = {i / RATE};
            motion_force(i / RATE, true, v + 1);
            bp_text_put(&text, i > 0 ? "," : "");
            for (int a = 0; a < 4; a++) {
                static const char *const before[] = {"{\"t\":", ",\"x\":", ",\"y\":", ",\"z\":"};
                bp_text_put(&text, named == 1 ? before[a] : a > 0 ? "," : "[");
                bp_text_put_number(&text, v[a], 6);
            }
            bp_text_put_char(&text, named == 1 ? '}' : ']');
        }
        bp_text_put_char(&text, ']');
        for (int sensor = 0; sensor < 40 * named; sensor++) {
            char name[48];
            snprintf(name, sizeof name, ",\"heart %d\":[{\"bpm\":60},{\"bpm\":61}]", sensor);
            bp_text_put(&text, name);
        }
        bp_text_put_char(&text, '}');
        support_bytes(in, text.data, text.length);
        bp_text_free(&text);
        assert_the_motion(in);
    }
}

/* One text of the whole motion: before, "between" entries of `entry` and behind, for each list in turn. $T,
 * $X, $Y, $Z and $I in an entry are the row's. */
struct shape {
    const char *before, *entry, *behind;
};

static void put_entry(struct bp_text *text, const char *entry, int i)
{
    double v[3];
    motion_force(i / RATE, true, v);
    for (const char *c = entry; *c != '\0'; c++) {
        if (*c != '$') {
            bp_text_put_char(text, *c);
        } else if (*++c == 'I') {
            bp_text_put_number(text, i, 0);
        } else {
            bp_text_put_number(text, *c == 'T' ? i / RATE : v[*c - 'X'], 6);
        }
    }
}

static void read_shapes(struct imported *in, const struct shape *shapes, size_t count)
{
    struct bp_text text;
    bp_text_init(&text);
    for (size_t k = 0; k < count; k++) {
        bp_text_put(&text, shapes[k].before);
        for (int i = 0; i < ROWS; i++) {
            bp_text_put(&text, i > 0 ? "," : "");
            put_entry(&text, shapes[k].entry, i);
        }
        bp_text_put(&text, shapes[k].behind);
    }
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
}

static void rows_whose_names_stand_apart_are_read(void **state)
{
    struct imported *in = *state;
    static const struct shape shapes[][2] = {
        {{"{\"columns\":[\"t\",\"ax\",\"ay\",\"az\"],\"data\":[", "[$T,$X,$Y,$Z]", "]}"}, {"", "", ""}},
        {{"{\"index\":[", "$I", "],"},
         {"\"columns\":[\"t\",\"ax\",\"ay\",\"az\"],\"data\":[", "[$T,$X,$Y,$Z]", "]}"}},
        {{"{\"log\":{\"tags\":[\"one\",\"two\"],\"rows\":[", "[$T,$X,$Y,$Z]", "],"},
         {"\"note\":[", "$I", "],\"fields\":[\"t\",\"ax\",\"ay\",\"az\"]}}"}},
    };
    for (size_t i = 0; i < sizeof shapes / sizeof shapes[0]; i++) {
        read_shapes(in, shapes[i], shapes[i][1].entry[0] != '\0' ? 2 : 1);
        assert_the_motion(in);
    }
}

/* A column's name may be an object that tells its unit too; a rate beside the readings stands in for times,
 * unless several sensors would share it. */
static void names_with_units_and_a_rate_beside_the_readings_are_read(void **state)
{
    struct imported *in = *state;
    static const struct shape rates[] = {
        {"{\"interval_ms\":20,\"columns\":[{\"name\":\"ax\",\"units\":\"m/"
         "s2\"},{\"name\":\"ay\",\"unit\":"
         "\"m/s2\"},{\"name\":\"az\",\"units\":\"m/s2\"}],\"rows\":[",
         "[$X,$Y,$Z]", "]}"},
        {"{\"about\":{\"sampleRate\":50},\"data\":[", "{\"x\":$X,\"y\":$Y,\"z\":$Z}", "]}"},
        {"{\"sampling_frequency\":50.0,\"rate\\n\":7,\"samples\":[", "[$X,$Y,$Z]", "]}"},
    };
    static const struct shape times[] = {{"{\"sample_rate_hz\":80,\"columns\":[{\"name\":\"t\",\"unit\":"
                                          "\"s\"},{\"name\":\"ax\"},{\"name\":\"ay\"},"
                                          "{\"name\":\"az\"}],\"rows\":[",
                                          "[$T,$X,$Y,$Z]", "]}"}};
    static const struct shape two[] = {
        {"{\"sampleRate\":50,\"accelerometer\":[", "{\"x\":$X,\"y\":$Y,\"z\":$Z}", "],"},
        {"\"gyroscope\":[", "{\"x\":0.1,\"y\":0,\"z\":0}", "]}"}};
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        read_shapes(in, &rates[i], 1);
        assert_the_motion(in);
        assert_non_null(support_finding(&in->trace, "rate-told"));
    }
    read_shapes(in, times, 1);
    assert_the_motion(in);
    assert_null(support_finding(&in->trace, "rate-told"));
    read_shapes(in, two, 2);
    support_refused(in, BP_ERR_COLUMNS, 0, 0, "--rate");
}

/* 62.5 readings a second, not 62. */
static void a_rate_beside_the_readings_is_read_under_a_decimal_comma_locale(void **state)
{
    struct imported *in = *state;
    static const struct shape rate[] = {{"{\"sample_rate\":62.5,\"data\":[", "[$X,$Y,$Z]", "]}"}};
    if (!comma_locale_enter()) {
        print_message("no decimal-comma locale can be made here\n");
        skip();
    }
    read_shapes(in, rate, 1);
    comma_locale_leave();
    assert_int_equal(in->code, BP_OK);
    assert_true(fabs(in->trace.time_s[1] - 1 / 62.5) < 1e-9);
}

static void columns_of_several_numbers_an_entry_are_read(void **state)
{
    struct imported *in = *state;
    static const struct shape lists[] = {{"{\"t\":[", "$T", "],"}, {"\"acc\":[", "[$X,$Y,$Z]", "]}"}};
    static const struct shape objects[] = {{"{\"t\":[", "$T", "],"},
                                           {"\"acc\":[", "{\"x\":$X,\"y\":$Y,\"z\":$Z}", "]}"}};
    static const struct shape said[] = {{"{\"axes\":[\"x\",\"y\",\"z\"],\"t\":[", "$T", "],"},
                                        {"\"acc\":[", "[$X,$Y,$Z]", "]}"}};
    read_shapes(in, lists, 2);
    assert_the_motion(in);
    read_shapes(in, said, 2); /* no names of a table's columns, since the times stand beside it */
    assert_the_motion(in);
    read_shapes(in, objects, 2);
    assert_the_motion(in);
}

/* What data frames are written as: entries under their numbers. */
static void lists_whose_entries_are_numbered_are_read(void **state)
{
    struct imported *in = *state;
    static const struct shape columns[] = {{"{\"t\":{", "\"$I\":$T", "},"},
                                           {"\"ax\":{", "\"$I\":$X", "},"},
                                           {"\"ay\":{", "\"$I\":$Y", "},"},
                                           {"\"az\":{", "\"$I\":$Z", "}}"}};
    static const struct shape records[] = {{"{", "\"$I\":{\"t\":$T,\"ax\":$X,\"ay\":$Y,\"az\":$Z}", "}"}};
    static const struct shape and_a_name[] = {
        {"{", "\"$I\":{\"t\":$T,\"ax\":$X,\"ay\":$Y,\"az\":$Z}", ",\"set\":{\"of\":\"one\"}}"}};
    read_shapes(in, columns, 4);
    assert_the_motion(in);
    read_shapes(in, records, 1);
    assert_the_motion(in);
    read_shapes(in, and_a_name, 1); /* counted with the entries, but not among them */
    assert_the_motion(in);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(cells_that_are_no_readings_stand_beside_them),
        FRESH(names_that_come_later_are_columns_too),
        FRESH(names_too_long_and_values_too_deep_are_passed_over),
        FRESH(more_names_than_columns_are_refused),
        FRESH(a_log_that_breaks_off_is_read_up_to_there_and_said_to),
        FRESH(a_record_that_is_no_json_is_named),
        FRESH(lists_that_hold_no_readings_are_refused),
        FRESH(several_sensors_in_one_object_are_told_apart),
        FRESH(columns_of_unequal_length_in_objects_are_read),
        FRESH(a_zero_byte_behind_the_records_is_no_record),
        FRESH(values_under_names_too_long_are_passed_over),
        FRESH(columns_under_names_too_long_are_not_found),
        FRESH(lists_of_lists_and_of_many_sensors_are_read),
        FRESH(rows_whose_names_stand_apart_are_read),
        FRESH(names_with_units_and_a_rate_beside_the_readings_are_read),
        FRESH(a_rate_beside_the_readings_is_read_under_a_decimal_comma_locale),
        FRESH(columns_of_several_numbers_an_entry_are_read),
        FRESH(lists_whose_entries_are_numbered_are_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
