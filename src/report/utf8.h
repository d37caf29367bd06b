/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: walking over text that may not be valid UTF-8.
 */
#ifndef BARPLUMB_REPORT_UTF8_H
#define BARPLUMB_REPORT_UTF8_H

#include <stdbool.h>
#include <stddef.h>

#define BP_REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD */

/* Bytes of the character at text (NUL-terminated, not at its end), and whether they are valid. Of an invalid
 * sequence the longest piece that could have begun a character is one step, as the Unicode Standard
 * (section 3.9, "maximal subpart") would have it replaced. */
size_t bp_utf8_step(const char *text, bool *valid);

/* Characters in text; an invalid piece counts as one. What a terminal shows of text in the Latin script. */
size_t bp_utf8_width(const char *text);

#endif
