/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: every section and every key a rig file may have. docs/rig.md tells what they mean.
 */
#ifndef BARPLUMB_RIG_KEYS_H
#define BARPLUMB_RIG_KEYS_H

#include <stdbool.h>
#include <stddef.h>

enum bp_rig_kind { BP_KIND_RIG, BP_KIND_BAR, BP_KIND_CHAIN, BP_KIND_BAND, BP_KIND_STOCK, BP_KIND_COUNT };

enum bp_rig_key {
    BP_KEY_NAME,
    BP_KEY_MATCHED,
    BP_KEY_MASS,
    BP_KEY_COLLARS,
    BP_KEY_PLATES,
    BP_KEY_BOTTOM,
    BP_KEY_LOCKOUT,
    BP_KEY_MASS_PER_METRE,
    BP_KEY_LINK,
    BP_KEY_STANDARD,
    BP_KEY_WEIGHED,
    BP_KEY_LENGTH,
    BP_KEY_LEADER,
    BP_KEY_FIRST_LINK,
    BP_KEY_WIDTH,
    BP_KEY_REST,
    BP_KEY_POINTS,
    BP_KEY_STRETCHES,
    BP_KEY_SLACKENING_POINTS,
    BP_KEY_SLACKENING_STRETCHES,
    BP_KEY_PULL_UNCERTAINTY,
    BP_KEY_PEG,
    BP_KEY_PEG_LAST = BP_KEY_PEG + 3,
    BP_KEY_COUNT_OF, /* "count" */
    BP_KEY_SIDE,
    BP_KEY_FOLD,
    BP_KEY_OWN,
    BP_KEY_COUNT
};

/* The kind of section called word[0..length), in any case; BP_KIND_COUNT if there is none. */
enum bp_rig_kind bp_rig_kind_find(const char *word, size_t length);
const char *bp_rig_kind_name(enum bp_rig_kind kind);

/* The key called name in such a section: in any case, words joined by '-', '_' or blanks. BP_KEY_COUNT if
 * there is none. *spelling: which of its names was used, for errors; it outlives everything. */
enum bp_rig_key bp_rig_key_find(enum bp_rig_kind kind, const char *name, const char **spelling);
const char *bp_rig_key_name(enum bp_rig_key key);

/* Writes "mass, collars, …", all keys of such a section, into out. */
void bp_rig_key_list(enum bp_rig_kind kind, char *out, size_t size);

#endif
