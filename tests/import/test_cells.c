/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/cells.h"
#include "import/decimal.h"

#include "barplumb/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void split_keeps_separators_inside_quotes(void **state)
{
    static const char line[] = " a ,\"b,c\", \"d\" ,,\"e\"\"f\"";
    static const char *const expected[] = {"a", "b,c", "d", "", "e\"\"f"};
    struct bp_cell cells[8];
    (void)state;
    assert_int_equal(bp_import_split(line, strlen(line), ',', cells, 8), 5);
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(cells[i].count, strlen(expected[i]));
        assert_memory_equal(cells[i].at, expected[i], cells[i].count);
    }
    assert_int_equal(bp_import_split(line, strlen(line), ',', cells, 1), 5); /* counts past the room */
    assert_int_equal(bp_import_split("", 0, ',', cells, 8), 1);
}

static void a_line_ends_outside_quotes(void **state)
{
    static const char text[] = "\"a\nb\",c\nd";
    const char *end = text + strlen(text);
    (void)state;
    assert_ptr_equal(bp_import_line_end(text, end, '\n', true), text + 7);
    assert_ptr_equal(bp_import_line_end(text, end, '\n', false), text + 2);
    static const char open[] = "\"a\nb"; /* never closed: the line ends where it ends */
    assert_ptr_equal(bp_import_line_end(open, open + 4, '\n', true), open + 2);
}

static void stamps_are_read_to_the_millisecond(void **state)
{
    static const struct {
        const char *text;
        double seconds; /* python3 datetime(...).timestamp() */
        bool dated, zoned;
    } list[] = {
        {"2019-10-16T12:09:01.702+02:00", 1571220541.702, true, true},
        {"2019-10-16T10:09:01.702Z", 1571220541.702, true, true},
        {"2019-10-16 10:09:01,702", 1571220541.702, true, false},
        {"2019/10/16 10:09:01", 1571220541.0, true, false},
        {"2000-02-29T23:59:59-0130", 951874199.0, true, true},
        {"1970-01-01T00:00:00Z", 0.0, true, true},
        {"1969-12-31T23:59:59Z", -1.0, true, true},
        {"18:36:25:3", 66985.003, false, false},
        {"18:36:25:300", 66985.3, false, false},
        {"18:36:25:000300", 66985.0003, false, false},
        {"07:00:00.25", 25200.25, false, false},
        {"12:00:00.5 AM", 0.5, false, false},
        {"12:00:01 pm", 43201.0, false, false},
        {"5:59:01 PM", 64741.0, false, false},
        {"05:07.25", 307.25, false, false}, /* minutes */
        {"16.10.2019 10:09:01,702", 1571220541.702, true, false},
        {"2019. 10. 16. 10:09:01.702", 1571220541.702, true, false},
        {"16/10/2019 10:09:01.702", 1571220541.702, true, false},
        {"10/16/2019, 10:09:01.702 AM", 1571220541.702, true, false},
        {"16-Oct-2019 10:09:01.702", 1571220541.702, true, false},
        {"10/09/2019 10:09:01.702", 36541.702, false, false}, /* October or September? */
        {"02/02/2019 00:00:00", 1549065600.0, true, false},   /* the same either way */
        {"31/02/2019 00:00:01", 1551571201.0, true,
         false}, /* no such day, but a count of days all the same */
        {"15/15/2019 00:00:01", 1.0, false, false},
        {"0000-01-01T00:00:00Z", -62167219200.0, true, true}, /* before the first March of its calendar */
        {"59:59,5", 3599.5, false, false},
        {"Oct 16, 2019 10:09:01.702", 1571220541.702, true, false},
        {"Oct 6 2019 10:09:01", 1570356541.0, true, false},
        {"20191016 100901.702", 1571220541.702, true, false},
        {"20191016_100901702", 1571220541.702, true, false},
        {"2019-10-16 10:09:01 UTC", 1571220541.0, true, true},
        {"2019-10-16 10:09:01 GMT", 1571220541.0, true, true},
        {"2019-10-16 10:09:01 CEST", 1571220541.0, true, false},
        {"2019-10-16T12:09:01+02:00[Europe/Oslo]", 1571220541.0, true, true},
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_cell cell = {list[i].text, strlen(list[i].text)};
        struct bp_stamp stamp;
        if (!bp_import_cell_stamp(&cell, &stamp) || !(fabs(stamp.seconds - list[i].seconds) < 1e-6)) {
            fail_msg("%s: %.6f", list[i].text, stamp.seconds);
        }
        assert_int_equal(stamp.dated, list[i].dated);
        assert_int_equal(stamp.zoned, list[i].zoned);
    }
}

