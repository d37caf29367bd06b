/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Allocation failure on demand. Link with bp_fail_allocations(<test>) in CMake.
 */
#ifndef BARPLUMB_TESTS_FAILING_ALLOC_H
#define BARPLUMB_TESTS_FAILING_ALLOC_H

#include <stdbool.h>
#include <stddef.h>

/* From now on the n-th allocation (0: the next one) returns NULL, and only that one. */
void failing_alloc_arm(size_t n);

/* No more failures. True if the armed failure happened since failing_alloc_arm. */
bool failing_alloc_disarm(void);

#endif
