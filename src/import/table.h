/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: the wanted columns of a text log, as they stand in it.
 */
#ifndef BARPLUMB_IMPORT_TABLE_H
#define BARPLUMB_IMPORT_TABLE_H

#include "import/columns.h"
#include "import/source.h"

/* A cell that holds no number where one belongs; its value in the table is NaN, like an empty cell's. */
struct bp_bad_cell {
    size_t row, line, column; /* row 0-based in the table; line and column 1-based in the file */
    enum bp_role role;
    char text[24];
    double at_s; /* since the first sample; set with the times */
};

enum { BP_BAD_CELLS_KEPT = 64, BP_LINE_STEPS_MAX = 512 };

struct bp_table {
    struct bp_dialect dialect;
    struct bp_layout layout;
    size_t rows, capacity;
    double *column[BP_ROLE_COUNT]; /* [rows] each, in the importer's arena; NULL: absent */
    size_t empty[BP_ROLE_COUNT];   /* cells with nothing in them */
    size_t passed_over;            /* rows of sensors that are not read */
    bool ordered;                  /* each time is later than the one before; set with the times */
    size_t bad_count;
    struct bp_bad_cell bad[BP_BAD_CELLS_KEPT];
    double epoch_first_s; /* of the first row's date, s since 1970; NaN: none */
    size_t asides;        /* lines of words among the rows, passed over */
    size_t aside_line;    /* the first of them… */
    char aside[24];       /* …and its beginning */
    size_t short_line;    /* the last row, cut off and dropped; 0: none */
    size_t again_line;    /* where the header stands a second time; reading ended there; 0: none */
    /* Remarks and blank lines between rows: from this row on, lines count from this line. */
    struct {
        size_t row, line;
    } steps[BP_LINE_STEPS_MAX];
    size_t step_count;
    char description[BP_RECOGNISED_TEXT];
    char container[64];
};

/* What is left of a text log behind a recording. All zero before the first. */
struct bp_rest {
    char *buffer; /* malloc'ed; free(buffer) in the end */
    size_t held;  /* bytes in it, from the next recording's header on; 0: there is none */
    size_t line;  /* that header's */
    bool follow;  /* it is wanted whatever becomes of the recording before it */
};

/* Reads one recording of a text log: what rest holds and what comes behind it. One in which a row cannot be
 * read is passed over up to the next, and its error returned. rest NULL: the first alone is wanted. Errors:
 * READ, EMPTY, FORMAT, NUMBER, COLUMNS, LIMIT, ARGUMENT, MEMORY. */
enum bp_code bp_import_table(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                             struct bp_rest *rest, struct bp_table *table);

/* The line of a row, 0 when it is not known any more. */
size_t bp_import_row_line(const struct bp_table *table, size_t row);

#endif
