/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shake/bins.h"

#include "barplumb/units.h"
#include "shake/fft.h"

#include <math.h>

enum { LANES = 8 }; /* bins summed side by side: each waits for its own last step, eight keep the unit busy */

/* Goertzel's sum in Reinsch's form (Stoer & Bulirsch, Introduction to Numerical Analysis, §2.3.4), which
 * stays exact where the frequency is low: with α = 4 sin²(θ/2), d += x - α s; s += d; then
 * |X|² = d² + α s (s - d). */
static void sum_lanes(const double *x, size_t count, const double alpha[LANES], double power[LANES])
{
    double s[LANES] = {0}, d[LANES] = {0};
    for (size_t n = 0; n < count; n++) {
        for (size_t j = 0; j < LANES; j++) {
            d[j] += x[n] - alpha[j] * s[j];
            s[j] += d[j];
        }
    }
    for (size_t j = 0; j < LANES; j++) {
        power[j] = d[j] * d[j] + alpha[j] * s[j] * (s[j] - d[j]);
    }
}

static void power_direct(const double *x, size_t count, size_t length, size_t first, size_t bins,
                         double *power)
{
    for (size_t start = 0; start < bins; start += LANES) {
        double alpha[LANES], lanes[LANES];
        for (size_t j = 0; j < LANES; j++) {
            double half_angle = BP_PI * (double)(first + start + j) / (double)length;
            alpha[j] = 4 * sin(half_angle) * sin(half_angle);
        }
        sum_lanes(x, count, alpha, lanes);
        for (size_t j = 0; j < LANES && start + j < bins; j++) {
            power[start + j] = lanes[j];
        }
    }
}

static bool power_fft(const double *x, size_t count, size_t length, size_t first, size_t bins,
                      struct bp_arena *arena, double *power)
{
    double *points = bp_arena_zero(arena, length, 2 * sizeof(double));
    fftw_plan plan = points == NULL ? NULL : bp_fft_make(length, points);
    if (plan == NULL) {
        arena->failed = true; /* a plan is only ever missing for want of memory */
        return false;
    }
    for (size_t n = 0; n < count; n++) {
        points[2 * n] = x[n];
    }
    bp_fft_run(plan, points);
    bp_fft_free(plan);
    for (size_t k = 0; k < bins; k++) {
        double re = points[2 * (first + k)], im = points[2 * (first + k) + 1];
        power[k] = re * re + im * im;
    }
    return true;
}

bool bp_bins_power(const double *x, size_t count, size_t length, size_t first, size_t bins,
                   struct bp_arena *arena, double *power)
{
    if (bp_bins_direct(count, bins)) {
        power_direct(x, count, length, first, bins, power);
        return true;
    }
    return power_fft(x, count, length, first, bins, arena, power);
}
