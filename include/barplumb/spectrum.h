/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Zero-phase band filters, band-limited integration and spectra, on FFTW.
 */
#ifndef BARPLUMB_SPECTRUM_H
#define BARPLUMB_SPECTRUM_H

#include "barplumb/arena.h"
#include "barplumb/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Second-order low-pass section, y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]. */
struct bp_biquad {
    double b0, b1, b2, a1, a2;
};

/* Butterworth low-pass of second order by the bilinear transform with prewarping. 0 < cutoff_hz < rate_hz/2.
 * passes: how often it will be run over the data (2: forward and back); the design cutoff is corrected so
 * that the whole has gain 1/sqrt(2) at cutoff_hz (Winter, Biomechanics and Motor Control of Human Movement:
 * C = (2^(1/passes) - 1)^(1/4), applied after prewarping). */
struct bp_biquad bp_biquad_lowpass(double cutoff_hz, double rate_hz, int passes);
/* The matching high-pass (same correction, inverted). */
struct bp_biquad bp_biquad_highpass(double cutoff_hz, double rate_hz, int passes);

/* Runs the section forward and back over x[count] in place: zero phase. The ends are extended by odd
 * reflection over as many samples as the section needs to settle (limited to count - 1), and each pass
 * starts in the steady state of its first sample. No allocation. count 0 is allowed. */
void bp_biquad_both_ways(const struct bp_biquad *section, double *x, size_t count);

/* What a band is made of. */
enum bp_band_output { BP_BAND_ACCELERATION, BP_BAND_SPEED, BP_BAND_DISPLACEMENT };

struct bp_band_settings {
    double low_hz, high_hz; /* half-power points; low_hz 0: low-pass; high_hz infinite: high-pass */
    int order;              /* of the zero-phase Butterworth magnitude 1/(1 + (f/fc)^(2 order)), 1 to 8 */
};

/* Filters acceleration x[count], evenly sampled at rate_hz, to a band with zero phase and writes the band
 * itself, its integral or its double integral (by division with (2πif)^k in the frequency domain) to each
 * of out[0..2] that is not NULL ([count] each; index = enum bp_band_output). The ends are extended by
 * odd reflection and tapered so that a record that does not close leaks no step; padded to 2^a 3^b 5^c.
 * Errors: MEMORY, ARGUMENT. Thread-safe. */
enum bp_code bp_band_filter(const double *x, size_t count, double rate_hz,
                            const struct bp_band_settings *band, struct bp_arena *arena, double *out[3]);

/* One-sided Welch power spectral density (Welch 1967, IEEE Trans AU-15:70-73): Hann (periodic) window,
 * constant detrend, half overlap; psd[segment/2 + 1], units of x²/Hz. count >= segment >= 8.
 * Errors: ARGUMENT, MEMORY. */
enum bp_code bp_welch_density(const double *x, size_t count, double rate_hz, size_t segment,
                              struct bp_arena *arena, double *psd);

/* Frequency of the largest peak of x's Hann-windowed, zero-padded periodogram between low_hz and high_hz,
 * refined by a parabola through the logarithms of three points; NaN when the band holds no peak. */
double bp_dominant_frequency(const double *x, size_t count, double rate_hz, double low_hz, double high_hz,
                             struct bp_arena *arena);

/* Spectral arc length of a speed profile (Balasubramanian et al. 2015, JNER 12:112): amplitude threshold
 * 0.05, cutoff 10 Hz, zero-padding 2^(ceil(log2 n) + 4). Negative; nearer 0 is smoother. NaN when count < 3
 * or the speed is zero throughout. */
double bp_spectral_arc_length(const double *speed, size_t count, double rate_hz, struct bp_arena *arena);

/* Area of the 95 % ellipse of points (Prieto et al. 1996, IEEE TBME 43:956-966): π·2·F_.95(2, n-2)·
 * sqrt(det of the covariance), with exact F. In the square of the points' unit. NaN for n < 3. */
double bp_ellipse_area(const double *x, const double *y, size_t count);

/* The smallest 2^a 3^b 5^c that is at least count. */
size_t bp_fast_length(size_t count);

#ifdef __cplusplus
}
#endif
#endif
