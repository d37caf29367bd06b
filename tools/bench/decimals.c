/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench.h"
#include "import/decimal.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

/* 1 to 19 digits, a point anywhere, often a sign, an exponent now and then. Returns bytes; the text is
 * padded. */
static size_t random_decimal(uint64_t *seed, char text[96])
{
    size_t n = 0;
    uint64_t digits = next_random(seed) >> (next_random(seed) % 63);
    memset(text, 0, 96);
    if (next_random(seed) % 2 == 0) {
        text[n++] = '-';
    }
    int length = snprintf(text + n, 24, "%" PRIu64, digits % UINT64_C(10000000000000000000));
    size_t point = n + next_random(seed) % ((size_t)length + 1);
    memmove(text + point + 1, text + point, n + (size_t)length - point);
    text[point] = '.';
    n += (size_t)length + 1;
    if (next_random(seed) % 4 == 0) {
        n += (size_t)snprintf(text + n, 8, "E%d", (int)(next_random(seed) % 60) - 30);
    }
    return n;
}

static bool same_bits(double a, double b)
{
    uint64_t bits[2];
    memcpy(&bits[0], &a, sizeof a);
    memcpy(&bits[1], &b, sizeof b);
    return bits[0] == bits[1];
}

int bench_decimals(uint64_t count, uint64_t seed)
{
    uint64_t state = seed * UINT64_C(0x9e3779b97f4a7c15) + 1, fast = 0, wrong = 0;
    for (uint64_t i = 0; i < count; i++) {
        char text[96];
        size_t length = random_decimal(&state, text);
        double value = 0.0, quick = 0.0, expected = strtod(text, NULL);
        const char *stop = bp_import_read_plain_again(text, '.', &quick);
        bool differs = stop != NULL && (stop != text + length || !same_bits(quick, expected));
        if (bp_import_read_decimal(text, text + length, '.', &value) != length &&
            bp_number_read(text, length, '.', &value) != length) {
            differs = true;
        }
        differs = differs || !same_bits(value, expected);
        fast += stop != NULL;
        if (differs && wrong++ < 10) {
            fprintf(stderr, "bench: %s: %.17g and %.17g instead of %.17g\n", text, quick, value, expected);
        }
    }
    printf("%" PRIu64 " decimals, %" PRIu64 " read by the fast path, %" PRIu64 " not as strtod does\n", count,
           fast, wrong);
    return wrong == 0 ? 0 : 1;
}
