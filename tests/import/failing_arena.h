/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An arena that runs out on demand: its blocks are so large that a failing malloc alone reaches few of the
 * places that take from it.
 */
#ifndef BARPLUMB_TESTS_IMPORT_FAILING_ARENA_H
#define BARPLUMB_TESTS_IMPORT_FAILING_ARENA_H

#include <stdbool.h>
#include <stddef.h>

/* From now on the n-th array taken from an arena (0: the next one) is refused, and only that one. */
void failing_arena_arm(size_t n);

/* No more failures. True if the armed failure happened. */
bool failing_arena_disarm(void);

#endif
