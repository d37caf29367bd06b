/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/decimal.h"

enum {
    DIGITS_MAX = 19,   /* any such whole number fits 64 bits */
    FAST_POWER = 22,   /* 10^22 is the largest power of ten that is a double */
    WHOLE_POWER = 19,  /* 10^19 is the largest that fits 64 bits */
    EXPONENT_MAX = 999 /* of three digits; more are not for this reader */
};
#define EXACT_WHOLE (UINT64_C(1) << 53)

static const double powers[FAST_POWER + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                              1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                              1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

const uint64_t bp_import_whole_powers[9] = {1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000};

const double bp_import_divisors[2][BP_DECIMAL_EXACT_DIGITS + 1] = {
    {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15},
    {-1e0, -1e1, -1e2, -1e3, -1e4, -1e5, -1e6, -1e7, -1e8, -1e9, -1e10, -1e11, -1e12, -1e13, -1e14, -1e15}};

#if defined(__SIZEOF_INT128__)
__extension__ typedef unsigned __int128 wide;

static const uint64_t whole_powers[WHOLE_POWER + 1] = {UINT64_C(1),
                                                       UINT64_C(10),
                                                       UINT64_C(100),
                                                       UINT64_C(1000),
                                                       UINT64_C(10000),
                                                       UINT64_C(100000),
                                                       UINT64_C(1000000),
                                                       UINT64_C(10000000),
                                                       UINT64_C(100000000),
                                                       UINT64_C(1000000000),
                                                       UINT64_C(10000000000),
                                                       UINT64_C(100000000000),
                                                       UINT64_C(1000000000000),
                                                       UINT64_C(10000000000000),
                                                       UINT64_C(100000000000000),
                                                       UINT64_C(1000000000000000),
                                                       UINT64_C(10000000000000000),
                                                       UINT64_C(100000000000000000),
                                                       UINT64_C(1000000000000000000),
                                                       UINT64_C(10000000000000000000)};

static int leading_zeros(uint64_t v)
{
    return __builtin_clzll((unsigned long long)v);
}

/* whole / 10^power, rounded once: both are shifted to fill 64 bits, the quotient has 63 or 64, its tail and
 * the remainder decide the rounding (to nearest, ties to even). whole > 0. */
static double divide(uint64_t whole, int power)
{
    uint64_t divisor = whole_powers[power];
    int up = leading_zeros(whole), down = leading_zeros(divisor);
    uint64_t n = whole << up, d = divisor << down;
    int shift = n >= d ? 63 : 64; /* so that the quotient fits 64 bits with its top bit set */
    wide numerator = (wide)n << shift;
    uint64_t quotient = (uint64_t)(numerator / d);
    bool rest = numerator - (wide)quotient * d != 0;
    uint64_t kept = quotient >> 11, tail = quotient & 0x7ff;
    if (tail > 0x400 || (tail == 0x400 && (rest || (kept & 1) != 0))) {
        kept++; /* 2^53 is exact too */
    }
    /* value = kept * 2^e; |e| stays far inside the range of doubles, so the product is exact. */
    int e = 11 - shift - up + down;
    uint64_t bits = (uint64_t)(e + 1023) << 52;
    double power_of_two;
    memcpy(&power_of_two, &bits, sizeof power_of_two);
    return (double)kept * power_of_two;
}
#endif

/* An exponent at *at, which is on 'e' or 'E'. False when it is none that this reader takes. */
static bool take_exponent(const char **at, const char *end, int *exponent)
{
    const char *p = *at + 1;
    bool negative = p < end && *p == '-';
    int value = 0;
    p += p < end && (*p == '-' || *p == '+');
    const char *first = p;
    for (; p < end && (unsigned)(*p - '0') < 10U; p++) {
        value = 10 * value + (*p - '0');
        if (value > EXPONENT_MAX) {
            return false;
        }
    }
    *exponent += negative ? -value : value;
    *at = p;
    return p > first;
}

static bool scale(uint64_t whole, int exponent, double *value)
{
    if (whole <= EXACT_WHOLE && exponent >= -FAST_POWER && exponent <= FAST_POWER && FLT_EVAL_METHOD == 0) {
        /* Clinger 1990: two exact doubles, one operation, one rounding. */
        *value = exponent < 0 ? (double)whole / powers[-exponent] : (double)whole * powers[exponent];
        return true;
    }
    if (whole == 0) {
        *value = 0.0;
        return true;
    }
#if defined(__SIZEOF_INT128__)
    if (exponent <= 0 && exponent >= -WHOLE_POWER) {
        *value = divide(whole, -exponent);
        return true;
    }
#endif
    return false;
}

size_t bp_import_read_decimal(const char *at, const char *end, char point, double *value)
{
    const char *p = at;
    bool negative = p < end && *p == '-';
    uint64_t whole = 0;
    int exponent = 0;
    p += p < end && (*p == '-' || *p == '+');
    const char *first = p;
    for (; p < end && (unsigned)(*p - '0') < 10U; p++) {
        whole = 10 * whole + (uint64_t)(*p - '0');
    }
    size_t digits = (size_t)(p - first);
    if (p < end && *p == point) {
        const char *fraction = ++p;
        for (; p < end && (unsigned)(*p - '0') < 10U; p++) {
            whole = 10 * whole + (uint64_t)(*p - '0');
        }
        exponent = (int)(fraction - p);
        digits += (size_t)(p - fraction);
    }
    /* Leading zeros count as digits here: "0.000000000000000001" is rare enough for the slow reader. */
    if (digits == 0 || digits > DIGITS_MAX) {
        return 0;
    }
    if (p < end && (*p == 'e' || *p == 'E') && !take_exponent(&p, end, &exponent)) {
        return 0;
    }
    if (!scale(whole, exponent, value)) {
        return 0;
    }
    *value = negative ? -*value : *value;
    return (size_t)(p - at);
}

/* An exponent of one to three digits behind its 'e'; NULL: there is none. */
static const char *plain_exponent(const char *at, int *exponent)
{
    bool negative = *at == '-';
    int value = 0;
    at += *at == '-' || *at == '+';
    const char *first = at;
    for (; (unsigned)(*at - '0') < 10U && at < first + 4; at++) {
        value = 10 * value + (*at - '0');
    }
    *exponent += negative ? -value : value;
    return at == first || at == first + 4 ? NULL : at;
}

const char *bp_import_finish_plain(const char *at, bool negative, uint64_t whole, size_t digits,
                                   size_t decimals, double *value)
{
    if (digits == 0 || digits > DIGITS_MAX) {
        return NULL;
    }
    int exponent = -(int)decimals;
    if ((*at | 0x20) == 'e') {
        at = plain_exponent(at + 1, &exponent);
    }
    if (at == NULL || !scale(whole, exponent, value)) {
        return NULL;
    }
    *value = negative ? -*value : *value;
    return at;
}

const char *bp_import_read_plain_again(const char *at, char point, double *value)
{
    return bp_import_read_plain(at, point, value);
}
