/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Search: of all counts of chains and bands and all loads of plates, the one that misses the wants least.
 */
#ifndef BARPLUMB_PLAN_SEARCH_H
#define BARPLUMB_PLAN_SEARCH_H

#include "plan/plates.h"
#include "plan/stock.h"

/* The wants in whole grams and hundredths of a percent. -1: not wanted. */
struct wants {
    int64_t lockout_g, bottom_g, share_pct_100;
    int64_t share_load_g; /* the lockout load that a miss of the share is counted on */
};

struct misses {
    int64_t lockout_g, bottom_g, share_g; /* none negative; 0: not wanted */
};

struct found {
    int64_t miss_g; /* all of them together */
    size_t pieces;  /* chains, bands and plates on the bar */
    int64_t lockout_g, bottom_g;
    size_t units[BP_PLAN_KINDS_MAX];
    size_t total;        /* which of the plates' totals */
    size_t combinations; /* of units there were */
};

struct misses search_misses(const struct wants *wants, int64_t lockout_g, int64_t bottom_g);

/* The best of all: the least miss, then the fewest pieces, the lighter at lockout, the lighter at the
 * bottom, fewer of the kind named first in the rig, then of the second… There is always one: the
 * bare bar. Errors: LIMIT. */
enum bp_code search_best(const struct stock *stock, const struct plates *plates, const struct wants *wants,
                         struct found *best, struct bp_error *error);

#endif
