/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the analysis itself noticed about a set, beside what the check found in the log.
 */
#ifndef BARPLUMB_SUMMARY_FINDINGS_H
#define BARPLUMB_SUMMARY_FINDINGS_H

#include "barplumb/analyse.h"
#include "barplumb/reps.h"
#include "summary/slip.h"

/* Adds to summary->findings; summary's figures are there already, with their intervals. slip: as found. */
void bp_summary_findings(const struct bp_motion *motion, const struct bp_track *track,
                         const struct bp_reps *reps, const struct bp_slip *slip,
                         const struct bp_analyse_settings *settings, struct bp_summary *summary);

#endif
