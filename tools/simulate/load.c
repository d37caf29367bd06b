/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Chain: d/dt (λ h v) = F - λ h g on the way up; lowered, the floor stops each link and the bar feels no v²
 * (Kleppner & Kolenkow, An Introduction to Mechanics, ch. 3: from memory). A strand clear of the floor is
 * dead weight.
 */
#include "load.h"

#include <math.h>

static double sides(const struct sim_rig *rig)
{
    return rig->side == SIM_BOTH_SIDES ? 2.0 : 1.0;
}

double sim_load_strand_length(const struct sim_rig *rig)
{
    return rig->chain_doubled ? 0.5 * rig->chain_m : rig->chain_m;
}

double sim_load_band_pull(const struct sim_rig *rig, double length_m)
{
    double stretch = length_m - rig->band_rest_m;
    return stretch > 0.0 ? rig->band_pull_n * -expm1(-stretch / rig->band_scale_m) : 0.0;
}

/* From the bar's end to the first peg. */
static double reach(const struct sim_rig *rig, double height_m)
{
    return hypot(hypot(rig->peg_aside_m, rig->peg_forward_m), height_m - rig->peg_height_m);
}

double sim_load_band_length(const struct sim_rig *rig, double height_m)
{
    double way = reach(rig, height_m) + rig->peg_beyond_m;
    return rig->band_doubled ? 2.0 * way : way;
}

/* Vertical part of all bands' pull, down positive. */
static double bands_pull(const struct sim_rig *rig, double height_m)
{
    double strands = sides(rig) * rig->bands * (rig->band_doubled ? 2.0 : 1.0), way = reach(rig, height_m);
    if (rig->bands == 0 || !(way > 0.0)) {
        return 0.0;
    }
    double pull = sim_load_band_pull(rig, sim_load_band_length(rig, height_m));
    return strands * pull * (height_m - rig->peg_height_m) / way;
}

void sim_load_at(const struct sim_rig *rig, double gravity, struct sim_jet bar, struct sim_load *load)
{
    double strands = sides(rig) * rig->chains * (rig->chain_doubled ? 2.0 : 1.0);
    double density = strands * rig->chain_kg_per_m, whole = sim_load_strand_length(rig);
    double risen = fmin(fmax(bar.value - rig->leader_m, 0.0), whole);
    bool picking_up = bar.rate > 0.0 && risen > 0.0 && risen < whole;
    double mass = rig->bar_kg + rig->plates_kg;
    load->moving_kg = mass + density * risen;
    load->chain_n = density * risen * gravity;
    load->band_n = bands_pull(rig, bar.value);
    load->weight_n = mass * gravity + load->chain_n + load->band_n;
    load->hand_n =
        load->weight_n + load->moving_kg * bar.accel + (picking_up ? density * bar.rate * bar.rate : 0.0);
}
