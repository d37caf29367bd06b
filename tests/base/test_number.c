/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The reader is compared bit for bit with the C library's strtod in the C locale: an independent, correctly
 * rounding implementation.
 */
#include "barplumb/text.h"
#include "base/comma_locale.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <errno.h>
#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RANDOM_STRINGS = 200000 };

/* splitmix64 (Steele, Lea & Flood 2014, OOPSLA): small, and the same on every machine. */
static uint64_t next_random(uint64_t *seed)
{
    uint64_t z = (*seed += UINT64_C(0x9E3779B97F4A7C15));
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

static uint64_t bits_of(double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

static double double_of(uint64_t bits)
{
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

/* Reads text from memory that ends where it ends, so that ASan sees a byte read too far. */
static size_t read_exactly(const char *text, char point, double *value)
{
    size_t length = strlen(text);
    char *copy = malloc(length > 0 ? length : 1);
    assert_non_null(copy);
    memcpy(copy, text, length);
    size_t used = bp_number_read(copy, length, point, value);
    free(copy);
    return used;
}

static void expect_as_strtod(const char *text)
{
    char *end;
    double wanted = strtod(text, &end);
    double got = 12345.0;
    size_t used = read_exactly(text, '.', &got);
    if (used != (size_t)(end - text) || (used > 0 && bits_of(got) != bits_of(wanted))) {
        fail_msg("%.60s…: %zu bytes %a, strtod %zu bytes %a", text, used, got, (size_t)(end - text), wanted);
    }
}

static void number_reads_plain_forms(void **state)
{
    (void)state;
    static const char *const texts[] = {"0",
                                        "-0",
                                        "+0.0",
                                        "1",
                                        "-1.5",
                                        "+2.25",
                                        ".5",
                                        "5.",
                                        "-.5e1",
                                        "9.80665",
                                        "1e3",
                                        "1E+3",
                                        "1e-3",
                                        "1e",
                                        "1e+",
                                        "1ex",
                                        "1.2.3",
                                        "007",
                                        "0e999999",
                                        "1e99999999999999999999999",
                                        "1e-99999999999999999999999",
                                        "0.000000000000000000000000000000000000000000000000001e51",
                                        "4.9e-324",
                                        "2.4e-324",
                                        "2.5e-324",
                                        "1.7976931348623157e308",
                                        "1.7976931348623159e308",
                                        "2.2250738585072014e-308",
                                        "2.2250738585072011e-308",
                                        "9007199254740993",
                                        "9007199254740992",
                                        "9007199254740993.0000000001",
                                        "18446744073709551616",
                                        "1.34E-01",
                                        "7.488203049E-2"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        expect_as_strtod(texts[i]);
    }
}

static void number_refuses_what_is_none_and_leaves_value_alone(void **state)
{
    (void)state;
    static const char *const texts[] = {"",    "+",  "-",  ".",  "-.",  "e5",  ".e5",
                                        "abc", "na", "in", " 1", "--1", "+-1", ","};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double value = 12345.0;
        assert_int_equal(read_exactly(texts[i], '.', &value), 0);
        assert_true(value == 12345.0);
    }
}

static void number_reads_words_in_any_case(void **state)
{
    (void)state;
    double value = 0.0;
    assert_int_equal(read_exactly("NaN", '.', &value), 3);
    assert_true(isnan(value));
    assert_int_equal(read_exactly("-Inf", '.', &value), 4);
    assert_true(isinf(value) && value < 0.0);
    assert_int_equal(read_exactly("+INFINITY", '.', &value), 9);
    assert_true(isinf(value) && value > 0.0);
    assert_int_equal(read_exactly("infinit", '.', &value), 3);
    assert_int_equal(read_exactly("nan(1)", '.', &value), 3);
}

/* strtod takes hexadecimal; a log never means it. */
static void number_takes_no_hexadecimal(void **state)
{
    (void)state;
    double value = 1.0;
    assert_int_equal(read_exactly("0x10", '.', &value), 1);
    assert_true(value == 0.0);
}

static void number_stops_at_count(void **state)
{
    (void)state;
    double value = 0.0;
    assert_int_equal(bp_number_read("12345", 3, '.', &value), 3);
    assert_true(value == 123.0);
    assert_int_equal(bp_number_read("1e5", 2, '.', &value), 1);
    assert_true(value == 1.0);
    assert_int_equal(bp_number_read("12345678901234567890123", 21, '.', &value), 21);
    assert_true(value == 123456789012345678901.0);
    assert_int_equal(bp_number_read("1", 0, '.', &value), 0);
}

static void number_takes_the_decimal_mark_it_is_told(void **state)
{
    (void)state;
    double value = 0.0;
    assert_int_equal(read_exactly("9,80665", ',', &value), 7);
    assert_true(value == 9.80665);
    assert_int_equal(read_exactly("9.80665", ',', &value), 1);
    assert_true(value == 9.0);
    assert_int_equal(read_exactly("7,488203049E-2", ',', &value), 14);
    assert_true(value == 7.488203049E-2);
    assert_int_equal(read_exactly("3,1415926535897932384626433", ',', &value), 27);
    assert_true(value == 3.1415926535897932384626433);
}

static void number_overflow_is_infinity_and_leaves_errno_alone(void **state)
{
    (void)state;
    double value = 0.0;
    errno = 77;
    assert_int_equal(read_exactly("-1e400", '.', &value), 6);
    assert_true(isinf(value) && value < 0.0);
    assert_int_equal(read_exactly("1e-400", '.', &value), 6);
    assert_true(value == 0.0);
    assert_int_equal(errno, 77);
}

static size_t put_random_digits(uint64_t *seed, size_t count, char *out)
{
    for (size_t i = 0; i < count; i++) {
        out[i] = (char)('0' + next_random(seed) % 10);
    }
    return count;
}

static void make_random_text(uint64_t *seed, char *out)
{
    size_t n = 0;
    if (next_random(seed) % 3 == 0) {
        out[n++] = '-';
    }
    n += put_random_digits(seed, next_random(seed) % 22, out + n);
    if (next_random(seed) % 4 != 0) {
        out[n++] = '.';
        n += put_random_digits(seed, 1 + next_random(seed) % 22, out + n);
    }
    if (next_random(seed) % 2 == 0) {
        int wide = next_random(seed) % 2 == 0 ? 350 : 30;
        snprintf(out + n, 16, "e%d", (int)(next_random(seed) % (unsigned)(2 * wide + 1)) - wide);
    } else {
        out[n] = '\0';
    }
}

static void number_agrees_with_strtod_on_random_decimals(void **state)
{
    (void)state;
    uint64_t seed = 1;
    char text[128];
    for (int i = 0; i < RANDOM_STRINGS; i++) {
        make_random_text(&seed, text);
        expect_as_strtod(text);
    }
}

/* Any double, subnormal or huge, at 15 to 17 significant digits. */
static void number_reads_back_random_doubles(void **state)
{
    (void)state;
    uint64_t seed = 2;
    char text[64];
    for (int i = 0; i < RANDOM_STRINGS; i++) {
        double value = double_of(next_random(&seed));
        if (i % 4 == 0) {
            value = double_of(next_random(&seed) >> 12); /* subnormal */
        }
        if (!isfinite(value)) {
            continue;
        }
        snprintf(text, sizeof text, "%.*g", 15 + i % 3, value);
        expect_as_strtod(text);
    }
}

/* Exactly between two doubles, and one digit in the 900th place away from it on either side. */
static void number_rounds_midpoints_to_even_and_their_neighbours_away(void **state)
{
    (void)state;
    if (LDBL_MANT_DIG <= DBL_MANT_DIG) {
        skip(); /* a midpoint needs one bit more than a double to be printed */
    }
    uint64_t seed = 3;
    static char text[1200], plain[1200];
    for (int i = 0; i < 3000; i++) {
        uint64_t bits = next_random(&seed) & INT64_MAX;
        bits = i % 3 == 0 ? bits >> 12 : i % 3 == 1 ? UINT64_C(0x3FF0000000000000) + (bits >> 12) : bits;
        double low = double_of(bits), high = double_of(bits + 1);
        if (!isfinite(high)) {
            continue;
        }
        long double middle = ((long double)low + (long double)high) / 2.0L;
        snprintf(text, sizeof text, "%.780Le", middle);
        expect_as_strtod(text);
        char *e = strchr(text, 'e');
        snprintf(plain, sizeof plain, "%.*s%0120d1%s", (int)(e - text), text, 0, e);
        expect_as_strtod(plain);
        double got = 0.0;
        read_exactly(plain, '.', &got);
        assert_true(bits_of(got) == bits + 1);
    }
}

static void number_longer_than_any_buffer_is_still_right(void **state)
{
    (void)state;
    enum { LENGTH = 100000 };
    char *text = malloc(LENGTH + 16);
    assert_non_null(text);
    memset(text, '0', LENGTH);
    text[0] = '1';
    memcpy(text + LENGTH, "e-99999", 8);
    double value = 0.0;
    assert_int_equal(read_exactly(text, '.', &value), LENGTH + 7);
    assert_true(value == 1.0);
    memset(text, '0', LENGTH);
    text[1] = '.';
    memcpy(text + LENGTH - 1, "7e99998", 8);
    assert_int_equal(read_exactly(text, '.', &value), LENGTH + 6);
    assert_true(value == 7.0);
    memset(text, '3', LENGTH);
    text[1] = '.';
    text[LENGTH] = '\0';
    assert_int_equal(read_exactly(text, '.', &value), LENGTH);
    assert_true(value == 10.0 / 3.0);
    free(text);
}

static void expect_written(double value, int decimals, const char *wanted)
{
    char out[40];
    memset(out, 'x', sizeof out);
    size_t length = bp_number_write(value, decimals, out, sizeof out);
    assert_string_equal(out, wanted);
    assert_int_equal(length, strlen(wanted));
}

static void number_writes_exactly_the_decimals_asked_for(void **state)
{
    (void)state;
    expect_written(0.0, 0, "0");
    expect_written(0.0, 9, "0.000000000");
    expect_written(9.80665, 5, "9.80665");
    expect_written(9.80665, 2, "9.81");
    expect_written(-1.25, 1, "-1.3");
    expect_written(1.25, 1, "1.3");
    expect_written(0.5, 0, "1");
    expect_written(2.5, 0, "3");
    expect_written(-0.5, 0, "-1");
    expect_written(2.675, 2, "2.67"); /* the double is 2.67499999999999982236431605997495353221893310546875 */
    expect_written(1.005, 2, "1.00"); /* 1.00499999999999989… */
    expect_written(0.99999, 2, "1.00");
    expect_written(999999999.9999999, 3, "1000000000.000");
    expect_written(999999999.123, 3, "999999999.123");
    expect_written(123.0, -4, "123");
    expect_written(0.1234567894, 12, "0.123456789");
}

static void number_writes_no_negative_zero(void **state)
{
    (void)state;
    expect_written(-0.0, 2, "0.00");
    expect_written(-0.004, 2, "0.00");
    expect_written(-0.005, 2, "-0.01"); /* the double is a little past the tie */
    expect_written(-1e-300, 9, "0.000000000");
}

static void number_writes_words_and_large_magnitudes(void **state)
{
    (void)state;
    expect_written((double)NAN, 3, "nan");
    expect_written((double)INFINITY, 3, "inf");
    expect_written((double)-INFINITY, 3, "-inf");
    expect_written(1e9, 2, "1000000000");
    expect_written(-1234567890.5, 2, "-1234567890.5");
    expect_written(DBL_MAX, 2, "1.7976931348623157e+308");
    expect_written(-DBL_MAX, 9, "-1.7976931348623157e+308");
}

static void number_write_is_cut_and_terminated_in_a_small_buffer(void **state)
{
    (void)state;
    char out[8] = "xxxxxxx";
    assert_int_equal(bp_number_write(123.456, 3, out, 4), 3);
    assert_string_equal(out, "123");
    assert_int_equal(bp_number_write(123.456, 3, out, 1), 0);
    assert_string_equal(out, "");
    out[0] = 'x';
    assert_int_equal(bp_number_write(123.456, 3, out, 0), 0);
    assert_int_equal(out[0], 'x');
}

/* glibc's printf rounds the exact value to even at ties, ours away from zero: they differ at ties only. */
static void number_writes_what_printf_writes_except_at_ties(void **state)
{
    (void)state;
    uint64_t seed = 4;
    char wanted[64], got[40];
    for (int i = 0; i < RANDOM_STRINGS; i++) {
        int decimals = (int)(next_random(&seed) % 10);
        double value = ldexp((double)(int64_t)next_random(&seed), -(int)(next_random(&seed) % 60) - 34);
        snprintf(wanted, sizeof wanted, "%.*f", decimals, value);
        bp_number_write(value, decimals, got, sizeof got);
        bool zero = strspn(wanted, "-0.") == strlen(wanted);
        if (!zero) {
            assert_string_equal(got, wanted);
        }
    }
}

static void number_is_free_of_the_locale(void **state)
{
    (void)state;
    if (!comma_locale_enter()) {
        print_message("skipped: no decimal-comma locale can be made here (localedef and its sources)\n");
        skip();
    }
    char printed[16];
    snprintf(printed, sizeof printed, "%.1f", 1.5);
    double fast = 0.0, slow = 0.0;
    char large[40];
    size_t fast_used = bp_number_read("9.80665", 7, '.', &fast);
    size_t slow_used = bp_number_read("0.1234567890123456789", 21, '.', &slow);
    bp_number_write(1234567890.5, 1, large, sizeof large);
    char after[16];
    snprintf(after, sizeof after, "%.1f", 1.5);
    comma_locale_leave();
    assert_string_equal(printed, "1,5"); /* the locale was really on */
    assert_string_equal(after, "1,5");   /* and we left it on */
    assert_int_equal(fast_used, 7);
    assert_true(fast == 9.80665);
    assert_int_equal(slow_used, 21);
    assert_true(slow == 0.1234567890123456789);
    assert_string_equal(large, "1234567890.5");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(number_reads_plain_forms),
        cmocka_unit_test(number_refuses_what_is_none_and_leaves_value_alone),
        cmocka_unit_test(number_reads_words_in_any_case),
        cmocka_unit_test(number_takes_no_hexadecimal),
        cmocka_unit_test(number_stops_at_count),
        cmocka_unit_test(number_takes_the_decimal_mark_it_is_told),
        cmocka_unit_test(number_overflow_is_infinity_and_leaves_errno_alone),
        cmocka_unit_test(number_agrees_with_strtod_on_random_decimals),
        cmocka_unit_test(number_reads_back_random_doubles),
        cmocka_unit_test(number_rounds_midpoints_to_even_and_their_neighbours_away),
        cmocka_unit_test(number_longer_than_any_buffer_is_still_right),
        cmocka_unit_test(number_writes_exactly_the_decimals_asked_for),
        cmocka_unit_test(number_writes_no_negative_zero),
        cmocka_unit_test(number_writes_words_and_large_magnitudes),
        cmocka_unit_test(number_write_is_cut_and_terminated_in_a_small_buffer),
        cmocka_unit_test(number_writes_what_printf_writes_except_at_ties),
        cmocka_unit_test(number_is_free_of_the_locale),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
