/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Plausible scenarios at random. Every draw lies inside the field table's ranges.
 */
#include "plan.h"
#include "random.h"
#include "simulate.h"

#include "barplumb/units.h"

#include <math.h>

static void draw_drive(struct bp_random *r, struct sim_scenario *s)
{
    /* Mean velocity from a near-maximal single (0.10 to 0.23 m/s: Helms et al. 2017, J Strength Cond Res
     * 31:292) to light, explosive work. */
    const double slow = 0.18, quick = 0.9;
    s->mean_speed_m_s = slow + (quick - slow) * pow(bp_random_between(r, 0.0, 1.0), 1.3);
    s->speed_loss = bp_random_between(r, 0.0, 0.4);
    s->speed_spread = bp_random_between(r, 0.01, 0.05);
    s->shape = sim_random_chance(r, 0.25) ? SIM_SHAPE_MIN_JERK : SIM_SHAPE_STROKE;
    s->rise_fraction = bp_random_between(r, 0.25, 0.5);
    s->fall_fraction = bp_random_between(r, 0.25, 0.5);
    s->reps = sim_random_count(r, 1, s->mean_speed_m_s < 0.3 ? 3 : 10);
    /* A sticking region belongs to heavy loads (van den Tillaar & Ettema 2009: there at 90 %, not at 75 %).
     */
    if (sim_random_chance(r, s->mean_speed_m_s < 0.4 ? 0.7 : 0.1)) {
        s->sticking_from_rep = sim_random_count(r, 1, s->reps);
    }
    s->sticking_ratio = bp_random_between(r, 0.2, 0.75);
    s->sticking_span = bp_random_between(r, 0.1, 0.3);
    s->range_m *= bp_random_between(r, 0.85, 1.15);
    s->lockout_spread_m = bp_random_between(r, 0.002, 0.006);
    s->bottom_spread_m = bp_random_between(r, 0.004, 0.010);
}

static void draw_rhythm(struct bp_random *r, struct sim_scenario *s)
{
    s->descent_s = bp_random_between(r, 1.0, 2.5);
    if (sim_random_chance(r, s->lift == BP_SQUAT ? 0.8 : 0.4)) {
        s->bottom_pause_s = 0.0;
        s->bounce_m = sim_random_chance(r, 0.3) ? bp_random_between(r, 0.0, 0.012) : 0.0;
    } else {
        s->bottom_pause_s = bp_random_between(r, 0.3, 1.4);
    }
    s->top_hold_s = sim_random_chance(r, 0.15) ? 0.1 : bp_random_between(r, 0.3, 1.5);
    s->time_spread = bp_random_between(r, 0.05, 0.2);
    s->dropped = s->lift == BP_DEADLIFT && sim_random_chance(r, 0.2);
    s->still_start_s = bp_random_between(r, 2.5, 6.0);
    s->still_end_s = bp_random_between(r, 2.0, 4.0);
    s->handling_start_s = sim_random_chance(r, 0.2) ? bp_random_between(r, 2.0, 6.0) : 0.0;
    s->handling_end_s = sim_random_chance(r, 0.2) ? bp_random_between(r, 2.0, 5.0) : 0.0;
    s->walk_steps = s->walk_steps ? sim_random_count(r, 2, 3) : 0;
    s->unrack_lift_m *= bp_random_between(r, 0.8, 1.2);
    s->unrack_forward_m *= bp_random_between(r, 0.7, 1.3);
    double fate = bp_random_between(r, 0.0, 1.0);
    s->ending = fate < 0.04 ? SIM_MISSED : fate < 0.07 ? SIM_MISSED_LEFT : fate < 0.14 ? SIM_CUT : SIM_RACKED;
}

static void draw_small_motions(struct bp_random *r, struct sim_scenario *s)
{
    s->sway_m = bp_random_between(r, 0.001, 0.007);
    s->sway_low_hz = bp_random_between(r, 0.75, 1.3);
    s->sway_high_hz = bp_random_between(r, 3.0, 6.5);
    sim_scenario_rig((enum sim_setup)sim_random_count(r, 0, SIM_SETUP_COUNT - 1), s);
    s->clatter_m_s2 *= bp_random_between(r, 0.5, 1.7);
    s->swing_m *= bp_random_between(r, 0.5, 1.7);
    s->path_m *= bp_random_between(r, 0.4, 1.4);
    s->roll_deg *= bp_random_between(r, 0.3, 1.7);
    s->roll_drift_deg = bp_random_between(r, -6.0, 6.0);
    s->tilt_deg = bp_random_between(r, 0.3, 2.5);
    s->rest_tilt_deg = bp_random_between(r, -0.8, 0.8);
    s->yaw_deg = bp_random_between(r, 0.3, 2.0);
    s->wander_m = bp_random_between(r, 0.0005, 0.0025);
    s->tremor_m = bp_random_between(r, 0.00003, 0.0002);
    s->knock_m_s2 = bp_random_between(r, 5.0, 30.0);
}

