/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Allocation failure on demand. Link with bp_fail_allocations(<test>) in CMake; with
 * bp_fail_allocations_everywhere the shared libraries' allocations and the C library's own fail too (not with
 * sanitizers, whose allocator it would shut out).
 */
#ifndef BARPLUMB_TESTS_FAILING_ALLOC_H
#define BARPLUMB_TESTS_FAILING_ALLOC_H

#include <stdbool.h>
#include <stddef.h>

/* From now on the n-th allocation (0: the next one) returns NULL, and only that one. */
void failing_alloc_arm(size_t n);

/* Counts one allocation more: true when it is the one to fail. For tests that let other takers of memory
 * fail. */
bool failing_alloc_now(void);

/* Nothing is counted and nothing fails until failing_alloc_go_on. */
void failing_alloc_pause(void);
void failing_alloc_go_on(void);

/* How many were counted since failing_alloc_arm. */
size_t failing_alloc_counted(void);

/* No more failures. True if the armed failure happened since failing_alloc_arm. */
bool failing_alloc_disarm(void);

#endif
