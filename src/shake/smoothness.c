/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "shake/bins.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

/* Settings of the published measure (Balasubramanian et al. 2015 and its reference program). */
static const double cutoff_hz = 10;   /* no voluntary movement is faster */
static const double threshold = 0.05; /* of the largest amplitude: less is taken for noise */
enum { PADDING_POWERS = 4 };          /* the transform is 16 times the next power of two */

/* 2^(ceil(log2 count) + 4); 0 where it does not fit. */
static size_t padded_length(size_t count)
{
    size_t length = 1;
    while (length < count) {
        length *= 2;
    }
    return length > SIZE_MAX >> (PADDING_POWERS + 1) ? 0 : length << PADDING_POWERS;
}

/* Arc length over the amplitudes between the first and the last that reach the threshold:
 * SAL = -Σ sqrt((Δf / (f_K - f_0))² + (ΔM)²). Overwrites power with the amplitudes M. */
static double arc_length(double *power, size_t bins)
{
    double largest = 0;
    for (size_t k = 0; k < bins; k++) {
        power[k] = sqrt(fmax(power[k], 0)); /* rounding may leave a hair below zero */
        largest = fmax(largest, power[k]);
    }
    size_t first = 0, last = bins - 1;
    while (first < last && !(power[first] >= threshold * largest)) {
        first++;
    }
    while (last > first && !(power[last] >= threshold * largest)) {
        last--;
    }
    if (!(largest > 0) || first == last) {
        return (double)NAN;
    }
    double step = 1 / (double)(last - first), sum = 0;
    for (size_t k = first + 1; k <= last; k++) {
        double rise = (power[k] - power[k - 1]) / largest;
        sum += sqrt(step * step + rise * rise);
    }
    return -sum;
}

static double arc_length_short(const double *speed, size_t count, size_t length, size_t bins)
{
    double power[BP_BINS_DIRECT_MAX];
    bp_bins_power(speed, count, length, 0, bins, NULL, power);
    return arc_length(power, bins);
}

static double arc_length_long(const double *speed, size_t count, size_t length, size_t bins,
                              struct bp_arena *arena)
{
    double *power = bp_arena_doubles(arena, bins);
    if (power == NULL || !bp_bins_power(speed, count, length, 0, bins, arena, power)) {
        return (double)NAN;
    }
    return arc_length(power, bins);
}

static bool all_finite(const double *x, size_t count)
{
    bool finite = true;
    for (size_t i = 0; i < count; i++) {
        finite = finite && isfinite(x[i]);
    }
    return finite;
}

double bp_spectral_arc_length(const double *speed, size_t count, double rate_hz, struct bp_arena *arena)
{
    if (count < 3 || count > SIZE_MAX / 4 || !(rate_hz > 0) || !isfinite(rate_hz) ||
        !all_finite(speed, count)) {
        return (double)NAN;
    }
    size_t length = padded_length(count);
    if (length == 0) {
        return (double)NAN;
    }
    double bins = floor(cutoff_hz / rate_hz * (double)length) + 1;
    size_t whole = length / 2 + 1; /* a log of under 20 Hz has nothing up to the cutoff */
    size_t used = bins < (double)whole ? (size_t)bins : whole;
    return bp_bins_direct(count, used) ? arc_length_short(speed, count, length, used)
                                       : arc_length_long(speed, count, length, used, arena);
}
