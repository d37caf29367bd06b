/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The simulator's own random numbers: xoshiro256** (Blackman & Vigna 2021, ACM TOMS 47(4):36), seeded through
 * splitmix64. Same seed, same numbers, on every machine.
 */
#ifndef SIMULATE_RANDOM_H
#define SIMULATE_RANDOM_H

#include <stdbool.h>
#include <stdint.h>

struct sim_random {
    uint64_t state[4];
    double spare; /* normals come in pairs */
    bool has_spare;
};

/* Streams of one seed do not overlap in practice: the log's rate may change without changing the motion. */
void sim_random_init(struct sim_random *random, uint64_t seed, uint64_t stream);
uint64_t sim_random_next(struct sim_random *random);
/* Uniform in [low, high). */
double sim_random_between(struct sim_random *random, double low, double high);
/* Uniform over the whole numbers low..high, both included; high >= low. */
int sim_random_count(struct sim_random *random, int low, int high);
bool sim_random_chance(struct sim_random *random, double probability);
/* Normal, mean 0, standard deviation 1 (polar method, Marsaglia & Bray 1964). */
double sim_random_normal(struct sim_random *random);
/* The same, never farther than `limit` standard deviations from 0. */
double sim_random_normal_within(struct sim_random *random, double limit);

#endif
