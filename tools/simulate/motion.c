/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion.h"

#include "plan.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

static struct sim_jet jet_scaled(struct sim_jet a, double by)
{
    return (struct sim_jet){a.value * by, a.rate * by, a.accel * by};
}

static struct sim_jet jet_sum(struct sim_jet a, struct sim_jet b)
{
    return (struct sim_jet){a.value + b.value, a.rate + b.rate, a.accel + b.accel};
}

static struct sim_jet jet_product(struct sim_jet a, struct sim_jet b)
{
    return (struct sim_jet){a.value * b.value, a.rate * b.value + a.value * b.rate,
                            a.accel * b.value + 2.0 * a.rate * b.rate + a.value * b.accel};
}

static struct sim_jet jet_sin(struct sim_jet a)
{
    double s = sin(a.value), c = cos(a.value);
    return (struct sim_jet){s, c * a.rate, c * a.accel - s * a.rate * a.rate};
}

static struct sim_jet jet_cos(struct sim_jet a)
{
    double s = sin(a.value), c = cos(a.value);
    return (struct sim_jet){c, -s * a.rate, -s * a.accel - c * a.rate * a.rate};
}

struct sim_jet sim_motion_point_height(const struct sim_motion *motion, double time_s)
{
    struct sim_jet up = jet_scaled(jet_sin(sim_path_at(&motion->tilt, time_s)), motion->mount[0]);
    return jet_sum(sim_path_at(&motion->height, time_s), up);
}

struct sim_jet sim_motion_point_along(const struct sim_motion *motion, double time_s)
{
    struct sim_jet level = jet_cos(sim_path_at(&motion->tilt, time_s));
    struct sim_jet straight = jet_cos(sim_path_at(&motion->yaw, time_s));
    return jet_sum(sim_path_at(&motion->along, time_s),
                   jet_scaled(jet_product(level, straight), motion->mount[0]));
}

struct sim_jet sim_motion_point_fore(const struct sim_motion *motion, double time_s)
{
    struct sim_jet level = jet_cos(sim_path_at(&motion->tilt, time_s));
    struct sim_jet ahead = jet_sin(sim_path_at(&motion->yaw, time_s));
    return jet_sum(sim_path_at(&motion->fore, time_s),
                   jet_scaled(jet_product(level, ahead), motion->mount[0]));
}

static void find_pose(const struct sim_motion *motion, double time_s, struct sim_state *state)
{
    state->middle[0] = sim_path_at(&motion->along, time_s);
    state->middle[1] = sim_path_at(&motion->fore, time_s);
    state->middle[2] = sim_path_at(&motion->height, time_s);
    struct sim_jet roll = sim_path_at(&motion->roll, time_s);
    /* A turn about y lowers the end at positive x, so tilt enters with a minus. */
    struct sim_jet angle[3] = {
        jet_sum(roll, jet_scaled(state->middle[2], motion->roll_per_m)),
        jet_scaled(sim_path_at(&motion->tilt, time_s), -1.0),
        sim_path_at(&motion->yaw, time_s),
    };
    memcpy(state->angle, angle, sizeof angle);
    sim_rotation_make(angle, &state->bar);
}

static void find_point(const struct sim_motion *motion, struct sim_state *state)
{
    double arm[3] = {motion->mount[0], 0.0, 0.0}, offset[3], across[3], velocity[3];
    sim_rotate(state->bar.matrix, arm, offset);
    sim_cross(state->bar.turn, arm, across);
    sim_rotate(state->bar.matrix, across, velocity);
    for (int i = 0; i < 3; i++) {
        state->point[i] = state->middle[i].value + offset[i];
        state->point_velocity[i] = state->middle[i].rate + velocity[i];
    }
}

/* What a sensor makes of rattle: it averages over its own window, a raised cosine of ±smear_s, which keeps
 * most of what lies past half its rate from folding back. The rest of the motion is far slower than the
 * window. */
static double smeared_accel(const struct sim_path *path, double time_s, double smear_s)
{
    /* Taps on either side, close enough that a burst's own onset does not fold back through their comb;
     * weights fall to nothing at the window's ends. */
    const double spacing_s = 0.001;
    int taps = (int)ceil(smear_s / spacing_s);
    taps = taps < 4 ? 4 : taps;
    double middle = sim_path_at(path, time_s).accel, sum = middle, weights = 1.0;
    if (!(smear_s > 0.0)) {
        return middle;
    }
    for (int k = 1; k < taps; k++) {
        double share = (double)k / taps, weight = 0.5 * (1.0 + cos(BP_PI * share));
        sum += weight * (sim_path_at(path, time_s - share * smear_s).accel +
                         sim_path_at(path, time_s + share * smear_s).accel);
        weights += 2.0 * weight;
    }
    return sum / weights;
}

