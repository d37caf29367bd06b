/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Draws: the interval of every figure. What the set may have been, given the log, is drawn many times and
 * each draw is measured like the estimate.
 */
#ifndef BARPLUMB_SUMMARY_DRAWS_H
#define BARPLUMB_SUMMARY_DRAWS_H

#include "summary/measure.h"

/* Fills low and high of every figure in summary->reps and summary->set whose value is known. measure: what
 * the values were measured with. Errors: MEMORY. */
enum bp_code bp_draws_fill(const struct bp_measure *measure, const struct bp_reps *reps,
                           struct bp_arena *arena, struct bp_summary *summary, struct bp_error *error);

/* Makes every figure of a rep unknown; its times, and whether it was missed, stay. */
void bp_draws_forget(struct bp_rep_figures *rep);

#endif
