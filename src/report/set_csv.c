/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set as CSV (RFC 4180, but lines end in a newline alone), one row a rep: the JSON's figures, flat.
 */
#include "barplumb/report.h"

#include "report/cells.h"
#include "report/figures.h"
#include "report/set_parts.h"

#include <string.h>

/* A header serves every log of a call, so the number of range columns cannot follow the log. */
enum { CSV_RANGES = sizeof((struct bp_lift_facts *)0)->range_names / sizeof(const char *) };

/* record NULL: empty cells. */
static void put_quantities(struct bp_cells *row, const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        const struct bp_figure *figure = &figures->list[i];
        struct bp_quantity q = record != NULL ? bp_report_quantity_at(record, figure) : bp_quantity_unknown();
        bp_cells_quantity(row, q, figure->decimals);
    }
}

static void put_doubles(struct bp_cells *row, const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        const struct bp_figure *figure = &figures->list[i];
        bp_cells_number(row, record != NULL ? bp_report_double_at(record, figure) : (double)NAN,
                        figure->decimals);
    }
}

static void put_quantity_names(struct bp_cells *row, const char *before, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        bp_cells_name(row, before, figures->list[i].name, "");
        bp_cells_name(row, before, figures->list[i].name, "_low");
        bp_cells_name(row, before, figures->list[i].name, "_high");
    }
}

static void put_double_names(struct bp_cells *row, const char *before, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        bp_cells_name(row, before, figures->list[i].name, "");
    }
}

static void put_range_names(struct bp_cells *row)
{
    char before[] = "range1_";
    for (int i = 0; i < CSV_RANGES; i++) {
        before[5] = (char)('1' + i);
        bp_cells_name(row, before, "name", "");
        put_double_names(row, before, &bp_report_range_bounds);
        put_quantity_names(row, before, &bp_report_range_quantities);
    }
}

void bp_set_csv_put_names(struct bp_cells *row)
{
    static const char *const log_names[] = {"path",      "rows",     "rate_hz", "duration_s",
                                            "gyroscope", "findings", "lift",    "setup"};
    for (size_t i = 0; i < sizeof log_names / sizeof log_names[0]; i++) {
        bp_cells_name(row, "", log_names[i], "");
    }
    bp_cells_name(row, "", "index", "");
    bp_cells_name(row, "", "missed", "");
    put_double_names(row, "", &bp_report_rep_times);
    put_quantity_names(row, "", &bp_report_rep_speeds);
    bp_cells_name(row, "", "sticking", "");
    put_double_names(row, "sticking_", &bp_report_sticking_times);
    put_quantity_names(row, "sticking_", &bp_report_sticking_quantities);
    put_range_names(row);
    put_quantity_names(row, "", &bp_report_rep_steadiness);
    put_quantity_names(row, "", &bp_report_rep_loads);
    bp_cells_name(row, "", "set_reps", "");
    bp_cells_name(row, "", "set_missed", "");
    put_quantity_names(row, "set_", &bp_report_set_quantities);
    bp_cells_name(row, "", "part", "");
    bp_cells_name(row, "", "parts", "");
    bp_cells_name(row, "", "part_from_s", "");
}

void bp_report_set_csv_header(struct bp_text *out)
{
    struct bp_cells row = {out, false};
    bp_set_csv_put_names(&row);
    bp_text_put_char(out, '\n');
}

/* The findings' codes, each once, with spaces between: a cell that a filter can search. */
static void put_finding_codes(struct bp_cells *row, const struct bp_findings *findings)
{
    bp_cells_name(row, "", "", "");
    bool first = true;
    for (size_t i = 0; i < findings->count; i++) {
        bool seen = false;
        for (size_t k = 0; k < i && !seen; k++) {
            seen = strcmp(findings->list[k].code, findings->list[i].code) == 0;
        }
        if (!seen) {
            bp_text_put(row->out, first ? "" : " ");
            bp_text_put(row->out, findings->list[i].code);
            first = false;
        }
    }
}

static void put_log(struct bp_cells *row, const struct bp_summary *summary)
{
    const struct bp_lift_facts *lift = bp_lift_facts(summary->set.lift);
    bp_cells_text(row, summary->log.path);
    bp_cells_count(row, summary->log.rows);
    bp_cells_number(row, summary->log.rate_hz, BP_RATE_DECIMALS);
    bp_cells_number(row, summary->log.duration_s, BP_TIME_DECIMALS);
    bp_cells_text(row, summary->log.gyroscope ? "true" : "false");
    put_finding_codes(row, &summary->findings);
    bp_cells_text(row, lift != NULL ? lift->name : "unknown");
    bp_cells_text(row, summary->set.setup);
}

static void put_rep(struct bp_cells *row, const struct bp_rep_figures *rep)
{
    const struct bp_sticking_figures *sticking = rep->sticking.present ? &rep->sticking : NULL;
    bp_cells_count(row, rep->index);
    bp_cells_text(row, rep->missed ? "true" : "false");
    put_doubles(row, rep, &bp_report_rep_times);
    put_quantities(row, rep, &bp_report_rep_speeds);
    bp_cells_text(row, sticking != NULL ? "true" : "false");
    put_doubles(row, sticking, &bp_report_sticking_times);
    put_quantities(row, sticking, &bp_report_sticking_quantities);
    for (size_t i = 0; i < CSV_RANGES; i++) {
        const struct bp_range_figures *range = i < rep->range_count ? &rep->ranges[i] : NULL;
        bp_cells_text(row, range != NULL ? range->name : "");
        put_doubles(row, range, &bp_report_range_bounds);
        put_quantities(row, range, &bp_report_range_quantities);
    }
    put_quantities(row, rep, &bp_report_rep_steadiness);
    put_quantities(row, rep, &bp_report_rep_loads);
}

/* A log of one set is the first part of one. */
static void put_part(struct bp_cells *row, const struct bp_log_facts *log)
{
    bp_cells_count(row, log->parts > 0 ? log->part : 1);
    bp_cells_count(row, log->parts > 0 ? log->parts : 1);
    bp_cells_number(row, log->part_from_s, BP_TIME_DECIMALS);
}

void bp_set_csv_put_rep(struct bp_cells *row, const struct bp_summary *summary, size_t rep)
{
    put_log(row, summary);
    put_rep(row, &summary->reps[rep]);
    bp_cells_count(row, summary->set.reps);
    bp_cells_count(row, summary->set.missed);
    put_quantities(row, &summary->set, &bp_report_set_quantities);
    put_part(row, &summary->log);
}

void bp_report_set_csv(const struct bp_summary *summary, struct bp_text *out)
{
    for (size_t i = 0; i < summary->rep_count; i++) {
        struct bp_cells row = {out, false};
        bp_set_csv_put_rep(&row, summary, i);
        bp_text_put_char(out, '\n');
    }
}
