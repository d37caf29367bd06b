/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: a row of CSV, cell by cell.
 */
#ifndef BARPLUMB_REPORT_CELLS_H
#define BARPLUMB_REPORT_CELLS_H

#include "barplumb/quantity.h"
#include "barplumb/text.h"

#include <stdbool.h>
#include <stddef.h>

struct bp_cells {
    struct bp_text *out;
    bool begun; /* a cell stands before the next one */
};

/* Text from a log or a person: invalid UTF-8 replaced, quoted where it must be, and never a formula to a
 * spreadsheet. */
void bp_cells_text(struct bp_cells *row, const char *text);
void bp_cells_count(struct bp_cells *row, size_t value);
/* An empty cell for what is not known. */
void bp_cells_number(struct bp_cells *row, double value, int decimals);
/* Three cells: value, low, high; all empty when it is unknown. */
void bp_cells_quantity(struct bp_cells *row, struct bp_quantity value, int decimals);
/* A column's name in three parts, none of which needs quotes. */
void bp_cells_name(struct bp_cells *row, const char *before, const char *name, const char *after);

#endif
