/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/load: a pull by length that passes through every measured point and never overshoots.
 */
#ifndef BARPLUMB_LOAD_CURVE_H
#define BARPLUMB_LOAD_CURVE_H

#include "barplumb/rig.h"

struct load_curve {
    size_t count; /* 0: none; else 2 to BP_BAND_POINTS_MAX */
    double length_m[BP_BAND_POINTS_MAX], pull_n[BP_BAND_POINTS_MAX];
    double slope_n_m[BP_BAND_POINTS_MAX];
    bool slack_below; /* the first point was measured as no pull at all */
};

/* Sets the slopes from lengths and pulls: call after either has changed. */
void load_curve_fit(struct load_curve *curve);

/* Makes pulls never fall, moving them by the least sum of weighted squares (pool adjacent violators). */
void load_curve_keep_from_falling(struct load_curve *curve, const double *weight);

/* The pull at that length; NaN beyond what was measured. */
double load_curve_pull(const struct load_curve *curve, double length_m);

#endif
