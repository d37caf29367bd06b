/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: the numbers that logs are full of, read fast. Most of an import's time goes here.
 */
#ifndef BARPLUMB_IMPORT_DECIMAL_H
#define BARPLUMB_IMPORT_DECIMAL_H

#include <float.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Reads sign, up to 19 digits with an optional decimal mark, and an optional exponent from [at, end).
 * Returns the bytes used and sets *value, correctly rounded; returns 0 for anything else (more digits, large
 * exponents, words), which bp_number_read is then to judge. Thread-safe. */
size_t bp_import_read_decimal(const char *at, const char *end, char point, double *value);

/* ---- the same without an end to look out for ---- */

/* Text for bp_import_read_plain ends in a byte that is in no number, and so many more may be read behind it.
 */
enum { BP_DECIMAL_PADDING = 16 };

extern const uint64_t bp_import_whole_powers[9];

#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
#define BP_DECIMAL_EIGHT 1

/* Eight bytes at once, as Lemire 2021 (Number parsing at a gigabyte per second): digits become 0 to 9;
 * *others gets the top bit of the first byte that is none (and of bytes behind it, where it says nothing). */
static inline uint64_t bp_import_load_eight(const char *at, uint64_t *others)
{
    uint64_t x;
    memcpy(&x, at, sizeof x);
    x ^= UINT64_C(0x3030303030303030);
    *others = ((x + UINT64_C(0x7676767676767676)) | x) & UINT64_C(0x8080808080808080);
    return x;
}

/* The number that eight digits, the first in the lowest byte, are: pairs, then fours, then all. */
static inline uint64_t bp_import_add_eight(uint64_t x)
{
    x = x * 10 + (x >> 8);
    return (((x & UINT64_C(0x000000ff000000ff)) * UINT64_C(0x000f424000000064) +
             ((x >> 16) & UINT64_C(0x000000ff000000ff)) * UINT64_C(0x0000271000000001)) >>
            32) &
           UINT64_C(0xffffffff);
}
#endif

/* n < 8, which is taken to be what it was the first time before it is known: the processor, which foresees
 * that branch, goes on with the next number before this one's end is found. Where n has changed once it is
 * waited for, since a branch that is not foreseen costs more. *first is 0 to begin with. */
static inline unsigned bp_import_foresee(unsigned n, unsigned *first)
{
    enum { CHANGES = 8 };
    unsigned foreseen = *first;
    if (n != foreseen) {
        *first = foreseen == 0 ? n : CHANGES;
        return n;
    }
#if defined(__GNUC__)
    __asm__("" : "+r"(foreseen)); /* or the compiler, which knows them to be equal, returns n */
#endif
    return foreseen;
}

/* Appends the digits at at to *whole; what overflows has too many digits to be used. Eight at once is a
 * branch of its own: where all numbers have as many, the processor goes on with the next before this one is
 * added up. Fewer are moved up behind leading zeros, without a branch; *few is bp_import_foresee's. */
static inline const char *bp_import_take_digits(const char *at, unsigned *few, uint64_t *whole)
{
#if defined(BP_DECIMAL_EIGHT)
    uint64_t others, x = bp_import_load_eight(at, &others);
    while (others == 0) {
        *whole = *whole * 100000000 + bp_import_add_eight(x);
        at += 8;
        if ((unsigned char)(*at - '0') >= 10) {
            return at;
        }
        x = bp_import_load_eight(at, &others);
    }
    unsigned n = (unsigned)__builtin_ctzll(others) / 8U, half = 4U * (8U - n);
    x = x << half << half; /* in two steps: 64 is too far for one */
    *whole = *whole * bp_import_whole_powers[n] + bp_import_add_eight(x);
    return at + bp_import_foresee(n, few);
#else
    (void)few;
    for (; (unsigned char)(*at - '0') < 10; at++) {
        *whole = *whole * 10 + (uint64_t)(*at - '0');
    }
    return at;
#endif
}

/* The rest of bp_import_read_plain, which began at `at`, for what is not quick; stop is where the digits end,
 * perhaps on an exponent, whole what they are, decimals how many of them stand behind the mark. */
const char *bp_import_finish_plain(const char *at, const char *stop, uint64_t whole, size_t decimals,
                                   char point, double *value);

/* Whole numbers of so many digits, and powers of ten up to that, are doubles; a quotient of two is rounded
 * once (Clinger 1990). */
enum { BP_DECIMAL_EXACT_DIGITS = 15 };
extern const double
    bp_import_divisors[2][BP_DECIMAL_EXACT_DIGITS + 1]; /* 10^k, and -10^k for negative numbers */

/* Reads a decimal with an optional '-' from padded text. Returns where it ends and sets *value, correctly
 * rounded; NULL for what is not quick, which is then to be read by other means. *few is 0 before the first of
 * the numbers that are likely to have as many digits. Thread-safe. */
static inline const char *bp_import_read_plain(const char *at, char point, unsigned *few, double *value)
{
    /* The sign is as random as the reading: no branch, which could not be foreseen, hangs on it. */
    size_t negative = *at == '-', decimals = 0;
    uint64_t whole = 0;
    const char *first = at + negative, *p = first;
    for (; (unsigned char)(*p - '0') < 10; p++) { /* one digit mostly, which is quicker taken by itself */
        whole = 10 * whole + (uint64_t)(*p - '0');
    }
    const char *mark = p;
    if (*p == point) {
        p = bp_import_take_digits(p + 1, few, &whole);
        decimals = (size_t)(p - mark) - 1;
    }
    /* The mark is counted among the digits, which loses nothing but the last of fifteen. */
    if (mark == first || p - first > BP_DECIMAL_EXACT_DIGITS || decimals > BP_DECIMAL_EXACT_DIGITS ||
        (*p | 0x20) == 'e' || FLT_EVAL_METHOD != 0) {
        return bp_import_finish_plain(at, p, whole, decimals, point, value);
    }
    *value = (double)(int64_t)whole / bp_import_divisors[negative][decimals];
    return p;
}

/* The same as a function: a second copy in a loop would crowd out the first. */
const char *bp_import_read_plain_again(const char *at, char point, double *value);

#endif
