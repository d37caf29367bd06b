/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "attitude.h"

#include "plan.h"
#include "random.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

static const double STUCK_S = 4, HEADING_TIMES = 3;

static void multiply(const double a[4], const double b[4], double out[4])
{
    out[0] = a[0] * b[0] - a[1] * b[1] - a[2] * b[2] - a[3] * b[3];
    out[1] = a[0] * b[1] + a[1] * b[0] + a[2] * b[3] - a[3] * b[2];
    out[2] = a[0] * b[2] - a[1] * b[3] + a[2] * b[0] + a[3] * b[1];
    out[3] = a[0] * b[3] + a[1] * b[2] - a[2] * b[1] + a[3] * b[0];
}

/* The turn by a rotation vector. */
static void turn_by(const double v[3], double out[4])
{
    double angle = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    double share = angle > 0 ? sin(angle / 2) / angle : 0.5;
    out[0] = cos(angle / 2);
    for (int i = 0; i < 3; i++) {
        out[i + 1] = share * v[i];
    }
}

/* From the largest of the four, which no rounding hurts (Shepperd 1978, J Guid Control 1(3):223-4). */
static void from_matrix(const double m[3][3], double q[4])
{
    double trace = m[0][0] + m[1][1] + m[2][2], square[4];
    int most = 0;
    square[0] = 1 + trace;
    for (int i = 0; i < 3; i++) {
        square[i + 1] = 1 - trace + 2 * m[i][i];
    }
    for (int i = 1; i < 4; i++) {
        most = square[i] > square[most] ? i : most;
    }
    double twice = sqrt(square[most]), share = 0.5 / twice;
    const double off[3] = {m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1]};
    q[most] = 0.5 * twice;
    for (int i = 0; i < 3; i++) {
        if (most == 0) {
            q[i + 1] = share * off[i];
        } else if (i + 1 != most) {
            q[i + 1] = share * (m[most - 1][i] + m[i][most - 1]);
        }
    }
    if (most > 0) {
        q[0] = share * off[most - 1];
    }
}

void sim_filter_start(const struct sim_scenario *scenario, struct sim_filter *filter)
{
    *filter = (struct sim_filter){.scenario = scenario};
    bp_random_init(&filter->random, scenario->seed, SIM_STREAM_ATTITUDE);
    filter->heading = bp_random_between(&filter->random, -BP_PI, BP_PI);
}

/* Ornstein-Uhlenbeck: what is left of the error after a while, and what came in its place. */
static void move_error(struct sim_filter *filter, double time_s)
{
    const struct sim_scenario *s = filter->scenario;
    double keep = filter->begun ? exp(-(time_s - filter->told_s) / s->attitude_time_s) : 0;
    double sd = s->attitude_error_deg * BP_DEGREE * sqrt(1 - keep * keep);
    for (int i = 0; i < 3; i++) {
        double times = i == 2 ? HEADING_TIMES : 1;
        filter->error[i] = keep * filter->error[i] + times * sd * bp_random_normal(&filter->random);
    }
    filter->told_s = time_s;
}

void sim_filter_at(struct sim_filter *filter, const struct sim_motion *motion, double time_s, double told[4])
{
    const struct sim_scenario *s = filter->scenario;
    const double north[3] = {0, 0, filter->heading};
    struct sim_state state;
    double truth[4], heading[4], error[4], turned[4];
    bool stuck = filter->begun && s->attitude_stuck_s > 0 && time_s >= s->attitude_stuck_s &&
                 time_s < s->attitude_stuck_s + STUCK_S;
    move_error(filter, time_s);
    if (!stuck) {
        sim_motion_at(motion, fmax(time_s - s->attitude_lag_s, 0), &state);
        from_matrix(state.phone, truth);
        turn_by(north, heading);
        turn_by(filter->error, error);
        multiply(heading, truth, turned);
        multiply(error, turned, filter->told);
    }
    filter->begun = true;
    memcpy(told, filter->told, sizeof filter->told);
}

void sim_filter_gravity(const double attitude[4], double gravity[3])
{
    const double *q = attitude; /* the fixed frame's z in the phone's axes */
    gravity[0] = BP_STANDARD_GRAVITY * 2 * (q[1] * q[3] - q[0] * q[2]);
    gravity[1] = BP_STANDARD_GRAVITY * 2 * (q[2] * q[3] + q[0] * q[1]);
    gravity[2] = BP_STANDARD_GRAVITY * (1 - 2 * (q[1] * q[1] + q[2] * q[2]));
}
