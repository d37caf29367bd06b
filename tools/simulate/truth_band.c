/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The shake band of the exact sideways motion.
 */
#include "truth.h"

#include "barplumb/spectrum.h"
#include "barplumb/units.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fft_halfcomplex.h>
#include <gsl/gsl_fft_real.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double low_hz = 0.7, high_hz = 8.0; /* the shake band of the definitions */
static const double band_end = 0.45;             /* of the log's rate, where that is less */
static const double rate_hz = 256.0;             /* far above anything in the sideways motion */
static const double lead_s = 6.0;                /* before and after the log: the filter rings */

double sim_gain_above(double edge_hz, double hz)
{
    return 1.0 / sqrt(1.0 + pow(edge_hz / hz, 8.0));
}

double sim_gain_below(double edge_hz, double hz)
{
    return 1.0 / sqrt(1.0 + pow(hz / edge_hz, 8.0));
}

/* Scales every bin by the band's gain and (i omega)^-times. */
static void integrate_in_band(const double *spectrum, size_t n, double end_hz, int times, double *out)
{
    memset(out, 0, n * sizeof *out);
    for (size_t k = 1; k < n / 2; k++) {
        double hz = (double)k * rate_hz / (double)n, omega = 2.0 * BP_PI * hz;
        double gain = sim_gain_above(low_hz, hz) * sim_gain_below(end_hz, hz);
        double re = gain * spectrum[k], im = gain * spectrum[n - k];
        if (times == 1) { /* 1 / (iω): (re + i im) becomes (im - i re) / ω */
            out[k] = im / omega;
            out[n - k] = -re / omega;
        } else {
            double by = times == 2 ? -1.0 / (omega * omega) : 1.0;
            out[k] = re * by;
            out[n - k] = im * by;
        }
    }
}

static bool make_band(const double *spectrum, size_t n, int times, double *work, double *out,
                      const struct sim_bands *bands)
{
    integrate_in_band(spectrum, n, bands->end_hz, times, work);
    if (gsl_fft_halfcomplex_radix2_inverse(work, 1, n) != GSL_SUCCESS) {
        return false;
    }
    memcpy(out, work + (size_t)(lead_s * rate_hz), bands->count * sizeof *out);
    return true;
}

typedef struct sim_jet (*coordinate)(const struct sim_motion *motion, double time_s);

/* Samples the acceleration of one coordinate and transforms it. It is sampled past the log's ends too: a bar
 * that goes on moving when the log is cut makes no step there. */
static bool transform(const struct sim_motion *motion, coordinate at, size_t count, size_t n,
                      double *spectrum)
{
    size_t lead = (size_t)(lead_s * rate_hz);
    memset(spectrum, 0, n * sizeof *spectrum);
    for (size_t i = 0; i < count + 2 * lead; i++) {
        spectrum[i] = at(motion, ((double)i - (double)lead) / rate_hz).accel;
    }
    return gsl_fft_real_radix2_transform(spectrum, 1, n) == GSL_SUCCESS;
}

static bool fill_bands(const struct sim_motion *motion, size_t n, double *spectrum, double *work,
                       struct sim_bands *bands)
{
    size_t count = bands->count;
    return transform(motion, sim_motion_point_along, count, n, spectrum) &&
           make_band(spectrum, n, 0, work, bands->along_m_s2, bands) &&
           make_band(spectrum, n, 1, work, bands->along_m_s, bands) &&
           make_band(spectrum, n, 2, work, bands->along_m, bands) &&
           transform(motion, sim_motion_point_fore, count, n, spectrum) &&
           make_band(spectrum, n, 2, work, bands->fore_m, bands);
}

bool sim_bands_make(const struct sim_motion *motion, struct sim_bands *bands)
{
    size_t count = (size_t)floor(motion->end_s * rate_hz) + 1, n = 1;
    while ((double)n < (double)count + 2.0 * lead_s * rate_hz) {
        n *= 2;
    }
    *bands = (struct sim_bands){.count = count,
                                .rate_hz = rate_hz,
                                .log_rate_hz = motion->rate_hz,
                                .end_hz = fmin(high_hz, band_end * motion->rate_hz)};
    bands->along_m = malloc(count * sizeof(double));
    bands->along_m_s = malloc(count * sizeof(double));
    bands->along_m_s2 = malloc(count * sizeof(double));
    bands->fore_m = malloc(count * sizeof(double));
    double *spectrum = malloc(n * sizeof *spectrum), *work = malloc(n * sizeof *work);
    bool made = bands->along_m && bands->along_m_s && bands->along_m_s2 && bands->fore_m && spectrum &&
                work && fill_bands(motion, n, spectrum, work, bands);
    free(spectrum);
    free(work);
    if (!made) {
        sim_bands_free(bands);
    }
    return made;
}

