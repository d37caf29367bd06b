/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: rows in which words or brackets stand about the numbers, made into the text of a
 * table.
 */
#ifndef BARPLUMB_IMPORT_WORDED_H
#define BARPLUMB_IMPORT_WORDED_H

#include "import/importer.h"

#include "barplumb/text.h"

/* True where three rows that are alike but for their numbers ("t=0.01 s, ax=0.1", "X: 0.1 Y: 0.2",
 * "0.01,\"[0.1, 0.2, 9.8]\"") stand one below the other. marked: and a '=', a ':' or an
 * opening bracket before a number, which no table between blanks has. */
bool bp_import_is_worded(const char *bytes, size_t count, bool marked);

/* Puts the numbers of all such rows into text, cells between TABs below a line of headings: what the row
 * calls a number, behind what a header above the first row calls its cell. Other lines stay as they are;
 * where there is no such row, all do. text is freed by the caller whatever happens. Errors: MEMORY. */
enum bp_code bp_import_worded_text(struct bp_importer *im, const char *bytes, size_t count,
                                   struct bp_text *text);

#endif
