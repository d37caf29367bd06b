/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A bar in closed form for the tests of src/motion: minimum-jerk strokes with rests between them, a phone
 * that rolls with the bar, and what its sensors would read, on timestamps as uneven as a test wants them.
 */
#ifndef BARPLUMB_TESTS_BAR_H
#define BARPLUMB_TESTS_BAR_H

#include "barplumb/motion.h"
#include "barplumb/units.h"
#include "motion/rotation.h"
#include "shake/signals.h"

#include <stdbool.h>
#include <string.h>

enum { BAR_MOST = 12000, BAR_STROKES = 12 };

/* From the height before it to to_m, beginning at start_s. */
struct bar_stroke {
    double start_s, length_s, to_m;
};

struct bar_plan {
    double rate_hz, duration_s;
    double uneven;        /* timestamps move by up to so many steps either way; under 0.5 */
    double force_noise;   /* sd, m/s^2 */
    double turn_noise;    /* sd, rad/s */
    double force_bias[3]; /* phone axes, m/s^2 */
    double turn_bias[3];  /* phone axes, rad/s */
    double roll_rad;      /* amplitude of the roll about the bar, within the moving part */
    double roll_hz;       /* its frequency */
    double side_m_s2;     /* amplitude of an acceleration along the bar, within the moving part, at 2.3 Hz */
    double fore_m_s2;     /* and of one across it, at 1.7 Hz */
    double moves_from_s;  /* the moving part; strokes lie in it */
    double moves_to_s;
    double mount[3]; /* rotation vector from the bar's axes to the phone's, rad */
    double sign;     /* +1: +g upward at rest; -1: the other convention */
    bool gyroscope;
    size_t stroke_count;
    struct bar_stroke strokes[BAR_STROKES];
};

struct bar {
    double time_s[BAR_MOST], force[3][BAR_MOST], turn[3][BAR_MOST];
    uint8_t marks[BAR_MOST];
    double up[3][BAR_MOST]; /* the truth: up in phone axes */
    double height_m[BAR_MOST], speed_m_s[BAR_MOST], accel_m_s2[BAR_MOST];
    struct bp_trace trace;
};

/* Three reps of 0.4 m up and down between rests, 20 s at 200 Hz, no fault of any kind. */
static const struct bar_plan bar_plan_plain = {
    .rate_hz = 200,
    .duration_s = 20,
    .moves_from_s = 3,
    .moves_to_s = 17,
    .sign = 1,
    .gyroscope = true,
    .stroke_count = 6,
    .strokes = {{3, 1.2, 0.4}, {5.5, 1.2, 0}, {8, 1.2, 0.4}, {10.5, 1.2, 0}, {13, 1.2, 0.4}, {15.5, 1.2, 0}}};

/* Minimum jerk (Flash & Hogan 1985, J Neurosci 5:1688-1703): x = D(10τ³ - 15τ⁴ + 6τ⁵). */
static inline void bar_stroke_at(double distance_m, double length_s, double since_s, double out[3])
{
    double x = fmin(fmax(since_s / length_s, 0), 1);
    out[0] = distance_m * x * x * x * (10 - 15 * x + 6 * x * x);
    out[1] = distance_m / length_s * 30 * x * x * (1 - x) * (1 - x);
    out[2] = distance_m / (length_s * length_s) * 60 * x * (1 - x) * (1 - 2 * x);
}

/* Height, speed and acceleration of the bar. */
static inline void bar_path_at(const struct bar_plan *plan, double t, double out[3])
{
    double from = 0;
    out[0] = out[1] = out[2] = 0;
    for (size_t s = 0; s < plan->stroke_count; s++) {
        const struct bar_stroke *stroke = &plan->strokes[s];
        double part[3];
        bar_stroke_at(stroke->to_m - from, stroke->length_s, t - stroke->start_s, part);
        for (int d = 0; d < 3; d++) {
            out[d] += part[d];
        }
        from = stroke->to_m;
    }
}

/* 0 outside the moving part, with a smooth second's start and end; its rate of change to *rate. */
static inline double bar_envelope(const struct bar_plan *plan, double t, double *rate)
{
    double in[3], out[3];
    bar_stroke_at(1, 1, t - plan->moves_from_s, in);
    bar_stroke_at(1, 1, t - (plan->moves_to_s - 1), out);
    *rate = in[1] - out[1];
    return in[0] - out[0];
}

