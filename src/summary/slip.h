/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A phone that slipped on the bar.
 */
#ifndef BARPLUMB_SUMMARY_SLIP_H
#define BARPLUMB_SUMMARY_SLIP_H

#include "barplumb/motion.h"
#include "barplumb/reps.h"

struct bp_slip {
    bool slipped;
    double turned_rad; /* how much higher the phone's axis along the bar points after the set; 0: not known */
    double from_s, at_s; /* where the rest before the set ends, and the one after it begins */
};

/* Compares the rests before and after the set. A bar that lies as it lay may have rolled, so only what turned
 * out of its roll is the phone's own slip; less than 1.5 degrees is not called one. reps->count >= 1. */
struct bp_slip bp_slip_find(const struct bp_motion *motion, const struct bp_reps *reps);

#endif
