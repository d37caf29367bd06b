/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: the figures by name, in the order JSON and CSV write them, with the decimals each
 * is written with. One table, so that the two can never disagree.
 */
#ifndef BARPLUMB_REPORT_FIGURES_H
#define BARPLUMB_REPORT_FIGURES_H

#include "barplumb/summary.h"

#include <stddef.h>

struct bp_figure {
    const char *name; /* the JSON key */
    size_t offset;    /* of the bp_quantity (of the double, in bp_report_rep_times) in its struct */
    int decimals;
};

struct bp_figure_list {
    const struct bp_figure *list;
    size_t count;
};

extern const struct bp_figure_list bp_report_set_quantities; /* in bp_set_figures */
extern const struct bp_figure_list bp_report_rep_times;      /* doubles in bp_rep_figures */
extern const struct bp_figure_list bp_report_rep_speeds; /* in bp_rep_figures, before the sticking region */
extern const struct bp_figure_list bp_report_sticking_times;      /* doubles in bp_sticking_figures */
extern const struct bp_figure_list bp_report_sticking_quantities; /* in bp_sticking_figures */
extern const struct bp_figure_list bp_report_range_bounds;        /* doubles in bp_range_figures */
extern const struct bp_figure_list bp_report_range_quantities;    /* in bp_range_figures */
extern const struct bp_figure_list bp_report_rep_steadiness;      /* in bp_rep_figures, after the ranges */
extern const struct bp_figure_list bp_report_rep_loads;           /* in bp_rep_figures, last */

enum {
    BP_TIME_DECIMALS = 4, /* 0.1 ms: a tenth of a sample at 1 kHz */
    BP_RATE_DECIMALS = 3,
    BP_PROFILE_DECIMALS = 3 /* what a picture shows */
};

/* "bottom", "halfway", "lockout"; "" where it is not said. */
const char *bp_report_matched_name(enum bp_matched matched);

/* The figure of that description in the struct at record. */
struct bp_quantity bp_report_quantity_at(const void *record, const struct bp_figure *figure);
double bp_report_double_at(const void *record, const struct bp_figure *figure);

#endif
