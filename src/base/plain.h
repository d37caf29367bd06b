/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src: making a printf-formatted sentence safe for one line of a terminal.
 */
#ifndef BARPLUMB_BASE_PLAIN_H
#define BARPLUMB_BASE_PLAIN_H

#include <stdarg.h>
#include <stddef.h>

/* Formats into out[size], cut to fit at a whole UTF-8 character, control characters made '?'. */
#if defined(__GNUC__)
__attribute__((format(printf, 3, 0)))
#endif
void bp_plain_format(char *out, size_t size, const char *format, va_list arguments);

/* Makes every control character of text '?' in place: C0, DEL and the C1 set in its UTF-8 form. */
void bp_plain_clean(char *text);

#endif
