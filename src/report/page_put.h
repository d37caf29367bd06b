/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: text that stands safely inside an HTML page, and the shape of the page filled in.
 */
#ifndef BARPLUMB_REPORT_PAGE_PUT_H
#define BARPLUMB_REPORT_PAGE_PUT_H

#include "barplumb/text.h"

/* Text of a page or of an attribute in quotes: & < > " ' as references, invalid UTF-8 replaced, control
 * characters other than a newline made '?'. */
void bp_page_put_text(struct bp_text *out, const char *text);

/* A JSON document inside <script>: what could end or change that element (< > & and the line separators
 * U+2028 and U+2029) is written as \u escapes, which JSON reads as the same. */
void bp_page_put_json(struct bp_text *out, const struct bp_text *json);

/* Writes what stands for {{name}} in the shape. */
typedef void bp_page_part(const char *name, size_t length, const void *about, struct bp_text *out);

/* The bundle's shape with each {{name}} replaced. */
void bp_page_put_shape(struct bp_text *out, bp_page_part *part, const void *about);

#endif
