/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The shake band of the exact sideways motion.
 */
#include "truth.h"

#include "barplumb/units.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fft_halfcomplex.h>
#include <gsl/gsl_fft_real.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double low_hz = 0.7, high_hz = 8.0; /* the shake band of the definitions */
static const double rate_hz = 256.0;             /* far above anything in the sideways motion */
static const double lead_s = 6.0;                /* silence before and after: the filter rings */

/* Scales every bin inside the band by (i omega)^-times and empties the others. */
static void integrate_in_band(const double *spectrum, size_t n, int times, double *out)
{
    memset(out, 0, n * sizeof *out);
    for (size_t k = 1; k < n / 2; k++) {
        double hz = (double)k * rate_hz / (double)n, omega = 2.0 * BP_PI * hz;
        if (hz < low_hz || hz > high_hz) {
            continue;
        }
        double re = spectrum[k], im = spectrum[n - k];
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

static bool make_band(const double *spectrum, size_t n, int times, double *work, double *out, size_t count)
{
    integrate_in_band(spectrum, n, times, work);
    if (gsl_fft_halfcomplex_radix2_inverse(work, 1, n) != GSL_SUCCESS) {
        return false;
    }
    memcpy(out, work + (size_t)(lead_s * rate_hz), count * sizeof *out);
    return true;
}

typedef struct sim_jet (*coordinate)(const struct sim_motion *motion, double time_s);

/* Samples the acceleration of one coordinate, silence around it, and transforms it. */
static bool transform(const struct sim_motion *motion, coordinate at, size_t count, size_t n,
                      double *spectrum)
{
    size_t lead = (size_t)(lead_s * rate_hz);
    memset(spectrum, 0, n * sizeof *spectrum);
    for (size_t i = 0; i < count; i++) {
        spectrum[lead + i] = at(motion, (double)i / rate_hz).accel;
    }
    return gsl_fft_real_radix2_transform(spectrum, 1, n) == GSL_SUCCESS;
}

static bool fill_bands(const struct sim_motion *motion, size_t n, double *spectrum, double *work,
                       struct sim_bands *bands)
{
    size_t count = bands->count;
    return transform(motion, sim_motion_point_along, count, n, spectrum) &&
           make_band(spectrum, n, 0, work, bands->along_m_s2, count) &&
           make_band(spectrum, n, 1, work, bands->along_m_s, count) &&
           make_band(spectrum, n, 2, work, bands->along_m, count) &&
           transform(motion, sim_motion_point_fore, count, n, spectrum) &&
           make_band(spectrum, n, 2, work, bands->fore_m, count);
}

bool sim_bands_make(const struct sim_motion *motion, struct sim_bands *bands)
{
    size_t count = (size_t)floor(motion->end_s * rate_hz) + 1, n = 1;
    while ((double)n < (double)count + 2.0 * lead_s * rate_hz) {
        n *= 2;
    }
    *bands = (struct sim_bands){.count = count, .rate_hz = rate_hz};
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

double sim_bands_area(const struct sim_bands *bands, double from_s, double to_s)
{
    const double chi_square = 5.991464547107979; /* 0.95 quantile, 2 degrees of freedom: -2 ln 0.05 */
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
    return BP_PI * chi_square * sqrt(fmax(xx * yy - xy * xy, 0.0));
}