static void what_is_no_stamp_is_refused(void **state)
{
    static const char *const list[] = {"",
                                       "12:09",
                                       "2019-13-01T00:00:00",
                                       "12.5",
                                       "2019-10-16",
                                       "12:61:00",
                                       "12:00:00+",
                                       "12:00:00.",
                                       "13:00:00 pm",
                                       "12:00:00 xm",
                                       "12:00:00 a",
                                       "00:00:00 pm",
                                       "12:00:00:",
                                       "12:00:00:x",
                                       "12:00:00.1234567890123456789",
                                       "60:10.5",
                                       "12:61.5",
                                       "25:00:00",
                                       "12:00:61",
                                       "12:00:00+16:00",
                                       "12:00:00+10:60",
                                       "12:00:00+1",
                                       "12:00:00+10:5",
                                       "12:0x:00",
                                       "12:00",
                                       "x",
                                       "1-2",
                                       "1-Ja",
                                       "2019-10",
                                       "01.13.2019x",
                                       "2019-10.16T12:09:01",
                                       "1-Xyz-2019 12:09:01",
                                       "40.10.2019 1:2:3",
                                       "18:36:25:0003",
                                       "18:36:25:0003000",
                                       "Oct 16",
                                       "Oct 32, 2019 10:09:01",
                                       "Oct 0, 2019 10:09:01",
                                       "Oct 16, 19 10:09:01",
                                       "Oct16, 2019 10:09:01",
                                       "Okt. 16, 2019 10:09:01",
                                       "18991016 100901.702",
                                       "20191316 100901.702",
                                       "20190016 100901.702",
                                       "20191032 100901.702",
                                       "20191000 100901.702",
                                       "21001016 100901.702",
                                       "20191016 250901.702",
                                       "20191016 106001.702",
                                       "20191016 100961.702",
                                       "20191016 1009",
                                       "20191016 10090x.702",
                                       "2019-10-16 10:09:01 UT",
                                       "2019-10-16 10:09:01 summer",
                                       "2019-10-16 10:09:01 Oslo]",
                                       "2019-10-16T12:09:01.702+02:00x"};
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_cell cell = {list[i], strlen(list[i])};
        struct bp_stamp stamp;
        if (bp_import_cell_stamp(&cell, &stamp)) {
            fail_msg("'%s' was taken for a time", list[i]);
        }
    }
}

static void a_zero_byte_is_no_part_of_a_stamp(void **state)
{
    static const char bytes[] = "12\0"
                                "00:00";
    struct bp_cell cell = {bytes, sizeof bytes - 1};
    struct bp_stamp stamp;
    (void)state;
    assert_false(bp_import_cell_stamp(&cell, &stamp));
}

static void cells_are_told_apart(void **state)
{
    static const struct {
        const char *text;
        enum bp_cell_kind kind;
    } list[] = {{"", BP_CELL_EMPTY},           {"1.5", BP_CELL_NUMBER},        {"-1e3", BP_CELL_NUMBER},
                {"NaN", BP_CELL_NOT_A_NUMBER}, {"-inf", BP_CELL_NOT_A_NUMBER}, {"null", BP_CELL_NOT_A_NUMBER},
                {"N/A", BP_CELL_NOT_A_NUMBER}, {"1.5x", BP_CELL_TEXT},         {"walk", BP_CELL_TEXT}};
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct bp_cell cell = {list[i].text, strlen(list[i].text)};
        double value;
        assert_int_equal(bp_import_cell_kind(&cell, '.', &value), list[i].kind);
    }
}

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

