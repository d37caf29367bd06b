/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sideways part of one log, made once: evenly sampled bands and their place on the log's clock.
 */
#ifndef BARPLUMB_SUMMARY_SIDEWAYS_H
#define BARPLUMB_SUMMARY_SIDEWAYS_H

#include "barplumb/motion.h"
#include "barplumb/shake.h"

struct bp_sideways {
    bool known;    /* false: the rate is too low for any sideways figure */
    double step_s; /* of the even clock, which starts at 0 */
    struct bp_shake_bands bands;
};

/* Resamples the sideways accelerations evenly and makes their bands. Errors: MEMORY. */
enum bp_code bp_sideways_make(const struct bp_motion *motion, const struct bp_clock *clock,
                              struct bp_arena *arena, struct bp_sideways *sideways, struct bp_error *error);

/* Shake between two times; all NaN when it cannot be known. */
struct bp_shake_figures bp_sideways_measure(const struct bp_sideways *sideways, double from_s, double to_s,
                                            struct bp_arena *arena);

#endif
