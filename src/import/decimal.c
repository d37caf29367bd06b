/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/decimal.h"

enum {
    DIGITS_MAX = 19,   /* any such whole number fits 64 bits */
    FAST_POWER = 22,   /* 10^22 is the largest power of ten that is a double */
    WHOLE_POWER = 19,  /* 10^19 is the largest that fits 64 bits */
    RECIPROCALS = 46,  /* 10^0 to 10^-45: 19 digits behind 26 zeros */
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

/* kept * 2^e; |e| stays far inside the range of doubles, so the product is exact. */
static double double_of(uint64_t kept, int e)
{
    uint64_t bits = (uint64_t)(e + 1023) << 52;
    double power_of_two;
    memcpy(&power_of_two, &bits, sizeof power_of_two);
    return (double)kept * power_of_two;
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
    return double_of(kept, 11 - shift - up + down);
}
/* 10^-m, cut off after 64 bits: bits / 2^shift <= 10^-m < (bits + 1) / 2^shift. */
static const struct {
    uint64_t bits;
    int shift;
} reciprocals[RECIPROCALS] = {{UINT64_C(0x8000000000000000), 63},  {UINT64_C(0xcccccccccccccccc), 67},
                              {UINT64_C(0xa3d70a3d70a3d70a), 70},  {UINT64_C(0x83126e978d4fdf3b), 73},
                              {UINT64_C(0xd1b71758e219652b), 77},  {UINT64_C(0xa7c5ac471b478423), 80},
                              {UINT64_C(0x8637bd05af6c69b5), 83},  {UINT64_C(0xd6bf94d5e57a42bc), 87},
                              {UINT64_C(0xabcc77118461cefc), 90},  {UINT64_C(0x89705f4136b4a597), 93},
                              {UINT64_C(0xdbe6fecebdedd5be), 97},  {UINT64_C(0xafebff0bcb24aafe), 100},
                              {UINT64_C(0x8cbccc096f5088cb), 103}, {UINT64_C(0xe12e13424bb40e13), 107},
                              {UINT64_C(0xb424dc35095cd80f), 110}, {UINT64_C(0x901d7cf73ab0acd9), 113},
                              {UINT64_C(0xe69594bec44de15b), 117}, {UINT64_C(0xb877aa3236a4b449), 120},
                              {UINT64_C(0x9392ee8e921d5d07), 123}, {UINT64_C(0xec1e4a7db69561a5), 127},
                              {UINT64_C(0xbce5086492111aea), 130}, {UINT64_C(0x971da05074da7bee), 133},
                              {UINT64_C(0xf1c90080baf72cb1), 137}, {UINT64_C(0xc16d9a0095928a27), 140},
                              {UINT64_C(0x9abe14cd44753b52), 143}, {UINT64_C(0xf79687aed3eec551), 147},
                              {UINT64_C(0xc612062576589dda), 150}, {UINT64_C(0x9e74d1b791e07e48), 153},
                              {UINT64_C(0xfd87b5f28300ca0d), 157}, {UINT64_C(0xcad2f7f5359a3b3e), 160},
                              {UINT64_C(0xa2425ff75e14fc31), 163}, {UINT64_C(0x81ceb32c4b43fcf4), 166},
                              {UINT64_C(0xcfb11ead453994ba), 170}, {UINT64_C(0xa6274bbdd0fadd61), 173},
                              {UINT64_C(0x84ec3c97da624ab4), 176}, {UINT64_C(0xd4ad2dbfc3d07787), 180},
                              {UINT64_C(0xaa242499697392d2), 183}, {UINT64_C(0x881cea14545c7575), 186},
                              {UINT64_C(0xd9c7dced53c72255), 190}, {UINT64_C(0xae397d8aa96c1b77), 193},
                              {UINT64_C(0x8b61313bbabce2c6), 196}, {UINT64_C(0xdf01e85f912e37a3), 200},
                              {UINT64_C(0xb267ed1940f1c61c), 203}, {UINT64_C(0x8eb98a7a9a5b04e3), 206},
                              {UINT64_C(0xe45c10c42a2b3b05), 210}, {UINT64_C(0xb6b00d69bb55c8d1), 213}};

/* whole / 10^power by a multiplication. The product of whole, shifted to fill 64 bits, and of the
 * reciprocal's 64 bits is short of the truth by less than two units of its upper half. Where those decide how
 * the upper half is rounded to 53 bits, false: one in five hundred. whole > 0. */
static bool multiply(uint64_t whole, int power, double *value)
{
    int up = leading_zeros(whole);
    uint64_t upper = (uint64_t)(((wide)(whole << up) * reciprocals[power].bits) >> 64);
    int drop = upper >> 63 != 0 ? 11 : 10;
    uint64_t half = UINT64_C(1) << (drop - 1), tail = upper & (2 * half - 1);
    if (tail == half || tail == half - 1) {
        return false;
    }
    *value = double_of((upper >> drop) + (tail > half), drop + 64 - up - reciprocals[power].shift);
    return true;
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
    if (exponent <= 0 && exponent > -RECIPROCALS && multiply(whole, -exponent, value)) {
        return true;
    }
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

/* Zeros in front of the first digit that counts, the mark among them passed over. */
static size_t zeros_before(const char *first, char point)
{
    size_t zeros = 0;
    for (; *first == '0' || *first == point; first++) {
        zeros += *first == '0';
    }
    return zeros;
}

const char *bp_import_finish_plain(const char *at, const char *stop, uint64_t whole, size_t decimals,
                                   char point, double *value)
{
    bool negative = *at == '-';
    const char *first = at + negative;
    size_t digits = (size_t)(stop - first);
    digits -= digits > decimals && first[digits - decimals - 1] == point;
    if (digits == 0 || (digits > DIGITS_MAX && digits - zeros_before(first, point) > DIGITS_MAX)) {
        return NULL;
    }
    int exponent = decimals < EXPONENT_MAX ? -(int)decimals : -EXPONENT_MAX;
    if ((*stop | 0x20) == 'e') {
        stop = plain_exponent(stop + 1, &exponent);
    }
    if (stop == NULL || !scale(whole, exponent, value)) {
        return NULL;
    }
    *value *= bp_import_divisors[negative][0]; /* 1 or -1: no branch, which could not be foreseen */
    return stop;
}

const char *bp_import_read_plain_again(const char *at, char point, double *value)
{
    unsigned few = 0;
    return bp_import_read_plain(at, point, &few, value);
}
