/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report_block: the main numbers of a page as plain tables, for a reader without scripts.
 */
#ifndef BARPLUMB_REPORT_BLOCK_PLAIN_H
#define BARPLUMB_REPORT_BLOCK_PLAIN_H

#include "report_block/parts.h"

struct bp_page_of_block {
    const struct bp_survey *survey;
    const struct bp_block_page_settings *settings;
    const char *kind;   /* "compare", "block", "lifter" */
    const char *lifter; /* NULL: all */
};

/* about: a struct bp_page_of_block. */
void bp_plain_put_compare(const void *about, struct bp_text *out);
void bp_plain_put_block(const void *about, struct bp_text *out);

#endif