/* Whatever the fast reader takes, it reads as the C library does: bit for bit, whole length. */
static void fast_decimals_are_rounded_as_by_strtod(void **state)
{
    uint64_t seed = 20250101;
    size_t taken = 0;
    (void)state;
    for (int i = 0; i < 300000; i++) {
        char text[64];
        uint64_t digits = next_random(&seed) >> (next_random(&seed) % 60);
        int length = snprintf(text, sizeof text, "%llu", (unsigned long long)digits);
        size_t point = next_random(&seed) % (size_t)(length + 1);
        memmove(text + point + 1, text + point, (size_t)length - point + 1);
        text[point] = '.';
        size_t n = (size_t)length + 1;
        if (i % 3 == 0) {
            n += (size_t)snprintf(text + n, 8, "e%d", (int)(next_random(&seed) % 50) - 25);
        }
        double value = -1.0;
        size_t used = bp_import_read_decimal(text, text + n, '.', &value);
        if (used == 0) {
            continue;
        }
        taken++;
        double expected = strtod(text, NULL);
        if (used != n || memcmp(&value, &expected, sizeof value) != 0) {
            fail_msg("%s: %zu bytes, %.17g instead of %.17g", text, used, value, expected);
        }
    }
    assert_true(taken > 200000);
}

/* The same of the reader without an end, on text with padding; `bench decimals` does it ten million times. */
static void plain_decimals_are_rounded_as_by_strtod(void **state)
{
    uint64_t seed = 20250102;
    size_t taken = 0;
    (void)state;
    for (int i = 0; i < 300000; i++) {
        char text[64 + BP_DECIMAL_PADDING] = "";
        size_t n = 0;
        uint64_t digits = next_random(&seed) >> (next_random(&seed) % 63);
        if (next_random(&seed) % 2 == 0) {
            text[n++] = '-';
        }
        int length = snprintf(text + n, 24, "%llu", (unsigned long long)digits);
        size_t point = n + next_random(&seed) % (size_t)(length + 1);
        memmove(text + point + 1, text + point, n + (size_t)length - point);
        text[point] = '.';
        n += (size_t)length + 1;
        if (i % 3 == 0) {
            n += (size_t)snprintf(text + n, 8, "E%d", (int)(next_random(&seed) % 50) - 25);
        }
        text[n] = ",;\n"[i % 3];
        double value = -1.0, expected = strtod(text, NULL);
        const char *stop = bp_import_read_plain_again(text, '.', &value);
        if (stop == NULL) {
            continue;
        }
        taken++;
        if (stop != text + n || memcmp(&value, &expected, sizeof value) != 0) {
            fail_msg("%s: %.17g instead of %.17g", text, value, expected);
        }
    }
    assert_true(taken > 200000);
}

