/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sense: whether the acceleration counts up or down, where only its unit says so.
 */
#ifndef BARPLUMB_SUMMARY_SENSE_H
#define BARPLUMB_SUMMARY_SENSE_H

#include "barplumb/reps.h"

/* Reads the set once more upside down. odds: of the reading as it is (path.h). Errors: MOTION where the other
 * is much likelier; MEMORY. */
enum bp_code bp_sense_check(const struct bp_motion *motion, enum bp_lift lift, double rate_hz, double odds,
                            struct bp_arena *arena, struct bp_error *error);

#endif
