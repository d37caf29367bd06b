/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/random.h"

#include <math.h>

static uint64_t splitmix(uint64_t *state)
{
    *state += 0x9e3779b97f4a7c15u;
    uint64_t z = *state;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

static uint64_t rotate_left(uint64_t x, int by)
{
    return (x << by) | (x >> (64 - by));
}

void bp_random_init(struct bp_random *random, uint64_t seed, uint64_t stream)
{
    uint64_t mixer = seed;
    mixer = splitmix(&mixer) ^ stream;
    for (int i = 0; i < 4; i++) {
        random->state[i] = splitmix(&mixer);
    }
    random->spare = 0.0;
    random->has_spare = false;
}

uint64_t bp_random_next(struct bp_random *random)
{
    uint64_t *s = random->state;
    uint64_t result = rotate_left(s[1] * 5, 7) * 9;
    uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double bp_random_between(struct bp_random *random, double low, double high)
{
    double unit = (double)(bp_random_next(random) >> 11) * 0x1.0p-53;
    return low + (high - low) * unit;
}

double bp_random_normal(struct bp_random *random)
{
    if (random->has_spare) {
        random->has_spare = false;
        return random->spare;
    }
    double u, v, square;
    do {
        u = bp_random_between(random, -1.0, 1.0);
        v = bp_random_between(random, -1.0, 1.0);
        square = u * u + v * v;
    } while (square >= 1.0 || square == 0.0);
    double factor = sqrt(-2.0 * log(square) / square);
    random->spare = v * factor;
    random->has_spare = true;
    return u * factor;
}
