/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: columns that stand apart by blanks, as many as it takes to line them up.
 */
#ifndef BARPLUMB_IMPORT_BLANKS_H
#define BARPLUMB_IMPORT_BLANKS_H

#include <stdbool.h>
#include <stddef.h>

/* Where the text stands between one piece of it and the next; all false at its beginning. */
struct bp_blanks {
    bool run;    /* inside a run of blanks… */
    bool began;  /* …with something in front of it in its line */
    bool quoted; /* inside quotes, where blanks are text */
};

/* Makes one TAB of each run of blanks and TABs, and nothing of those at a line's ends; from then on the text
 * is like any other whose cells stand between TABs. Returns the bytes that are left of text[0..count). */
size_t bp_import_close_blanks(struct bp_blanks *blanks, char *text, size_t count);

#endif
