/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plates: a stock → every load it can make in equal pairs, each with the fewest plates.
 */
#ifndef BARPLUMB_PLAN_PLATES_H
#define BARPLUMB_PLAN_PLATES_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/rig.h"

#include <stdint.h>

struct plates_total {
    int64_t grams; /* both sides */
    size_t plates; /* both sides, the fewest that make it */
};

struct plates {
    size_t count;                /* at least 1 */
    struct plates_total *totals; /* by grams, rising, from no plate on */
    /* Private to plates.c: one row a size, the lightest first, of the fewest plates a side with that size and
     * all lighter ones; a column a multiple of the step. */
    size_t sizes, columns;
    int64_t step_g;
    int64_t size_g[BP_PLATES_MAX];
    size_t pairs[BP_PLATES_MAX], place[BP_PLATES_MAX]; /* place: in the rig's stock */
    uint16_t *fewest;
};

/* Lists what rig's stock can make; without a stock, no plate alone. LIMIT: more than BP_PLAN_SIDE_MAX_KG a
 * side; ARGUMENT: a plate under 0.1 kg; MEMORY. */
enum bp_code plates_list(const struct bp_rig *rig, struct bp_arena *arena, struct plates *plates,
                         struct bp_error *error);

/* Which plates make totals[at], on each side, by their place in the rig's stock: of all ways with the fewest
 * plates, the one with the most of the heaviest size, then of the next. */
void plates_choose(const struct plates *plates, size_t at, size_t each_side[BP_PLATES_MAX]);

#endif
