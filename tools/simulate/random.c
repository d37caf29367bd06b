/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "random.h"

#include <math.h>

int sim_random_count(struct bp_random *random, int low, int high)
{
    int drawn = low + (int)floor(bp_random_between(random, 0.0, (double)(high - low) + 1.0));
    return drawn > high ? high : drawn;
}

bool sim_random_chance(struct bp_random *random, double probability)
{
    return bp_random_between(random, 0.0, 1.0) < probability;
}

double sim_random_normal_within(struct bp_random *random, double limit)
{
    double drawn;
    do {
        drawn = bp_random_normal(random);
    } while (fabs(drawn) > limit);
    return drawn;
}
