/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan.h"

#include "barplumb/units.h"

#include <math.h>

void sim_plan_lift(struct sim_plan *plan, double from_s, double length_s, double rise_m)
{
    sim_path_stroke(&plan->motion->height, from_s, length_s, rise_m, 0.45, 0.45);
    plan->height += rise_m;
}

void sim_plan_carry(struct sim_plan *plan, double from_s, double length_s, double forward_m)
{
    sim_path_stroke(&plan->motion->fore, from_s, length_s, forward_m, 0.5, 0.5);
    plan->fore += forward_m;
}

void sim_plan_sidestep(struct sim_plan *plan, double from_s, double length_s, double along_m)
{
    sim_path_stroke(&plan->motion->along, from_s, length_s, along_m, 0.5, 0.5);
    plan->along += along_m;
}

double sim_plan_vary(struct sim_plan *plan, double value, double spread)
{
    return value * (1.0 + spread * sim_random_normal_within(&plan->random, 2.0));
}

void sim_plan_hold(struct sim_plan *plan, double from_s, double length_s)
{
    enum { WAVES = 3 };
    const double overlap = 0.25, least = 0.1; /* s: the hold blends into the moves beside it */
    const double share = 0.8;                 /* of each wave, so that three of them have the wanted rms */
    if (length_s < least) {
        return;
    }
    double from = from_s - overlap, length = length_s + 2.0 * overlap;
    for (int i = 0; i < WAVES; i++) {
        double hz = bp_random_between(&plan->random, 0.25, 1.2);
        double phase = bp_random_between(&plan->random, 0.0, 2.0 * BP_PI);
        double wander = share * plan->scenario->wander_m;
        sim_path_wave(&plan->motion->height, from, length, wander, 0.5, hz, phase);
        sim_path_wave(&plan->motion->fore, from, length, 1.5 * wander, 0.5, 0.8 * hz, phase + 1.0);
    }
}

void sim_plan_knock(struct sim_plan *plan, double at_s, double peak_m_s2)
{
    const double share[3] = {0.4, 0.6, 1.0}; /* a knock is mostly upright */
    if (peak_m_s2 <= 0.0) {
        return;
    }
    for (int i = 0; i < 3; i++) {
        double hz = bp_random_between(&plan->random, 20.0, 45.0), omega = 2.0 * BP_PI * hz;
        double length = bp_random_between(&plan->random, 0.15, 0.35);
        sim_path_add(&plan->motion->rattle[i],
                     &(struct sim_piece){.kind = SIM_WAVE,
                                         .from_s = at_s,
                                         .length_s = length,
                                         .size = share[i] * peak_m_s2 / (omega * omega),
                                         .rise_s = 0.08 * length,
                                         .fall_s = 0.92 * length,
                                         .omega = omega,
                                         .phase = bp_random_between(&plan->random, 0.0, 2.0 * BP_PI)});
    }
}

/* The phone in a hand: turned far from its place and carried about, coming to its place at to_s, or leaving
 * it from from_s on. */
static void plan_handling(struct sim_plan *plan, double from_s, double length_s, bool leaving)
{
    const double reach_m = 0.5, ramp = 0.45;
    for (int i = 0; i < 3; i++) {
        struct sim_path *twist = &plan->motion->twist[i], *hand = &plan->motion->hand[i];
        double turn = bp_random_between(&plan->random, 0.6, 1.4) * (i == 1 ? 0.8 : 2.0);
        double away = bp_random_between(&plan->random, -reach_m, reach_m);
        double part = bp_random_between(&plan->random, 0.5, 0.8) * length_s;
        double begin = leaving ? from_s + length_s - part : from_s;
        if (!leaving) {
            twist->start += turn;
            hand->start += away;
        }
        sim_path_stroke(twist, begin, part, leaving ? turn : -turn, ramp, ramp);
        sim_path_stroke(hand, begin, part, leaving ? away : -away, ramp, ramp);
        sim_path_wave(twist, from_s, 0.95 * length_s, 0.4, 0.5, bp_random_between(&plan->random, 0.5, 1.5),
                      (double)i);
        sim_path_wave(hand, from_s, 0.95 * length_s, 0.03, 0.5, bp_random_between(&plan->random, 0.8, 2.0),
                      (double)i);
    }
}

static void plan_slip(struct sim_plan *plan)
{
    const double length = 0.15; /* s: a strap gives way in a jerk, not in no time */
    const struct sim_scenario *scenario = plan->scenario;
    if (scenario->slip_at_s <= 0.0 || scenario->slip_deg == 0.0) {
        return;
    }
    int axis = sim_random_count(&plan->random, 0, 2);
    sim_path_stroke(&plan->motion->twist[axis], scenario->slip_at_s, length, scenario->slip_deg * BP_DEGREE,
                    0.5, 0.5);
}

static void plan_building(struct sim_plan *plan)
{
    enum { WAVES = 4 };
    double level = plan->scenario->building_m_s2;
    if (level <= 0.0) {
        return;
    }
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < WAVES; k++) {
            double hz = bp_random_between(&plan->random, 6.0, 30.0), omega = 2.0 * BP_PI * hz;
            /* WAVES waves of amplitude level * sqrt(2 / WAVES) have the rms `level` together. */
            sim_path_wave(&plan->motion->rattle[i], -1.0, plan->motion->end_s + 2.0,
                          level * sqrt(2.0 / WAVES) / (omega * omega), 0.5, hz,
                          bp_random_between(&plan->random, 0.0, 2.0 * BP_PI));
        }
    }
}

static void plan_finish(struct sim_plan *plan)
{
    const struct sim_scenario *scenario = plan->scenario;
    bool cut = scenario->ending == SIM_CUT;
    plan->motion->set_to_s = plan->now_s;
    if (cut) {
        plan->motion->end_s = plan->now_s;
        plan->now_s += 1.0; /* the motion goes on after the log */
        return;
    }
    plan->now_s += scenario->still_end_s;
    if (scenario->handling_end_s > 0.0) {
        plan_handling(plan, plan->now_s, scenario->handling_end_s, true);
        plan->now_s += scenario->handling_end_s;
    }
    plan->motion->end_s = plan->now_s;
}

void sim_plan_make(const struct sim_scenario *scenario, struct sim_motion *motion)
{
    struct sim_plan plan = {.scenario = scenario, .motion = motion};
    bp_random_init(&plan.random, scenario->seed, SIM_STREAM_TIMELINE);
    motion->unrack_from_s = motion->unrack_to_s = motion->rerack_from_s = motion->rerack_to_s = (double)NAN;
    motion->tilt.start = scenario->rest_tilt_deg * BP_DEGREE;
    if (scenario->handling_start_s > 0.0) {
        plan_handling(&plan, 0.0, scenario->handling_start_s, false);
    }
    plan.now_s = scenario->handling_start_s + scenario->still_start_s;
    motion->set_from_s = plan.now_s;
    sim_plan_unrack(&plan);
    sim_plan_reps(&plan);
    sim_plan_rerack(&plan);
    plan_finish(&plan);
    plan_slip(&plan);
    plan_building(&plan);
    sim_plan_sideways(&plan);
    sim_plan_mishaps(&plan);
}
