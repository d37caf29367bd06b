/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Zero-phase band filters, band-limited integration and spectra, on FFTW.
 *
 * The data given must be finite: one NaN makes a whole result NaN. Lengths in hertz and seconds hold for
 * evenly sampled data. Every function is thread-safe for different arenas and plans; what needs FFTW's
 * planner, which is not, waits for its turn. The same input gives the same bytes on the same machine.
 */
#ifndef BARPLUMB_SPECTRUM_H
#define BARPLUMB_SPECTRUM_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/export.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Second-order section, y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]. */
struct bp_biquad {
    double b0, b1, b2, a1, a2;
};

/* Butterworth low-pass of second order by the bilinear transform with prewarping. 0 < cutoff_hz < rate_hz/2.
 * passes: how often it will be run over the data (2: forward and back); the design cutoff is corrected so
 * that the whole has gain 1/sqrt(2) at cutoff_hz (Winter, Biomechanics and Motor Control of Human Movement:
 * C = (2^(1/passes) - 1)^(1/4), applied after prewarping). An argument outside its range makes all five
 * coefficients NaN. */
BP_API struct bp_biquad bp_biquad_lowpass(double cutoff_hz, double rate_hz, int passes);
/* The matching high-pass (same correction, inverted). */
BP_API struct bp_biquad bp_biquad_highpass(double cutoff_hz, double rate_hz, int passes);

/* Samples a section needs to settle: until its slowest pole has decayed to a millionth, at most
 * BP_BIQUAD_REACH_MAX; 0 for an unstable section. */
BP_API size_t bp_biquad_reach(const struct bp_biquad *section);
enum { BP_BIQUAD_REACH_MAX = 1024 };

/* Runs the section forward and back over x[count] in place: zero phase. The ends are extended by odd
 * reflection over bp_biquad_reach samples (limited to count - 1), and each pass starts in the steady state
 * of its first sample. No allocation. count 0 is allowed. */
BP_API void bp_biquad_both_ways(const struct bp_biquad *section, double *x, size_t count);

/* What a band is made of. */
enum bp_band_output { BP_BAND_ACCELERATION, BP_BAND_SPEED, BP_BAND_DISPLACEMENT };

/* The gain is that of Butterworth filters, 1/sqrt(1 + (low/f)^(2 order)) * 1/sqrt(1 + (f/high)^(2 order)),
 * without their phase. */
struct bp_band_settings {
    double low_hz, high_hz; /* half-power points (gain 1/sqrt(2)); low_hz 0: low-pass, gain 1 at 0 Hz;
                               high_hz infinite: high-pass; low_hz < high_hz */
    int order; /* 1 to BP_BAND_ORDER_MAX; a displacement wants 3 or more, or drift gets through */
};
enum { BP_BAND_ORDER_MAX = 8 };

/* A transform of one length, made once and used for every band of every record of that length. Two records
 * of the same length travel through one complex transform, one as its real and one as its imaginary part:
 * every filter here has a real response, so the two never mix. A plan is scratch memory too: one plan, one
 * thread. */
struct bp_band_plan {
    size_t count;     /* samples of a record */
    size_t reach;     /* by how many each end is extended, at most */
    size_t padded;    /* length of the transform, 2^a 3^b 5^c */
    double rate_hz;   /* of the records */
    double *spectrum; /* [2 * padded] of the records loaded, real and imaginary parts alternating */
    double *work;     /* [2 * padded] */
    double mean_a;    /* of the records loaded; */
    double mean_b;    /* subtracted from them before the transform */
    void *transform;  /* FFTW's plan; NULL in a plan that could not be made */
};

/* Makes a plan for records of count >= 1 samples at rate_hz > 0. lowest_hz > 0: the lowest half-power point
 * of the bands to come; the ends are extended by BP_BAND_REACH_PERIODS of it. Arrays live in arena; free the
 * plan before the arena. Errors: ARGUMENT, MEMORY; the plan is then empty and may be freed. */
