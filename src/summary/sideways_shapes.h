/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to the sideways part: the records it is made of, on an even clock.
 */
#ifndef BARPLUMB_SUMMARY_SIDEWAYS_SHAPES_H
#define BARPLUMB_SUMMARY_SIDEWAYS_SHAPES_H

#include "summary/sideways.h"

/* Fills sideways' bands, shapes, leak and roll; known, step_s, motion and prior are set, count is the length
 * of the even clock. Errors: MEMORY. */
enum bp_code bp_sideways_fill(struct bp_sideways *sideways, size_t count, struct bp_arena *arena);

/* The usual fore-aft direction in the phone while on the bar: at right angles to the bar and to the mean
 * "up". */
void bp_sideways_usual(const struct bp_motion *motion, double fore[3]);

/* Standard deviation of each sample's noise, into sd [count] on the even clock, and of what was missed there,
 * into missed [count]; false when nothing was missed anywhere. rough: [trace->count] scratch. */
bool bp_sideways_noise(const struct bp_sideways *sideways, size_t count, double *rough, double *sd,
                       double *missed);

/* Estimates the shares: best and root. False when memory is out. */
bool bp_sideways_fit(struct bp_sideways *sideways, struct bp_arena *arena);

#endif
