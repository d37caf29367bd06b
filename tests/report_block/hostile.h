/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A small block, half of whose names were made to break a report, and readers of what the reports wrote.
 */
#ifndef BARPLUMB_TESTS_REPORT_BLOCK_HOSTILE_H
#define BARPLUMB_TESTS_REPORT_BLOCK_HOSTILE_H

#include "barplumb/report_block.h"
#include "survey/blocks.h"

#define HOSTILE_MARKUP "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'&"
#define HOSTILE_FORMULA "=HYPERLINK(\"x\",1)"

enum { HOSTILE_SETS = 8, HOSTILE_EXTRA = 2 };

struct hostile {
    struct planned_block planned;
    struct bp_sheet sheet;
    struct bp_arena arena;
    struct bp_survey survey;
};

/* L1 with straight weight and chains on three days; one set of HOSTILE_FORMULA whose setup is HOSTILE_MARKUP;
 * one that failed. */
void hostile_make(struct hostile *made);
void hostile_free(struct hostile *made);

enum { RECORD_CELLS = 320, RECORD_BYTES = 700 };
struct record {
    char cells[RECORD_CELLS][RECORD_BYTES];
    size_t count;
};
/* RFC 4180: the record at text; returns where the next begins. */
const char *record_read(const char *text, struct record *record);
/* The cell under a heading; NULL if there is none. */
const char *record_cell(const struct record *names, const struct record *record, const char *name);

#endif
