/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The load at one moment. docs/load.md derives every formula here.
 */
#include "load/model.h"

#include "barplumb/units.h"

#include <math.h>

static const double g = BP_STANDARD_GRAVITY;

/* Sums over chains and bands. */
struct sum {
    double chain_n, band_n; /* held still */
    double air_kg;          /* chain in the air */
    double pickup_n;        /* what bringing links to the bar's speed asks for */
    double down_n[LOAD_ENDS], aside_n[LOAD_ENDS];
};

double load_band_way_m(const struct load_band *band, double height_m)
{
    double up = height_m - band->peg_m;
    return sqrt(band->across_m2 + up * up) + band->rest_m;
}

static void add_chain(const struct load_chain *chain, const struct bp_load_state *state, struct sum *sum)
{
    double reach = state->height_m - chain->leader_m, h = reach < chain->strand_m ? reach : chain->strand_m;
    if (h <= 0.0) {
        return; /* all of it on the floor, the leader slack */
    }
    double kg = chain->kg_per_m * h;
    /* Links are picked up only on the way up and only while some lie on the floor: λ v². */
    double v = state->speed_m_s > 0.0 && reach < chain->strand_m ? state->speed_m_s : 0.0;
    double pickup = chain->kg_per_m * v * v;
    for (int end = 0; end < LOAD_ENDS; end++) {
        if (chain->on[end]) {
            sum->chain_n += kg * g;
            sum->air_kg += kg;
            sum->pickup_n += pickup;
            sum->down_n[end] += kg * (g + state->accel_m_s2) + pickup;
        }
    }
}

/* False where the band was never measured at this length. */
static bool add_band(const struct load_band *band, const struct bp_load_state *state, struct sum *sum)
{
    if (band->pieces <= 0.0) {
        return true;
    }
    double up = state->height_m - band->peg_m;
    double near = sqrt(band->across_m2 + up * up); /* from the bar's end to the first peg */
    /* d(way)/dt = v · up/near; at rest: the curve it was stretched to this length by. */
    bool slackens = band->loops && up * state->speed_m_s < 0.0;
    double pull = band->folds * load_curve_pull(&band->curve[slackens ? LOAD_SLACKENING : LOAD_STRETCHING],
                                                band->folds * (near + band->rest_m));
    if (isnan(pull)) {
        return false;
    }
    /* No way at all to the peg: no direction to pull in. */
    double tension = near > 0.0 ? pull * band->pieces / near : 0.0;
    for (int end = 0; end < LOAD_ENDS; end++) {
        if (band->on[end]) {
            sum->band_n += tension * up;
            sum->down_n[end] += tension * up;
            sum->aside_n[end] += tension * band->aside_m;
        }
    }
    return true;
}

static bool add_all(const struct bp_load_model *model, const struct bp_load_state *state, struct sum *sum)
{
    if (!isfinite(state->height_m) || !isfinite(state->speed_m_s) || !isfinite(state->accel_m_s2)) {
        return false;
    }
    for (size_t i = 0; i < model->rig.chain_count; i++) {
        add_chain(&model->chains[i], state, sum);
    }
    for (size_t i = 0; i < model->rig.band_count; i++) {
        if (!add_band(&model->bands[i], state, sum)) {
            return false;
        }
    }
    return true;
}

void bp_load_at(const struct bp_load_model *model, const struct bp_load_state *state, struct bp_load *load)
{
    struct sum sum = {0};
    if (!add_all(model, state, &sum)) {
        const double nan = (double)NAN;
        *load = (struct bp_load){nan, nan, nan, nan, nan, nan, {nan, nan}, nan};
        return;
    }
    load->chain_n = sum.chain_n;
    load->band_n = sum.band_n;
    load->weight_n = model->iron_kg * g + sum.chain_n + sum.band_n;
    load->moving_kg = model->iron_kg + sum.air_kg;
    /* (m + Λh) a = F_hand - (m + Λh) g - band - Λ v² */
    double held = load->weight_n + sum.pickup_n;
    load->hand_n = held + load->moving_kg * state->accel_m_s2;
    load->let_go_m_s2 = -(g + (sum.band_n + sum.pickup_n) / load->moving_kg);
    load->aside_n[LOAD_LEFT] = sum.aside_n[LOAD_LEFT];
    load->aside_n[LOAD_RIGHT] = sum.aside_n[LOAD_RIGHT];
    load->uneven_n = sum.down_n[LOAD_RIGHT] - sum.down_n[LOAD_LEFT];
}

double bp_load_lockout_m(const struct bp_load_model *model)
{
    return model->lockout_m;
}

double bp_load_bottom_m(const struct bp_load_model *model)
{
    return model->bottom_m;
}

bool bp_load_varies(const struct bp_load_model *model)
{
    for (size_t i = 0; i < model->rig.chain_count; i++) {
        if (model->chains[i].kg_per_m > 0.0) {
            return true;
        }
    }
    for (size_t i = 0; i < model->rig.band_count; i++) {
        if (model->bands[i].pieces > 0.0) {
            return true;
        }
    }
    return false;
}
