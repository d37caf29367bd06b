/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the reports: what every page has, around what it is about.
 */
#ifndef BARPLUMB_REPORT_PAGE_FRAME_H
#define BARPLUMB_REPORT_PAGE_FRAME_H

#include "barplumb/error.h"
#include "barplumb/text.h"

struct bp_page_frame {
    const char *assets; /* as in bp_page_settings */
    const void *about;
    void (*put_title)(const void *about, struct bp_text *out); /* escaped */
    /* Elements for a reader without scripts. */
    void (*put_plain)(const void *about, struct bp_text *out);
    /* The page's data, by bp_page_put_block. */
    void (*put_data)(const void *about, struct bp_text *out);
};

/* Errors: ARGUMENT in a build without the page; out is then untouched. */
enum bp_code bp_page_put_frame(const struct bp_page_frame *frame, struct bp_text *out,
                               struct bp_error *error);

/* A block of data that no browser runs: id "barplumb-<name>". */
void bp_page_put_block(struct bp_text *out, const char *name,
                       void (*put)(const void *about, struct bp_text *out), const void *about);

#endif
