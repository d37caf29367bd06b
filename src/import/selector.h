/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: logs in which a column says whose row it is ("accelerometer", "gyroscope").
 */
#ifndef BARPLUMB_IMPORT_SELECTOR_H
#define BARPLUMB_IMPORT_SELECTOR_H

#include "import/dialect.h"
#include "import/words.h"

enum { BP_SELECTOR_WORDS = 32, BP_SELECTOR_BYTES = 48 };

struct bp_selector {
    int column; /* -1: there is none */
    struct {
        char text[BP_SELECTOR_BYTES];
        size_t count, letters; /* of the text; of the word it stands for */
        struct bp_heading meaning;
        enum bp_kind kind; /* FORCE, GRAVITY, TURN; NONE: rows of a sensor that is not read */
    } words[BP_SELECTOR_WORDS];
    size_t word_count;
    bool has[BP_KIND_OTHER + 1];
    bool linear; /* the acceleration is without gravity */
};

/* Looks for such a column in the rows of block: text in every row, of at least two words, one of them an
 * acceleration's. */
void bp_import_find_selector(const char *block, size_t count, const struct bp_dialect *dialect,
                             size_t columns, struct bp_selector *selector);

/* What the row is of whose cell that is; NONE: nothing that is read. */
enum bp_kind bp_import_select(const struct bp_selector *selector, const struct bp_cell *cell);

#endif
