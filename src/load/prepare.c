/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A rig made ready: its numbers looked over, and what does not change with a draw worked out once.
 */
#include "load/model.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

char *load_part_name(const char *kind, const char *name, size_t index, char *out)
{
    if (name[0] != '\0') {
        snprintf(out, LOAD_PART_NAME, "%s \"%.*s\"", kind, BP_RIG_NAME - 1, name);
    } else {
        snprintf(out, LOAD_PART_NAME, "%s %zu", kind, index + 1);
    }
    return out;
}

static bool is_measured(const struct bp_measured *measured, double least)
{
    return isfinite(measured->value) && measured->value >= least && isfinite(measured->sd) &&
           measured->sd >= 0.0;
}

static bool is_height(const struct bp_measured *height)
{
    return isnan(height->value) || (isfinite(height->value) && isfinite(height->sd) && height->sd >= 0.0);
}

static bool is_side(enum bp_side side)
{
    return side == BP_SIDE_BOTH || side == BP_SIDE_LEFT || side == BP_SIDE_RIGHT;
}

/* Each returns what is wrong, NULL when nothing is. */
static const char *chain_fault(const struct bp_chain *chain)
{
    if (!is_measured(&chain->kg_per_m, 0.0) || chain->kg_per_m.value <= 0.0) {
        return "its mass per metre must be above 0";
    }
    if (!isfinite(chain->length_m) || chain->length_m <= 0.0) {
        return "its length must be above 0";
    }
    if (!is_measured(&chain->leader_m, 0.0)) {
        return "its leader must be 0 or longer";
    }
    return is_side(chain->side) ? NULL : "it hangs on no side there is";
}

static const char *curve_fault(const struct bp_band_curve *curve)
{
    if (curve->count < 2 || curve->count > BP_BAND_POINTS_MAX) {
        return "its pull must be measured at two lengths or more, and at no more than there is room for";
    }
    for (size_t i = 0; i < curve->count; i++) {
        const struct bp_band_point *point = &curve->points[i];
        if (!isfinite(point->length_m) || point->length_m <= 0.0 || !is_measured(&point->pull_n, 0.0)) {
            return "a length must be above 0, a pull 0 or more";
        }
        if (i > 0 && point->length_m <= curve->points[i - 1].length_m) {
            return "its lengths must stand in order, each longer than the one before";
        }
        if (i > 0 && point->pull_n.value < curve->points[i - 1].pull_n.value) {
            return "it must not pull less where it is longer";
        }
    }
    return NULL;
}

static const char *band_fault(const struct bp_band *band)
{
    const char *fault = curve_fault(&band->stretching);
    if (fault == NULL && band->slackening.count > 0) {
        fault = curve_fault(&band->slackening);
    }
    if (fault != NULL) {
        return fault;
    }
    if (band->peg_count == 0 || band->peg_count > BP_PEGS_MAX) {
        return "it must run to a peg, and over no more than there is room for";
    }
    for (size_t i = 0; i < band->peg_count; i++) {
        const struct bp_peg *peg = &band->pegs[i];
        if (!isfinite(peg->aside_m) || !isfinite(peg->forward_m) || !isfinite(peg->height_m)) {
            return "a peg's place must be a number";
        }
    }
    return is_side(band->side) ? NULL : "it hangs on no side there is";
}

static enum bp_code look_over(const struct bp_rig *rig, struct bp_error *error)
{
    char part[LOAD_PART_NAME];
    if (!is_measured(&rig->bar_kg, 0.0) || !is_measured(&rig->plates_kg, 0.0) ||
        rig->bar_kg.value + rig->plates_kg.value <= 0.0) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "bar and plates must weigh something");
    }
    if (!is_height(&rig->bottom_m) || !is_height(&rig->lockout_m)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the heights of the bar must be numbers");
    }
    if (rig->chain_count > BP_CHAINS_MAX || rig->band_count > BP_BANDS_MAX) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "more kinds of chain or band than a rig has room for");
    }
    for (size_t i = 0; i < rig->chain_count; i++) {
        const char *fault = chain_fault(&rig->chains[i]);
        if (fault != NULL) {
            return bp_error_set(error, BP_ERR_ARGUMENT, "%s: %s",
                                load_part_name("chain", rig->chains[i].name, i, part), fault);
        }
    }
    for (size_t i = 0; i < rig->band_count; i++) {
        const char *fault = band_fault(&rig->bands[i]);
        if (fault != NULL) {
            return bp_error_set(error, BP_ERR_ARGUMENT, "%s: %s",
                                load_part_name("band", rig->bands[i].name, i, part), fault);
        }
    }
    return BP_OK;
}

static void set_ends(enum bp_side side, bool on[LOAD_ENDS])
{
    on[LOAD_LEFT] = side != BP_SIDE_RIGHT;
    on[LOAD_RIGHT] = side != BP_SIDE_LEFT;
}

static void make_chain(const struct bp_chain *from, struct load_chain *chain)
{
    chain->strand_m = from->doubled ? 0.5 * from->length_m : from->length_m;
    set_ends(from->side, chain->on);
}

static void make_curve(const struct bp_band_curve *from, struct load_curve *curve)
{
    curve->count = from->count;
    curve->slack_below = from->count > 0 && from->points[0].pull_n.value <= 0.0;
    for (size_t i = 0; i < from->count; i++) {
        curve->length_m[i] = from->points[i].length_m;
    }
}

static void make_band(const struct bp_band *from, struct load_band *band)
{
    const struct bp_peg *first = &from->pegs[0];
    band->pieces = (double)from->pieces;
    band->folds = from->doubled ? 2.0 : 1.0;
    band->aside_m = first->aside_m;
    band->across_m2 = first->aside_m * first->aside_m + first->forward_m * first->forward_m;
    band->peg_m = first->height_m;
    band->rest_m = 0.0;
    for (size_t i = 1; i < from->peg_count; i++) {
        const struct bp_peg *a = &from->pegs[i - 1], *b = &from->pegs[i];
        band->rest_m +=
            hypot(hypot(b->aside_m - a->aside_m, b->forward_m - a->forward_m), b->height_m - a->height_m);
    }
    set_ends(from->side, band->on);
    band->loops = from->slackening.count > 0;
    make_curve(&from->stretching, &band->curve[LOAD_STRETCHING]);
    make_curve(&from->slackening, &band->curve[LOAD_SLACKENING]);
}

enum bp_code bp_load_prepare(const struct bp_rig *rig, struct bp_load_model **model, struct bp_error *error)
{
    *model = NULL;
    enum bp_code code = look_over(rig, error);
    if (code != BP_OK) {
        return code;
    }
    struct bp_load_model *made = calloc(1, sizeof *made);
    if (made == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "no memory for the rig");
    }
    made->rig = *rig;
    for (size_t i = 0; i < rig->chain_count; i++) {
        make_chain(&rig->chains[i], &made->chains[i]);
    }
    for (size_t i = 0; i < rig->band_count; i++) {
        make_band(&rig->bands[i], &made->bands[i]);
    }
    bp_load_vary(made, NULL);
    *model = made;
    return BP_OK;
}

void bp_load_free(struct bp_load_model *model)
{
    free(model);
}
