/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: a rig file taken apart into sections and keys, nothing of it understood yet.
 */
#ifndef BARPLUMB_RIG_FILE_H
#define BARPLUMB_RIG_FILE_H

#include "barplumb/rig.h"
#include "rig/keys.h"

enum { BP_RIG_SECTIONS_MAX = 3 + BP_CHAINS_MAX + BP_BANDS_MAX };

struct bp_rig_entry {
    const char *key;   /* as it was called, "chest" for "bottom"; NULL with value */
    const char *value; /* NULL: the key was not given. A '\n' in it for each line of the file it goes past */
    size_t line;       /* of its first byte */
};

struct bp_rig_section {
    enum bp_rig_kind kind;
    char name[BP_RIG_NAME]; /* "" without one */
    size_t line;
    struct bp_rig_entry entries[BP_KEY_COUNT];
};

struct bp_rig_file {
    const char *path;
    struct bp_error *error;
    size_t lines; /* of the whole file, at least 1 */
    size_t section_count;
    struct bp_rig_section sections[BP_RIG_SECTIONS_MAX];
};

/* Takes bytes[0..count) apart; file->path and file->error must be set. Values are kept in pool, which needs
 * bp_rig_pool_size(count) bytes and must outlive file. */
enum bp_code bp_rig_file_split(const char *bytes, size_t count, char *pool, struct bp_rig_file *file);
size_t bp_rig_pool_size(size_t count);

#endif
