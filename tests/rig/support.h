/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the rig tests share.
 */
#ifndef BARPLUMB_TESTS_RIG_SUPPORT_H
#define BARPLUMB_TESTS_RIG_SUPPORT_H

#include "barplumb/rig.h"

#include <stdbool.h>

/* A rig being read, and what became of it. */
struct rig_read {
    struct bp_rig rig;
    struct bp_error error;
    enum bp_code code;
};

/* Reads a rig from text under the name "test.ini"; rig and error are poisoned first. */
void support_parse(struct rig_read *read, const char *text);
void support_parse_bytes(struct rig_read *read, const char *bytes, size_t count);

/* The same, and it must succeed. */
void support_accept(struct rig_read *read, const char *text);

/* Reads fixtures/rigs/<name>, which must succeed. */
void support_fixture(struct rig_read *read, const char *name);

/* text must be refused with that code, at that line, in a sentence that holds both words (NULL: any); and the
 * rig must be all zero. */
void support_refuse(struct rig_read *read, const char *text, enum bp_code code, size_t line, const char *word,
                    const char *other_word);

bool support_rig_is_zero(const struct bp_rig *rig);

/* |a - b| <= within, and neither NaN. */
void support_near(double a, double b, double within);

#endif
