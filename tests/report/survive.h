/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A report written with each of its allocations failing in turn.
 */
#ifndef BARPLUMB_TESTS_REPORT_SURVIVE_H
#define BARPLUMB_TESTS_REPORT_SURVIVE_H

#include "barplumb/text.h"

/* Calls put with an empty text once for each allocation it makes, that one failing, and once with none
 * failing; fails the test unless the text says so each time. Link with bp_fail_allocations. */
void survive_check(void (*put)(struct bp_text *out));

#endif
