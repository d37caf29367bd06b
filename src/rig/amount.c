/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An amount with its unit, as a person types it.
 */
#include "barplumb/rig.h"
#include "barplumb/text.h"

#include "rig/unit.h"

#include <string.h>

bool bp_rig_amount(const char *text, enum bp_amount kind, double *value)
{
    const bool mass = kind == BP_AMOUNT_MASS;
    struct bp_unit unit = {1, 1};
    double number = 0;
    size_t length = strlen(text), used = bp_number_read(text, length, '.', &number);
    while (used > 0 && text[used] == ' ') {
        used++;
    }
    const char *name = used < length ? text + used : mass ? "kg" : "cm";
    if (used == 0 || !bp_unit_find(mass ? BP_UNIT_MASS : BP_UNIT_LENGTH, name, strlen(name), &unit)) {
        return false;
    }
    *value = number * unit.up / unit.down;
    return true;
}
