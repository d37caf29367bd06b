/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Clatter: what an accelerometer without noise, bias or limit would pass on of the phone's rattling.
 */
#include "truth.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fft_halfcomplex.h>
#include <gsl/gsl_fft_real.h>

#include <math.h>
#include <stdlib.h>

static const double clatter_hz = 15.0;    /* of the definitions */
static const double rate_least_hz = 37.5; /* 2.5 clatter_hz: below it too little of the band is left */
static const double lead_s = 0.5;         /* the filter has forgotten the ends by then: exp(-18) */
enum { AXES = 3 };

struct stretch {
    double rate_hz;
    size_t first, count; /* samples of the log's nominal even clock */
    size_t lead, length; /* samples before them, and all in all: a power of two */
};

static struct stretch make_stretch(double rate_hz, double from_s, double to_s)
{
    struct stretch stretch = {.rate_hz = rate_hz, .lead = (size_t)ceil(lead_s * rate_hz), .length = 1};
    stretch.first = (size_t)ceil(from_s * rate_hz);
    stretch.count = (size_t)floor(to_s * rate_hz) + 1 - stretch.first;
    while (stretch.length < stretch.count + 2 * stretch.lead) {
        stretch.length *= 2;
    }
    return stretch;
}

/* The exact specific force, through the sensor's own averaging; axis after axis. What is left of the length
 * holds the last value. */
static void sample_force(const struct sim_motion *motion, const struct stretch *stretch, double *force)
{
    struct sim_state state = {.force = {0}};
    for (size_t i = 0; i < stretch->length; i++) {
        double place = (double)stretch->first + (double)i - (double)stretch->lead;
        if (i < stretch->count + 2 * stretch->lead) {
            sim_motion_at(motion, place / stretch->rate_hz, &state);
        }
        for (size_t axis = 0; axis < AXES; axis++) {
            force[axis * stretch->length + i] = state.force[axis];
        }
    }
}

static bool pass_above(double *x, const struct stretch *stretch)
{
    size_t n = stretch->length;
    if (gsl_fft_real_radix2_transform(x, 1, n) != GSL_SUCCESS) {
        return false;
    }
    x[0] = 0.0;
    for (size_t k = 1; k <= n / 2; k++) {
        double gain = sim_gain_above(clatter_hz, (double)k * stretch->rate_hz / (double)n);
        x[k] *= gain;
        if (k < n / 2) {
            x[n - k] *= gain;
        }
    }
    return gsl_fft_halfcomplex_radix2_inverse(x, 1, n) == GSL_SUCCESS;
}

static struct sim_clatter measure(const double *force, const struct stretch *stretch)
{
    double sum = 0.0, largest = 0.0;
    for (size_t i = stretch->lead; i < stretch->lead + stretch->count; i++) {
        double square = 0.0;
        for (size_t axis = 0; axis < AXES; axis++) {
            square += force[axis * stretch->length + i] * force[axis * stretch->length + i];
        }
        sum += square;
        largest = fmax(largest, square);
    }
    double rms = sqrt(sum / (double)stretch->count);
    return (struct sim_clatter){rms, rms > 0.0 ? sqrt(largest) / rms : (double)NAN};
}

bool sim_clatter_measure(const struct sim_motion *motion, double from_s, double to_s,
                         struct sim_clatter *clatter)
{
    *clatter = (struct sim_clatter){(double)NAN, (double)NAN};
    if (!(motion->rate_hz >= rate_least_hz) || !(from_s >= 0.0) || !(to_s > from_s)) {
        return true;
    }
    struct stretch stretch = make_stretch(motion->rate_hz, from_s, to_s);
    double *force = malloc(AXES * stretch.length * sizeof *force);
    if (!force) {
        return false;
    }
    sample_force(motion, &stretch, force);
    bool done = true;
    for (size_t axis = 0; axis < AXES && done; axis++) {
        done = pass_above(force + axis * stretch.length, &stretch);
    }
    if (done) {
        *clatter = measure(force, &stretch);
    }
    free(force);
    return done;
}
