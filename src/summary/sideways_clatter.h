/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the sideways part: the sensor's own noise in clatter, and what sampling does to a ring.
 */
#ifndef BARPLUMB_SUMMARY_SIDEWAYS_CLATTER_H
#define BARPLUMB_SUMMARY_SIDEWAYS_CLATTER_H

#include "summary/sideways.h"

/* How much of the clatter band is the sensor's own, from the log's rests: fills sideways->hiss. */
void bp_sideways_hiss(struct bp_sideways *sideways);

/* sd of what a sensor's gain and band make of a ring, part of its rms. */
double bp_sideways_clatter_spread(const struct bp_sideways *sideways);

/* Takes the sensor's own noise out of the clatter figures of the bands `now`, whose first sample is `first`.
 */
void bp_sideways_put_clatter(const struct bp_sideways *sideways, size_t first,
                             const struct bp_shake_bands *now, struct bp_shake_figures *figures);

#endif
