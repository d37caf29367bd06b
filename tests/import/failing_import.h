/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Imports with their allocations failing in turn (programs linked by bp_fail_allocations).
 */
#ifndef BARPLUMB_TESTS_IMPORT_FAILING_IMPORT_H
#define BARPLUMB_TESTS_IMPORT_FAILING_IMPORT_H

#include "import/support.h"

#include <stddef.h>

typedef enum bp_code failing_read(struct imported *in, const void *log);

/* Reads the log anew with one allocation after another failing, `most` at the most, and asserts that each is
 * told as MEMORY, and that the read without a failure is OK. Returns how many reads that took. */
size_t failing_import(failing_read *read, const void *log, size_t most);

/* A log in memory, and its reader. */
struct failing_bytes {
    const char *bytes;
    size_t count;
};
enum bp_code failing_read_bytes(struct imported *in, const void *log);

#endif
