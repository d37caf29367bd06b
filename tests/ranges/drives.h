/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Drives in closed form, sampled into a track: what src/ranges measures against what is known.
 */
#ifndef BARPLUMB_TESTS_DRIVES_H
#define BARPLUMB_TESTS_DRIVES_H

#include "barplumb/ranges.h"
#include "barplumb/units.h"

#include <math.h>
#include <string.h>

enum { DRIVE_MOST = 8000 };

/* Height, speed and acceleration at t; before 0 and after the drive's length the bar stands. */
typedef void drive_shape(double t, double out[3]);

struct drive {
    double time_s[DRIVE_MOST], height_m[DRIVE_MOST], speed_m_s[DRIVE_MOST], accel_m_s2[DRIVE_MOST];
    struct bp_track track;
    struct bp_rep rep;
    struct bp_rep_times times;
};

/* Samples shape over [-0.3, length_s + 0.3] every step_s, the first sample `phase` of a step late; the rep
 * goes from the last sample at or before 0 to the first at or after the end. */
static inline void drive_make(struct drive *drive, drive_shape *shape, double length_s, double step_s,
                              double phase)
{
    const double lead_s = 0.3;
    size_t count = (size_t)((length_s + 2 * lead_s) / step_s);
    drive->rep = (struct bp_rep){.reached = 1};
    for (size_t i = 0; i < count; i++) {
        double out[3], t = ((double)i + phase) * step_s - lead_s;
        shape(t, out);
        drive->time_s[i] = t;
        drive->height_m[i] = out[0];
        drive->speed_m_s[i] = out[1];
        drive->accel_m_s2[i] = out[2];
        drive->rep.bottom = t <= 0 ? i : drive->rep.bottom;
        drive->rep.top = t < length_s ? i + 1 : drive->rep.top;
    }
    drive->track = (struct bp_track){.count = count,
                                     .time_s = drive->time_s,
                                     .height_m = drive->height_m,
                                     .speed_m_s = drive->speed_m_s,
                                     .accel_m_s2 = drive->accel_m_s2};
    drive->times = bp_rep_times(&drive->track, &drive->rep, BP_EDGE_SPEED_M_S);
}

/* Minimum jerk (Flash & Hogan 1985): 0.4 m in 1.2 s. */
static const double minimum_jerk_m = 0.4, minimum_jerk_s = 1.2;

static inline void minimum_jerk(double t, double out[3])
{
    double D = minimum_jerk_m, T = minimum_jerk_s, x = fmin(fmax(t / T, 0), 1);
    out[0] = D * x * x * x * (10 - 15 * x + 6 * x * x);
    out[1] = D / T * 30 * x * x * (1 - x) * (1 - x);
    out[2] = D / (T * T) * 60 * x * (1 - x) * (1 - 2 * x);
}

/* Two humps: v' = -k (τ - 0.2)(τ - 0.55)(τ - 0.8), so v has its maxima at 0.2 and 0.8 and its minimum at 0.55
 * of two seconds, and is back at 0 close to the end. */
static const double humps_s = 2, humps_turn[3] = {0.2, 0.55, 0.8}, humps_gain = 70;

static inline double humps_speed(double x)
{
    return -humps_gain * (x * x * x * x / 4 - 1.55 * x * x * x / 3 + 0.71 * x * x / 2 - 0.088 * x);
}

static inline void humps(double t, double out[3])
{
    double x = fmin(fmax(t / humps_s, 0), 0.999); /* v is still above 0 there */
    out[0] = -humps_s * humps_gain *
             (pow(x, 5) / 20 - 1.55 * pow(x, 4) / 12 + 0.71 * pow(x, 3) / 6 - 0.088 * x * x / 2);
    out[1] = t / humps_s < 0.999 && t > 0 ? humps_speed(x) : 0;
    out[2] = -humps_gain / humps_s * (x - humps_turn[0]) * (x - humps_turn[1]) * (x - humps_turn[2]);
}

/* Trapezoid: up to `v` in ramp_s, constant, and down in ramp_s. 0.5 m/s for 1 s in all. */
static const double plateau_m_s = 0.5, plateau_s = 1, plateau_ramp_s = 0.02;

static inline void plateau(double t, double out[3])
{
    double a = plateau_m_s / plateau_ramp_s, r = plateau_ramp_s, T = plateau_s;
    double up = fmin(fmax(t, 0), r), flat = fmin(fmax(t - r, 0), T - 2 * r),
           down = fmin(fmax(t - T + r, 0), r);
    out[0] = a * up * up / 2 + plateau_m_s * flat + plateau_m_s * down - a * down * down / 2;
    out[1] = a * (up - down);
    out[2] = up > 0 && up < r ? a : (down > 0 && down < r ? -a : 0);
}

/* A free bar thrown to lockout: 20 m/s^2 for 0.1 s, 2 m/s held for 0.2 s, then braked at 12.5 m/s^2 until it
 * stands: acceleration under -g for exactly the last 0.16 s. */
static const double thrown_s = 0.46, thrown_let_go_s = 0.3;

static inline void thrown(double t, double out[3])
{
    double up = fmin(fmax(t, 0), 0.1), flat = fmin(fmax(t - 0.1, 0), 0.2),
           down = fmin(fmax(t - 0.3, 0), 0.16);
    out[0] = 10 * up * up + 2 * flat + 2 * down - 6.25 * down * down;
    out[1] = 20 * up - 12.5 * down;
    out[2] = t > 0 && t < 0.1 ? 20 : (t > 0.3 && t < 0.46 ? -12.5 : 0);
}

/* Stands still in the middle: two minimum-jerk halves of 0.2 m in 0.6 s with half a second between. */
static const double stall_s = 1.7;

static inline void stalling(double t, double out[3])
{
    double later[3];
    minimum_jerk(2 * t, out);
    minimum_jerk(2 * (t - 1.1), later);
    for (int d = 0; d < 3; d++) {
        out[d] = (out[d] + later[d]) / 2;
    }
    out[1] *= 2;
    out[2] *= 4;
}

/* Constant 0.5 m/s with a sine on top that turns it back in the middle third: v = 0.5 - sin at 5 Hz in
 * [0.4, 0.6) s. The rise is 0.5 m in 1 s all the same. */
static inline void dipping(double t, double out[3])
{
    const double from = 0.4, to = 0.6, hz = 5, size = 1;
    plateau(t, out);
    if (t > from && t < to) {
        double phase = 2 * BP_PI * hz * (t - from);
        out[0] -= size * (1 - cos(phase)) / (2 * BP_PI * hz);
        out[1] -= size * sin(phase);
        out[2] -= size * 2 * BP_PI * hz * cos(phase);
    }
}

/* Up by 0.08 of 0.4 m, back down to 0.02 m under the start, then all the way up. */
static const double falling_back_s = 1.6;

static inline void falling_back(double t, double out[3])
{
    const double rise_m[] = {0.08, -0.1, 0.42}, start_s[] = {0, 0.3, 0.6}, length_s[] = {0.3, 0.3, 1};
    out[0] = out[1] = out[2] = 0;
    for (int s = 0; s < 3; s++) {
        double part[3], scale = rise_m[s] / minimum_jerk_m, quick = minimum_jerk_s / length_s[s];
        minimum_jerk((t - start_s[s]) * quick, part);
        out[0] += scale * part[0];
        out[1] += scale * quick * part[1];
        out[2] += scale * quick * quick * part[2];
    }
}

#endif
