/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Hand-built blocks with invented figures: lifters L1, L2 … of Port Merrow.
 */
#ifndef BARPLUMB_TESTS_SURVEY_BLOCKS_H
#define BARPLUMB_TESTS_SURVEY_BLOCKS_H

#include "barplumb/block.h"

enum { PLANNED_SETS_MAX = 64, PLANNED_REPS = 4 };

struct planned_set {
    const char *lifter, *setup;
    enum bp_lift lift;
    long day;           /* since 1970-01-01; < 0: undated */
    double speed_m_s;   /* of the set; reps lie around it */
    double load_kg;     /* 0: not known */
    double chains_kg;   /* that much less at the bottom */
    double shake_mm;    /* NaN: not known */
    double target_m_s;  /* NaN: none */
    bool stuck, failed; /* every rep has a sticking region; the recording could not be used */
};

struct planned_block {
    struct bp_block block;
    struct bp_block_set sets[PLANNED_SETS_MAX];
    struct bp_sheet_row rows[PLANNED_SETS_MAX];
    struct bp_rep_figures reps[PLANNED_SETS_MAX][PLANNED_REPS];
};

/* Of all known figures the interval is 2 % of the value to either side. */
void planned_block_make(const struct planned_set *plan, size_t count, struct planned_block *made);

#endif
