/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/block: a set's record in the store: a line of what it came from, then its document.
 */
#ifndef BARPLUMB_BLOCK_STORE_H
#define BARPLUMB_BLOCK_STORE_H

#include "barplumb/text.h"
#include "block/stamp.h"

/* What the name of a file that is still being written ends in, its process's number before it. */
#define BP_STORE_PART ".part"

/* Where a set's figures came from. */
struct bp_origin {
    struct bp_digest how;     /* row, settings and version */
    struct bp_stamp log, rig; /* rig all 0: none */
    struct bp_digest log_bytes, rig_bytes;
};

/* Where the record at <store>/<id>.json came from. False when there is none, or none that is whole: its
 * document is as long as it says. */
bool bp_store_look(const char *store, const char *id, struct bp_origin *origin);

/* Its document. False when it cannot be read; document is then empty. */
bool bp_store_read(const char *store, const char *id, struct bp_text *document);
/* Takes a record away that turned out to be none. */
void bp_store_forget(const char *store, const char *id);

/* Errors: WRITE, MEMORY. */
enum bp_code bp_store_write(const char *store, const char *id, const struct bp_origin *origin,
                            const struct bp_text *document, struct bp_error *error);

#endif
