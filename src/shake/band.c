/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "barplumb/units.h"
#include "shake/fft.h"

#include <math.h>
#include <stdbool.h>

/* FFTW counts in int; three times this still fits one. */
#define SAMPLES_MAX ((size_t)1 << 29)

enum bp_code bp_band_plan_make(size_t count, double rate_hz, double lowest_hz, struct bp_arena *arena,
                               struct bp_band_plan *plan)
{
    *plan = (struct bp_band_plan){.count = 0};
    if (count == 0 || !(rate_hz > 0) || !isfinite(rate_hz) || !(lowest_hz > 0) || !isfinite(lowest_hz)) {
        return BP_ERR_ARGUMENT;
    }
    double reach = ceil(BP_BAND_REACH_PERIODS * rate_hz / lowest_hz);
    if (reach > (double)SAMPLES_MAX || count > SAMPLES_MAX) {
        return BP_ERR_MEMORY; /* no transform of it could be made */
    }
    /* The gap between the ends is never shorter than the filter rings, even when the record is. */
    size_t padded = bp_fast_length(count + 2 * (size_t)reach);
    double *spectrum = bp_arena_doubles(arena, 2 * padded);
    double *work = bp_arena_doubles(arena, 2 * padded);
    if (spectrum == NULL || work == NULL) {
        return BP_ERR_MEMORY;
    }
    fftw_plan transform = bp_fft_make(padded, work);
    if (transform == NULL) {
        return BP_ERR_MEMORY;
    }
    *plan = (struct bp_band_plan){.count = count,
                                  .reach = (size_t)reach < count - 1 ? (size_t)reach : count - 1,
                                  .padded = padded,
                                  .rate_hz = rate_hz,
                                  .spectrum = spectrum,
                                  .work = work,
                                  .transform = transform};
    return BP_OK;
}

void bp_band_plan_free(struct bp_band_plan *plan)
{
    bp_fft_free(plan->transform);
    *plan = (struct bp_band_plan){.count = 0};
}

static double mean_of(const double *x, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += x[i];
    }
    return sum / (double)count;
}

/* Half a cosine from 1 at the record's edge to 0 one step past the extension's end. */
static double taper(size_t step, size_t reach)
{
    return 0.5 + 0.5 * cos(BP_PI * (double)step / (double)(reach + 1));
}

/* Puts x less its mean, extended at both ends, into every other double of lane; weight[step - 1] is the
 * taper. What lies before the record stands at the far end of the circle. */
static void lay_out(const struct bp_band_plan *plan, const double *x, double mean, const double *weight,
                    double *lane)
{
    size_t count = plan->count, reach = plan->reach, padded = plan->padded;
    for (size_t i = 0; i < count; i++) {
        lane[2 * i] = x[i] - mean;
    }
    for (size_t i = count + reach; i < padded - reach; i++) {
        lane[2 * i] = 0;
    }
    double first = x[0], last = x[count - 1];
    for (size_t step = 1; step <= reach; step++) {
        double before = 2 * first - x[step] - mean;
        double after = 2 * last - x[count - 1 - step] - mean;
        lane[2 * (padded - step)] = weight[step - 1] * before;
        lane[2 * (count - 1 + step)] = weight[step - 1] * after;
    }
}

void bp_band_load(struct bp_band_plan *plan, const double *a, const double *b)
{
    double *weight = plan->work; /* free until the next store, and longer than any reach */
    for (size_t step = 1; step <= plan->reach; step++) {
        weight[step - 1] = taper(step, plan->reach);
    }
    plan->mean_a = mean_of(a, plan->count);
    lay_out(plan, a, plan->mean_a, weight, plan->spectrum);
    if (b != NULL) {
        plan->mean_b = mean_of(b, plan->count);
        lay_out(plan, b, plan->mean_b, weight, plan->spectrum + 1);
    } else {
        plan->mean_b = 0;
        for (size_t i = 0; i < plan->padded; i++) {
            plan->spectrum[2 * i + 1] = 0;
        }
    }
    bp_fft_run(plan->transform, plan->spectrum);
}

static bool band_in_range(const struct bp_band_settings *band, enum bp_band_output output)
{
    bool shape = band->low_hz >= 0 && band->high_hz > band->low_hz && band->order >= 1 &&
                 band->order <= BP_BAND_ORDER_MAX;
    bool integral = output == BP_BAND_SPEED || output == BP_BAND_DISPLACEMENT;
    return shape && (output == BP_BAND_ACCELERATION || (integral && band->low_hz > 0));
}

static double power_of(double base, int exponent)
{
    double power = 1;
    for (int i = 0; i < exponent; i++) {
        power *= base;
    }
    return power;
}

