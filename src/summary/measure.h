/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Measure: one track → one rep's figures. The same code measures the estimate and any draw from its
 * posterior.
 */
#ifndef BARPLUMB_SUMMARY_MEASURE_H
#define BARPLUMB_SUMMARY_MEASURE_H

#include "barplumb/analyse.h"
#include "barplumb/ranges.h"
#include "summary/loads.h"
#include "summary/sideways.h"

struct bp_traces_maker;

struct bp_measure {
    const struct bp_motion *motion;
    const struct bp_track *track; /* speed and acceleration freed of clatter, see bp_measure_smooth */
    const struct bp_track *rough; /* before that */
    const double *calm_m_s;       /* [track->count] its speed freed of what is quicker than a drive */
    const struct bp_sideways *sideways;
    const struct bp_loads *loads;
    const struct bp_analyse_settings *settings;
    enum bp_lift lift;
    struct bp_traces_maker *traces; /* takes in the draws; NULL: not asked for */
};

/* A copy of track with speed and acceleration low-passed, zero phase, enough to take out clatter and leave
 * the lift; it shares times, heights and posterior. False when memory is out. */
bool bp_measure_smooth(const struct bp_track *track, const struct bp_reps *reps, double rate_hz,
                       struct bp_arena *arena, struct bp_track *smooth);

/* x[count], a speed or an acceleration, freed of what is quicker than a lifter's drive, 8 Hz, zero phase:
 * what the largest force is taken from. NULL when memory is out. */
double *bp_measure_calm(const double *x, size_t count, double rate_hz, struct bp_arena *arena);

/* Fills out (values only; intervals NaN). before: the rep before, for a pause at the bottom; NULL if
 * none. */
void bp_measure_rep(const struct bp_measure *m, const struct bp_rep *rep, const struct bp_rep *before,
                    struct bp_arena *arena, struct bp_rep_figures *out);

#endif
