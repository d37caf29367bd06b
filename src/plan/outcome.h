/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Outcome: a combination chosen → the plan: what hangs where, what it weighs, and how well that is known.
 */
#ifndef BARPLUMB_PLAN_OUTCOME_H
#define BARPLUMB_PLAN_OUTCOME_H

#include "plan/search.h"

/* Writes the plan of `found`. *plan is all zero before. Errors: MEMORY, and what bp_load_prepare says. */
enum bp_code outcome_write(const struct bp_rig *rig, const struct bp_plan_settings *settings,
                           const struct stock *stock, const struct plates *plates, const struct wants *wants,
                           const struct found *found, struct bp_arena *arena, struct bp_plan *plan,
                           struct bp_error *error);

#endif
