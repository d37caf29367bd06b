/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A part of a longer log is measured in its own time; what a reader sees is the log's.
 */
#ifndef BARPLUMB_SUMMARY_PART_H
#define BARPLUMB_SUMMARY_PART_H

#include "barplumb/error.h"
#include "barplumb/summary.h"
#include "barplumb/trace.h"

/* Says which part of its log the summary is of and moves its times there. Nothing for a whole log. */
void bp_part_place(const struct bp_trace *trace, struct bp_summary *summary);

/* The same for an error: "set 2 of 3, from 312.4 s: …". error NULL: nothing. */
void bp_part_place_error(const struct bp_trace *trace, struct bp_error *error);

#endif
