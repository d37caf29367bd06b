/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/split.
 */
#ifndef BARPLUMB_SPLIT_PARTS_H
#define BARPLUMB_SPLIT_PARTS_H

#include "motion/calm.h"

/* What a movement between two calm spells may be. */
struct bp_movement {
    bool lift_before, lift_after; /* a lift, seen from the calm spell before it, and from the one after */
    bool on_bar;                  /* the phone lay nearly as it did when calm all the way */
};

/* A lift goes at least least_way_m up and down with the phone lying as it did when calm. before or after may
 * be NULL at the log's ends. */
struct bp_movement bp_movement_read(const struct bp_trace *trace, const struct bp_calm *before,
                                    const struct bp_calm *after, double least_way_m);

#endif
