/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/rig: the units a rig file may use. Factors are exact (units.h; NIST SP 811).
 */
#ifndef BARPLUMB_RIG_UNIT_H
#define BARPLUMB_RIG_UNIT_H

#include <stdbool.h>
#include <stddef.h>

enum bp_unit_kind { BP_UNIT_MASS, BP_UNIT_LENGTH, BP_UNIT_LINE, BP_UNIT_PULL, BP_UNIT_SHARE };

/* SI = number * up / down, one rounding each: 55 cm is the double nearest 0.55 m. */
struct bp_unit {
    double up, down;
};

/* The unit called text[0..length), in any case, blanks left out. False if there is none of that kind. */
bool bp_unit_find(enum bp_unit_kind kind, const char *text, size_t length, struct bp_unit *unit);

/* "kg, g or lb": what to write, for errors. */
const char *bp_unit_names(enum bp_unit_kind kind);

#endif
