/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sideways_prior.h"

const struct bp_sideways_prior bp_sideways_prior_defaults = {
    .level_rad = 0.02,
    .force_cross = 0.01,
    .turn_cross = 0.01,
    .force_scale = 0.006,
    .axis_rad = 0.015,
    .axis_evidence = 1,
    .axis_assumed_rad = 0.15,
    .across_chance = 0.25,
    .lever_m = 0.02,
    .noise = 1,
    .rough_share = 0.005,
    .fold_share = 0.06,
    .clip_accel_m_s2 = 10,
    .gap_accel_m_s2 = 3,
    .ring_hz = 80,
    .peak_share = 0.3,
    .clatter_band = 0.05,
    .hiss_alone = 0.3,
    .turn_walk = 0.00025,
    .tilt_rad = 0.003,
    .tilt_factor = 2,
    .tilt_low_hz = 0.5,
    .tilt_high_hz = 3,
    .tilt_power = 1.5,
};
