/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/shake.h"

#include <math.h>
#include <stdbool.h>

const struct bp_shake_settings bp_shake_defaults = {
    .low_hz = BP_SHAKE_LOW_HZ, .high_hz = BP_SHAKE_HIGH_HZ, .clatter_hz = BP_CLATTER_HZ};

/* Fourth order: a rep's own movement, at 0.3 Hz under the band, comes through at a thirtieth, and the filter
 * rings for little more than a period of its edge. Second order would let a fifth through and, divided by
 * f² for displacement, leave the drift as large as the shake; eighth order would smear the knock of a
 * racked bar over seconds. The slope is that of the biomechanist's usual second order run both ways. */
enum { BAND_ORDER = 4 };

/* Fewer periods than this in a stretch, and the peak is its own mirror image's as much as its own. */
static const double periods_min = 1.5;

enum { SAMPLES_MIN = 3 };

static bool settings_in_range(const struct bp_shake_settings *settings, double rate_hz)
{
    return settings->low_hz > 0 && isfinite(settings->high_hz) && settings->high_hz > settings->low_hz &&
           settings->clatter_hz > 0 && isfinite(settings->clatter_hz) &&
           BP_SHAKE_BAND_END * rate_hz > settings->low_hz;
}

static double band_end(const struct bp_shake_settings *settings, double rate_hz)
{
    return fmin(settings->high_hz, BP_SHAKE_BAND_END * rate_hz);
}

enum { OUTPUTS = BP_BAND_DISPLACEMENT + 1 };

/* The outputs asked for of the records loaded. */
static void store_shake(const struct bp_band_plan *plan, const struct bp_shake_settings *settings,
                        double *const out_a[OUTPUTS], double *const out_b[OUTPUTS])
{
    struct bp_band_settings band = {settings->low_hz, band_end(settings, plan->rate_hz), BAND_ORDER};
    for (int output = 0; output < OUTPUTS; output++) {
        double *b = out_b == NULL ? NULL : out_b[output];
        if (out_a[output] != NULL || b != NULL) {
            bp_band_store(plan, &band, (enum bp_band_output)output, out_a[output], b);
        }
    }
}

static void store_clatter(struct bp_band_plan *plan, const double *const clatter[3],
                          const struct bp_shake_settings *settings, const struct bp_shake_bands *bands)
{
    struct bp_band_settings band = {settings->clatter_hz, (double)INFINITY, BAND_ORDER};
    double *const *out = bands->clatter_m_s2;
    bp_band_load(plan, clatter[0], clatter[1]);
    bp_band_store(plan, &band, BP_BAND_ACCELERATION, out[0], out[1]);
    bp_band_load(plan, clatter[2], NULL);
    bp_band_store(plan, &band, BP_BAND_ACCELERATION, out[2], NULL);
}

static bool take_bands(struct bp_arena *arena, bool fore, bool clatter, struct bp_shake_bands *bands)
{
    bands->along_m = bp_arena_doubles(arena, bands->count);
    bands->along_m_s = bp_arena_doubles(arena, bands->count);
    bands->along_m_s2 = bp_arena_doubles(arena, bands->count);
    bool all = bands->along_m != NULL && bands->along_m_s != NULL && bands->along_m_s2 != NULL;
    if (fore) {
        bands->fore_m = bp_arena_doubles(arena, bands->count);
        all = all && bands->fore_m != NULL;
    }
    for (size_t axis = 0; clatter && axis < 3; axis++) {
        bands->clatter_m_s2[axis] = bp_arena_doubles(arena, bands->count);
        all = all && bands->clatter_m_s2[axis] != NULL;
    }
    return all;
}

enum bp_code bp_shake_make_planned(struct bp_band_plan *plan, const double *along, const double *fore,
                                   const double *const clatter[3], const struct bp_shake_settings *settings,
                                   struct bp_arena *arena, struct bp_shake_bands *bands)
{
    *bands = (struct bp_shake_bands){.count = 0};
    settings = settings == NULL ? &bp_shake_defaults : settings;
    double rate_hz = plan->rate_hz;
    if (plan->count < SAMPLES_MIN || !(rate_hz >= BP_SHAKE_RATE_MIN_HZ) ||
        !settings_in_range(settings, rate_hz)) {
        return BP_ERR_ARGUMENT;
    }
    bool knocks =
        clatter != NULL && clatter[0] != NULL && rate_hz >= BP_CLATTER_RATE_FACTOR * settings->clatter_hz;
    struct bp_shake_bands made = {.count = plan->count, .rate_hz = rate_hz};
    if (!take_bands(arena, fore != NULL, knocks, &made)) {
        return BP_ERR_MEMORY;
    }
    double *const out[OUTPUTS] = {made.along_m_s2, made.along_m_s, made.along_m};
    double *const out_fore[OUTPUTS] = {NULL, NULL, made.fore_m};
    bp_band_load(plan, along, fore);
    store_shake(plan, settings, out, out_fore);
    if (knocks) {
        store_clatter(plan, clatter, settings, &made);
    }
    *bands = made;
    return BP_OK;
}

