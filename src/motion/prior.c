/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/prior.h"
#include "barplumb/motion.h"

const struct bp_prior bp_prior_defaults = {
    .force_bias_m_s2 = 0.3,
    .force_bias_walk = 0.001,
    .force_noise_floor = 0.003,
    .force_noise_no_gyro = 0.006,
    .rough_share = 0.1,
    .swing_share = 0.7,
    .swing_share_sd = 0.4,
    .swing_spread = 0.4,
    .swing_time_s = 0.1,
    .turn_bias_rad_s = 0.05,
    .turn_bias_left = 0.0005,
    .attitude_rad = 0.04,
    .attitude_time_s = 2.0,
    .turn_walk = 0.002,
    .gap_turn_rad_s = 1.0,
    .gap_accel_m_s2 = 3.0,
    .clip_accel_m_s2 = 10.0,
    .force_scale = 0.0075,
    .lever_m = 0.02,
    .first_rack_m = 0.1,
    .even_sway_m_s = 0.03,
    .even_gate = 3,
    .even_speed_m_s = 0.15,
    .even_stroke = 0.1,
    .long_still_s = 1.0,
    .still_speed_m_s = 0.004,
    .start_speed_m_s = 0.5,
    .hold_speed_m_s = 0.02,
    .hold_step_s = 0.2,
    .rack_level_m = 0.015,
    .floor_level_m = 0.006,
    .left_level_m = 0.05,
    .gate = 4,
    .factor_weight = 4,
    .tilt_still_rad = 0.005,
    .moving_speed_m_s = 0.5,
};

const struct bp_first_pass bp_first_pass_defaults = {.reach_m = 0.6, .reach_time_s = 2.0, .drift = 0};
