/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Invented blocks of training whose true differences are known.
 */
#ifndef BARPLUMB_TESTS_COMPARE_BLOCKS_H
#define BARPLUMB_TESTS_COMPARE_BLOCKS_H

#include "barplumb/compare.h"
#include "barplumb/random.h"

enum { BLOCK_GROUPS_MAX = 4, BLOCK_SETS_MAX = 96, BLOCK_REPS_MAX = 8 };

/* All scatter in parts of the level (coefficients of variation; for ratios, of the logarithm). */
struct block_plan {
    const char *name;
    size_t groups;
    size_t lifters;
    size_t days;                   /* of each lifter: with all groups on each, or of each group */
    bool apart;                    /* each group has days of its own */
    size_t sets[BLOCK_GROUPS_MAX]; /* on a day */
    size_t reps;
    double scatter_low, scatter_high;  /* of the unit, its reps' part in it: drawn evenly for each block */
    double spread[BLOCK_GROUPS_MAX];   /* each group's scatter in multiples of that; 0: 1 */
    double set_scatter;                /* from set to set where the unit is the day */
    double measured_set, measured_rep; /* error in common to a set, and of each rep */
    bool each_its_own;                 /* scatter is drawn for each group */
    double effect;                     /* the second group has this part more, the third twice, … */
};

struct block {
    struct bp_observation sets[BLOCK_SETS_MAX];
    struct bp_quantity reps[BLOCK_SETS_MAX][BLOCK_REPS_MAX];
    size_t count;
};

/* One block of a figure whose level is 1 of whatever unit; ratio: its logarithm scatters. */
void block_draw(const struct block_plan *plan, enum bp_compare_scale scale, struct bp_random *random,
                struct block *block);

#endif
