/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Path: the track and the reps in it, found together.
 */
#ifndef BARPLUMB_SUMMARY_PATH_H
#define BARPLUMB_SUMMARY_PATH_H

#include "barplumb/reps.h"

/* Reps are found on a first pass; what they say of the path is used in the next, until nothing changes.
 * Several ways to hold a first pass's drift are tried, the third only where the first two disagree, and the
 * reading for which the sensors' evidence and the number of reps speak loudest wins. *odds:
 * the log of how likely it is, beside that of another reading of the same log; -HUGE_VAL where none stands.
 * Errors: MEMORY, MOTION. */
enum bp_code bp_path_find(const struct bp_motion *motion, enum bp_lift lift, double rate_hz,
                          struct bp_arena *arena, struct bp_track *track, struct bp_reps *reps, double *odds,
                          struct bp_error *error);

#endif
