/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Motion: trace → track, the bar's reconstructed movement.
 *
 * Where the bar is still, gravity gives attitude and the sensors' biases (likelihood test: Skog, Händel,
 * Nilsson & Rantakokko 2010, IEEE TBME 57(11):2657-66). Height and speed come from a fixed-interval
 * smoother (Rauch, Tung & Striebel 1965, AIAA J 3:1445-50) on the log's own timestamps, told what is known
 * of a lift: closures.
 */
#ifndef BARPLUMB_MOTION_H
#define BARPLUMB_MOTION_H

#include "barplumb/error.h"
#include "barplumb/trace.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A stretch of samples [first, last], both included. */
struct bp_spell {
    size_t first, last;
};

struct bp_spells {
    size_t count;
    struct bp_spell *list; /* in time order, not overlapping */
};

/* What the still spells say of the sensors. */
struct bp_noise {
    double force_sd;     /* white noise of one acceleration axis, m/s^2 a sample */
    double turn_sd;      /* of one gyroscope axis, rad/s a sample; NaN without a gyroscope */
    double gravity;      /* length of the mean specific force over the still spells, m/s^2; NaN if none */
    double turn_bias[3]; /* mean rate of turn over the still spells, rad/s; 0 if none or no gyroscope */
};

struct bp_still_settings {
    double window_s;      /* length of the sliding test, s */
    double threshold;     /* of the likelihood statistic, in units of its value for pure noise (about 1) */
    double least_spell_s; /* shorter still spells are not believed, s */
};
extern const struct bp_still_settings bp_still_defaults;

/* Finds the still spells of trace, with thresholds set from the log's own noise. Linear in samples.
 * statistic: NULL, or [trace->count] to receive the likelihood statistic. MEMORY on failure. */
enum bp_code bp_still_find(const struct bp_trace *trace, const struct bp_still_settings *settings,
                           struct bp_arena *arena, struct bp_spells *spells, struct bp_noise *noise,
                           double *statistic, struct bp_error *error);

/* The likelihood-ratio statistic of Skog et al. 2010 over samples [first, last]:
 * mean of |f - g f̄/|f̄||²/σ_f² + |ω|²/σ_ω². Without a gyroscope the second term is absent. */
double bp_still_statistic(const struct bp_trace *trace, size_t first, size_t last, double gravity,
                          double force_sd, double turn_sd);

#ifdef __cplusplus
}
#endif
#endif
