/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: the tables of a set's text report, each figure with its interval beside it.
 */
#ifndef BARPLUMB_REPORT_SET_TABLES_H
#define BARPLUMB_REPORT_SET_TABLES_H

#include "barplumb/report.h"

void bp_set_tables_put_speed(struct bp_text *out, const struct bp_summary *summary,
                             const struct bp_report_settings *settings);
/* Whether the mean propulsive velocity of any rep is another than its mean velocity, to the digits shown;
 * only then it has a column. */
bool bp_set_tables_propulsive_differs(const struct bp_summary *summary);
void bp_set_tables_put_steady(struct bp_text *out, const struct bp_summary *summary,
                              const struct bp_report_settings *settings);
/* Whether any rep knows what the bar weighed. */
bool bp_set_tables_have_load(const struct bp_summary *summary);
void bp_set_tables_put_load(struct bp_text *out, const struct bp_summary *summary,
                            const struct bp_report_settings *settings);

#endif
