/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: aligned cells, wrapped sentences and the two weights of type a terminal has.
 */
#ifndef BARPLUMB_REPORT_TABLE_H
#define BARPLUMB_REPORT_TABLE_H

#include "barplumb/quantity.h"
#include "barplumb/report.h"
#include "barplumb/text.h"

#include <stddef.h>

struct bp_column {
    const char *head, *unit;
    size_t width; /* characters, with the space before it */
    int decimals;
    double scale; /* figure times scale is what is shown */
};

/* Text from a log or a caller: control characters made '?', invalid UTF-8 replaced. */
void bp_table_put_plain(struct bp_text *out, const char *text);
/* The same, at most `most` characters: a longer one loses its front. */
void bp_table_put_plain_end(struct bp_text *out, const char *text, size_t most);
/* A log's name for a title: not too long, and in words where it is "-". */
void bp_table_put_path(struct bp_text *out, const char *path);
/* Right-aligned cells; '-' for what is not known. */
void bp_table_put_text(struct bp_text *out, const char *text, size_t width);
void bp_table_put_number(struct bp_text *out, double value, int decimals, size_t width);
/* The two header lines of a table. */
void bp_table_put_head(struct bp_text *out, const struct bp_column *columns, size_t count,
                       const struct bp_report_settings *settings);
/* The values of a row, after its first cell was put. */
void bp_table_put_values(struct bp_text *out, const struct bp_column *columns,
                         const struct bp_quantity *cells, size_t count);
/* A line of half-widths, dim, if any of the cells has an interval. */
void bp_table_put_half_widths(struct bp_text *out, const struct bp_column *columns,
                              const struct bp_quantity *cells, size_t count,
                              const struct bp_report_settings *settings);
/* "0.412 ±0.004 m/s"; "unknown". */
void bp_table_put_figure(struct bp_text *out, struct bp_quantity value, int decimals, const char *unit);
/* A sentence over as many lines as it needs; `at` characters stand on the line already, later lines begin
 * with `indent` spaces. Ends with a newline. */
void bp_table_put_wrapped(struct bp_text *out, const char *text, size_t at, size_t indent,
                          const struct bp_report_settings *settings);

void bp_table_bold(struct bp_text *out, const struct bp_report_settings *settings);
void bp_table_dim(struct bp_text *out, const struct bp_report_settings *settings);
void bp_table_normal(struct bp_text *out, const struct bp_report_settings *settings);

/* Half of the interval's width; NaN when it was not estimated. */
double bp_table_half_width(struct bp_quantity value);

/* Findings in words, "  12.30 s  text", under a title; nothing when there are none. */
void bp_report_findings_text(struct bp_text *out, const struct bp_findings *findings,
                             const struct bp_report_settings *settings);

/* The small picture: speed over height, a row a rep; nothing when no rep has a profile. */
void bp_report_picture(struct bp_text *out, const struct bp_summary *summary,
                       const struct bp_report_settings *settings);

#endif
