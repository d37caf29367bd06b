/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Scenarios: the defaults, one lift's habits, the range check.
 */
#include "fields.h"
#include "load.h"

/* Ranges follow the wide limits of the field (bench 0.3-0.5 m, squat 0.5-0.7 m, deadlift 0.5-0.65 m; from
 * memory). The phone is a mid-range one: 160 µg/√Hz and 7 mdps/√Hz are BMI270 data-sheet figures, 16 bits
 * over ±8 g and ±2000 deg/s. */
const struct sim_scenario sim_scenario_defaults = {
    .seed = 1,
    .lift = BP_BENCH,
    .setup = SIM_STRAIGHT,
    .reps = 5,
    .ending = SIM_RACKED,
    .shape = SIM_SHAPE_STROKE,
    .mean_speed_m_s = 0.5,
    .speed_loss = 0.15,
    .speed_spread = 0.03,
    .rise_fraction = 0.4,
    .fall_fraction = 0.45,
    .sticking_ratio = 0.5,
    .sticking_span = 0.15,
    .missed_fraction = 0.5,
    .range_m = 0.40,
    .lockout_spread_m = 0.004,
    .bottom_spread_m = 0.007,
    .descent_s = 1.4,
    .bottom_pause_s = 0.6,
    .top_hold_s = 0.8,
    .time_spread = 0.12,
    .still_start_s = 4.0,
    .still_end_s = 3.0,
    .unrack_lift_m = 0.06,
    .unrack_forward_m = 0.08,
    .sway_m = 0.003,
    .sway_low_hz = 0.8,
    .sway_high_hz = 6.0,
    .path_m = 0.08,
    .roll_deg = 8.0,
    .roll_drift_deg = 3.0,
    .tilt_deg = 1.0,
    .rest_tilt_deg = 0.3,
    .yaw_deg = 1.0,
    .wander_m = 0.0012,
    .tremor_m = 0.0001,
    .building_m_s2 = 0.002,
    .knock_m_s2 = 15.0,
    .hit_s = 0.02,
    .mount_along_m = 0.45,
    .mount_up_m = 0.02,
    .phone_deg = {2.0, -1.0, 91.0},
    .rate_hz = 200.0,
    .jitter_s = 0.00002,
    .gravity_m_s2 = 9.81,
    .gyroscope = true,
    .force_bias_m_s2 = {0.08, -0.05, 0.12},
    .force_drift = 0.0005,
    .force_scale = {0.002, -0.003, 0.004},
    .force_cross = 0.002,
    .force_noise_ug = 160.0,
    .force_grid_m_s2 = 8.0 * 9.80665 / 32768.0,
    .sensor_window = 1.0,
    .force_limit_m_s2 = 8.0 * 9.80665,
    .turn_bias_deg_s = {0.3, -0.2, 0.15},
    .turn_drift_deg_s = 0.002,
    .turn_scale = {0.002, -0.001, 0.003},
    .turn_noise_mdps = 7.0,
    .turn_grid_deg_s = 2000.0 / 32768.0,
    .turn_limit_deg_s = 2000.0,
    .attitude_error_deg = 1.9, /* docs/error-model.md: attitude_rad */
    .attitude_time_s = 2.0,
    .rig = {.bar_kg = 20.0, .plates_kg = 60.0, .lockout_m = 1.10, .errors = 1.0},
};

/* How a lift differs from the bench press. */
struct habits {
    double mean_speed_m_s, range_m, path_m, roll_deg, unrack_lift_m, unrack_forward_m, pause_s, hold_s;
    int walk_steps;
    double plates_kg, lockout_m;
};

/* The plates of a bar on the floor are 450 mm across (the competition disc; from memory). */
#define ON_FLOOR_M 0.225

static const struct habits habits[BP_LIFT_COUNT] = {
    [BP_BENCH] = {0.50, 0.40, 0.08, 8.0, 0.06, 0.08, 0.6, 0.8, 0, 60.0, 1.10},
    [BP_PRESS] = {0.50, 0.55, 0.05, 6.0, 0.06, 0.0, 0.4, 0.7, 2, 30.0, 2.05},
    [BP_SQUAT] = {0.60, 0.60, 0.03, 4.0, 0.06, 0.0, 0.0, 1.0, 3, 90.0, 1.45},
    [BP_DEADLIFT] = {0.45, 0.55, 0.02, 5.0, 0.06, 0.0, 0.7, 0.6, 0, 110.0, ON_FLOOR_M + 0.55},
    [BP_ROW] = {0.70, 0.35, 0.04, 6.0, 0.50, 0.0, 0.4, 0.2, 0, 50.0, ON_FLOOR_M + 0.50 + 0.35},
};

void sim_scenario_for(enum bp_lift lift, struct sim_scenario *scenario)
{
    const struct habits *habit = &habits[lift];
    *scenario = sim_scenario_defaults;
    scenario->lift = lift;
    scenario->mean_speed_m_s = habit->mean_speed_m_s;
    scenario->range_m = habit->range_m;
    scenario->path_m = habit->path_m;
    scenario->roll_deg = habit->roll_deg;
    scenario->unrack_lift_m = habit->unrack_lift_m;
    scenario->unrack_forward_m = habit->unrack_forward_m;
    scenario->bottom_pause_s = habit->pause_s;
    scenario->top_hold_s = habit->hold_s;
    scenario->walk_steps = habit->walk_steps;
    scenario->rig.plates_kg = habit->plates_kg;
    scenario->rig.lockout_m = habit->lockout_m;
}

const char *sim_scenario_fault(const struct sim_scenario *s)
{
    for (size_t i = 0; i < sim_field_count; i++) {
        double value = sim_field_get(&sim_fields[i], s);
        if (!(value >= sim_fields[i].least && value <= sim_fields[i].most)) {
            return sim_fields[i].help;
        }
    }
    if (s->rise_fraction + s->fall_fraction > 1.0) {
        return "rise-fraction and fall-fraction are more than the whole drive";
    }
    if (s->sway_low_hz > s->sway_high_hz) {
        return "sway-low is above sway-high";
    }
    if (s->gap_s > 0.0 && s->gap_at_s <= 0.0) {
        return "a gap needs a time after the first sample";
    }
    if (s->bottom_spread_m + s->lockout_spread_m > 0.1 * s->range_m) {
        return "the spreads of top and bottom are too large for the range";
    }
    if (s->hit_rep > s->reps || s->spotter_rep > s->reps) {
        return "hit-rep or spotter-rep is past the last completed rep";
    }
    return sim_rig_fault(s);
}
