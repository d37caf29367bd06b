/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Scenarios for accuracy studies: what people do with the phones they have. Every draw lies inside the field
 * table's ranges.
 */
#include "plan.h"
#include "random.h"
#include "simulate.h"

#include "barplumb/units.h"

#include <math.h>

static const char *const trouble_names[SIM_TROUBLE_COUNT] = {
    [SIM_TROUBLE_NONE] = "none", [SIM_TROUBLE_CLATTER] = "clatter", [SIM_TROUBLE_HIT] = "hit",
    [SIM_TROUBLE_SLIP] = "slip", [SIM_TROUBLE_SPOTTER] = "spotter", [SIM_TROUBLE_BOUNCE] = "bounce",
    [SIM_TROUBLE_DROP] = "drop", [SIM_TROUBLE_CLIP] = "clip",
};

const char *sim_trouble_name(enum sim_trouble trouble)
{
    return trouble_names[trouble];
}

static double between(struct bp_random *r, double low, double high)
{
    return bp_random_between(r, low, high);
}

/* From the good part (60 µg/√Hz: LSM6DSV data sheet) to the least the Android CDD lets pass (400 µg/√Hz);
 * bias up to the ±60 mg over life of the BMI160, gains as soldered. One grade for all, since they go
 * together. */
static void draw_sensors(struct bp_random *r, struct sim_scenario *s)
{
    const double good_ug = 60.0, cheap_ug = 400.0, milli_g = 1e-3 * BP_STANDARD_GRAVITY;
    double grade = between(r, 0.0, 1.0); /* 0 good, 1 cheap */
    double bias = (10.0 + 30.0 * grade) * milli_g, scale = 0.005 + 0.005 * grade;
    s->force_noise_ug = good_ug * pow(cheap_ug / good_ug, grade);
    s->turn_noise_mdps = 2.8 * pow(14.0 / 2.8, grade); /* LSM6DSV; the CDD's 0.014 deg/s/√Hz */
    for (int i = 0; i < 3; i++) {
        s->force_bias_m_s2[i] = bias * sim_random_normal_within(r, 1.5);
        s->force_scale[i] = scale * sim_random_normal_within(r, 2.5);
        s->turn_bias_deg_s[i] = (0.3 + 0.7 * grade) * sim_random_normal_within(r, 2.5);
        s->turn_scale[i] = scale * sim_random_normal_within(r, 2.5);
    }
    s->force_cross = between(r, 0.0, 0.005); /* an sd: gains up to the data sheets' 1 % */
    s->turn_cross = between(r, 0.0, 0.005);
}

/* Web pages get 60 readings a second, rounded to 0.1 m/s² and 0.1 deg/s (W3C Device Orientation). */
static void draw_web_page(struct bp_random *r, struct sim_scenario *s)
{
    if (sim_random_chance(r, 0.08)) {
        s->rate_hz = 60.0;
        s->force_grid_m_s2 = 0.1;
        s->turn_grid_deg_s = 0.1;
    }
}

/* Somewhere round the bar but not under it: the chip lies as deep in the phone as it does. */
static void draw_mounting(struct bp_random *r, struct sim_scenario *s)
{
    double radius = between(r, 0.01, 0.04), round = between(r, -120.0, 120.0) * BP_DEGREE;
    s->mount_forward_m = radius * sin(round);
    s->mount_up_m = radius * cos(round);
}

static void draw_habits(struct bp_random *r, struct sim_scenario *s)
{
    const double short_s = 0.3, long_s = 1.0, short_chance = 0.2, cut_chance = 0.15;
    /* At a short range fifteen millimetres are too much for both ends. */
    double most = fmin(0.015, 0.045 * s->range_m);
    s->lockout_spread_m = between(r, 0.002, most);
    s->bottom_spread_m = between(r, 0.002, most);
    if (sim_random_chance(r, short_chance)) {
        s->still_start_s = between(r, short_s, long_s);
    }
    if (sim_random_chance(r, short_chance)) {
        s->still_end_s = between(r, short_s, long_s);
    }
    if (sim_random_chance(r, cut_chance) && s->ending == SIM_RACKED) {
        s->ending = SIM_CUT;
    }
    s->dropped = false; /* a trouble of its own */
}

static void trouble_hit(struct bp_random *r, struct sim_scenario *s)
{
    s->hit_rep = sim_random_count(r, 1, s->reps);
    s->hit_in_hold = sim_random_chance(r, 0.5);
    s->hit_m_s2 = between(r, 3.0, 8.0) * BP_STANDARD_GRAVITY;
    s->hit_s = between(r, 0.010, 0.040);
}

