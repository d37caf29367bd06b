/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: tables of measured figures, each with its interval beside it. A column is as wide as
 * what stands in it; one in which nothing is known is left out; what does not fit a line goes on below.
 */
#ifndef BARPLUMB_REPORT_COLUMNS_H
#define BARPLUMB_REPORT_COLUMNS_H

#include "barplumb/quantity.h"
#include "barplumb/report.h"
#include "barplumb/text.h"

#include <stdbool.h>
#include <stddef.h>

enum { BP_COLUMNS_MOST = 16 };

struct bp_column {
    const char *head, *unit;
    int decimals; /* at most: the interval may support fewer */
    double scale; /* figure times scale is what is shown */
    int group;    /* neighbours of one group stay on one line where it is wide enough */
    bool always;  /* stands even when nothing in it is known */
};

struct bp_table {
    const struct bp_column *columns;
    size_t count; /* at most BP_COLUMNS_MOST */
    size_t rows;
    const void *about;
    const char *named;                               /* what the rows' numbers are, in 3 characters: "rep" */
    size_t (*number)(const void *about, size_t row); /* what the row is called */
    struct bp_quantity (*cell)(const void *about, size_t row, size_t column);
    /* Whether a row is told in words where its cells are not known, and those words. Both may be NULL. The
     * first line holds only groups of which such a row knows nothing, so that the words always stand. */
    bool (*has_remark)(const void *about, size_t row);
    void (*put_remark)(const void *about, size_t row, struct bp_text *out);
};

void bp_table_put(struct bp_text *out, const struct bp_table *table,
                  const struct bp_report_settings *settings);

#endif
