/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A phone that slipped on the bar.
 */
#ifndef BARPLUMB_SUMMARY_SLIP_H
#define BARPLUMB_SUMMARY_SLIP_H

#include "barplumb/motion.h"
#include "barplumb/reps.h"

struct bp_slip {
    double turned_deg; /* how much otherwise along the bar the phone lies after the set; 0: not at all */
    double at_s;       /* where that rest begins */
};

/* Compares the rests before and after the set. A bar that lies as it lay may have rolled, so only what turned
 * out of its roll is the phone's own slip; less than 1.5 degrees is none. reps->count >= 1. */
struct bp_slip bp_slip_find(const struct bp_motion *motion, const struct bp_reps *reps);

#endif
