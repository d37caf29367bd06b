/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The exact motion of one scenario: paths of the bar, its rattle, the phone's own turning.
 */
#ifndef SIMULATE_MOTION_H
#define SIMULATE_MOTION_H

#include "path.h"
#include "rotation.h"
#include "simulate.h"

/* When a rep was planned to happen; windows in which the truth is looked for. Simulation time. */
struct sim_planned_rep {
    bool missed;
    double low_from_s;                   /* the lowest point lies after this, */
    double drive_from_s, drive_to_s;     /* and before the middle of this */
    double top_to_s;                     /* the top lies before this */
    double descent_from_s, descent_to_s; /* equal: no descent */
    double bottom_m, top_m;              /* planned heights of the middle */
};

struct sim_motion {
    struct sim_path along, fore, height; /* middle of the bar, m */
    struct sim_path roll, tilt, yaw;     /* rad; roll without the part that follows height */
    struct sim_path rattle[3];           /* local shaking of bar, strap and phone, world axes, m */
    struct sim_path hand[3];             /* the phone away from its place while handled, world axes, m */
    struct sim_path twist[3];            /* the phone turned from its place on the bar, rad */
    double roll_per_m;                   /* roll that follows height, rad/m */
    double gravity;                      /* m/s^2 */
    struct sim_rig rig;                  /* what it weighs; moves nothing */
    double lockout_m;                    /* usual height of the phone's bar point at lockout */
    double rate_hz;                      /* nominal, of the log */
    double smear_s;                      /* half the width of the window the sensor averages over; 0: none */
    double mount[3];                     /* phone in the bar's frame, m */
    struct sim_rotation phone;           /* phone's frame to the bar's, fixed */
    struct sim_planned_rep reps[SIM_REPS_MAX + 1];
    size_t rep_count;
    double unrack_from_s, unrack_to_s, rerack_from_s, rerack_to_s; /* NaN if there is none */
    double set_from_s, set_to_s;                                   /* off the rack */
    double end_s;                                                  /* where the log ends */
};

/* Everything at one instant. */
struct sim_state {
    struct sim_jet middle[3]; /* middle of the bar: x, y, z */
    struct sim_jet angle[3];  /* roll, -tilt, yaw: the angles of sim_rotation_make */
    struct sim_rotation bar;
    double point[3], point_velocity[3]; /* the bar's point where the phone sits */
    double force[3];                    /* specific force in the phone's frame, m/s^2 */
    double gravity[3];                  /* the part of it that is gravity's reaction */
    double turn[3];                     /* rate of turn in the phone's frame, rad/s */
    double phone[3][3];                 /* phone's frame to the world's */
};

/* Plans the motion of a faultless scenario (sim_scenario_fault). Free with sim_motion_free in any case. */
enum sim_code sim_motion_make(const struct sim_scenario *scenario, struct sim_motion *motion);
void sim_motion_free(struct sim_motion *motion);

/* The exact state at time_s since the simulation began. */
void sim_motion_at(const struct sim_motion *motion, double time_s, struct sim_state *state);
/* Only the bar's point where the phone sits: height and along the bar, cheaper. */
struct sim_jet sim_motion_point_height(const struct sim_motion *motion, double time_s);
struct sim_jet sim_motion_point_along(const struct sim_motion *motion, double time_s);
struct sim_jet sim_motion_point_fore(const struct sim_motion *motion, double time_s);

#endif
