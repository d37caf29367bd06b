/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: figures in words, wrapped sentences and the two weights of type a terminal has.
 */
#ifndef BARPLUMB_REPORT_TABLE_H
#define BARPLUMB_REPORT_TABLE_H

#include "barplumb/quantity.h"
#include "barplumb/report.h"
#include "barplumb/text.h"

#include <stdbool.h>
#include <stddef.h>

/* Right-aligned in a field of `width` characters. */
void bp_table_put_text(struct bp_text *out, const char *text, size_t width);
/* A figure as a person is shown it: rounded to what its interval supports. */
struct bp_shown {
    double value, half; /* NaN: not known, no interval */
    int decimals;       /* for both */
};
/* The half-width shown is that of the wider side, with at most two significant digits (GUM, JCGM 100:2008,
 * 7.2.6) and at most `decimals` after the point, and never 0: the smallest step instead. The value has no
 * digit beyond it. */
struct bp_shown bp_table_shown(struct bp_quantity value, int decimals);

/* Text from a log or a caller: control characters made '?', invalid UTF-8 replaced. */
void bp_table_put_plain(struct bp_text *out, const char *text);
/* The same, at most `most` characters: a longer one loses its front. */
void bp_table_put_plain_end(struct bp_text *out, const char *text, size_t most);
/* A log's name for a title: not too long, and in words where it is "-". */
void bp_table_put_path(struct bp_text *out, const char *path);
/* "0.412 ±0.004 m/s"; "1.9 (0.4 to 2.1) mm" where one side is more than twice as wide as the other;
 * "unknown". */
void bp_table_put_figure(struct bp_text *out, struct bp_quantity value, int decimals, const char *unit);
/* A sentence over as many lines as it needs; `at` characters stand on the line already, later lines begin
 * with `indent` spaces. Ends with a newline. */
void bp_table_put_wrapped(struct bp_text *out, const char *text, size_t at, size_t indent,
                          const struct bp_report_settings *settings);

/* A title in bold on a new line, left open for what belongs to it. */
void bp_table_put_title(struct bp_text *out, const char *title, const struct bp_report_settings *settings);
/* Lines in small type under a table: what its heads mean. */
void bp_table_put_note(struct bp_text *out, const char *text, const struct bp_report_settings *settings);

void bp_table_bold(struct bp_text *out, const struct bp_report_settings *settings);
void bp_table_dim(struct bp_text *out, const struct bp_report_settings *settings);
void bp_table_normal(struct bp_text *out, const struct bp_report_settings *settings);

/* Whether an interval was estimated. */
bool bp_table_has_interval(struct bp_quantity value);
/* Characters a line holds. */
size_t bp_table_columns(const struct bp_report_settings *settings);

/* Findings in words, "  12.30 s  text", under a title; nothing when there are none. */
void bp_report_findings_text(struct bp_text *out, const struct bp_findings *findings,
                             const struct bp_report_settings *settings);

/* The small picture: speed over height, a row a rep; nothing when no rep has a profile. */
void bp_report_picture(struct bp_text *out, const struct bp_summary *summary,
                       const struct bp_report_settings *settings);

#endif
