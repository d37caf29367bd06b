/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The speed profile of one drive: up to three strokes that overlap.
 */
#ifndef SIMULATE_DRIVE_H
#define SIMULATE_DRIVE_H

#include "path.h"
#include "simulate.h"

#define SIM_EDGE_SPEED 0.04 /* m/s: where a drive begins and ends, by definition */

enum { SIM_DRIVE_PARTS = 3 };

struct sim_drive {
    double length_s, rise_m;
    size_t parts;
    struct sim_piece part[SIM_DRIVE_PARTS]; /* from_s counted from the drive's start */
};

/* The shape of a drive without its speed. */
struct sim_drive_shape {
    enum sim_shape shape;
    double rise_fraction, fall_fraction;
    bool sticking;
    double sticking_ratio, sticking_span;
};

/* A drive of rise_m that lasts length_s. */
void sim_drive_make(const struct sim_drive_shape *shape, double rise_m, double length_s,
                    struct sim_drive *drive);
/* The length at which its mean velocity between the edges at SIM_EDGE_SPEED is mean_speed. */
double sim_drive_length(const struct sim_drive_shape *shape, double rise_m, double mean_speed_m_s);
void sim_drive_add(const struct sim_drive *drive, double from_s, struct sim_path *height);

#endif
