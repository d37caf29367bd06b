/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rigs.h"

const double iron_kg = 100.0;

struct bp_rig rig_bare(void)
{
    struct bp_rig rig = {.bar_kg = {20.0, 0.0}, .plates_kg = {80.0, 0.0}};
    rig.bottom_m.value = (double)NAN;
    rig.lockout_m.value = (double)NAN;
    return rig;
}

struct bp_chain *rig_add_chain(struct bp_rig *rig, double kg_per_m, double length_m, double leader_m)
{
    struct bp_chain *chain = &rig->chains[rig->chain_count++];
    *chain = (struct bp_chain){.kg_per_m = {kg_per_m, 0.0},
                               .length_m = length_m,
                               .leader_m = {leader_m, 0.0},
                               .pieces = 1,
                               .side = BP_SIDE_LEFT};
    return chain;
}

void rig_set_curve(struct bp_band_curve *curve, size_t count, const double *length_m, const double *pull_n)
{
    curve->count = count;
    for (size_t i = 0; i < count; i++) {
        curve->points[i] = (struct bp_band_point){length_m[i], {pull_n[i], 0.0}};
    }
}

struct bp_band *rig_add_band(struct bp_rig *rig, size_t count, const double *length_m, const double *pull_n)
{
    struct bp_band *band = &rig->bands[rig->band_count++];
    *band = (struct bp_band){.peg_count = 1, .pieces = 1, .side = BP_SIDE_LEFT};
    rig_set_curve(&band->stretching, count, length_m, pull_n);
    return band;
}

struct bp_load_model *rig_ready(const struct bp_rig *rig)
{
    struct bp_load_model *model = NULL;
    struct bp_error error;
    bp_error_clear(&error);
    enum bp_code code = bp_load_prepare(rig, &model, &error);
    assert_string_equal(error.text, "");
    assert_int_equal(code, BP_OK);
    assert_non_null(model);
    return model;
}

struct bp_load model_load(const struct bp_load_model *model, double height_m, double speed_m_s,
                          double accel_m_s2)
{
    struct bp_load_state state = {height_m, speed_m_s, accel_m_s2};
    struct bp_load load;
    bp_load_at(model, &state, &load);
    return load;
}

struct bp_load rig_load(const struct bp_rig *rig, double height_m, double speed_m_s, double accel_m_s2)
{
    struct bp_load_model *model = rig_ready(rig);
    struct bp_load load = model_load(model, height_m, speed_m_s, accel_m_s2);
    bp_load_free(model);
    return load;
}
