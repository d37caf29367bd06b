/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The reps.
 */
#include "plan.h"

#include "drive.h"

#include "barplumb/units.h"

#include <math.h>

/* One rep's own values, drawn before it is laid out. */
struct rep {
    struct sim_planned_rep *planned;
    struct sim_drive drive;
    double descent_s, pause_s, hold_s;
    double top, bottom; /* heights it aims at */
};

static bool descent_first(const struct sim_plan *plan)
{
    return plan->scenario->lift == BP_BENCH || plan->scenario->lift == BP_SQUAT;
}

static bool on_floor(const struct sim_plan *plan)
{
    return plan->scenario->lift == BP_DEADLIFT;
}

/* What is left of the first rep's speed at rep `index` of `count`. */
static double speed_left(const struct sim_scenario *scenario, int index, int count)
{
    return count > 1 ? 1.0 - scenario->speed_loss * (double)index / (double)(count - 1) : 1.0;
}

static void draw_drive(struct sim_plan *plan, int index, double rise_m, struct sim_drive *drive)
{
    const double least_speed = 0.07; /* m/s: a slower bar is a missed one */
    const struct sim_scenario *s = plan->scenario;
    struct sim_drive_shape shape = {
        .shape = s->shape,
        .rise_fraction = s->rise_fraction,
        .fall_fraction = s->fall_fraction,
        .sticking = s->sticking_from_rep > 0 && index + 1 >= s->sticking_from_rep,
        .sticking_ratio = s->sticking_ratio,
        .sticking_span = s->sticking_span,
    };
    double speed = sim_plan_vary(plan, s->mean_speed_m_s, s->speed_spread) * speed_left(s, index, s->reps);
    double length = sim_drive_length(&shape, rise_m, fmax(speed, least_speed));
    sim_drive_make(&shape, rise_m, length, drive);
}

static void draw_rep(struct sim_plan *plan, int index, struct rep *rep)
{
    const struct sim_scenario *s = plan->scenario;
    double top_off = s->lockout_spread_m * sim_random_normal_within(&plan->random, 2.5);
    double bottom_off = s->bottom_spread_m * sim_random_normal_within(&plan->random, 2.5);
    rep->top = plan->lockout + top_off;
    rep->bottom = on_floor(plan) ? 0.0 : plan->bottom + bottom_off;
    rep->descent_s = sim_plan_vary(plan, s->descent_s, s->time_spread);
    rep->pause_s = sim_plan_vary(plan, s->bottom_pause_s, s->time_spread);
    rep->hold_s = sim_plan_vary(plan, s->top_hold_s, s->time_spread);
    /* A floor-started rep rises from where the last one ended. */
    double from = descent_first(plan) ? rep->bottom : plan->height;
    draw_drive(plan, index, rep->top - from, &rep->drive);
}

/* Touch and go: the drive begins before the descent has ended, so the bar turns without standing. */
static double turn_overlap(const struct rep *rep)
{
    const double part = 0.22, longest = 0.25; /* of the shorter stroke; s */
    return fmin(part * fmin(rep->descent_s, rep->drive.length_s), longest);
}

static void plan_bounce(struct sim_plan *plan, double about_s)
{
    const double length = 0.3; /* s, down and back */
    if (plan->scenario->bounce_m > 0.0) {
        sim_path_bump(&plan->motion->height, about_s - 0.5 * length, length, -plan->scenario->bounce_m);
    }
}

/* Falls just short of free fall, stops in a few hundredths of a second, and hops twice. */
static void plan_drop(struct sim_plan *plan, struct rep *rep)
{
    const double rise = 0.85, fall = 0.1, below_g = 0.92;
    const double steepest = 315.0 / 128.0; /* largest slope of the smooth step */
    const double hop_m[2] = {0.025, 0.008};
    double fall_m = plan->height - rep->bottom, speed_part = 1.0 - 0.5 * (rise + fall);
    double g = below_g * plan->scenario->gravity_m_s2;
    double length = sqrt(steepest * fall_m / (speed_part * rise * g));
    sim_path_stroke(&plan->motion->height, plan->now_s, length, -fall_m, rise, fall);
    plan->height -= fall_m;
    rep->descent_s = length;
    plan->now_s += length;
    sim_plan_knock(plan, plan->now_s - 0.02, plan->scenario->knock_m_s2);
    for (int i = 0; i < 2; i++) {
        double hop = 2.0 * sqrt(8.0 * hop_m[i] / plan->scenario->gravity_m_s2);
        sim_path_bump(&plan->motion->height, plan->now_s, hop, hop_m[i]);
        plan->now_s += hop;
    }
}

