/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Random numbers that are the same on every machine: xoshiro256** (Blackman & Vigna 2021, ACM TOMS 47(4):36),
 * seeded through splitmix64. Not for secrets.
 */
#ifndef BARPLUMB_RANDOM_H
#define BARPLUMB_RANDOM_H

#include "barplumb/export.h"

#include <stdbool.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Copyable: a copy goes on from where the original stood. */
struct bp_random {
    uint64_t state[4];
    double spare; /* normals come in pairs */
    bool has_spare;
};

/* Streams of one seed do not overlap in practice: one may be drawn from more often without moving another. */
BP_API void bp_random_init(struct bp_random *random, uint64_t seed, uint64_t stream);
BP_API uint64_t bp_random_next(struct bp_random *random);
/* Uniform in [low, high). */
BP_API double bp_random_between(struct bp_random *random, double low, double high);
/* Normal, mean 0, standard deviation 1 (polar method, Marsaglia & Bray 1964). */
BP_API double bp_random_normal(struct bp_random *random);

#ifdef __cplusplus
}
#endif
#endif
