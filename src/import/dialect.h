/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: how a text log is written, settled from its first lines.
 */
#ifndef BARPLUMB_IMPORT_DIALECT_H
#define BARPLUMB_IMPORT_DIALECT_H

#include "import/cells.h"
#include "import/importer.h"

struct bp_dialect {
    char separator;             /* ',' ';' '|' or TAB */
    char point;                 /* '.' or ',' */
    char line_end;              /* '\n', or '\r' where there is no other */
    bool blanks;                /* runs of blanks stand between cells, and have been made TABs */
    size_t columns;             /* cells in most lines */
    const char *header, *units; /* lines in the first block, NULL: none */
    size_t header_count, units_count;
    const char *above; /* the line above the header, where it has as many cells of words; NULL: none */
    size_t above_count;
    size_t data_at;   /* byte in the first block where the rows begin */
    size_t data_line; /* 1-based number of that line */
};

/* Settles it from block[0..count), whose first line has number first_line; whole: the block ends the log. A
 * quoted cell may hold line ends. Errors: EMPTY, FORMAT (no rows in the block), LIMIT, MEMORY. */
enum bp_code bp_import_sniff(struct bp_importer *im, const char *block, size_t count, bool whole,
                             size_t first_line, struct bp_dialect *dialect);

/* A line that is blank, or a remark: its first character is '#', '@' or '%', or it begins with "//". */
bool bp_import_is_remark(const char *line, size_t count);
bool bp_import_is_blank(const char *line, size_t count, char separator);

size_t bp_import_line_limit(const struct bp_import_settings *settings);
size_t bp_import_column_limit(const struct bp_import_settings *settings);

#endif
