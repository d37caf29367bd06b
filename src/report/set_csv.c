/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set as CSV (RFC 4180, but lines end in a newline alone), one row a rep: the JSON's figures, flat.
 */
#include "barplumb/report.h"

#include "report/figures.h"
#include "report/utf8.h"

#include <string.h>

/* A header serves every log of a call, so the number of range columns cannot follow the log. */
enum { CSV_RANGES = sizeof((struct bp_lift_facts *)0)->range_names / sizeof(const char *) };

struct row {
    struct bp_text *out;
    bool begun; /* a cell stands before the next one */
};

static void put_separator(struct row *row)
{
    if (row->begun) {
        bp_text_put_char(row->out, ',');
    }
    row->begun = true;
}

/* The text of a cell: invalid UTF-8 replaced, quotes doubled. */
static void put_cell_text(struct bp_text *out, const char *text)
{
    while (*text != '\0') {
        bool valid;
        size_t bytes = bp_utf8_step(text, &valid);
        if (!valid) {
            bp_text_put(out, BP_REPLACEMENT);
        } else {
            bp_text_put_bytes(out, text, bytes);
            if (*text == '"') {
                bp_text_put_char(out, '"');
            }
        }
        text += bytes;
    }
}

static void put_text(struct row *row, const char *text)
{
    /* A spreadsheet takes a cell that begins like this for a formula and runs it. */
    bool formula = text[0] != '\0' && strchr("=+-@\t\r", text[0]) != NULL;
    bool quoted = strpbrk(text, ",\"\r\n") != NULL;
    put_separator(row);
    if (quoted) {
        bp_text_put_char(row->out, '"');
    }
    if (formula) {
        bp_text_put_char(row->out, '\'');
    }
    put_cell_text(row->out, text);
    if (quoted) {
        bp_text_put_char(row->out, '"');
    }
}

static void put_count(struct row *row, size_t value)
{
    put_separator(row);
    bp_text_put_count(row->out, value);
}

/* An empty cell for what is not known. */
static void put_number(struct row *row, double value, int decimals)
{
    put_separator(row);
    if (isfinite(value)) {
        bp_text_put_number(row->out, value, decimals);
    }
}

/* record NULL: empty cells. */
static void put_quantities(struct row *row, const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        const struct bp_figure *figure = &figures->list[i];
        struct bp_quantity q = record != NULL ? bp_report_quantity_at(record, figure) : bp_quantity_unknown();
        bool known = bp_quantity_known(q);
        put_number(row, q.value, figure->decimals);
        put_number(row, known ? q.low : (double)NAN, figure->decimals);
        put_number(row, known ? q.high : (double)NAN, figure->decimals);
    }
}

static void put_doubles(struct row *row, const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        const struct bp_figure *figure = &figures->list[i];
        put_number(row, record != NULL ? bp_report_double_at(record, figure) : (double)NAN, figure->decimals);
    }
}

static void put_name(struct row *row, const char *before, const char *name, const char *after)
{
    put_separator(row);
    bp_text_put(row->out, before);
    bp_text_put(row->out, name);
    bp_text_put(row->out, after);
}

static void put_quantity_names(struct row *row, const char *before, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        put_name(row, before, figures->list[i].name, "");
        put_name(row, before, figures->list[i].name, "_low");
        put_name(row, before, figures->list[i].name, "_high");
    }
}

static void put_double_names(struct row *row, const char *before, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        put_name(row, before, figures->list[i].name, "");
    }
}

static void put_range_names(struct row *row)
{
    char before[] = "range1_";
    for (int i = 0; i < CSV_RANGES; i++) {
        before[5] = (char)('1' + i);
        put_name(row, before, "name", "");
        put_double_names(row, before, &bp_report_range_bounds);
        put_quantity_names(row, before, &bp_report_range_quantities);
    }
}

void bp_report_set_csv_header(struct bp_text *out)
{
    struct row whole = {out, false}, *row = &whole;
    static const char *const log_names[] = {"path",      "rows",     "rate_hz", "duration_s",
                                            "gyroscope", "findings", "lift",    "setup"};
    for (size_t i = 0; i < sizeof log_names / sizeof log_names[0]; i++) {
        put_name(row, "", log_names[i], "");
    }
    put_name(row, "", "index", "");
    put_name(row, "", "missed", "");
    put_double_names(row, "", &bp_report_rep_times);
    put_quantity_names(row, "", &bp_report_rep_speeds);
    put_name(row, "", "sticking", "");
    put_double_names(row, "sticking_", &bp_report_sticking_times);
    put_quantity_names(row, "sticking_", &bp_report_sticking_quantities);
    put_range_names(row);
    put_quantity_names(row, "", &bp_report_rep_steadiness);
    put_quantity_names(row, "", &bp_report_rep_loads);
    put_name(row, "", "set_reps", "");
    put_name(row, "", "set_missed", "");
    put_quantity_names(row, "set_", &bp_report_set_quantities);
    bp_text_put_char(row->out, '\n');
}

/* The findings' codes, each once, with spaces between: a cell that a filter can search. */
static void put_finding_codes(struct row *row, const struct bp_findings *findings)
{
    put_separator(row);
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

static void put_log(struct row *row, const struct bp_summary *summary)
{
    const struct bp_lift_facts *lift = bp_lift_facts(summary->set.lift);
    put_text(row, summary->log.path);
    put_count(row, summary->log.rows);
    put_number(row, summary->log.rate_hz, BP_RATE_DECIMALS);
    put_number(row, summary->log.duration_s, BP_TIME_DECIMALS);
    put_text(row, summary->log.gyroscope ? "true" : "false");
    put_finding_codes(row, &summary->findings);
    put_text(row, lift != NULL ? lift->name : "unknown");
    put_text(row, summary->set.setup);
}

static void put_rep(struct row *row, const struct bp_rep_figures *rep)
{
    const struct bp_sticking_figures *sticking = rep->sticking.present ? &rep->sticking : NULL;
    put_count(row, rep->index);
    put_text(row, rep->missed ? "true" : "false");
    put_doubles(row, rep, &bp_report_rep_times);
    put_quantities(row, rep, &bp_report_rep_speeds);
    put_text(row, sticking != NULL ? "true" : "false");
    put_doubles(row, sticking, &bp_report_sticking_times);
    put_quantities(row, sticking, &bp_report_sticking_quantities);
    for (size_t i = 0; i < CSV_RANGES; i++) {
        const struct bp_range_figures *range = i < rep->range_count ? &rep->ranges[i] : NULL;
        put_text(row, range != NULL ? range->name : "");
        put_doubles(row, range, &bp_report_range_bounds);
        put_quantities(row, range, &bp_report_range_quantities);
    }
    put_quantities(row, rep, &bp_report_rep_steadiness);
    put_quantities(row, rep, &bp_report_rep_loads);
}

void bp_report_set_csv(const struct bp_summary *summary, struct bp_text *out)
{
    for (size_t i = 0; i < summary->rep_count; i++) {
        struct row whole = {out, false}, *row = &whole;
        put_log(row, summary);
        put_rep(row, &summary->reps[i]);
        put_count(row, summary->set.reps);
        put_count(row, summary->set.missed);
        put_quantities(row, &summary->set, &bp_report_set_quantities);
        bp_text_put_char(row->out, '\n');
    }
}
