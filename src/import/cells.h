/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: one line of text as cells, and cells as numbers and times.
 */
#ifndef BARPLUMB_IMPORT_CELLS_H
#define BARPLUMB_IMPORT_CELLS_H

#include <stdbool.h>
#include <stddef.h>

struct bp_cell {
    const char *at; /* without quotes and outer blanks */
    size_t count;
};

/* Cuts line[0..count) at separator; a quoted cell (RFC 4180) may hold it. Doubled quotes inside stay doubled.
 * Returns the number of cells, which may be more than most; only most are written. */
size_t bp_import_split(const char *line, size_t count, char separator, struct bp_cell *cells, size_t most);

/* The end of the line that starts at at: its first line end outside quotes (or, quotes false, its first);
 * end if there is none. */
const char *bp_import_line_end(const char *at, const char *end, char line_end, bool quotes);

/* True when the whole cell is one finite number. */
bool bp_import_cell_number(const struct bp_cell *cell, char point, double *value);

enum bp_cell_kind { BP_CELL_EMPTY, BP_CELL_NUMBER, BP_CELL_NOT_A_NUMBER, BP_CELL_TEXT };
/* NOT_A_NUMBER: nan, inf, null, n/a … where a number belongs. value is set for NUMBER. */
enum bp_cell_kind bp_import_cell_kind(const struct bp_cell *cell, char point, double *value);

struct bp_stamp {
    double seconds; /* since 1970-01-01, or since midnight where there is no date */
    bool dated;
    bool zoned; /* the offset from UTC is stated */
};

/* Reads a time of day with or without date: ISO 8601 and its loose relatives
 * ("2019-10-16T12:09:01.702+02:00", "2019/10/16 12:09:01,7", "18:36:25:3" with milliseconds behind the last
 * colon). False when the cell is not wholly that. */
bool bp_import_cell_stamp(const struct bp_cell *cell, struct bp_stamp *stamp);

#endif
