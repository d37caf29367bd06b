/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the reports: a set's CSV and JSON without what stands about them, for a block's reports.
 */
#ifndef BARPLUMB_REPORT_SET_PARTS_H
#define BARPLUMB_REPORT_SET_PARTS_H

#include "report/cells.h"
#include "report/json.h"

#include "barplumb/summary.h"

/* The column names, and the cells of summary->reps[rep], into a row that may have cells already. */
void bp_set_csv_put_names(struct bp_cells *row);
void bp_set_csv_put_rep(struct bp_cells *row, const struct bp_summary *summary, size_t rep);

/* The members of the document's object. */
void bp_set_json_put(struct bp_json *json, const struct bp_summary *summary);

#endif