/* Some time in the set, as long as it will be by its mean times. */
static void trouble_slip(struct bp_random *r, struct sim_scenario *s)
{
    double rep_s = s->descent_s + s->bottom_pause_s + s->range_m / s->mean_speed_m_s + s->top_hold_s;
    double set_s = (double)s->reps * rep_s, begin = s->handling_start_s + s->still_start_s + 1.0;
    s->slip_at_s = begin + between(r, 0.0, 1.0) * set_s;
    s->slip_deg = between(r, 4.0, 6.0) * (sim_random_chance(r, 0.5) ? 1.0 : -1.0);
}

/* Nobody touches the bar of an easy rep. */
static void trouble_spotter(struct bp_random *r, struct sim_scenario *s)
{
    s->mean_speed_m_s = fmin(s->mean_speed_m_s, between(r, 0.2, 0.4));
    s->spotter_rep = s->reps;
    s->spotter_lift_m = between(r, 0.005, 0.02);
    s->spotter_aside_m = between(r, 0.003, 0.01) * (sim_random_chance(r, 0.5) ? 1.0 : -1.0);
}

static void trouble_clip(struct bp_random *r, struct sim_scenario *s)
{
    s->force_limit_m_s2 = (sim_random_chance(r, 0.5) ? 2.0 : 4.0) * BP_STANDARD_GRAVITY;
    s->knock_m_s2 = between(r, 25.0, 60.0);
    s->force_grid_m_s2 = fmax(s->force_limit_m_s2 / 32768.0, s->force_grid_m_s2);
}

static void set_off(struct bp_random *r, struct sim_scenario *s)
{
    switch (s->trouble) {
    case SIM_TROUBLE_CLATTER:
        sim_scenario_rig(SIM_CHAINS, s);
        s->clatter_m_s2 = between(r, 2.0, 4.0) * BP_STANDARD_GRAVITY;
        break;
    case SIM_TROUBLE_HIT:
        trouble_hit(r, s);
        break;
    case SIM_TROUBLE_SLIP:
        trouble_slip(r, s);
        break;
    case SIM_TROUBLE_SPOTTER:
        trouble_spotter(r, s);
        break;
    case SIM_TROUBLE_BOUNCE:
        s->bottom_pause_s = 0.0;
        s->bounce_m = between(r, 0.010, 0.025);
        break;
    case SIM_TROUBLE_DROP:
        s->dropped = true;
        break;
    case SIM_TROUBLE_CLIP:
        trouble_clip(r, s);
        break;
    case SIM_TROUBLE_NONE:
    case SIM_TROUBLE_COUNT:
        break;
    }
}

/* No rack stands by a deadlift or a row, spotters stand by a bench press or a squat, and only a bench press
 * has a chest under it. */
static bool suits(enum sim_trouble trouble, enum bp_lift lift)
{
    switch (trouble) {
    case SIM_TROUBLE_HIT:
        return lift != BP_DEADLIFT && lift != BP_ROW;
    case SIM_TROUBLE_SPOTTER:
        return lift == BP_BENCH || lift == BP_SQUAT;
    case SIM_TROUBLE_BOUNCE:
        return lift == BP_BENCH;
    case SIM_TROUBLE_DROP:
        return lift == BP_DEADLIFT;
    default:
        return true;
    }
}

static void draw_trouble(struct bp_random *r, struct sim_scenario *s)
{
    const double chance = 0.3;
    s->trouble = SIM_TROUBLE_NONE;
    if (!sim_random_chance(r, chance)) {
        return;
    }
    do {
        s->trouble = (enum sim_trouble)sim_random_count(r, SIM_TROUBLE_NONE + 1, SIM_TROUBLE_COUNT - 1);
    } while (!suits(s->trouble, s->lift));
    set_off(r, s);
}

/* A phone's sensor samples evenly, by its own oscillator: what scatters is when the time is written down. */
static void scatter_stamps(struct sim_scenario *s)
{
    s->stamp_jitter_s = s->jitter_s;
    s->jitter_s = 0.0;
}

void sim_scenario_study(uint64_t seed, struct sim_scenario *scenario)
{
    struct bp_random random;
    sim_scenario_random(seed, scenario);
    scatter_stamps(scenario);
    bp_random_init(&random, seed, SIM_STREAM_STUDY);
    draw_sensors(&random, scenario);
    draw_web_page(&random, scenario);
    draw_mounting(&random, scenario);
    draw_habits(&random, scenario);
    draw_trouble(&random, scenario);
    sim_scenario_load(scenario); /* anew: troubles change setup and speed */
}
