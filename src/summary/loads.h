/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Loads: a rig and a track → what each rep's bar weighed and what the hands gave.
 *
 * The track knows heights from where the bar first rested; a rig knows them from the floor. The set's usual
 * lockout, as high as the rig says, ties the two (its usual turnaround, where the rig does not say that).
 */
#ifndef BARPLUMB_SUMMARY_LOADS_H
#define BARPLUMB_SUMMARY_LOADS_H

#include "barplumb/load.h"
#include "barplumb/ranges.h"
#include "barplumb/summary.h"

struct bp_loads {
    struct bp_load_model *model; /* NULL: nothing is known of the load */
    double datum_m;              /* the track's 0 above the floor; 0 where the load does not hang on it */
    /* Where the gym is, by the check's bounds: a weight is its mass times the gravity there. Loads in kg do
     * not hang on it. */
    double gravity_m_s2, gravity_sd_m_s2;
    /* The estimate's acceleration below 8 Hz, and the estimate's own: a draw is off from both by the same. */
    const double *calm_m_s2, *own_m_s2;
};

/* Heights of completed reps, by the track: means of them; NaN without one. */
struct bp_usual_heights {
    double bottom_m, top_m;
};
struct bp_usual_heights bp_loads_heights(const struct bp_track *track, const struct bp_reps *reps);

/* Ties the track at hand, with the model's draw at hand, to the floor. */
void bp_loads_settle(struct bp_loads *loads, const struct bp_track *track, const struct bp_reps *reps);

/* Samples of one drive, from times->first - 1 to times->last + 1 so far as the track has them. */
struct bp_load_samples {
    size_t base, count;
    double *weight_n, *hand_n, *power_w; /* [count] */
    double *calm_n;                      /* [count] hand_n of the acceleration below 8 Hz */
    double *push_m_s2;                   /* [count] see bp_propulsive_speed */
};

/* Fills samples, whose arrays live in arena; the loads are NaN without a model. False when memory is out or
 * there is no drive. */
bool bp_loads_sample(const struct bp_loads *loads, const struct bp_track *track,
                     const struct bp_rep_times *times, struct bp_arena *arena,
                     struct bp_load_samples *samples);

/* Load, force, power, work and impulse over the drive and its ranges (values only). */
void bp_loads_measure(const struct bp_load_samples *samples, const struct bp_track *track,
                      const struct bp_rep_times *times, struct bp_rep_figures *rep);

/* The set's loads at its usual heights. */
void bp_loads_totals(const struct bp_loads *loads, const struct bp_track *track, const struct bp_reps *reps,
                     struct bp_set_figures *set);

/* What the set's heights say of the rig: heights it was never measured for, or that are not the lifter's. */
void bp_loads_findings(const struct bp_loads *loads, const struct bp_rig *rig, const struct bp_track *track,
                       const struct bp_reps *reps, struct bp_findings *findings);

#endif