static void plain_decimals_stop_where_the_number_stops(void **state)
{
    static const struct {
        const char *text;
        char point;
        ptrdiff_t used; /* -1: none */
        double value;
    } list[] = {
        {"1,5;2", ',', 3, 1.5},
        {"-3.25,", '.', 5, -3.25},
        {"7", '.', 1, 7.0},
        {".5", '.', 2, 0.5},
        {"5.", '.', 2, 5.0},
        {"", '.', -1, 0.0},
        {"-", '.', -1, 0.0},
        {".", '.', -1, 0.0},
        {"-.", '.', -1, 0.0},
        {"nan", '.', -1, 0.0},
        {"1e", '.', -1, 0.0},
        {"1e-", '.', -1, 0.0},
        {"1e9999", '.', -1, 0.0},
        {"2E+2", '.', 4, 200.0},
        {"-2e-1;", '.', 5, -0.2},
        {"1.2.3", '.', 3, 1.2},
        {"12345678.12345678", '.', 17, 12345678.12345678},
        {"1e400", '.', -1, 0.0},
        {"12345678901234567890", '.', -1, 0.0},
        {"0.0000000000000000001", '.', 21, 1e-19}, /* zeros in front do not count */
        {"0.00000000000000000012345678901234567,", '.', 37, 1.2345678901234567e-19},
        {"0.000000000000000000000000000000000000000000000001", '.', -1, 0.0},
        {"0.00000000000000000000000000000000000000000000", '.', 46, 0.0},
        {"0.000000000000", '.', 14, 0.0},
        {"1234567890123456789", '.', 19, 1234567890123456789.0},
        {"9007199254740993.0", '.', 18, 9007199254740992.0},
        {"0e5", '.', 3, 0.0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        char text[64 + BP_DECIMAL_PADDING] = "";
        double value = 99.0;
        strcpy(text, list[i].text);
        const char *stop = bp_import_read_plain_again(text, list[i].point, &value);
        if ((stop == NULL) != (list[i].used < 0) ||
            (stop != NULL && (stop != text + list[i].used || !(value == list[i].value)))) {
            fail_msg("%s: %.17g", text, value);
        }
    }
    char minus_zero[8 + BP_DECIMAL_PADDING] = "-0.0,";
    double value = 1.0;
    assert_ptr_equal(bp_import_read_plain_again(minus_zero, '.', &value), minus_zero + 4);
    assert_true(value == 0.0 && signbit(value) != 0);
}

/* Halfway between two doubles and one digit to either side. */
static void fast_decimals_round_ties_to_even(void **state)
{
    static const struct {
        const char *text;
        double value;
    } list[] = {
        {"9007199254740993.0", 9007199254740992.0}, /* 2^53 + 1: a tie, to even */
        {"9007199254740993.01", 9007199254740994.0},
        {"9007199254740995.0", 9007199254740996.0},
        {"4503599627370496.5", 4503599627370496.0}, /* 2^52 + 1/2 */
        {"4503599627370497.5", 4503599627370498.0},
        {"0.1", 0.1},
        {"-0.12560546398162842", -0.12560546398162842},
        {"1.7976931348623157", 1.7976931348623157},
        {"18446744073709551615e-19", 0.0}, /* 20 digits: not taken */
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        double value = 0.0;
        const char *end = list[i].text + strlen(list[i].text);
        size_t used = bp_import_read_decimal(list[i].text, end, '.', &value);
        assert_true(value == list[i].value);
        assert_int_equal(used, list[i].value == 0.0 ? 0 : strlen(list[i].text));
    }
}

static void fast_decimals_stop_where_the_number_stops(void **state)
{
    static const struct {
        const char *text;
        char point;
        size_t used;
        double value;
    } list[] = {
        {"1,5;2", ',', 3, 1.5}, {"-3.25,", '.', 5, -3.25}, {"7", '.', 1, 7.0},
        {".5", '.', 2, 0.5},    {"5.", '.', 2, 5.0},       {"", '.', 0, -1.0},
        {"-", '.', 0, -1.0},    {".", '.', 0, -1.0},       {"nan", '.', 0, -1.0},
        {"1e", '.', 0, -1.0},   {"1e99999", '.', 0, -1.0}, {"+2E+2", '.', 5, 200.0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        double value = -1.0;
        const char *end = list[i].text + strlen(list[i].text);
        assert_int_equal(bp_import_read_decimal(list[i].text, end, list[i].point, &value), list[i].used);
        assert_true(value == list[i].value);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(split_keeps_separators_inside_quotes),
        cmocka_unit_test(a_line_ends_outside_quotes),
        cmocka_unit_test(stamps_are_read_to_the_millisecond),
        cmocka_unit_test(what_is_no_stamp_is_refused),
        cmocka_unit_test(a_zero_byte_is_no_part_of_a_stamp),
        cmocka_unit_test(cells_are_told_apart),
        cmocka_unit_test(fast_decimals_are_rounded_as_by_strtod),
        cmocka_unit_test(plain_decimals_are_rounded_as_by_strtod),
        cmocka_unit_test(plain_decimals_stop_where_the_number_stops),
        cmocka_unit_test(fast_decimals_round_ties_to_even),
        cmocka_unit_test(fast_decimals_stop_where_the_number_stops),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
