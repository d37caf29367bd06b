/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a setup does to a scenario, and what hangs on the bar. Sizes are plausible choices where no source is
 * named.
 */
#include "load.h"
#include "plan.h"
#include "random.h"

#include "barplumb/units.h"

#include <math.h>

/* The plates of a bar on the floor are 450 mm across (the competition disc; from memory). */
#define ON_FLOOR_M 0.225

/* Drawn between the two, or the middle where nothing is drawn. */
static double pick(struct bp_random *r, double low, double high)
{
    return r ? bp_random_between(r, low, high) : 0.5 * (low + high);
}

static bool pick_chance(struct bp_random *r, double chance)
{
    return r && sim_random_chance(r, chance);
}

/* Lifting chain of 8 to 16 mm, kg a metre (DIN 766, by suppliers' tables); 13 mm where nothing is drawn. The
 * chain begins to rise near the bottom and is mostly or wholly off the floor at lockout. As many pieces as
 * come nearest to a twentieth to a third of the bar's weight (Ebben & Jensen 2002 to Wallace et al. 2006). */
static void hang_chains(struct bp_random *r, struct sim_scenario *s)
{
    static const double densities[] = {1.4, 2.2, 3.8, 4.4, 5.7};
    enum { KINDS = sizeof densities / sizeof *densities, PIECES_MAX = 6 };
    struct sim_rig *rig = &s->rig;
    double bottom = rig->lockout_m - s->range_m, share = pick(r, 0.05, 0.33);
    double risen_at_bottom = fmin(pick(r, 0.0, 0.12), bottom);
    rig->chain_kg_per_m = densities[r ? sim_random_count(r, 0, KINDS - 1) : 2];
    rig->leader_m = bottom - risen_at_bottom;
    rig->chain_doubled = pick_chance(r, 0.3);
    double risen = s->range_m + risen_at_bottom, strand = risen * pick(r, 0.85, 2.0);
    rig->chain_m = rig->chain_doubled ? 2.0 * strand : strand;
    rig->chains = 1;
    struct sim_load load;
    sim_load_at(rig, BP_STANDARD_GRAVITY, (struct sim_jet){rig->lockout_m, 0.0, 0.0}, &load);
    double pieces = share * (load.weight_n - load.chain_n) / load.chain_n;
    rig->chains = (int)fmin(fmax(round(pieces), 1.0), (double)PIECES_MAX);
}

/* Taut at its shortest; its own length, how it softens (a loop of 1 m that pulls 15.4, 29.1, 40.0, 49.3 and
 * 57.2 kg at 1.1 to 1.5 m has about 100 kg (1 - exp(-(l - 1 m) / 0.6 m)): McMaster, Cronin & McGuigan 2010 as
 * the NSCA's Essentials print it) and its pull go by the length: pull depends on the stretch in percent. The
 * bands together pull a tenth to a third of the bar's weight where they pull most. */
static void hang_bands(struct bp_random *r, struct sim_scenario *s)
{
    struct sim_rig *rig = &s->rig;
    bool from_above = s->setup == SIM_BANDS_UP;
    double bottom = rig->lockout_m - s->range_m, share = pick(r, 0.10, 0.33);
    double shortest = from_above ? rig->lockout_m : bottom, longest = from_above ? bottom : rig->lockout_m;
    rig->bands = r ? sim_random_count(r, 1, 2) : 1;
    rig->band_doubled = pick_chance(r, 0.3);
    rig->peg_height_m = from_above ? rig->lockout_m + pick(r, 0.45, 0.9) : pick(r, 0.03, 0.12);
    rig->peg_aside_m = pick(r, -0.1, 0.1);
    rig->peg_forward_m = pick(r, -0.15, 0.15);
    rig->peg_beyond_m = pick_chance(r, 0.25) ? pick(r, 0.15, 0.35) : 0.0;
    rig->band_rest_m = sim_load_band_length(rig, shortest) / pick(r, 1.05, 1.3);
    rig->band_scale_m = rig->band_rest_m * pick(r, 0.5, 0.7);
    rig->band_pull_n = 1.0;
    struct sim_load load;
    sim_load_at(rig, BP_STANDARD_GRAVITY, (struct sim_jet){longest, 0.0, 0.0}, &load);
    rig->band_pull_n = share * (rig->bar_kg + rig->plates_kg) * BP_STANDARD_GRAVITY / fabs(load.band_n);
}

