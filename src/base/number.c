/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Numbers to text and back, free of locale: under a decimal-comma locale strtod reads "9.80665" as 9 and
 * printf writes 1,50.
 */
#include "barplumb/text.h"

#include <errno.h>
#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    DECIMALS_MAX = 9,
    NUMBER_BYTES = 40,
    FAST_DIGITS = 19,     /* any number of 19 digits fits 64 bits */
    FAST_EXPONENT = 22,   /* 10^22 = 2^22 5^22 and 5^22 < 2^53: the largest exact power of ten */
    EXACT_DIGITS = 800,   /* the longest midpoint between two doubles has 768 significant digits */
    EXPONENT_SURE = 99999 /* with at most EXACT_DIGITS + 1 digits before it, certainly 0 or infinite */
};
#define EXPONENT_READ_MAX INT64_C(100000000000000000) /* past any count of digits in memory */
#define EXACT_WHOLE_MAX (UINT64_C(1) << 53)           /* every whole number up to it is a double */

static const double powers_of_ten[FAST_EXPONENT + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                        1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                        1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/* The C locale for this thread only. newlocale("C") is a constant inside the C library: nothing is
 * allocated, so making and freeing it on each slow number costs nothing and needs no global. */
struct c_locale {
    locale_t own, before;
};

static struct c_locale enter_c_locale(void)
{
    struct c_locale c = {newlocale(LC_ALL_MASK, "C", (locale_t)0), (locale_t)0};
    if (c.own != (locale_t)0) {
        c.before = uselocale(c.own);
    }
    return c;
}

static void leave_c_locale(struct c_locale c)
{
    if (c.own != (locale_t)0) {
        uselocale(c.before);
        freelocale(c.own);
    }
}

/* ---- writing ---- */

static size_t put_whole(uint64_t value, size_t digits_least, char *out)
{
    char reversed[20];
    size_t n = 0;
    do {
        reversed[n++] = (char)('0' + value % 10);
        value /= 10;
    } while (value > 0 || n < digits_least);
    for (size_t i = 0; i < n; i++) {
        out[i] = reversed[n - 1 - i];
    }
    return n;
}

/* 0 <= value < 1e9. Ties are judged on the double's exact value: 2.675 is a little less than it looks and
 * becomes 2.67, 0.125 becomes 0.13. */
static size_t put_fixed(double value, int decimals, bool negative, char *out)
{
    double scale = powers_of_ten[decimals];
    double whole = floor(value);
    double part = value - whole;               /* exact */
    double scaled = part * scale;              /* rounded… */
    double missed = fma(part, scale, -scaled); /* …by exactly this much */
    double units = floor(scaled);
    if ((scaled - units) - 0.5 >= -missed) {
        units += 1.0;
    }
    if (units >= scale) {
        units = 0.0;
        whole += 1.0;
    }
    size_t n = 0;
    if (negative && (whole > 0.0 || units > 0.0)) {
        out[n++] = '-';
    }
    n += put_whole((uint64_t)whole, 1, out + n);
    if (decimals > 0) {
        out[n++] = '.';
        n += put_whole((uint64_t)units, (size_t)decimals, out + n);
    }
    return n;
}

static size_t put_large(double value, char *out, size_t size)
{
    struct c_locale c = enter_c_locale();
    int n = snprintf(out, size, "%.17g", value);
    leave_c_locale(c);
    return n > 0 ? (size_t)n : 0;
}

size_t bp_number_write(double value, int decimals, char *out, size_t size)
{
    char number[NUMBER_BYTES];
    size_t n;
    if (size == 0) {
        return 0;
    }
    decimals = decimals < 0 ? 0 : decimals > DECIMALS_MAX ? DECIMALS_MAX : decimals;
    if (!isfinite(value)) {
        const char *word = isnan(value) ? "nan" : value > 0.0 ? "inf" : "-inf";
        n = strlen(word);
        memcpy(number, word, n);
    } else if (fabs(value) >= 1e9) {
        n = put_large(value, number, sizeof number);
    } else {
        n = put_fixed(fabs(value), decimals, value < 0.0, number);
    }
    n = n < size ? n : size - 1;
    memcpy(out, number, n);
    out[n] = '\0';
    return n;
}

/* ---- reading ---- */

/* A decimal as it stands in the text: sign, digits[first, last) with at most one point among them, and
 * value = (the digits read as a whole number) * 10^exponent. */
struct decimal {
    bool negative;
    size_t first, last; /* bytes from the first significant digit to behind the last digit */
    uint64_t leading;   /* the first FAST_DIGITS significant digits */
    size_t significant; /* digits from the first that is not 0 */
    size_t digits;      /* all digits */
    int64_t exponent;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t scan_digits(const char *bytes, size_t count, size_t at, struct decimal *d)
{
    for (; at < count && is_digit(bytes[at]); at++) {
        unsigned digit = (unsigned)(bytes[at] - '0');
        d->digits++;
        if (d->significant == 0 && digit == 0) {
            continue;
        }
        if (d->significant == 0) {
            d->first = at;
        }
        if (d->significant < FAST_DIGITS) {
            d->leading = 10 * d->leading + digit;
        }
        d->significant++;
    }
    return at;
}

/* Reads an exponent at bytes[at] if a whole one is there. Returns where the number ends. */
static size_t scan_exponent(const char *bytes, size_t count, size_t at, struct decimal *d)
{
    if (at >= count || (bytes[at] != 'e' && bytes[at] != 'E')) {
        return at;
    }
    size_t next = at + 1;
    bool negative = next < count && bytes[next] == '-';
    if (next < count && (bytes[next] == '-' || bytes[next] == '+')) {
        next++;
    }
    if (next >= count || !is_digit(bytes[next])) {
        return at;
    }
    int64_t value = 0;
    for (; next < count && is_digit(bytes[next]); next++) {
        if (value < EXPONENT_READ_MAX) {
            value = 10 * value + (bytes[next] - '0');
        }
    }
    value = value < EXPONENT_READ_MAX ? value : EXPONENT_READ_MAX;
    d->exponent += negative ? -value : value;
    return next;
}

static size_t scan_decimal(const char *bytes, size_t count, size_t at, char point, struct decimal *d)
{
    at = scan_digits(bytes, count, at, d);
    d->last = at;
    if (at < count && bytes[at] == point) {
        size_t end = scan_digits(bytes, count, at + 1, d);
        d->exponent = -(int64_t)(end - at - 1);
        d->last = end;
    }
    return d->digits > 0 ? scan_exponent(bytes, count, d->last, d) : 0;
}

/* Any decimal, by the C library. It is rewritten as digits and an exponent first: no point, so no locale;
 * and cut after the digits that can matter, with a 1 behind them if anything was cut that was not 0. */
static double read_slowly(const char *bytes, const struct decimal *d)
{
    char digits[EXACT_DIGITS + 32];
    size_t n = 0;
    int64_t exponent = d->exponent;
    bool more = false;
    for (size_t at = d->first; at < d->last; at++) {
        if (!is_digit(bytes[at])) {
            continue;
        }
        if (n < EXACT_DIGITS) {
            digits[n++] = bytes[at];
        } else {
            more = more || bytes[at] != '0';
            exponent++;
        }
    }
    if (more) {
        digits[n++] = '1';
        exponent--;
    }
    exponent = exponent > EXPONENT_SURE    ? EXPONENT_SURE
               : exponent < -EXPONENT_SURE ? -EXPONENT_SURE
                                           : exponent;
    digits[n++] = 'e';
    digits[n++] = exponent < 0 ? '-' : '+';
    n += put_whole((uint64_t)(exponent < 0 ? -exponent : exponent), 1, digits + n);
    digits[n] = '\0';
    int before = errno; /* overflow is an infinity here, not an errno */
    struct c_locale c = enter_c_locale();
    double value = strtod(digits, NULL);
    leave_c_locale(c);
    errno = before;
    return value;
}

/* Clinger 1990, "How to read floating point numbers accurately", PLDI: a whole number up to 2^53 and a power
 * of ten up to 10^22 are both exact, so one multiplication or division rounds once, correctly. */
static bool read_fast(const struct decimal *d, double *value)
{
    if (FLT_EVAL_METHOD != 0 || d->significant > FAST_DIGITS || d->leading > EXACT_WHOLE_MAX ||
        d->exponent > FAST_EXPONENT || d->exponent < -FAST_EXPONENT) {
        return false;
    }
    double whole = (double)d->leading;
    *value = d->exponent < 0 ? whole / powers_of_ten[-d->exponent] : whole * powers_of_ten[d->exponent];
    return true;
}

static bool starts_with_word(const char *bytes, size_t count, const char *word)
{
    size_t length = strlen(word);
    for (size_t i = 0; i < length; i++) {
        /* The words are letters only, and bit 5 is what tells the cases of an ASCII letter apart. */
        if (i >= count || (bytes[i] | 0x20) != word[i]) {
            return false;
        }
    }
    return true;
}

static size_t read_word(const char *bytes, size_t count, double *value)
{
    static const struct {
        const char *word;
        double value;
    } words[] = {{"infinity", (double)INFINITY}, {"inf", (double)INFINITY}, {"nan", (double)NAN}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (starts_with_word(bytes, count, words[i].word)) {
            *value = words[i].value;
            return strlen(words[i].word);
        }
    }
    return 0;
}

size_t bp_number_read(const char *bytes, size_t count, char point, double *value)
{
    struct decimal d = {0};
    double magnitude = 0.0;
    size_t start = 0;
    if (count > 0 && (bytes[0] == '-' || bytes[0] == '+')) {
        d.negative = bytes[0] == '-';
        start = 1;
    }
    size_t end = scan_decimal(bytes, count, start, point, &d);
    if (end == 0) {
        size_t length = read_word(bytes + start, count - start, &magnitude);
        if (length == 0) {
            return 0;
        }
        end = start + length;
    } else if (d.significant > 0 && !read_fast(&d, &magnitude)) {
        magnitude = read_slowly(bytes, &d);
    }
    *value = d.negative ? -magnitude : magnitude;
    return end;
}
