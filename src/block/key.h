/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/block: what a set is called, and what its figures hang on.
 */
#ifndef BARPLUMB_BLOCK_KEY_H
#define BARPLUMB_BLOCK_KEY_H

#include "barplumb/block.h"
#include "block/store.h"

static inline bool bp_digest_equal(struct bp_digest a, struct bp_digest b)
{
    return a.high == b.high && a.low == b.low;
}

/* Names every set: what a person looks for, then eight digits of what tells it from all others, and a count
 * where the same row stands twice. */
void bp_key_ids(struct bp_block *block);

/* All of a set's origin but the bytes: row, settings, version, and the stamps of its files. */
void bp_key_origin(const struct bp_sheet_row *row, const struct bp_block_settings *settings,
                   struct bp_origin *origin);

/* One digest of an origin, without the stamps: touching a file changes nothing. */
struct bp_digest bp_key_of(const struct bp_origin *origin);

/* Sets block->key from its sets' keys, states and errors, and from all that the rows and the choice of them
 * say. */
void bp_key_block(struct bp_block *block, const struct bp_digest *keys,
                  const struct bp_block_settings *settings);

/* The bytes. Errors: as bp_digest_of_path. */
enum bp_code bp_key_bytes(const struct bp_sheet_row *row, struct bp_origin *origin, struct bp_error *error);

#endif