/* Specific force at the phone in the bar's frame: R^T (a + g z) + α × ρ + ω × (ω × ρ). */
static void find_bar_force(const struct sim_motion *motion, double time_s, struct sim_state *state,
                           double force[3])
{
    double world[3], euler[3], inner[3], centripetal[3];
    for (int i = 0; i < 3; i++) {
        world[i] = state->middle[i].accel + smeared_accel(&motion->rattle[i], time_s, motion->smear_s) +
                   sim_path_at(&motion->hand[i], time_s).accel;
    }
    world[2] += motion->gravity;
    sim_rotate_back(state->bar.matrix, world, force);
    sim_cross(state->bar.turn_rate, motion->mount, euler);
    sim_cross(state->bar.turn, motion->mount, inner);
    sim_cross(state->bar.turn, inner, centripetal);
    for (int i = 0; i < 3; i++) {
        force[i] += euler[i] + centripetal[i];
    }
}

void sim_motion_at(const struct sim_motion *motion, double time_s, struct sim_state *state)
{
    find_pose(motion, time_s, state);
    find_point(motion, state);

    double bar_force[3], bar_gravity[3], fixed[3];
    const double upward[3] = {0.0, 0.0, motion->gravity};
    find_bar_force(motion, time_s, state, bar_force);
    sim_rotate_back(state->bar.matrix, upward, bar_gravity);

    struct sim_jet twist[3];
    struct sim_rotation turned;
    for (int i = 0; i < 3; i++) {
        twist[i] = sim_path_at(&motion->twist[i], time_s);
    }
    sim_rotation_make(twist, &turned);
    sim_rotate_back(motion->phone.matrix, bar_force, fixed);
    sim_rotate_back(turned.matrix, fixed, state->force);
    sim_rotate_back(motion->phone.matrix, bar_gravity, fixed);
    sim_rotate_back(turned.matrix, fixed, state->gravity);
    sim_rotate_back(motion->phone.matrix, state->bar.turn, fixed);
    sim_rotate_back(turned.matrix, fixed, state->turn);
    for (int i = 0; i < 3; i++) {
        state->turn[i] += turned.turn[i];
    }
    for (int i = 0; i < 3; i++) {
        double axis[3] = {i == 0, i == 1, i == 2}, world[3];
        sim_rotate(turned.matrix, axis, fixed);
        sim_rotate(motion->phone.matrix, fixed, axis);
        sim_rotate(state->bar.matrix, axis, world);
        for (int k = 0; k < 3; k++) {
            state->phone[k][i] = world[k];
        }
    }
}

enum { RATTLES = 3, PATHS = 15 };

/* The rattle comes last: the clatter is planned from the others. */
static void list_paths(struct sim_motion *motion, struct sim_path *paths[PATHS])
{
    struct sim_path *all[PATHS] = {
        &motion->along,    &motion->fore,     &motion->height,    &motion->roll,      &motion->tilt,
        &motion->yaw,      &motion->hand[0],  &motion->hand[1],   &motion->hand[2],   &motion->twist[0],
        &motion->twist[1], &motion->twist[2], &motion->rattle[0], &motion->rattle[1], &motion->rattle[2],
    };
    for (int i = 0; i < PATHS; i++) {
        paths[i] = all[i];
    }
}

void sim_motion_free(struct sim_motion *motion)
{
    struct sim_path *paths[PATHS];
    list_paths(motion, paths);
    for (int i = 0; i < PATHS; i++) {
        sim_path_free(paths[i]);
    }
}

static void place_phone(const struct sim_scenario *scenario, struct sim_motion *motion)
{
    struct sim_jet angle[3];
    for (int i = 0; i < 3; i++) {
        angle[i] = (struct sim_jet){scenario->phone_deg[i] * BP_DEGREE, 0.0, 0.0};
    }
    sim_rotation_make(angle, &motion->phone);
    motion->mount[0] = scenario->mount_along_m;
    motion->mount[1] = scenario->mount_forward_m;
    motion->mount[2] = scenario->mount_up_m;
    motion->gravity = scenario->gravity_m_s2;
    motion->rig = scenario->rig;
    motion->rate_hz = scenario->rate_hz;
    motion->smear_s = scenario->sensor_window / scenario->rate_hz;
    motion->roll_per_m = scenario->roll_deg * BP_DEGREE / scenario->range_m;
}

enum sim_code sim_motion_make(const struct sim_scenario *scenario, struct sim_motion *motion)
{
    struct sim_path *paths[PATHS];
    *motion = (struct sim_motion){0};
    list_paths(motion, paths);
    place_phone(scenario, motion);
    sim_plan_make(scenario, motion);
    for (int i = 0; i < PATHS; i++) {
        if (i == PATHS - RATTLES) {
            sim_plan_add_clatter(scenario, motion);
        }
        if (!sim_path_seal(paths[i], motion->end_s)) {
            return SIM_MEMORY;
        }
    }
    return SIM_OK;
}
