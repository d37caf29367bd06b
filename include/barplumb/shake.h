/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shake: how the bar moved sideways. Works on the horizontal acceleration the motion stage reconstructed,
 * resampled evenly; every figure is over a stretch of time.
 */
#ifndef BARPLUMB_SHAKE_H
#define BARPLUMB_SHAKE_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/spectrum.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct bp_shake_settings {
    double low_hz, high_hz; /* the shake band, Hz; 0 < low_hz < high_hz */
    double clatter_hz;      /* above this, links landing, Hz; > 0 */
};
extern BP_API const struct bp_shake_settings bp_shake_defaults; /* the three below */
#define BP_SHAKE_LOW_HZ 0.7
#define BP_SHAKE_HIGH_HZ 8.0
#define BP_CLATTER_HZ 15.0

/* What a log's rate allows. Below 4 Hz shake is refused; below high_hz / 0.45 the band ends at 0.45 of the
 * rate; below 2.5 clatter_hz clatter is unknown, because too little lies between clatter_hz and half the
 * rate for a knock to be told from noise. */
#define BP_SHAKE_RATE_MIN_HZ 4.0
#define BP_SHAKE_BAND_END 0.45
#define BP_CLATTER_RATE_FACTOR 2.5

/* The bands of one log, evenly sampled. Arrays live in the arena given to bp_shake_make. */
struct bp_shake_bands {
    size_t count;
    double rate_hz;
    double *along_m, *along_m_s, *along_m_s2; /* along the bar, in the shake band */
    double *fore_m;                           /* fore-aft displacement in the shake band; NULL if unknown */
    double *clatter_m_s2[3];                  /* above clatter_hz, three axes; NULL if unknown */
};

/* Makes the bands from evenly sampled, finite accelerations (m/s^2), [count] each: along the bar, fore-aft
 * (NULL if unknown) and the three phone axes for clatter (clatter or clatter[0] NULL: none). settings NULL:
 * the defaults. Errors: ARGUMENT (fewer than 3 samples, a rate below BP_SHAKE_RATE_MIN_HZ, a setting out of
 * its range), MEMORY; bands is then all zero. Thread-safe for different arenas. */
BP_API enum bp_code bp_shake_make(const double *along, const double *fore, const double *const clatter[3],
                                  size_t count, double rate_hz, const struct bp_shake_settings *settings,
                                  struct bp_arena *arena, struct bp_shake_bands *bands);

/* The same with a plan the caller made for [count] samples at [rate_hz] with settings->low_hz as its lowest,
 * so that other records of the log can go through it too. Errors: ARGUMENT, MEMORY; bands is then all zero.
 */
BP_API enum bp_code bp_shake_make_planned(struct bp_band_plan *plan, const double *along, const double *fore,
                                          const double *const clatter[3],
                                          const struct bp_shake_settings *settings, struct bp_arena *arena,
                                          struct bp_shake_bands *bands);

/* The shake band of two records of accelerations, [plan->count] each, at once; b may be NULL. out_a and
 * out_b: where displacement, speed and acceleration go (index = enum bp_band_output), each NULL or
 * [plan->count]; out_b NULL: nothing of b. An output may be a record itself. Allocates nothing. Errors:
 * ARGUMENT (settings out of range); the outputs are then untouched. */
BP_API enum bp_code bp_shake_filter(struct bp_band_plan *plan, const double *a, const double *b,
                                    const struct bp_shake_settings *settings, double *const out_a[3],
                                    double *const out_b[3]);

struct bp_shake_figures {
    double rms_m, rms_m_s, rms_m_s2; /* along the bar, about zero */
    double dominant_hz;              /* of the sideways speed; NaN when there is no peak in the band or fewer
                                        than 1.5 of its periods fit into the stretch */
    double clatter_rms_m_s2;         /* of the length of the three-axis vector; NaN if unknown */
    double clatter_crest;            /* its largest length / rms; NaN where the rms is zero */
    double sway_area_m2; /* 95 % ellipse of the path seen from above; NaN if fore-aft is unknown */
};

/* Measures samples [first, last] of the bands. All NaN when the stretch holds fewer than 3 samples or does
 * not lie within the bands. settings NULL: the defaults. arena is used for stretches past 2,048 samples
 * alone. Errors: ARGUMENT (settings out of range); figures are then all NaN. */
BP_API enum bp_code bp_shake_measure(const struct bp_shake_bands *bands, size_t first, size_t last,
                                     const struct bp_shake_settings *settings, struct bp_arena *arena,
                                     struct bp_shake_figures *figures);

#ifdef __cplusplus
}
#endif
#endif