static void plan_descent(struct sim_plan *plan, struct rep *rep)
{
    struct sim_planned_rep *planned = rep->planned;
    double from = plan->now_s, length = rep->descent_s;
    planned->descent_from_s = from;
    if (plan->scenario->dropped && on_floor(plan)) {
        plan_drop(plan, rep);
    } else {
        double rise = bp_random_between(&plan->random, 0.3, 0.5);
        sim_path_stroke(&plan->motion->height, from, length, rep->bottom - plan->height, rise, 0.4);
        plan->height = rep->bottom;
        plan->now_s += length;
        if (on_floor(plan)) {
            sim_plan_knock(plan, plan->now_s - 0.1, 0.5 * plan->scenario->knock_m_s2);
        }
    }
    sim_plan_carry(plan, from, length, (descent_first(plan) ? 1.0 : -1.0) * plan->scenario->path_m);
    planned->descent_to_s = plan->now_s;
}

static void plan_drive(struct sim_plan *plan, struct rep *rep)
{
    struct sim_planned_rep *planned = rep->planned;
    double length = rep->drive.length_s;
    planned->drive_from_s = plan->now_s;
    planned->bottom_m = plan->height;
    sim_drive_add(&rep->drive, plan->now_s, &plan->motion->height);
    /* The path bends back late in the drive (J curve), or early when it starts at the shoulders. */
    sim_plan_carry(plan, plan->now_s + 0.15 * length, 0.85 * length,
                   (descent_first(plan) ? -1.0 : 1.0) * plan->scenario->path_m);
    plan->height += rep->drive.rise_m;
    plan->now_s += length;
    planned->drive_to_s = plan->now_s;
    planned->top_m = plan->height;
}

static void plan_pause(struct sim_plan *plan, double length_s)
{
    if (!on_floor(plan)) { /* the floor does not wander */
        sim_plan_hold(plan, plan->now_s, length_s);
    }
    plan->now_s += length_s;
}

/* From the bottom of the descent to the drive: a pause, or straight on. */
static void plan_turnaround(struct sim_plan *plan, struct rep *rep)
{
    bool touch_and_go = plan->scenario->bottom_pause_s <= 0.0;
    if (!touch_and_go) {
        plan_pause(plan, rep->pause_s);
        return;
    }
    if (!(plan->scenario->dropped && on_floor(plan))) {
        plan->now_s -= turn_overlap(rep);
        plan_bounce(plan, plan->now_s);
    }
}

static void plan_rep_from_top(struct sim_plan *plan, struct rep *rep)
{
    plan_descent(plan, rep);
    rep->planned->low_from_s = 0.5 * (rep->planned->descent_from_s + rep->planned->descent_to_s);
    plan_turnaround(plan, rep);
    plan_drive(plan, rep);
    sim_plan_hold(plan, plan->now_s, rep->hold_s);
    plan->now_s += rep->hold_s;
    rep->planned->top_to_s = plan->now_s;
}

static void plan_rep_from_bottom(struct sim_plan *plan, struct rep *rep, bool first)
{
    const double first_pause = 0.6; /* s: nobody starts a set in the middle of a movement */
    rep->planned->low_from_s = plan->now_s;
    if (first) {
        plan_pause(plan, first_pause);
    } else {
        const struct sim_planned_rep *before = rep->planned - 1;
        rep->planned->low_from_s = 0.5 * (before->descent_from_s + before->descent_to_s);
        plan_turnaround(plan, rep);
    }
    plan_drive(plan, rep);
    sim_plan_hold(plan, plan->now_s, rep->hold_s);
    plan->now_s += rep->hold_s;
    rep->planned->top_to_s = plan->now_s;
    plan_descent(plan, rep);
}