/* The gain's size at f > 0: |H(f)| / (2πf)^k, with k = 0, 1, 2 for the three outputs. The sign and the
 * quarter turn of 1/i^k are the caller's. */
static double gain_at(const struct bp_band_settings *band, enum bp_band_output output, double f)
{
    double low = band->low_hz / f, high = f / band->high_hz;
    double gain = 1 / sqrt((1 + power_of(low * low, band->order)) * (1 + power_of(high * high, band->order)));
    double turn = 2 * BP_PI * f;
    switch (output) {
    case BP_BAND_SPEED:
        return gain / turn;
    case BP_BAND_DISPLACEMENT:
        return -gain / (turn * turn); /* 1/i² */
    case BP_BAND_ACCELERATION:
    default:
        return gain;
    }
}

/* Multiplies bins k and its mirror -k by the gain and writes them with real and imaginary parts swapped,
 * which makes the forward transform to come a backward one. */
static void shape_pair(const struct bp_band_plan *plan, size_t k, double gain, bool quarter_turn)
{
    const double *in = plan->spectrum;
    double *out = plan->work;
    size_t mirror = plan->padded - k;
    if (quarter_turn) { /* times 1/i at +f, 1/-i at -f */
        out[2 * k + 1] = gain * in[2 * k + 1];
        out[2 * k] = -gain * in[2 * k];
        out[2 * mirror + 1] = -gain * in[2 * mirror + 1];
        out[2 * mirror] = gain * in[2 * mirror];
    } else {
        out[2 * k + 1] = gain * in[2 * k];
        out[2 * k] = gain * in[2 * k + 1];
        out[2 * mirror + 1] = gain * in[2 * mirror];
        out[2 * mirror] = gain * in[2 * mirror + 1];
    }
}

static void shape(const struct bp_band_plan *plan, const struct bp_band_settings *band,
                  enum bp_band_output output)
{
    size_t padded = plan->padded;
    double scale = 1 / (double)padded, bin_hz = plan->rate_hz / (double)padded;
    bool quarter_turn = output == BP_BAND_SPEED;
    double at_zero = band->low_hz > 0 ? 0 : scale;
    plan->work[0] = at_zero * plan->spectrum[1];
    plan->work[1] = at_zero * plan->spectrum[0];
    for (size_t k = 1; 2 * k < padded; k++) {
        shape_pair(plan, k, scale * gain_at(band, output, (double)k * bin_hz), quarter_turn);
    }
    if (padded % 2 == 0) { /* half the rate is its own mirror: a quarter turn of it cannot be real */
        double gain = quarter_turn ? 0 : scale * gain_at(band, output, plan->rate_hz / 2);
        plan->work[padded] = gain * plan->spectrum[padded + 1];
        plan->work[padded + 1] = gain * plan->spectrum[padded];
    }
}

enum bp_code bp_band_store(const struct bp_band_plan *plan, const struct bp_band_settings *band,
                           enum bp_band_output output, double *out_a, double *out_b)
{
    if (!band_in_range(band, output)) {
        return BP_ERR_ARGUMENT;
    }
    shape(plan, band, output);
    bp_fft_run(plan->transform, plan->work);
    double mean_a = band->low_hz > 0 ? 0 : plan->mean_a;
    double mean_b = band->low_hz > 0 ? 0 : plan->mean_b;
    for (size_t i = 0; out_a != NULL && i < plan->count; i++) {
        out_a[i] = plan->work[2 * i + 1] + mean_a;
    }
    for (size_t i = 0; out_b != NULL && i < plan->count; i++) {
        out_b[i] = plan->work[2 * i] + mean_b;
    }
    return BP_OK;
}

enum bp_code bp_band_filter(const double *x, size_t count, double rate_hz,
                            const struct bp_band_settings *band, struct bp_arena *arena, double *out[3])
{
    for (int output = BP_BAND_ACCELERATION; output <= BP_BAND_DISPLACEMENT; output++) {
        if (out[output] != NULL && !band_in_range(band, (enum bp_band_output)output)) {
            return BP_ERR_ARGUMENT;
        }
    }
    /* A low-pass has no lowest half-power point; how long it rings is set by its only one. */
    double lowest_hz = band->low_hz > 0 ? band->low_hz : fmin(band->high_hz, rate_hz);
    struct bp_band_plan plan;
    enum bp_code code = bp_band_plan_make(count, rate_hz, lowest_hz, arena, &plan);
    if (code != BP_OK) {
        return code;
    }
    bp_band_load(&plan, x, NULL);
    for (int output = BP_BAND_ACCELERATION; output <= BP_BAND_DISPLACEMENT; output++) {
        if (out[output] != NULL) {
            bp_band_store(&plan, band, (enum bp_band_output)output, out[output], NULL);
        }
    }
    bp_band_plan_free(&plan);
    return BP_OK;
}
