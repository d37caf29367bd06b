/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "barplumb/units.h"
#include "shake/bins.h"

#include <math.h>
#include <stdbool.h>

/* Zero-padding: the parabola through three logarithms then misses a Hann peak by under 0.001 of 1/duration.
 */
enum { PADDING = 4 };

/* The run of bins inside the band. */
struct run {
    size_t length; /* of the padded transform */
    size_t first, bins;
    double bin_hz;
};

static bool find_run(size_t count, double rate_hz, double low_hz, double high_hz, struct run *run)
{
    if (count < 3 || !(rate_hz > 0) || !isfinite(rate_hz) || !(low_hz >= 0) || !(high_hz > low_hz)) {
        return false;
    }
    run->length = bp_fast_length(PADDING * count);
    if (run->length == 0) {
        return false;
    }
    run->bin_hz = rate_hz / (double)run->length;
    size_t half = run->length / 2;
    double first = ceil(low_hz / run->bin_hz);
    double last = fmin(floor(high_hz / run->bin_hz), (double)half);
    if (last < first + 2) { /* a peak needs a neighbour on either side */
        return false;
    }
    run->first = (size_t)first;
    run->bins = (size_t)last - run->first + 1;
    return true;
}

static bool changes(const double *x, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        if (x[i] != x[0]) {
            return true;
        }
    }
    return false;
}

/* Hann's window, placed so that both ends count alike and none is zero. */
static double window_at(size_t i, size_t count)
{
    return 0.5 - 0.5 * cos(2 * BP_PI * ((double)i + 0.5) / (double)count);
}

/* Takes the window-weighted mean out, so that nothing of it is left at 0 Hz to spread into the band. */
static void apply_window(const double *x, size_t count, double *windowed)
{
    double sum = 0, weight = 0;
    for (size_t i = 0; i < count; i++) {
        windowed[i] = window_at(i, count); /* kept for the second pass */
        sum += windowed[i] * x[i];
        weight += windowed[i];
    }
    double mean = sum / weight;
    for (size_t i = 0; i < count; i++) {
        windowed[i] *= x[i] - mean;
    }
}

/* The frequency of the highest power, NaN at an edge. */
static double pick_peak(const double *power, const struct run *run)
{
    size_t best = 0;
    for (size_t k = 1; k < run->bins; k++) {
        if (power[k] > power[best]) {
            best = k;
        }
    }
    if (best == 0 || best == run->bins - 1) {
        return (double)NAN;
    }
    double before = log(power[best - 1]), peak = log(power[best]), after = log(power[best + 1]);
    double offset = 0.5 * (before - after) / (before - 2 * peak + after);
    double shift = isfinite(offset) ? offset : 0;
    return ((double)(run->first + best) + shift) * run->bin_hz;
}

static double dominant_in(const double *x, size_t count, const struct run *run, struct bp_arena *arena,
                          double *windowed, double *power)
{
    apply_window(x, count, windowed);
    if (!bp_bins_power(windowed, count, run->length, run->first, run->bins, arena, power)) {
        return (double)NAN;
    }
    return pick_peak(power, run);
}

static double dominant_long(const double *x, size_t count, const struct run *run, struct bp_arena *arena)
{
    double *windowed = bp_arena_doubles(arena, count);
    double *power = bp_arena_doubles(arena, run->bins);
    if (windowed == NULL || power == NULL) {
        return (double)NAN;
    }
    return dominant_in(x, count, run, arena, windowed, power);
}

static double dominant_short(const double *x, size_t count, const struct run *run)
{
    double windowed[BP_BINS_DIRECT_MAX], power[BP_BINS_DIRECT_MAX];
    return dominant_in(x, count, run, NULL, windowed, power);
}

double bp_dominant_frequency(const double *x, size_t count, double rate_hz, double low_hz, double high_hz,
                             struct bp_arena *arena)
{
    struct run run;
    if (!find_run(count, rate_hz, low_hz, high_hz, &run) || !changes(x, count)) {
        return (double)NAN;
    }
    return bp_bins_direct(count, run.bins) ? dominant_short(x, count, &run)
                                           : dominant_long(x, count, &run, arena);
}
