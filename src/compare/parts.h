/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/compare: observations as a table of numbers, units taken from it, and the contrast of two
 * groups.
 */
#ifndef BARPLUMB_COMPARE_PARTS_H
#define BARPLUMB_COMPARE_PARTS_H

#include "barplumb/compare.h"

/* Two-sided 95 % of the normal: what a measurement's interval is taken to be. */
#define BP_NORMAL_95 1.959963984540054

/* A value and the variance of its measurement, on one scale. */
struct bp_point {
    double value, measured;
};

/* Observations with the figure known. */
struct bp_compare_table {
    size_t count;
    const struct bp_observation *observations; /* all, known or not */
    size_t *source;                            /* of each: its place among them */
    size_t *group, *lifter, *block;            /* block: lifter and day */
    size_t group_count, lifter_count, block_count;
    struct bp_point *plain; /* in the figure's unit */
    struct bp_point *log;   /* of its logarithm; NULL when a value is not positive */
    /* Scratch for one pair: each side's sums by unit, and units. */
    struct bp_cell *cell[2];
    double *value[2];
    size_t *index;
};

struct bp_cell {
    struct bp_point sum;
    size_t sets;
};

static inline const struct bp_observation *bp_compare_observed(const struct bp_compare_table *table, size_t i)
{
    return &table->observations[table->source[i]];
}

/* Reads a quantity on the figure's scale; false when it is not known there. */
bool bp_compare_point(struct bp_quantity q, enum bp_compare_scale scale, struct bp_point *point);

/* Fills the table from observations; result's groups and skipped too. Errors: ARGUMENT, LIMIT, MEMORY. */
enum bp_code bp_compare_tabulate(const struct bp_observation *observations, size_t count,
                                 struct bp_arena *arena, struct bp_compare_table *table,
                                 struct bp_compare_result *result, struct bp_error *error);

/* Which units a pair is compared by. */
struct bp_design {
    enum bp_compare_unit unit;
    bool paired;
    size_t only_block, only_lifter; /* SIZE_MAX: all */
    bool prior;                     /* the figure's prior speaks of these units */
};
struct bp_design bp_compare_design(struct bp_compare_table *table, const struct bp_compare_result *result,
                                   size_t first, size_t second);

/* What two groups' units say, on one scale. Sides: [0] alone when paired (the pairs' differences). */
struct bp_contrast {
    bool paired, in_common;
    size_t units[2], sets[2];
    double estimate;    /* first less second; NaN: a side has no unit */
    double sample[2];   /* units' sample variance; NaN: fewer than 2 */
    double variance[2]; /* moderated by the prior; NaN: unknown */
    double measured[2]; /* mean measurement variance of a unit */
    double prior, prior_df;
    double standard_error, df; /* NaN: unknown */
    double least_error;        /* what the measurement alone leaves, known, with the normal's quantile */
};
/* The units' values are left in table->value[], contrast->units[] of them. */
void bp_compare_contrast(struct bp_compare_table *table, const struct bp_design *design,
                         const struct bp_compare_figure *figure, enum bp_compare_scale scale, size_t first,
                         size_t second, struct bp_contrast *contrast);

/* Sets standard_error, df and least_error as they would be with `more` units more on each side; false:
 * unknown, and all three NaN. */
bool bp_contrast_spread(struct bp_contrast *contrast, size_t more);

/* The fewest units more a side with which a difference of that size is seen with that power. */
size_t bp_compare_more(const struct bp_contrast *contrast, double size, double significance, double power);

enum bp_code bp_compare_scatter(const struct bp_compare_table *table, struct bp_arena *arena,
                                struct bp_compare_result *result);

#endif
