/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Invented signals for the tests of src/shake.
 */
#ifndef BARPLUMB_TESTS_SIGNALS_H
#define BARPLUMB_TESTS_SIGNALS_H

#include "barplumb/units.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>

/* x[n] = amplitude * sin(2π hz n / rate_hz + phase). */
static inline void signal_sine(double *x, size_t count, double rate_hz, double amplitude, double hz,
                               double phase)
{
    for (size_t i = 0; i < count; i++) {
        x[i] = amplitude * sin(2 * BP_PI * hz * (double)i / rate_hz + phase);
    }
}

/* White, uniform in [-sqrt(3), sqrt(3)]: standard deviation 1. The same seed gives the same noise
 * (xorshift64*, Marsaglia 2003; Vigna 2016). */
static inline void signal_noise(double *x, size_t count, uint64_t seed)
{
    uint64_t word = seed * UINT64_C(0x9E3779B97F4A7C15) + 1;
    for (size_t i = 0; i < count; i++) {
        word ^= word >> 12;
        word ^= word << 25;
        word ^= word >> 27;
        uint64_t drawn = (word * UINT64_C(0x2545F4914F6CDD1D)) >> 11;
        x[i] = sqrt(3) * (2 * (double)drawn / 9007199254740992.0 - 1);
    }
}

static inline double signal_rms(const double *x, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += x[i] * x[i];
    }
    return sqrt(sum / (double)count);
}

/* The largest |a - b|. */
static inline double signal_distance(const double *a, const double *b, size_t count)
{
    double largest = 0;
    for (size_t i = 0; i < count; i++) {
        largest = fmax(largest, fabs(a[i] - b[i]));
    }
    return largest;
}

static inline void signal_reverse(double *x, size_t count)
{
    for (size_t i = 0; i < count / 2; i++) {
        double kept = x[i];
        x[i] = x[count - 1 - i];
        x[count - 1 - i] = kept;
    }
}

#endif
