/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: errors that say where in the rig file they are, and which key it is.
 */
#ifndef BARPLUMB_RIG_PLACE_H
#define BARPLUMB_RIG_PLACE_H

#include "rig/file.h"

/* A key of a section that is being read. */
struct bp_rig_field {
    const struct bp_rig_file *file;
    const struct bp_rig_section *section;
    enum bp_rig_key key;
};

/* "[chain heavy] length: …" at the key's line. at: a byte of the key's value, for the line it stands on when
 * the value goes over several; NULL: the value's first line. A key that was not given is placed at its
 * section. Returns code. */
#if defined(__GNUC__)
__attribute__((format(printf, 4, 5)))
#endif
enum bp_code
bp_rig_fail(const struct bp_rig_field *field, const char *at, enum bp_code code, const char *format, ...);

/* The same of a whole section, "[chain heavy]: …". */
#if defined(__GNUC__)
__attribute__((format(printf, 4, 5)))
#endif
enum bp_code
bp_rig_fail_section(const struct bp_rig_file *file, const struct bp_rig_section *section, enum bp_code code,
                    const char *format, ...);

static inline const struct bp_rig_entry *bp_rig_entry(const struct bp_rig_field *field)
{
    return &field->section->entries[field->key];
}

static inline bool bp_rig_given(const struct bp_rig_section *section, enum bp_rig_key key)
{
    return section->entries[key].value != NULL;
}

#endif
