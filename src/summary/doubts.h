/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the spoilt spells of a log mean for its reps: those that reach into one are not measured, and from the
 * sound rep before it to the sound rep after it there may be more or fewer than were found.
 */
#ifndef BARPLUMB_SUMMARY_DOUBTS_H
#define BARPLUMB_SUMMARY_DOUBTS_H

#include "barplumb/analyse.h"
#include "barplumb/reps.h"

/* Sets `spoilt` in reps. time_s: of the track. */
void bp_doubts_mark(const struct bp_doubts *doubts, const double *time_s, struct bp_reps *reps);

/* Fills summary->doubts and says each in a finding. count: samples of time_s. */
void bp_doubts_report(const struct bp_doubts *doubts, const double *time_s, size_t count,
                      const struct bp_reps *reps, struct bp_summary *summary);

/* The same of spells in which the bar rose as in a rep and none was found (bp_reps_uncounted). */
void bp_doubts_report_uncounted(const struct bp_doubts *uncounted, const double *time_s, size_t count,
                                const struct bp_reps *reps, struct bp_summary *summary);

#endif