/* Usual ways to strap a phone on: flat, on edge, screen outward, along the bar or across it. */
static void draw_mounting(struct bp_random *r, struct sim_scenario *s)
{
    static const double presets[][3] = {
        {0.0, 0.0, 0.0},    {0.0, 0.0, 90.0},  {90.0, 0.0, 0.0},
        {90.0, 0.0, 180.0}, {0.0, 90.0, 90.0}, {180.0, 0.0, 90.0},
    };
    int preset = sim_random_count(r, 0, (int)(sizeof presets / sizeof *presets) - 1);
    for (int i = 0; i < 3; i++) {
        double turned = presets[preset][i] + 4.0 * sim_random_normal_within(r, 2.5);
        s->phone_deg[i] = fmax(-180.0, fmin(180.0, turned));
    }
    s->mount_along_m = bp_random_between(r, -0.6, 0.6);
    s->mount_forward_m = bp_random_between(r, -0.02, 0.02);
    s->mount_up_m = bp_random_between(r, 0.01, 0.03);
}

static void draw_clock(struct bp_random *r, struct sim_scenario *s)
{
    static const double rates[] = {50.0, 100.0, 100.0, 125.0, 200.0, 200.0, 400.0};
    s->rate_hz = rates[sim_random_count(r, 0, (int)(sizeof rates / sizeof *rates) - 1)];
    s->rate_ppm = bp_random_between(r, -5000.0, 5000.0); /* nominal rates are off by up to 0.5 % */
    s->jitter_s = sim_random_chance(r, 0.3) ? bp_random_between(r, 0.0002, 0.001) : 0.00002;
    s->loss = sim_random_chance(r, 0.15) ? bp_random_between(r, 0.001, 0.01) : 0.0;
}

static void draw_sensors(struct bp_random *r, struct sim_scenario *s)
{
    const double bias_m_s2 = 0.12, scale = 0.005, turn_bias_deg_s = 0.5, turn_scale = 0.005;
    s->gravity_m_s2 = bp_random_between(r, 9.79, 9.825);
    s->gyroscope = sim_random_chance(r, 0.7);
    for (int i = 0; i < 3; i++) {
        s->force_bias_m_s2[i] = bias_m_s2 * sim_random_normal_within(r, 2.5);
        s->force_scale[i] = scale * sim_random_normal_within(r, 2.5);
        s->turn_bias_deg_s[i] = turn_bias_deg_s * sim_random_normal_within(r, 2.5);
        s->turn_scale[i] = turn_scale * sim_random_normal_within(r, 2.5);
    }
    s->force_drift = bp_random_between(r, 0.0002, 0.001);
    s->force_cross = bp_random_between(r, 0.0, 0.004);
    s->force_noise_ug = bp_random_between(r, 70.0, 300.0);
    s->turn_noise_mdps = bp_random_between(r, 3.0, 12.0);
    double limit_g = sim_random_chance(r, 0.2) ? 4.0 : 8.0;
    s->force_limit_m_s2 = limit_g * BP_STANDARD_GRAVITY;
    s->force_grid_m_s2 = s->force_limit_m_s2 / 32768.0;
}

void sim_scenario_random(uint64_t seed, struct sim_scenario *scenario)
{
    struct bp_random random;
    bp_random_init(&random, seed, SIM_STREAM_SCENARIO);
    sim_scenario_for((enum bp_lift)sim_random_count(&random, 0, BP_LIFT_COUNT - 1), scenario);
    scenario->seed = seed;
    draw_drive(&random, scenario);
    draw_rhythm(&random, scenario);
    draw_small_motions(&random, scenario);
    draw_mounting(&random, scenario);
    draw_clock(&random, scenario);
    draw_sensors(&random, scenario);
    sim_scenario_load(scenario);
}
