/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/plan.h"

#include "plan/outcome.h"

#include <math.h>
#include <string.h>

const struct bp_plan_settings bp_plan_defaults = {
    .lockout_kg = (double)NAN,
    .bottom_kg = (double)NAN,
    .share_pct = (double)NAN,
    .near_kg = 0.5, /* ours: a pair of the smallest plates most gyms have */
    .seed = 1,
};

/* Where the share alone is wanted, each percent missed counts as a kilogram. */
static const int64_t SHARE_LOAD_G = 100 * 1000;

static enum bp_code read_load(double kg, const char *where, int64_t *grams, struct bp_error *error)
{
    *grams = -1;
    if (isnan(kg)) {
        return BP_OK;
    }
    if (!(kg > 0 && kg <= BP_PLAN_LOAD_MAX_KG)) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "the load wanted at the %s is not above 0 and at most %d kg", where,
                            (int)BP_PLAN_LOAD_MAX_KG);
    }
    *grams = llround(kg * 1000);
    return BP_OK;
}

static enum bp_code read_share(double pct, int64_t *pct_100, struct bp_error *error)
{
    *pct_100 = -1;
    if (isnan(pct)) {
        return BP_OK;
    }
    if (!(pct >= 0 && pct <= BP_PLAN_SHARE_MAX_PCT)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the share wanted is not 0 to %d %%",
                            (int)BP_PLAN_SHARE_MAX_PCT);
    }
    *pct_100 = llround(pct * 100);
    return BP_OK;
}

/* The lockout load that was wanted, or that the other two wants make. */
static int64_t load_of_share(const struct wants *wants)
{
    if (wants->lockout_g >= 0) {
        return wants->lockout_g;
    }
    if (wants->bottom_g >= 0 && wants->share_pct_100 >= 0) {
        return llround((double)wants->bottom_g / (1 - (double)wants->share_pct_100 / 10000));
    }
    return SHARE_LOAD_G;
}

static enum bp_code read_wants(const struct bp_plan_settings *settings, struct wants *wants,
                               struct bp_error *error)
{
    enum bp_code code = read_load(settings->lockout_kg, "lockout", &wants->lockout_g, error);
    if (code == BP_OK) {
        code = read_load(settings->bottom_kg, "bottom", &wants->bottom_g, error);
    }
    if (code == BP_OK) {
        code = read_share(settings->share_pct, &wants->share_pct_100, error);
    }
    if (code != BP_OK) {
        return code;
    }
    if (wants->lockout_g < 0 && wants->bottom_g < 0 && wants->share_pct_100 < 0) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "nothing is wanted: name a load at lockout, a load at the bottom or a share");
    }
    if (!(settings->near_kg >= 0)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "how near is near enough is not 0 kg or more");
    }
    wants->share_load_g = load_of_share(wants);
    return BP_OK;
}

static enum bp_code check_owned(const struct stock *stock, const struct plates *plates,
                                struct bp_error *error)
{
    for (size_t k = 0; k < stock->count; k++) {
        if (stock->kinds[k].units > 0) {
            return BP_OK;
        }
    }
    if (plates->count > 1) {
        return BP_OK;
    }
    return bp_error_set(error, BP_ERR_ARGUMENT,
                        "nothing to plan with: the rig names no pair of plates, no chain and "
                        "no band that can hang");
}

static enum bp_code find(const struct bp_rig *rig, const struct bp_plan_settings *settings,
                         struct bp_arena *arena, struct bp_plan *plan, struct bp_error *error)
{
    struct wants wants;
    struct stock stock;
    struct plates plates;
    struct found found;
    enum bp_code code = read_wants(settings, &wants, error);
    if (code == BP_OK) {
        code = stock_weigh(rig, &stock, error);
    }
    if (code == BP_OK) {
        code = plates_list(rig, arena, &plates, error);
    }
    if (code == BP_OK) {
        code = check_owned(&stock, &plates, error);
    }
    if (code == BP_OK) {
        code = search_best(&stock, &plates, &wants, &found, error);
    }
    if (code == BP_OK) {
        code = outcome_write(rig, settings, &stock, &plates, &wants, &found, arena, plan, error);
    }
    return code;
}

enum bp_code bp_plan_find(const struct bp_rig *rig, const struct bp_plan_settings *settings,
                          struct bp_arena *arena, struct bp_plan *plan, struct bp_error *error)
{
    memset(plan, 0, sizeof *plan);
    bp_error_clear(error);
    enum bp_code code = find(rig, settings != NULL ? settings : &bp_plan_defaults, arena, plan, error);
    if (code != BP_OK) {
        memset(plan, 0, sizeof *plan);
    }
    return code;
}

double bp_plan_bar_for_mean(double wanted_kg, double bottom_kg, double lockout_kg)
{
    return wanted_kg - (bottom_kg + lockout_kg) / 2;
}
