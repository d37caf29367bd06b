/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plan: what the gym owns and what the coach wants → how many of each chain, band and plate to hang.
 *
 * Every count of every kind is considered, with every load the plates can make in equal pairs; the plan is
 * the best of them all, not a good guess. How a miss is counted and how ties are broken: docs/plan.md.
 */
#ifndef BARPLUMB_PLAN_H
#define BARPLUMB_PLAN_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/quantity.h"
#include "barplumb/rig.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    BP_PLAN_KINDS_MAX = BP_CHAINS_MAX + BP_BANDS_MAX,
    BP_PLAN_LOAD_MAX_KG = 2000,                  /* largest load that can be wanted */
    BP_PLAN_SHARE_MAX_PCT = 90,                  /* largest share that can be wanted */
    BP_PLAN_SIDE_MAX_KG = 1000,                  /* plates in stock for one side of the bar */
    BP_PLAN_PULL_MAX_KG = 5000,                  /* all chains and bands in stock together */
    BP_PLAN_COMBINATIONS_MAX = 50 * 1000 * 1000, /* of counts of chains and bands */
    BP_PLAN_TRIALS_MAX = 100 * 1000 * 1000       /* of them with a load of plates: a second or two of work */
};

/* What is wanted; NaN: not wanted. At least one is. */
struct bp_plan_settings {
    double lockout_kg; /* load at lockout, above 0 */
    double bottom_kg;  /* load at the turnaround, above 0 */
    double share_pct;  /* (lockout - bottom) / lockout, 0 to 90; taken to 0.01 */
    double near_kg;    /* `reached` when no want is missed by more, 0 or more */
    uint64_t seed;     /* of the draws behind every interval; the same seed, the same bytes */
};
extern BP_API const struct bp_plan_settings bp_plan_defaults; /* nothing wanted, 0.5 kg, seed 1 */

/* What becomes of one kind of chain or band. */
struct bp_plan_kind {
    bool band; /* rig->bands[index], otherwise rig->chains[index] */
    size_t index;
    size_t pieces_each; /* to hang on each side it hangs on; as `pieces` of the kind in the rig */
    size_t pieces;      /* to hang in all */
    size_t left;        /* that stay in the gym */
    double bottom_kg;   /* what the pieces to hang weigh on the bar there, together; negative from above */
    double lockout_kg;
    bool left_out;           /* not considered at all: it does not serve these heights */
    char why[BP_ERROR_TEXT]; /* and the reason, naming it; "" otherwise */
};

struct bp_plan_plate {
    double kg;
    size_t each_side;
    size_t left; /* plates that stay in the gym */
};

enum bp_plan_point { BP_PLAN_AT_BOTTOM, BP_PLAN_HALFWAY, BP_PLAN_AT_LOCKOUT, BP_PLAN_POINTS };

struct bp_plan {
    struct bp_rig rig; /* as planned: only what hangs, plates_kg what the plates make; for bp_load_prepare */
    size_t kind_count; /* every kind of the rig: chains, then bands */
    struct bp_plan_kind kinds[BP_PLAN_KINDS_MAX];
    size_t plate_count; /* every plate of the stock, in its order */
    struct bp_plan_plate plates[BP_PLATES_MAX];
    bool plates_stay; /* the rig names no stock: the plates it says are on the bar stay on it */

    double height_m[BP_PLAN_POINTS]; /* NaN: not said, and nothing hangs on it */
    struct bp_quantity load_kg[BP_PLAN_POINTS];
    struct bp_quantity mean_kg; /* over the range, every height counting the same */
    struct bp_quantity share_pct;
    /* The bar is heavier at lockout than at the bottom, so that the top limits what the lifter can take: true
     * where anything but dead weight hangs. Never the other way round (docs/plan.md). */
    bool top_limits;

    double lockout_off_kg; /* what is left over for each want: achieved less wanted; NaN: not wanted */
    double bottom_off_kg;
    double share_off_pct;
    double share_off_kg; /* the share's miss as a load, never negative: what it counted for */
    double miss_kg;      /* all misses together, in whole grams: what the search made smallest */
    bool reached;        /* every want within near_kg */

    size_t combinations; /* of counts, all considered */
    size_t draws;        /* behind the intervals */
    size_t draws_lost;   /* of them had a band outside what was measured of it; of more than a fortieth, and
                            no interval is given: its end would lie where nobody measured */
};

/* Finds the plan. rig: its heights, bar, kinds with `owned` (or, 0, as many as hang) and stock of plates;
 * `pieces` and, where it has a stock, plates_kg are not read. settings NULL: the defaults, and so an error.
 * Work arrays live in arena. A want that cannot be reached is no error: the closest plan says how far off it
 * is. Errors: ARGUMENT (nothing wanted, a want out of range, nothing owned, a height missing, every chain
 * and band left out, a part that makes no sense), LIMIT (a stock too big to search), MEMORY;
 * *plan is then all zero. Thread-safe for different arenas. */
BP_API enum bp_code bp_plan_find(const struct bp_rig *rig, const struct bp_plan_settings *settings,
                                 struct bp_arena *arena, struct bp_plan *plan, struct bp_error *error);

/* Book-keeping by hand: what to put on the bar so that with chains or bands that weigh bottom_kg and
 * lockout_kg at the ends the mean of both ends is wanted_kg (NSCA, Essentials of Strength Training and
 * Conditioning, 4th ed., ch. 16: 120 kg with 0 and 11.1 kg makes 114.45 kg). */
BP_API double bp_plan_bar_for_mean(double wanted_kg, double bottom_kg, double lockout_kg);

#ifdef __cplusplus
}
#endif
#endif
