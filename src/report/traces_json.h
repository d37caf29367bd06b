/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: the set over time as JSON, for the page alone (no contract: page and library are of
 * one build).
 */
#ifndef BARPLUMB_REPORT_TRACES_JSON_H
#define BARPLUMB_REPORT_TRACES_JSON_H

#include "barplumb/text.h"
#include "barplumb/traces.h"

/* {"time_s":[…],"height_m":{"value":[…],"low":[…],"high":[…]},…,"spectrum":{"step_hz","density"}} on one
 * line; null when traces is NULL. */
void bp_traces_put_json(const struct bp_traces *traces, struct bp_text *out);

#endif
