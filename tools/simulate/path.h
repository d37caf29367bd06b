/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A path: one coordinate of the motion as a function of time, the sum of closed-form pieces. Value, rate and
 * acceleration are exact at any time; nothing is differenced.
 *
 * Pieces are joined by the ninth-degree smooth step S (four zero derivatives at both ends), so a path is at
 * least four times continuously differentiable; only SIM_MIN_JERK has jumps in its third derivative.
 */
#ifndef SIMULATE_PATH_H
#define SIMULATE_PATH_H

#include <stdbool.h>
#include <stddef.h>

struct sim_jet {
    double value, rate, accel;
};

enum sim_piece_kind {
    SIM_MIN_JERK, /* size (10τ³ - 15τ⁴ + 6τ⁵): Flash & Hogan 1985, J Neurosci 5:1688-1703 */
    SIM_STROKE,   /* from 0 to size: speed rises over rise_s, stands, falls over fall_s */
    SIM_WAVE      /* size w(t) sin(omega (t - from_s) + phase), w rising over rise_s, falling over fall_s */
};

struct sim_piece {
    enum sim_piece_kind kind;
    double from_s, length_s;
    double size;           /* m or rad: where a stroke ends, how far a wave reaches */
    double rise_s, fall_s; /* rise_s + fall_s <= length_s */
    double omega, phase;   /* waves: rad/s, rad; omega 0 with phase pi/2 is a plain bump */
};

struct sim_jet sim_piece_at(const struct sim_piece *piece, double time_s);

struct sim_path {
    double start; /* the value before any piece */
    struct sim_piece *pieces;
    size_t count, capacity;
    bool failed; /* an allocation failed; pieces are missing */
    /* Made by sim_path_seal: which pieces are under way in each slice of time. */
    size_t slices;
    double *settled; /* [slices] value of start and of the pieces that have ended */
    size_t *first;   /* [slices + 1] into members */
    size_t *members;
};

void sim_path_init(struct sim_path *path);
void sim_path_free(struct sim_path *path);
void sim_path_add(struct sim_path *path, const struct sim_piece *piece);
/* Shorthands of sim_path_add. Fractions are of the length. */
void sim_path_stroke(struct sim_path *path, double from_s, double length_s, double size, double rise_fraction,
                     double fall_fraction);
void sim_path_wave(struct sim_path *path, double from_s, double length_s, double size, double ramp_s,
                   double hz, double phase);
/* A bump out to size in the middle and back. */
void sim_path_bump(struct sim_path *path, double from_s, double length_s, double size);

/* Makes sim_path_at fast over [0, end_s]. Add nothing afterwards. False when memory is out. */
bool sim_path_seal(struct sim_path *path, double end_s);
/* At any time, sealed or not. Thread-safe. */
struct sim_jet sim_path_at(const struct sim_path *path, double time_s);

#endif
