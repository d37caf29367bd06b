/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the simulator draws beside plain uniform and normal numbers.
 */
#ifndef SIMULATE_RANDOM_H
#define SIMULATE_RANDOM_H

#include "barplumb/random.h"

/* Uniform over the whole numbers low..high, both included; high >= low. */
int sim_random_count(struct bp_random *random, int low, int high);
bool sim_random_chance(struct bp_random *random, double probability);
/* bp_random_normal, never farther than `limit` standard deviations from 0. */
double sim_random_normal_within(struct bp_random *random, double limit);

#endif
