/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Gyms for the tests of planning: a rig put together piece by piece. All numbers invented.
 */
#ifndef BARPLUMB_TESTS_PLAN_GYM_H
#define BARPLUMB_TESTS_PLAN_GYM_H

#include "barplumb/plan.h"
#include "barplumb/random.h"

/* A 20 kg bar between 0.5 and 1.0 m; nothing owned. */
void gym_init(struct bp_rig *rig);
/* A chain straight from the bar, long enough never to hang clear. */
struct bp_chain *gym_add_chain(struct bp_rig *rig, const char *name, double kg_per_m, size_t owned);
/* A band to a peg straight under or above the bar's end, its pull straight from (short_m, short_n) to
 * (long_m, long_n). */
struct bp_band *gym_add_band(struct bp_rig *rig, const char *name, double peg_m, double short_m,
                             double short_n, double long_m, double long_n, size_t owned);
void gym_add_plate(struct bp_rig *rig, double kg, size_t owned);

/* A whole number in [low, high]. */
size_t gym_whole(struct bp_random *random, size_t low, size_t high);

/* A gym small enough to try everything: up to three kinds and eight pairs of plates. Every other one is in
 * round numbers, so that many setups weigh the same. */
void gym_draw(struct bp_random *random, bool round, struct bp_rig *rig);
/* One to three wants, most within what a bar can weigh. */
void gym_draw_wants(struct bp_random *random, bool round, struct bp_plan_settings *wants);

#endif