BP_API enum bp_code bp_band_plan_make(size_t count, double rate_hz, double lowest_hz, struct bp_arena *arena,
                                      struct bp_band_plan *plan);
#define BP_BAND_REACH_PERIODS 3.0

/* Frees what FFTW holds; an empty plan (all zero) is allowed. The arrays are the arena's. */
BP_API void bp_band_plan_free(struct bp_band_plan *plan);

/* Transforms records a and b, [plan->count] each; b may be NULL. The ends are extended by odd reflection,
 * brought to the record's mean by half a cosine, so that a record that does not close leaks no step. */
BP_API void bp_band_load(struct bp_band_plan *plan, const double *a, const double *b);

/* Writes the band of the accelerations loaded, its integral or its double integral (by division with
 * (2πif)^k in the frequency domain) to out_a and out_b, [plan->count] each; either may be NULL. May be
 * called again and again for other bands and outputs. Errors: ARGUMENT (a band out of range, or an integral
 * asked of a low-pass, which has none); the outputs are then untouched. */
BP_API enum bp_code bp_band_store(const struct bp_band_plan *plan, const struct bp_band_settings *band,
                                  enum bp_band_output output, double *out_a, double *out_b);

/* Plan, load and store in one call for one record: the band itself, its integral and its double integral go
 * to each of out[0..2] that is not NULL ([count] each; index = enum bp_band_output). Errors: MEMORY,
 * ARGUMENT; the outputs are then untouched. */
BP_API enum bp_code bp_band_filter(const double *x, size_t count, double rate_hz,
                                   const struct bp_band_settings *band, struct bp_arena *arena,
                                   double *out[3]);

/* One-sided Welch power spectral density (Welch 1967, IEEE Trans AU-15:70-73): Hann (periodic) window,
 * constant detrend, half overlap; psd[segment/2 + 1], units of x²/Hz. count >= segment >= 8; what is left
 * after the last whole segment is not used. Errors: ARGUMENT, MEMORY; psd is then untouched. */
BP_API enum bp_code bp_welch_density(const double *x, size_t count, double rate_hz, size_t segment,
                                     struct bp_arena *arena, double *psd);

/* Frequency at which x's Hann-windowed, zero-padded (fourfold) periodogram is highest between low_hz and
 * high_hz, refined by a parabola through the logarithms of three points; NaN when it is highest at an edge
 * of the band, where no peak is, when x does not change, when count < 3, or when memory is out. A peak of
 * fewer than 1.5 periods in the stretch is pulled by its own mirror image at -f. arena is used for long
 * records alone (past 2,048 samples). */
BP_API double bp_dominant_frequency(const double *x, size_t count, double rate_hz, double low_hz,
                                    double high_hz, struct bp_arena *arena);

/* Spectral arc length of a speed profile (Balasubramanian et al. 2015, JNER 12:112): amplitude threshold
 * 0.05 of the largest below the cutoff, cutoff 10 Hz, zero-padding 2^(ceil(log2 n) + 4). Negative; nearer 0
 * is smoother. NaN when count < 3, the speed is zero throughout, or memory is out. arena as above. */
BP_API double bp_spectral_arc_length(const double *speed, size_t count, double rate_hz,
                                     struct bp_arena *arena);

/* Area of the 95 % ellipse of points (Prieto et al. 1996, IEEE TBME 43:956-966): π·2·F_.95(2, n-2)·
 * sqrt(det of the covariance), with exact F and a covariance divided by n. In the square of the points'
 * unit; 0 for points on a line. NaN for n < 3. */
BP_API double bp_ellipse_area(const double *x, const double *y, size_t count);

/* F_.95(2, n-2), the quantile of Fisher's distribution; NaN for n < 3. */
BP_API double bp_ellipse_quantile(size_t n);

/* The smallest 2^a 3^b 5^c that is at least count; 0 where none fits size_t. */
BP_API size_t bp_fast_length(size_t count);

#ifdef __cplusplus
}
#endif
#endif
