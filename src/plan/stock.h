/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Stock: what one more of each kind of chain or band weighs on the bar, in whole grams.
 */
#ifndef BARPLUMB_PLAN_STOCK_H
#define BARPLUMB_PLAN_STOCK_H

#include "barplumb/load.h"
#include "barplumb/plan.h"

#include <stdint.h>

/* The unit of one kind is what is hung at once: a pair, one on each side, or one piece of a one-sided kind.
 */
struct stock_kind {
    bool band;
    size_t index; /* in rig->chains or rig->bands */
    bool pair;
    size_t owned;                 /* pieces */
    size_t units;                 /* that can hang; 0 where left out */
    int64_t bottom_g, lockout_g;  /* of one unit */
    char left_out[BP_ERROR_TEXT]; /* why it does not serve; "": it does */
};

struct stock {
    int64_t bare_g; /* the bar, and the plates that stay where the rig has no stock of plates */
    size_t count;
    struct stock_kind kinds[BP_PLAN_KINDS_MAX];
    double bottom_m, lockout_m; /* NaN: not said, and no kind hangs on it */
};

/* Weighs every kind of the rig. Errors: ARGUMENT, LIMIT, MEMORY as bp_plan_find. */
enum bp_code stock_weigh(const struct bp_rig *rig, struct stock *stock, struct bp_error *error);

/* The rig with units[k] of each kind and plates_kg on the bar; kinds of 0 are not in it. */
void stock_hang(const struct bp_rig *rig, const struct stock *stock, const size_t *units, double plates_kg,
                struct bp_rig *hung);

#endif