/* Up part of the way, stands there trembling, and comes down again. */
static void plan_missed_drive(struct sim_plan *plan, struct rep *rep)
{
    const double tremble_m = 0.0015, tremble_hz = 7.0;
    const struct sim_scenario *s = plan->scenario;
    double rise = s->missed_fraction * rep->drive.rise_m;
    double length = fmax(rise / fmax(0.6 * s->mean_speed_m_s, 0.1), 0.6);
    double stall = bp_random_between(&plan->random, 0.5, 1.4);
    struct sim_planned_rep *planned = rep->planned;
    planned->missed = true;
    planned->drive_from_s = plan->now_s;
    planned->bottom_m = plan->height;
    sim_path_stroke(&plan->motion->height, plan->now_s, length, rise, 0.3, 0.6);
    sim_path_wave(&plan->motion->height, plan->now_s + 0.8 * length, stall + 0.2 * length, tremble_m, 0.2,
                  tremble_hz, 0.0);
    plan->height += rise;
    planned->top_m = plan->height;
    plan->now_s += length;
    planned->drive_to_s = plan->now_s;
    plan->now_s += stall;
    planned->top_to_s = plan->now_s;
    double down = bp_random_between(&plan->random, 0.9, 1.6);
    sim_path_stroke(&plan->motion->height, plan->now_s, down, planned->bottom_m - plan->height, 0.4, 0.3);
    plan->height = planned->bottom_m;
    plan->now_s += down;
    if (on_floor(plan) || s->lift == BP_SQUAT) {
        sim_plan_knock(plan, plan->now_s - 0.1, s->knock_m_s2);
    }
}

/* Helpers take the bar to the rack's height, slowly and unevenly. */
static void plan_help(struct sim_plan *plan)
{
    double length = bp_random_between(&plan->random, 2.5, 4.0);
    double uneven = sim_plan_vary(plan, 2.0 * BP_DEGREE, 0.3);
    sim_plan_lift(plan, plan->now_s, length, plan->lockout - plan->height);
    sim_path_wave(&plan->motion->tilt, plan->now_s, length, uneven, 0.6, 0.8, 0.0);
    if (descent_first(plan)) {
        sim_plan_carry(plan, plan->now_s, length, -plan->scenario->path_m);
    }
    plan->now_s += length;
    sim_plan_hold(plan, plan->now_s, 0.8);
    plan->now_s += 0.8;
}

static void plan_missed_rep(struct sim_plan *plan, struct rep *rep)
{
    if (descent_first(plan)) {
        plan_descent(plan, rep);
        rep->planned->low_from_s = 0.5 * (rep->planned->descent_from_s + rep->planned->descent_to_s);
        plan_turnaround(plan, rep);
    } else {
        rep->planned->low_from_s = plan->now_s;
        plan_pause(plan, fmax(rep->pause_s, 0.3));
    }
    plan_missed_drive(plan, rep);
    double wait = bp_random_between(&plan->random, 0.8, 2.0);
    plan_pause(plan, wait);
    if (descent_first(plan) && plan->scenario->ending == SIM_MISSED) {
        plan_help(plan);
    }
}

static bool ends_in_a_miss(const struct sim_scenario *scenario)
{
    return scenario->ending == SIM_MISSED || scenario->ending == SIM_MISSED_LEFT;
}

static void plan_roll_drift(struct sim_plan *plan, double from_s)
{
    double drift = plan->scenario->roll_drift_deg * BP_DEGREE;
    if (drift != 0.0) {
        sim_path_stroke(&plan->motion->roll, from_s, plan->now_s - from_s, drift, 0.3, 0.3);
    }
}

void sim_plan_reps(struct sim_plan *plan)
{
    const struct sim_scenario *s = plan->scenario;
    double from = plan->now_s;
    plan->lockout = descent_first(plan) ? plan->height : plan->height + s->range_m;
    plan->bottom = plan->lockout - s->range_m;
    plan->motion->lockout_m =
        plan->lockout + s->mount_along_m * sin(sim_path_at(&plan->motion->tilt, from).value);
    int count = s->reps + (ends_in_a_miss(s) ? 1 : 0);
    for (int i = 0; i < count; i++) {
        struct rep rep = {.planned = &plan->motion->reps[plan->motion->rep_count++]};
        draw_rep(plan, i, &rep);
        if (i == s->reps) {
            plan_missed_rep(plan, &rep);
        } else if (descent_first(plan)) {
            plan_rep_from_top(plan, &rep);
        } else {
            plan_rep_from_bottom(plan, &rep, i == 0);
        }
    }
    plan_pause(plan, 0.5);
    plan_roll_drift(plan, from);
}
