/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Totals: the set's figures from its reps'.
 */
#ifndef BARPLUMB_SUMMARY_TOTALS_H
#define BARPLUMB_SUMMARY_TOTALS_H

#include "barplumb/summary.h"

/* Fills set's counts and figures from reps[count]; missed reps count only as missed. */
void bp_totals_of(const struct bp_rep_figures *reps, size_t count, struct bp_set_figures *set);

#endif