static inline void bar_sample(struct bar *bar, const struct bar_plan *plan, size_t i)
{
    double t = bar->time_s[i], path[3], rate;
    double share = bar_envelope(plan, t, &rate), omega = 2 * BP_PI * plan->roll_hz;
    double roll = plan->roll_rad * share * sin(omega * t);
    double roll_rate = plan->roll_rad * (rate * sin(omega * t) + share * omega * cos(omega * t));
    struct bp_quaternion mount = bp_quaternion_of(plan->mount);
    bar_path_at(plan, t, path);
    /* World x along the bar, z up; the phone has rolled by `roll` about x. */
    double pull[3] = {plan->side_m_s2 * share * sin(2 * BP_PI * 2.3 * t),
                      plan->fore_m_s2 * share * sin(2 * BP_PI * 1.7 * t), path[2] + BP_STANDARD_GRAVITY};
    double force[3] = {pull[0], cos(roll) * pull[1] + sin(roll) * pull[2],
                       -sin(roll) * pull[1] + cos(roll) * pull[2]};
    double up[3] = {0, sin(roll), cos(roll)}, turn[3] = {roll_rate, 0, 0};
    bp_turn_out(mount, force, force);
    bp_turn_out(mount, up, up);
    bp_turn_out(mount, turn, turn);
    for (int a = 0; a < 3; a++) {
        bar->force[a][i] = plan->sign * (force[a] + plan->force_bias[a]);
        bar->turn[a][i] = turn[a] + plan->turn_bias[a];
        bar->up[a][i] = plan->sign * up[a];
    }
    bar->height_m[i] = path[0];
    bar->speed_m_s[i] = path[1];
    bar->accel_m_s2[i] = path[2];
}

static inline void bar_add_noise(double *x, size_t count, double sd, uint64_t seed)
{
    static double noise[BAR_MOST];
    signal_noise(noise, count, seed);
    for (size_t i = 0; i < count; i++) {
        x[i] += sd * noise[i];
    }
}

static inline void bar_make(struct bar *bar, const struct bar_plan *plan)
{
    size_t count = (size_t)(plan->rate_hz * plan->duration_s) + 1;
    memset(bar->marks, 0, sizeof bar->marks);
    bar->trace = (struct bp_trace){.count = count,
                                   .time_s = bar->time_s,
                                   .force = {bar->force[0], bar->force[1], bar->force[2]},
                                   .marks = bar->marks,
                                   .gyroscope = plan->gyroscope,
                                   .start_epoch_s = (double)NAN,
                                   .force_limit = (double)NAN,
                                   .turn_limit = (double)NAN};
    for (int a = 0; a < 3 && plan->gyroscope; a++) {
        bar->trace.turn[a] = bar->turn[a];
    }
    signal_noise(bar->time_s, count, 77);
    for (size_t i = 0; i < count; i++) { /* the noise lies within ±sqrt(3) */
        double shift = i > 0 ? plan->uneven * bar->time_s[i] / sqrt(3) : 0;
        bar->time_s[i] = ((double)i + shift) / plan->rate_hz;
        bar_sample(bar, plan, i);
    }
    for (size_t a = 0; a < 3; a++) {
        bar_add_noise(bar->force[a], count, plan->force_noise, 10 + a);
        bar_add_noise(bar->turn[a], count, plan->turn_noise, 20 + a);
    }
}

/* The same log from a phone strapped on another way: noise and bias turn with it. */
static inline void bar_turn_phone(struct bar *bar, const double turn[3])
{
    struct bp_quaternion q = bp_quaternion_of(turn);
    double *columns[3][3];
    for (int a = 0; a < 3; a++) {
        columns[0][a] = bar->force[a];
        columns[1][a] = bar->turn[a];
        columns[2][a] = bar->up[a];
    }
    for (size_t i = 0; i < bar->trace.count; i++) {
        for (int c = 0; c < 3; c++) {
            double v[3] = {columns[c][0][i], columns[c][1][i], columns[c][2][i]};
            bp_turn_out(q, v, v);
            for (int a = 0; a < 3; a++) {
                columns[c][a][i] = v[a];
            }
        }
    }
}

/* Takes out samples first..last; the next one is marked as coming after a gap. */
static inline void bar_cut(struct bar *bar, size_t first, size_t last)
{
    double *columns[] = {bar->time_s,   bar->force[0],  bar->force[1],  bar->force[2], bar->turn[0],
                         bar->turn[1],  bar->turn[2],   bar->up[0],     bar->up[1],    bar->up[2],
                         bar->height_m, bar->speed_m_s, bar->accel_m_s2};
    size_t left = bar->trace.count - last - 1;
    for (size_t c = 0; c < sizeof columns / sizeof *columns; c++) {
        memmove(columns[c] + first, columns[c] + last + 1, left * sizeof(double));
    }
    memmove(bar->marks + first, bar->marks + last + 1, left);
    bar->marks[first] |= BP_MARK_AFTER_GAP;
    bar->trace.count -= last - first + 1;
}

/* The first sample at or after t. */
static inline size_t bar_index(const struct bar *bar, double t)
{
    size_t i = 0;
    while (i + 1 < bar->trace.count && bar->time_s[i] < t) {
        i++;
    }
    return i;
}

/* Root mean square of a - b over samples [first, last]. */
static inline double bar_rms_error(const double *a, const double *b, size_t first, size_t last)
{
    double sum = 0;
    for (size_t i = first; i <= last; i++) {
        sum += (a[i] - b[i]) * (a[i] - b[i]);
    }
    return sqrt(sum / (double)(last - first + 1));
}

#endif
