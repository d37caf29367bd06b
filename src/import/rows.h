/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: rows of text into a table's columns.
 */
#ifndef BARPLUMB_IMPORT_ROWS_H
#define BARPLUMB_IMPORT_ROWS_H

#include "import/table.h"

struct bp_row_reader {
    struct bp_importer *im;
    struct bp_table *table;
    int role_of[BP_IMPORT_COLUMNS_MAX]; /* -1: not wanted */
    int shift;                          /* this row's roles: of another sensor than the acceleration */
    size_t rows_max, line_max;
    size_t line;      /* of the next line */
    size_t next_line; /* the line that a row without anything skipped would have */
    size_t skip_rows;
    char *header; /* a copy: the block it was found in is gone */
    size_t header_count;
    size_t short_column; /* cells of the row that was too short, 0: none */
    bool quotes;         /* in this block */
    bool again;          /* the header stood again, and no row since */
    bool done;           /* it was another recording's */
    size_t lost_line;    /* from here on only a header is looked for: a row cannot be read; 0: all can */
};

/* Reads the whole lines of a block; *used is where the unfinished line begins (last: there is none), or the
 * header that stands again.
 * Errors: NUMBER, COLUMNS, LIMIT, MEMORY. */
enum bp_code bp_import_read_rows(struct bp_row_reader *reader, const char *block, size_t count, bool last,
                                 size_t *used);

/* Where the next row stands, if lines were passed over before it. */
void bp_import_note_line(struct bp_row_reader *reader);

/* ---- plain_rows.c ---- */

/* True when the reader's next rows may be read by bp_import_read_plain_rows. */
bool bp_import_may_be_plain(const struct bp_row_reader *reader);

/* Reads rows of plain numbers from at on and returns the first line that is none, or not whole. Behind end
 * stands a byte that is in no number, and BP_BLOCK_PADDING more may be looked at. */
const char *bp_import_read_plain_rows(struct bp_row_reader *reader, const char *at, const char *end);

/* ---- */

/* Refuses a row that was too short, now that it is known not to be the log's last. Errors: COLUMNS. */
enum bp_code bp_import_check_short(struct bp_row_reader *reader);

/* Room for capacity rows in every wanted column. False when memory is out. */
bool bp_import_grow_table(struct bp_row_reader *reader, size_t capacity);

#endif