void sim_bands_free(struct sim_bands *bands)
{
    free(bands->along_m);
    free(bands->along_m_s);
    free(bands->along_m_s2);
    free(bands->fore_m);
    *bands = (struct sim_bands){0};
}

/* The samples inside [from_s, to_s]; false when there are none. */
static bool stretch(const struct sim_bands *bands, double from_s, double to_s, size_t *first, size_t *end)
{
    if (!(from_s >= 0.0) || !(to_s > from_s)) {
        return false;
    }
    *first = (size_t)ceil(from_s * bands->rate_hz);
    *end = (size_t)floor(to_s * bands->rate_hz) + 1;
    if (*end > bands->count) {
        *end = bands->count;
    }
    return *first < *end;
}

static double rms(const double *x, size_t first, size_t end)
{
    double sum = 0.0;
    for (size_t i = first; i < end; i++) {
        sum += x[i] * x[i];
    }
    return sqrt(sum / (double)(end - first));
}

struct sim_shake sim_bands_shake(const struct sim_bands *bands, double from_s, double to_s)
{
    size_t first, end;
    if (!stretch(bands, from_s, to_s, &first, &end)) {
        return (struct sim_shake){(double)NAN, (double)NAN, (double)NAN};
    }
    return (struct sim_shake){rms(bands->along_m, first, end), rms(bands->along_m_s, first, end),
                              rms(bands->along_m_s2, first, end)};
}

double sim_bands_dominant(const struct sim_bands *bands, double from_s, double to_s)
{
    enum { MOST = 2048 };             /* bp_dominant_frequency needs no memory for so few */
    const double periods_least = 1.5; /* fewer, and a peak blends with its own mirror image */
    double thinned[MOST];
    size_t first, end, count = 0;
    if (!stretch(bands, from_s, to_s, &first, &end)) {
        return (double)NAN;
    }
    /* 256 Hz is far above the band: of a long stretch every second sample or so says as much. */
    size_t spare = (end - first + MOST - 1) / MOST;
    for (size_t i = first; i < end; i += spare) {
        thinned[count++] = bands->along_m_s[i];
    }
    double rate = bands->rate_hz / (double)spare;
    double hz = bp_dominant_frequency(thinned, count, rate, low_hz, bands->end_hz, NULL);
    return hz * (to_s - from_s) >= periods_least ? hz : (double)NAN;
}

/* F(0.95; 2, m) inverts in closed form: m / 2 (0.05^(-2 / m) - 1), m = n - 2 points. */
static double ellipse_quantile(double points)
{
    const double outside = 0.05;
    double m = points - 2.0;
    return m > 0.0 ? 0.5 * m * (pow(outside, -2.0 / m) - 1.0) : (double)NAN;
}

double sim_bands_area(const struct sim_bands *bands, double from_s, double to_s)
{
    size_t first, end;
    if (!stretch(bands, from_s, to_s, &first, &end)) {
        return (double)NAN;
    }
    double count = (double)(end - first), mx = 0.0, my = 0.0, xx = 0.0, yy = 0.0, xy = 0.0;
    for (size_t i = first; i < end; i++) {
        mx += bands->along_m[i] / count;
        my += bands->fore_m[i] / count;
    }
    for (size_t i = first; i < end; i++) {
        double x = bands->along_m[i] - mx, y = bands->fore_m[i] - my;
        xx += x * x / count;
        yy += y * y / count;
        xy += x * y / count;
    }
    double quantile = ellipse_quantile(bands->log_rate_hz * (to_s - from_s));
    return 2.0 * BP_PI * quantile * sqrt(fmax(xx * yy - xy * xy, 0.0));
}
