/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a rig weighs and what the hands give for a motion. Written for itself: the library's own load stage is
 * what it checks. Private to simulate_core.
 */
#ifndef SIMULATE_LOAD_H
#define SIMULATE_LOAD_H

#include "path.h"
#include "simulate.h"

struct sim_load {
    double weight_n;  /* holds the bar still there */
    double chain_n;   /* chains' part of it */
    double band_n;    /* bands' part of it; negative when they hold the bar up */
    double moving_kg; /* bar, plates and the chain in the air */
    double hand_n;    /* the hands' vertical force in this motion */
};

/* Pull of one band that is length_m long, N. */
double sim_load_band_pull(const struct sim_rig *rig, double length_m);
/* Length a band has of its own when the bar is at height_m above the floor: what a coach measures it at. */
double sim_load_band_length(const struct sim_rig *rig, double height_m);
/* Length of one strand of chain. */
double sim_load_strand_length(const struct sim_rig *rig);

/* bar: height above the floor, vertical speed and acceleration. */
void sim_load_at(const struct sim_rig *rig, double gravity, struct sim_jet bar, struct sim_load *load);

/* NULL when the scenario's rig makes sense, else the reason, a constant text. */
const char *sim_rig_fault(const struct sim_scenario *scenario);

#endif
