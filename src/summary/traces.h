/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Traces: the set over time at the points a page draws, with bands from the draws that make every interval.
 */
#ifndef BARPLUMB_SUMMARY_TRACES_H
#define BARPLUMB_SUMMARY_TRACES_H

#include "barplumb/reps.h"
#include "barplumb/traces.h"
#include "summary/measure.h"
#include "summary/spread.h"

enum bp_traced { BP_TRACED_HEIGHT, BP_TRACED_SPEED, BP_TRACED_SHAKE, BP_TRACED_SHAKE_SPEED, BP_TRACED_COUNT };

struct bp_traces_maker {
    struct bp_traces *traces;
    size_t *sample;                            /* [traces->count] of the track */
    struct bp_spread *spread[BP_TRACED_COUNT]; /* [traces->count] each */
};

/* Picks the points and puts the estimate's values; measure->sideways must be at its estimate. summary holds
 * the reps already. Everything lives in arena. Errors: MEMORY. */
enum bp_code bp_traces_begin(const struct bp_measure *measure, const struct bp_reps *reps,
                             const struct bp_summary *summary, struct bp_arena *arena,
                             struct bp_traces_maker *maker, struct bp_error *error);

/* Takes in one draw, of which samples in `stretch` are there. Draws no random number. */
void bp_traces_take_draw(struct bp_traces_maker *maker, const struct bp_track *draw, struct bp_spell stretch,
                         const struct bp_sideways *sideways);

/* Makes the bands of what was taken in. */
void bp_traces_end(struct bp_traces_maker *maker);

#endif
