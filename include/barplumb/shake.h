/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Shake: how the bar moved sideways. Works on the horizontal acceleration the motion stage reconstructed,
 * resampled evenly; every figure is over a stretch of time.
 */
#ifndef BARPLUMB_SHAKE_H
#define BARPLUMB_SHAKE_H

#include "barplumb/arena.h"
#include "barplumb/error.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct bp_shake_settings {
    double low_hz, high_hz; /* the shake band */
    double clatter_hz;      /* above this, links landing */
};
extern const struct bp_shake_settings bp_shake_defaults; /* 0.7, 8, 15 */

/* The bands of one log, evenly sampled. Arrays live in the arena given to bp_shake_make. */
struct bp_shake_bands {
    size_t count;
    double rate_hz;
    double *along_m, *along_m_s, *along_m_s2; /* along the bar, in the shake band */
    double *fore_m;                           /* fore-aft displacement in the shake band; NULL if unknown */
    double *clatter_m_s2[3];                  /* above clatter_hz, three axes; NULL if the rate is too low */
};

/* Makes the bands from evenly sampled accelerations (m/s^2): along the bar, fore-aft (NULL if unknown) and
 * the three phone axes for clatter (clatter[0] NULL: none). Errors: ARGUMENT (rate below 2 * high_hz gives
 * along_* cut at 0.45 of the rate; below 4 Hz it is refused), MEMORY. */
enum bp_code bp_shake_make(const double *along, const double *fore, const double *const clatter[3],
                           size_t count, double rate_hz, const struct bp_shake_settings *settings,
                           struct bp_arena *arena, struct bp_shake_bands *bands);

struct bp_shake_figures {
    double rms_m, rms_m_s, rms_m_s2; /* along the bar */
    double dominant_hz;              /* NaN when the stretch is shorter than one period of low_hz */
    double clatter_rms_m_s2;         /* of the length of the three-axis vector; NaN if unknown */
    double clatter_crest;            /* its largest length / rms */
    double sway_area_m2; /* 95 % ellipse of the path seen from above; NaN if fore-aft is unknown */
};

/* Measures samples [first, last] of the bands. All NaN when the stretch holds fewer than 3 samples. */
enum bp_code bp_shake_measure(const struct bp_shake_bands *bands, size_t first, size_t last,
                              const struct bp_shake_settings *settings, struct bp_arena *arena,
                              struct bp_shake_figures *figures);

#ifdef __cplusplus
}
#endif
#endif
