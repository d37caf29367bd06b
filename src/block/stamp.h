/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/block: what tells one state of a log or rig file from another. Size and time are asked
 * first; bytes are read only when those changed.
 */
#ifndef BARPLUMB_BLOCK_STAMP_H
#define BARPLUMB_BLOCK_STAMP_H

#include "barplumb/error.h"

#include <stdbool.h>
#include <stdint.h>

/* Size and time of last change: of a folder, sums over the files in it. */
struct bp_stamp {
    uint64_t bytes, changed_ns;
};

/* 128 bits of XXH3 (xxHash, Collet): for files of a gym, not against somebody who forges them. */
struct bp_digest {
    uint64_t high, low;
};

/* False where there is no such file or folder. */
bool bp_stamp_of(const char *path, struct bp_stamp *stamp);
static inline bool bp_stamp_equal(struct bp_stamp a, struct bp_stamp b)
{
    return a.bytes == b.bytes && a.changed_ns == b.changed_ns;
}

/* Digest of the bytes of a file, or of the names and bytes of a folder's files in order of name. Errors:
 * OPEN, READ, MEMORY. */
enum bp_code bp_digest_of_path(const char *path, struct bp_digest *digest, struct bp_error *error);
struct bp_digest bp_digest_of(const void *bytes, size_t count);

#endif
