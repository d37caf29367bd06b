/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/stock.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

static const double GRAMS = 1000; /* in a kilogram */

void stock_hang(const struct bp_rig *rig, const struct stock *stock, const size_t *units, double plates_kg,
                struct bp_rig *hung)
{
    *hung = *rig;
    hung->chain_count = 0;
    hung->band_count = 0;
    if (rig->plate_count > 0) {
        hung->plates_kg = (struct bp_measured){.value = plates_kg}; /* stamped weights, taken as they stand */
    }
    for (size_t k = 0; k < stock->count; k++) {
        const struct stock_kind *kind = &stock->kinds[k];
        if (units[k] == 0) {
            continue;
        }
        if (kind->band) {
            hung->bands[hung->band_count] = rig->bands[kind->index];
            hung->bands[hung->band_count++].pieces = units[k];
        } else {
            hung->chains[hung->chain_count] = rig->chains[kind->index];
            hung->chains[hung->chain_count++].pieces = units[k];
        }
    }
}

static int64_t pull_g(const struct bp_load_model *model, double height_m)
{
    struct bp_load load;
    bp_load_at(model, &(struct bp_load_state){.height_m = height_m}, &load);
    return llround((load.chain_n + load.band_n) / BP_STANDARD_GRAVITY * GRAMS);
}

/* A kind alone on the bar, one unit of it. One that does not serve these heights is left out, with the
 * reason in words; one that makes no sense at all is an error. */
static enum bp_code weigh_kind(const struct bp_rig *rig, struct stock *stock, size_t k,
                               struct bp_error *error)
{
    struct stock_kind *kind = &stock->kinds[k];
    size_t units[BP_PLAN_KINDS_MAX] = {0};
    units[k] = 1;
    struct bp_rig one;
    stock_hang(rig, stock, units, 0, &one);
    struct bp_load_model *model = NULL;
    enum bp_code code = bp_load_prepare(&one, &model, error);
    if (code != BP_OK) {
        return code;
    }
    struct bp_error reason;
    if (bp_load_check(model, stock->bottom_m, stock->lockout_m, &reason) == BP_OK) {
        kind->bottom_g = pull_g(model, stock->bottom_m);
        kind->lockout_g = pull_g(model, stock->lockout_m);
    } else {
        kind->units = 0;
        memcpy(kind->left_out, reason.text, sizeof kind->left_out);
    }
    bp_load_free(model);
    return BP_OK;
}

static void add_kind(struct stock *stock, bool band, size_t index, size_t owned, size_t pieces,
                     enum bp_side side)
{
    struct stock_kind *kind = &stock->kinds[stock->count++];
    kind->band = band;
    kind->index = index;
    kind->pair = side == BP_SIDE_BOTH;
    kind->owned = owned > 0 ? owned : pieces * (kind->pair ? 2 : 1);
    kind->units = kind->pair ? kind->owned / 2 : kind->owned;
}

static enum bp_code check_heights(const struct bp_rig *rig, const struct stock *stock, struct bp_error *error)
{
    if (!isfinite(rig->bottom_m.value) || !isfinite(rig->lockout_m.value)) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "the rig does not say how high the bar is at the %s: what the "
                            "chains and bands weigh hangs on it",
                            isfinite(stock->bottom_m) ? "lockout" : "bottom");
    }
    if (!(rig->bottom_m.value < rig->lockout_m.value)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the bar is no higher at lockout than at the bottom");
    }
    return BP_OK;
}

/* All of the stock on the bar at once stays far from where whole grams in 64 bits end (search.c). */
static enum bp_code check_pull(const struct stock *stock, struct bp_error *error)
{
    const double most_g = BP_PLAN_PULL_MAX_KG * GRAMS;
    double bottom_g = 0, lockout_g = 0;
    for (size_t k = 0; k < stock->count; k++) {
        bottom_g += fabs((double)stock->kinds[k].bottom_g) * (double)stock->kinds[k].units;
        lockout_g += fabs((double)stock->kinds[k].lockout_g) * (double)stock->kinds[k].units;
    }
    if (bottom_g > most_g || lockout_g > most_g) {
        return bp_error_set(error, BP_ERR_LIMIT,
                            "the chains and bands owned pull more than %d kg: too many to plan with",
                            (int)BP_PLAN_PULL_MAX_KG);
    }
    return BP_OK;
}

static enum bp_code weigh_kinds(const struct bp_rig *rig, struct stock *stock, struct bp_error *error)
{
    size_t serving = 0;
    for (size_t k = 0; k < stock->count; k++) {
        enum bp_code code = weigh_kind(rig, stock, k, error);
        if (code != BP_OK) {
            return code;
        }
        serving += stock->kinds[k].left_out[0] == '\0';
    }
    if (serving == 0) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "no chain or band of the rig serves these heights: %s",
                            stock->kinds[0].left_out);
    }
    return check_pull(stock, error);
}

enum bp_code stock_weigh(const struct bp_rig *rig, struct stock *stock, struct bp_error *error)
{
    memset(stock, 0, sizeof *stock);
    double bare_kg = rig->bar_kg.value + (rig->plate_count == 0 ? rig->plates_kg.value : 0);
    if (!(bare_kg >= 0.001 && bare_kg <= BP_PLAN_LOAD_MAX_KG)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the bar weighs nothing, or more than %d kg",
                            (int)BP_PLAN_LOAD_MAX_KG);
    }
    stock->bare_g = llround(bare_kg * GRAMS);
    stock->bottom_m = rig->bottom_m.value;
    stock->lockout_m = rig->lockout_m.value;
    for (size_t i = 0; i < rig->chain_count; i++) {
        const struct bp_chain *chain = &rig->chains[i];
        add_kind(stock, false, i, chain->owned, chain->pieces, chain->side);
    }
    for (size_t i = 0; i < rig->band_count; i++) {
        const struct bp_band *band = &rig->bands[i];
        add_kind(stock, true, i, band->owned, band->pieces, band->side);
    }
    if (stock->count == 0) {
        return BP_OK;
    }
    enum bp_code code = check_heights(rig, stock, error);
    return code == BP_OK ? weigh_kinds(rig, stock, error) : code;
}
