/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A locale that writes a decimal comma, made for the test with localedef: machines that build software
 * seldom have one installed.
 */
#ifndef BARPLUMB_TESTS_COMMA_LOCALE_H
#define BARPLUMB_TESTS_COMMA_LOCALE_H

#include <stdbool.h>

/* Switches the process to a decimal-comma locale; false when none can be had (no localedef, no sources). */
bool comma_locale_enter(void);

/* Back to "C"; what comma_locale_enter made is removed. */
void comma_locale_leave(void);

#endif
