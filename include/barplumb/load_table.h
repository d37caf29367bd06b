/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Load table: a rig and a lifter's two heights → what the bar weighs on the way, with intervals from what the
 * rig's ± allow.
 */
#ifndef BARPLUMB_LOAD_TABLE_H
#define BARPLUMB_LOAD_TABLE_H

#include "barplumb/arena.h"
#include "barplumb/load.h"
#include "barplumb/quantity.h"

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* How many draws: an interval's half-width scatters by 4 % then, 1/sqrt(2 · 300). */
enum { BP_LOAD_DRAWS = 300, BP_LOAD_ROWS_MAX = 201 };

/* The bar held still at one height. kg are forces over g_n. */
struct bp_load_row {
    double height_m;                      /* above the floor */
    double up_pct;                        /* 0 at the bottom, 100 at lockout */
    struct bp_quantity load_kg;           /* all of it */
    struct bp_quantity chain_kg;          /* chain off the floor */
    struct bp_quantity band_kg;           /* bands, down positive */
    struct bp_quantity left_kg, right_kg; /* sideways pull on either end, outward positive */
    struct bp_quantity uneven_kg;         /* the right end's downward pull less the left's */
};

struct bp_load_table {
    double bottom_m, lockout_m;
    size_t count;
    struct bp_load_row *rows; /* even steps from the bottom to lockout */
    struct bp_load_row bottom, halfway, lockout;
    struct bp_quantity mean_kg;   /* mean over the range by height */
    struct bp_quantity share_pct; /* (lockout - bottom) / lockout */
    bool sideways;                /* some band pulls sideways */
};

/* Fills table for [bottom_m, lockout_m], in arena, with rows (2 to BP_LOAD_ROWS_MAX) even steps. model is
 * used for draws and left at its own values. Errors: ARGUMENT (heights or rows that make no sense, or what
 * bp_load_check says), MEMORY. */
BP_API enum bp_code bp_load_tabulate(struct bp_load_model *model, double bottom_m, double lockout_m,
                                     size_t rows, uint64_t seed, struct bp_arena *arena,
                                     struct bp_load_table *table, struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
