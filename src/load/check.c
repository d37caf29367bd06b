/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Does a rig serve the heights it is to be lifted through?
 */
#include "load/model.h"

#include "barplumb/text.h"

#include <math.h>

enum { NUMBER_TEXT = 40, LENGTH_DECIMALS = 3 };

/* Metres to the millimetre, free of locale. Returns out. */
static const char *metres(double value, char *out)
{
    bp_number_write(value, LENGTH_DECIMALS, out, NUMBER_TEXT);
    return out;
}

static enum bp_code check_chain(const struct load_chain *chain, const char *part, double high_m,
                                struct bp_error *error)
{
    char leader[NUMBER_TEXT], high[NUMBER_TEXT];
    if (chain->kg_per_m > 0.0 && high_m <= chain->leader_m) {
        return bp_error_set(
            error, BP_ERR_ARGUMENT,
            "%s never leaves the floor: its leader is %s m, and the bar goes no higher than %s m", part,
            metres(chain->leader_m, leader), metres(high_m, high));
    }
    return BP_OK;
}

static enum bp_code check_curve(const struct load_curve *curve, const char *part, double short_m,
                                double long_m, struct bp_error *error)
{
    char is[NUMBER_TEXT], measured[NUMBER_TEXT];
    if (isnan(load_curve_pull(curve, short_m)) && short_m < curve->length_m[0]) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "%s is only %s m long at its shortest, and was measured from %s m on", part,
                            metres(short_m, is), metres(curve->length_m[0], measured));
    }
    double most = load_curve_pull(curve, long_m);
    if (isnan(most)) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "%s is %s m long at its longest, and was measured only up to %s m", part,
                            metres(long_m, is), metres(curve->length_m[curve->count - 1], measured));
    }
    if (most <= 0.0) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "%s is slack all the way: %s m long at its longest", part,
                            metres(long_m, is));
    }
    return BP_OK;
}

static enum bp_code check_band(const struct load_band *band, const char *part, double low_m, double high_m,
                               struct bp_error *error)
{
    if (band->pieces <= 0.0) {
        return BP_OK;
    }
    /* The way is shortest where the bar is as high as the first peg, or at the end nearer to that. */
    double nearest = fmin(fmax(band->peg_m, low_m), high_m);
    double short_m = band->folds * load_band_way_m(band, nearest);
    double long_m = band->folds * fmax(load_band_way_m(band, low_m), load_band_way_m(band, high_m));
    enum bp_code code = check_curve(&band->curve[LOAD_STRETCHING], part, short_m, long_m, error);
    if (code == BP_OK && band->loops) {
        code = check_curve(&band->curve[LOAD_SLACKENING], part, short_m, long_m, error);
    }
    return code;
}

enum bp_code bp_load_check(const struct bp_load_model *model, double from_m, double to_m,
                           struct bp_error *error)
{
    char part[LOAD_PART_NAME];
    const struct bp_rig *rig = &model->rig;
    enum bp_code code = BP_OK;
    if (!isfinite(from_m) || !isfinite(to_m)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the heights to check the rig for must be numbers");
    }
    double low_m = fmin(from_m, to_m), high_m = fmax(from_m, to_m);
    for (size_t i = 0; i < rig->chain_count && code == BP_OK; i++) {
        load_part_name("chain", rig->chains[i].name, i, part);
        code = check_chain(&model->chains[i], part, high_m, error);
    }
    for (size_t i = 0; i < rig->band_count && code == BP_OK; i++) {
        load_part_name("band", rig->bands[i].name, i, part);
        code = check_band(&model->bands[i], part, low_m, high_m, error);
    }
    return code;
}