enum bp_code bp_shake_make(const double *along, const double *fore, const double *const clatter[3],
                           size_t count, double rate_hz, const struct bp_shake_settings *settings,
                           struct bp_arena *arena, struct bp_shake_bands *bands)
{
    *bands = (struct bp_shake_bands){.count = 0};
    settings = settings == NULL ? &bp_shake_defaults : settings;
    if (count < SAMPLES_MIN || !(rate_hz >= BP_SHAKE_RATE_MIN_HZ) || !isfinite(rate_hz) ||
        !settings_in_range(settings, rate_hz)) {
        return BP_ERR_ARGUMENT;
    }
    struct bp_band_plan plan;
    enum bp_code code =
        bp_band_plan_make(count, rate_hz, fmin(settings->low_hz, settings->clatter_hz), arena, &plan);
    if (code == BP_OK) {
        code = bp_shake_make_planned(&plan, along, fore, clatter, settings, arena, bands);
        bp_band_plan_free(&plan);
    }
    return code;
}

enum bp_code bp_shake_filter(struct bp_band_plan *plan, const double *a, const double *b,
                             const struct bp_shake_settings *settings, double *const out_a[3],
                             double *const out_b[3])
{
    settings = settings == NULL ? &bp_shake_defaults : settings;
    if (!settings_in_range(settings, plan->rate_hz)) {
        return BP_ERR_ARGUMENT;
    }
    bp_band_load(plan, a, b);
    store_shake(plan, settings, out_a, out_b);
    return BP_OK;
}

static double rms_of(const double *x, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += x[i] * x[i];
    }
    return sqrt(sum / (double)count);
}

/* The band's speed needs no more than a few samples a period of its end. */
enum { SAMPLES_A_PERIOD = 8, THINNED_MAX = 2048 };

static double dominant_of(const struct bp_shake_bands *bands, size_t first, size_t count,
                          const struct bp_shake_settings *settings, struct bp_arena *arena)
{
    /* Of the speed: displacement would favour the band's lower edge by 1/f², acceleration its upper. */
    const double *speed = bands->along_m_s + first;
    double end_hz = band_end(settings, bands->rate_hz), rate_hz = bands->rate_hz, thinned[THINNED_MAX];
    double stretch_s = (double)count / rate_hz;
    size_t stride = (size_t)(rate_hz / (SAMPLES_A_PERIOD * end_hz));
    if (stride > 1 && count / stride < THINNED_MAX && count / stride >= SAMPLES_MIN) {
        count = (count - 1) / stride + 1;
        rate_hz /= (double)stride;
        for (size_t i = 0; i < count; i++) {
            thinned[i] = speed[i * stride];
        }
        speed = thinned;
    }
    double hz = bp_dominant_frequency(speed, count, rate_hz, settings->low_hz, end_hz, arena);
    return hz * stretch_s >= periods_min ? hz : (double)NAN;
}

static void measure_clatter(const struct bp_shake_bands *bands, size_t first, size_t count,
                            struct bp_shake_figures *figures)
{
    const double *x = bands->clatter_m_s2[0] + first, *y = bands->clatter_m_s2[1] + first;
    const double *z = bands->clatter_m_s2[2] + first;
    double sum = 0, largest = 0;
    for (size_t i = 0; i < count; i++) {
        double square = x[i] * x[i] + y[i] * y[i] + z[i] * z[i];
        sum += square;
        largest = fmax(largest, square);
    }
    figures->clatter_rms_m_s2 = sqrt(sum / (double)count);
    figures->clatter_crest = sum > 0 ? sqrt(largest) / figures->clatter_rms_m_s2 : (double)NAN;
}

enum bp_code bp_shake_measure(const struct bp_shake_bands *bands, size_t first, size_t last,
                              const struct bp_shake_settings *settings, struct bp_arena *arena,
                              struct bp_shake_figures *figures)
{
    *figures = (struct bp_shake_figures){(double)NAN, (double)NAN, (double)NAN, (double)NAN,
                                         (double)NAN, (double)NAN, (double)NAN};
    settings = settings == NULL ? &bp_shake_defaults : settings;
    if (!settings_in_range(settings, bands->rate_hz)) {
        return BP_ERR_ARGUMENT;
    }
    if (last >= bands->count || last < first || last - first + 1 < SAMPLES_MIN) {
        return BP_OK;
    }
    size_t count = last - first + 1;
    figures->rms_m = rms_of(bands->along_m + first, count);
    figures->rms_m_s = rms_of(bands->along_m_s + first, count);
    figures->rms_m_s2 = rms_of(bands->along_m_s2 + first, count);
    figures->dominant_hz = dominant_of(bands, first, count, settings, arena);
    if (bands->clatter_m_s2[0] != NULL) {
        measure_clatter(bands, first, count, figures);
    }
    if (bands->fore_m != NULL) {
        figures->sway_area_m2 = bp_ellipse_area(bands->along_m + first, bands->fore_m + first, count);
    }
    return BP_OK;
}
