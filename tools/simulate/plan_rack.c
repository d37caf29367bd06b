/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Out of the rack and back into it.
 */
#include "plan.h"

#include "barplumb/units.h"

#include <math.h>

static const double step_m = 0.3;    /* one step back with the bar */
static const double bob_m = 0.025;   /* the bar falls and rises by so much at a step */
static const double settle_m = 0.01; /* the bar sinks into place after unracking */

static void plan_turn_bump(struct sim_plan *plan, struct sim_path *path, double from_s, double length_s,
                           double largest_deg)
{
    double size = largest_deg * BP_DEGREE * sim_random_normal_within(&plan->random, 2.0) / 2.0;
    sim_path_bump(path, from_s, length_s, size);
}

/* `steps` steps of `forward_m` each; the bar bobs and goes over the standing foot. */
static void plan_walk(struct sim_plan *plan, int steps, double forward_m)
{
    for (int i = 0; i < steps; i++) {
        double length = sim_plan_vary(plan, 0.85, 0.1), from = plan->now_s;
        double side = (i % 2 ? -1.0 : 1.0) * sim_plan_vary(plan, 0.03, 0.2);
        sim_plan_carry(plan, from, length, forward_m * sim_plan_vary(plan, 1.0, 0.05));
        sim_path_bump(&plan->motion->height, from, length, -sim_plan_vary(plan, bob_m, 0.2));
        sim_path_bump(&plan->motion->along, from, length, side);
        plan_turn_bump(plan, &plan->motion->yaw, from, length, plan->scenario->yaw_deg);
        plan_turn_bump(plan, &plan->motion->tilt, from, length, plan->scenario->tilt_deg);
        plan->now_s += 0.95 * length;
    }
}

/* Off the hooks the bar finds its own level and roll. */
static void plan_release(struct sim_plan *plan, double from_s, double length_s)
{
    struct sim_motion *motion = plan->motion;
    double roll = 2.0 * BP_DEGREE * sim_random_normal_within(&plan->random, 2.0);
    sim_path_stroke(&motion->roll, from_s, length_s, roll, 0.5, 0.5);
    sim_path_stroke(&motion->tilt, from_s, length_s, -motion->tilt.start, 0.5, 0.5);
    plan_turn_bump(plan, &motion->yaw, from_s, length_s, 2.0 * plan->scenario->yaw_deg);
}

static void plan_unrack_from_hooks(struct sim_plan *plan)
{
    const struct sim_scenario *scenario = plan->scenario;
    double lift = sim_plan_vary(plan, 0.9, 0.1), from = plan->now_s;
    sim_plan_lift(plan, from, lift, scenario->unrack_lift_m);
    plan_release(plan, from, 1.5 * lift);
    plan->now_s += 0.7 * lift;
    if (scenario->unrack_forward_m != 0.0) {
        double carry = sim_plan_vary(plan, 0.9, 0.1);
        sim_plan_carry(plan, plan->now_s, carry, scenario->unrack_forward_m);
        plan->now_s += 0.5 * carry;
        sim_plan_lift(plan, plan->now_s, 0.6, -settle_m);
        plan->now_s += 0.6;
    } else {
        plan->now_s += 0.5;
    }
    plan_walk(plan, scenario->walk_steps, -step_m);
}

void sim_plan_unrack(struct sim_plan *plan)
{
    const struct sim_scenario *scenario = plan->scenario;
    if (scenario->lift == BP_DEADLIFT) {
        return;
    }
    double settle = bp_random_between(&plan->random, 0.8, 1.8);
    plan->motion->unrack_from_s = plan->now_s;
    if (scenario->lift == BP_ROW) {
        double lift = sim_plan_vary(plan, 1.4, 0.1);
        sim_plan_lift(plan, plan->now_s, lift, scenario->unrack_lift_m);
        plan_release(plan, plan->now_s, lift);
        plan->now_s += lift;
    } else {
        plan_unrack_from_hooks(plan);
    }
    plan->motion->unrack_to_s = plan->now_s;
    sim_plan_hold(plan, plan->now_s, settle);
    plan->now_s += settle;
}

/* Back over the hooks, then down into them: the bar ends where it began. */
static void plan_lower_into_hooks(struct sim_plan *plan)
{
    const struct sim_scenario *scenario = plan->scenario;
    plan_walk(plan, scenario->walk_steps, step_m);
    double back = sim_plan_vary(plan, 0.9, 0.1);
    double above = scenario->unrack_lift_m - plan->height;
    sim_plan_lift(plan, plan->now_s, back, above);
    sim_plan_carry(plan, plan->now_s, back, -plan->fore);
    plan->now_s += 0.9 * back;
}

static void plan_land(struct sim_plan *plan)
{
    double down = sim_plan_vary(plan, plan->scenario->lift == BP_ROW ? 1.4 : 0.5, 0.1);
    struct sim_motion *motion = plan->motion;
    double roll = 2.0 * BP_DEGREE * sim_random_normal_within(&plan->random, 2.0);
    sim_plan_lift(plan, plan->now_s, down, -plan->height);
    sim_path_stroke(&motion->tilt, plan->now_s, down, motion->tilt.start, 0.5, 0.5);
    sim_path_stroke(&motion->roll, plan->now_s, down, roll, 0.5, 0.5);
    plan->now_s += down;
    sim_plan_knock(plan, plan->now_s - 0.15 * down, plan->scenario->knock_m_s2);
}

void sim_plan_rerack(struct sim_plan *plan)
{
    const struct sim_scenario *scenario = plan->scenario;
    if (scenario->lift == BP_DEADLIFT || scenario->ending == SIM_CUT || scenario->ending == SIM_MISSED_LEFT) {
        return;
    }
    plan->motion->rerack_from_s = plan->now_s;
    if (scenario->lift != BP_ROW) {
        plan_lower_into_hooks(plan);
    }
    plan_land(plan);
    plan->motion->rerack_to_s = plan->now_s;
}
