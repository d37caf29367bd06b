/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A draw of what a rig's ± allow. The same number of normals is taken whatever they come out as, so that
 * what is drawn after a rig does not hang on its numbers.
 */
#include "load/model.h"

/* N: so little that a point known exactly stays where it is among points that are not. */
static const double exact_sd_n = 1e-6;

static double draw(const struct bp_measured *measured, struct bp_random *random)
{
    return random == NULL ? measured->value : measured->value + measured->sd * bp_random_normal(random);
}

/* What cannot be 0 or less: a draw that is says nothing, and the value itself stands. */
static double draw_positive(const struct bp_measured *measured, struct bp_random *random)
{
    double value = draw(measured, random);
    return value > 0.0 ? value : measured->value;
}

static void vary_chain(const struct bp_chain *from, struct load_chain *chain, struct bp_random *random)
{
    double strands = (double)from->pieces * (from->doubled ? 2.0 : 1.0);
    chain->kg_per_m = draw_positive(&from->kg_per_m, random) * strands;
    chain->leader_m = draw(&from->leader_m, random);
}

static void vary_curve(const struct bp_band_curve *from, struct load_curve *curve, struct bp_random *random)
{
    double weight[BP_BAND_POINTS_MAX];
    if (from->count == 0) {
        return;
    }
    for (size_t i = 0; i < from->count; i++) {
        const struct bp_measured *pull = &from->points[i].pull_n;
        double drawn = draw(pull, random);
        bool slack = pull->value <= 0.0; /* a band that hangs loose pulls nothing, whatever the scale's ± */
        double sd = slack || pull->sd < exact_sd_n ? exact_sd_n : pull->sd;
        curve->pull_n[i] = slack || drawn < 0.0 ? 0.0 : drawn;
        weight[i] = 1.0 / (sd * sd);
    }
    load_curve_keep_from_falling(curve, weight);
    load_curve_fit(curve);
}

void bp_load_vary(struct bp_load_model *model, struct bp_random *random)
{
    const struct bp_rig *rig = &model->rig;
    double iron = draw(&rig->bar_kg, random) + draw(&rig->plates_kg, random);
    model->iron_kg = iron > 0.0 ? iron : rig->bar_kg.value + rig->plates_kg.value;
    model->bottom_m = draw(&rig->bottom_m, random);
    model->lockout_m = draw(&rig->lockout_m, random);
    for (size_t i = 0; i < rig->chain_count; i++) {
        vary_chain(&rig->chains[i], &model->chains[i], random);
    }
    for (size_t i = 0; i < rig->band_count; i++) {
        vary_curve(&rig->bands[i].stretching, &model->bands[i].curve[LOAD_STRETCHING], random);
        vary_curve(&rig->bands[i].slackening, &model->bands[i].curve[LOAD_SLACKENING], random);
    }
}