static void hang(struct bp_random *r, struct sim_scenario *s)
{
    struct sim_rig *rig = &s->rig;
    rig->chains = rig->bands = 0;
    rig->side = SIM_BOTH_SIDES;
    switch (s->setup) {
    case SIM_CHAINS:
        hang_chains(r, s);
        break;
    case SIM_BANDS_DOWN:
    case SIM_BANDS_UP:
        hang_bands(r, s);
        break;
    case SIM_STRAIGHT:
    case SIM_SETUP_COUNT:
        break;
    }
}

void sim_scenario_rig(enum sim_setup setup, struct sim_scenario *scenario)
{
    scenario->setup = setup;
    scenario->links_per_m = 0.0;
    scenario->swing_m = 0.0;
    switch (setup) {
    case SIM_CHAINS: /* 45 mm pitch: the 16 mm short-link chain of DIN 766 has 22 links a metre */
        scenario->links_per_m = 22.0;
        scenario->clatter_m_s2 = 4.0;
        scenario->swing_m = 0.003;
        break;
    case SIM_BANDS_DOWN: /* the bands draw the bar back to its place: less sway, and quicker */
    case SIM_BANDS_UP:
        scenario->sway_m *= 0.7;
        scenario->sway_low_hz = 1.5;
        break;
    case SIM_STRAIGHT:
    case SIM_SETUP_COUNT:
        break;
    }
    hang(NULL, scenario);
}

/* A slow lift is a heavy one: about 0.17 m/s at the most that can be lifted and 0.9 m/s at half of it (the
 * bench press of González-Badillo & Sánchez-Medina 2010; from memory). */
static double part_of_best(double speed_m_s)
{
    return fmin(fmax(1.0 - 0.68 * (speed_m_s - 0.17), 0.35), 1.0);
}

static void draw_weight(struct bp_random *r, struct sim_scenario *s)
{
    static const double best_kg[BP_LIFT_COUNT][2] = {[BP_BENCH] = {50.0, 160.0},
                                                     [BP_PRESS] = {35.0, 100.0},
                                                     [BP_SQUAT] = {70.0, 240.0},
                                                     [BP_DEADLIFT] = {80.0, 280.0},
                                                     [BP_ROW] = {50.0, 140.0}};
    double best = pick(r, best_kg[s->lift][0], best_kg[s->lift][1]);
    s->rig.bar_kg = sim_random_chance(r, 0.2) ? 15.0 : 20.0;
    s->rig.plates_kg = fmax(best * part_of_best(s->mean_speed_m_s) - s->rig.bar_kg, 0.0);
}

static void draw_height(struct bp_random *r, struct sim_scenario *s)
{
    static const double lockout_m[BP_LIFT_COUNT][2] = {
        [BP_BENCH] = {1.0, 1.2}, [BP_PRESS] = {1.85, 2.25}, [BP_SQUAT] = {1.25, 1.6}};
    switch (s->lift) {
    case BP_DEADLIFT: /* off the floor, and so high above it as it was lifted */
        s->rig.lockout_m = ON_FLOOR_M + s->range_m;
        break;
    case BP_ROW:
        s->rig.lockout_m = ON_FLOOR_M + s->unrack_lift_m + s->range_m;
        break;
    default:
        s->rig.lockout_m = pick(r, lockout_m[s->lift][0], lockout_m[s->lift][1]);
    }
}

void sim_scenario_load(struct sim_scenario *scenario)
{
    struct bp_random random;
    bp_random_init(&random, scenario->seed, SIM_STREAM_RIG);
    draw_weight(&random, scenario);
    draw_height(&random, scenario);
    hang(&random, scenario);
    scenario->rig.errors = 1.0;
}

const char *sim_rig_fault(const struct sim_scenario *scenario)
{
    const struct sim_rig *rig = &scenario->rig;
    bool hangs = rig->chains > 0 || rig->bands > 0;
    if (hangs && rig->lockout_m - scenario->range_m < 0.0) {
        return "lockout-height: the bar's bottom is under the floor, and chains or bands hang";
    }
    if (rig->chains > 0 && !(rig->chain_kg_per_m > 0.0 && rig->chain_m > 0.0)) {
        return "chains need chain-density and chain-length";
    }
    if (rig->bands > 0 && !(rig->band_rest_m > 0.0 && rig->band_scale_m > 0.0)) {
        return "bands need band-rest and band-scale";
    }
    return NULL;
}
