/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "gym.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void gym_init(struct bp_rig *rig)
{
    memset(rig, 0, sizeof *rig);
    strcpy(rig->name, "Port Merrow");
    rig->bar_kg.value = 20;
    rig->bottom_m.value = 0.5;
    rig->lockout_m.value = 1.0;
}

struct bp_chain *gym_add_chain(struct bp_rig *rig, const char *name, double kg_per_m, size_t owned)
{
    struct bp_chain *chain = &rig->chains[rig->chain_count++];
    snprintf(chain->name, sizeof chain->name, "%s", name);
    chain->kg_per_m.value = kg_per_m;
    chain->length_m = 10;
    chain->pieces = 1;
    chain->owned = owned;
    return chain;
}

struct bp_band *gym_add_band(struct bp_rig *rig, const char *name, double peg_m, double short_m,
                             double short_n, double long_m, double long_n, size_t owned)
{
    struct bp_band *band = &rig->bands[rig->band_count++];
    snprintf(band->name, sizeof band->name, "%s", name);
    band->stretching.count = 2;
    band->stretching.points[0] = (struct bp_band_point){short_m, {short_n, 0}};
    band->stretching.points[1] = (struct bp_band_point){long_m, {long_n, 0}};
    band->peg_count = 1;
    band->pegs[0].height_m = peg_m;
    band->pieces = 1;
    band->owned = owned;
    return band;
}

void gym_add_plate(struct bp_rig *rig, double kg, size_t owned)
{
    rig->plates[rig->plate_count++] = (struct bp_plate){kg, owned};
}

size_t gym_whole(struct bp_random *random, size_t low, size_t high)
{
    return low + (size_t)(bp_random_next(random) % (high - low + 1));
}

static void draw_chain(struct bp_random *random, bool round, struct bp_rig *rig)
{
    double kg_per_m = round ? (double)gym_whole(random, 1, 4) : bp_random_between(random, 0.5, 6);
    struct bp_chain *chain = gym_add_chain(rig, "chain", kg_per_m, gym_whole(random, 1, 5));
    chain->side = gym_whole(random, 0, 4) == 0 ? BP_SIDE_LEFT : BP_SIDE_BOTH;
    if (!round) {
        chain->doubled = gym_whole(random, 0, 1) == 1;
        chain->length_m = bp_random_between(random, 0.4, 2.5);
        chain->leader_m.value = bp_random_between(random, 0, 0.6);
    }
}

static void draw_band(struct bp_random *random, bool round, struct bp_rig *rig)
{
    const double g = BP_STANDARD_GRAVITY;
    size_t owned = gym_whole(random, 1, 5);
    bool above = gym_whole(random, 0, 1) == 1;
    double pull = round ? 2 * g * (double)gym_whole(random, 1, 4) : bp_random_between(random, 20, 250);
    struct bp_band *band = gym_add_band(rig, "band", above ? 2.5 : 0, 0.4, 0, 2.4, 2 * pull, owned);
    band->side = gym_whole(random, 0, 4) == 0 ? BP_SIDE_RIGHT : BP_SIDE_BOTH;
    if (!round && gym_whole(random, 0, 3) == 0) { /* doubled: twice the way, each half pulling */
        band->doubled = true;
        band->stretching.points[1] = (struct bp_band_point){5.0, {pull, 0}};
    }
}

void gym_draw(struct bp_random *random, bool round, struct bp_rig *rig)
{
    static const double sizes_kg[] = {1.25, 2.5, 5, 10, 15, 20, 25, 20.412, 0.75, 2.5};
    gym_init(rig);
    rig->bar_kg.value = round ? (double)gym_whole(random, 10, 20) : bp_random_between(random, 8, 30);
    size_t kinds = gym_whole(random, 0, 3), pairs = gym_whole(random, kinds == 0, 8);
    for (size_t k = 0; k < kinds; k++) {
        if (gym_whole(random, 0, 1) == 0) {
            draw_chain(random, round, rig);
        } else {
            draw_band(random, round, rig);
        }
    }
    while (pairs > 0) {
        size_t of_size = gym_whole(random, 1, pairs), size = gym_whole(random, 0, round ? 6 : 9);
        gym_add_plate(rig, sizes_kg[size], 2 * of_size + gym_whole(random, 0, 1));
        pairs -= of_size;
    }
    if (kinds > 0 && gym_whole(random, 0, 1) == 0) {
        rig->bottom_m.value = round ? 0.25 : bp_random_between(random, 0.2, 0.7);
        rig->lockout_m.value = round ? 1.25 : bp_random_between(random, 0.8, 1.6);
    }
}

void gym_draw_wants(struct bp_random *random, bool round, struct bp_plan_settings *wants)
{
    *wants = bp_plan_defaults;
    size_t which = gym_whole(random, 1, 7);
    double lockout_kg = bp_random_between(random, 10, 250),
           bottom_kg = lockout_kg * bp_random_between(random, 0.5, 1.1);
    double share_pct = bp_random_between(random, 0, 60);
    if ((which & 1) != 0) {
        wants->lockout_kg = round ? 5 * floor(lockout_kg / 5) : lockout_kg;
    }
    if ((which & 2) != 0) {
        wants->bottom_kg = round ? 5 * floor(bottom_kg / 5) : bottom_kg;
    }
    if ((which & 4) != 0) {
        wants->share_pct = round ? 5 * floor(share_pct / 5) : share_pct;
    }
}
