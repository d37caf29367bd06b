/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "random.h"

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

void sim_random_init(struct sim_random *random, uint64_t seed, uint64_t stream)
{
    uint64_t mixer = seed;
    mixer = splitmix(&mixer) ^ stream;
    for (int i = 0; i < 4; i++) {
        random->state[i] = splitmix(&mixer);
    }
    random->spare = 0.0;
    random->has_spare = false;
}

uint64_t sim_random_next(struct sim_random *random)
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

double sim_random_between(struct sim_random *random, double low, double high)
{
    double unit = (double)(sim_random_next(random) >> 11) * 0x1.0p-53;
    return low + (high - low) * unit;
}

int sim_random_count(struct sim_random *random, int low, int high)
{
    int drawn = low + (int)floor(sim_random_between(random, 0.0, (double)(high - low) + 1.0));
    return drawn > high ? high : drawn;
}

bool sim_random_chance(struct sim_random *random, double probability)
{
    return sim_random_between(random, 0.0, 1.0) < probability;
}

double sim_random_normal(struct sim_random *random)
{
    if (random->has_spare) {
        random->has_spare = false;
        return random->spare;
    }
    double u, v, square;
    do {
        u = sim_random_between(random, -1.0, 1.0);
        v = sim_random_between(random, -1.0, 1.0);
        square = u * u + v * v;
    } while (square >= 1.0 || square == 0.0);
    double factor = sqrt(-2.0 * log(square) / square);
    random->spare = v * factor;
    random->has_spare = true;
    return u * factor;
}

double sim_random_normal_within(struct sim_random *random, double limit)
{
    double drawn;
    do {
        drawn = sim_random_normal(random);
    } while (fabs(drawn) > limit);
    return drawn;
}
