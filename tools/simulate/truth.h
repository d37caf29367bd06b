/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The truth of a simulated set, by the project's definitions. Private to simulate_core.
 */
#ifndef SIMULATE_TRUTH_H
#define SIMULATE_TRUTH_H

#include "motion.h"

/* Height of the bar's point (or of the middle) as a function of time. */
struct sim_view {
    const struct sim_motion *motion;
    bool middle;
};
struct sim_jet sim_view_height(const struct sim_view *view, double time_s);

/* A stroke up (sign 1) or down (sign -1) between its edges. */
struct sim_edges {
    double start_s, end_s;
};
/* Edges at SIM_EDGE_SPEED: start is the last time at or under it before the bar has passed a tenth of the way
 * from `first_m` to `last_m`, end the first after it has passed nine tenths, both looked for in
 * [from_s, to_s]. False when the bar does not go that way there. */
bool sim_view_edges(const struct sim_view *view, double from_s, double to_s, double first_m, double last_m,
                    struct sim_edges *edges);

/* Evenly spaced values over a drive, both ends included. */
struct sim_table {
    size_t count;
    double start_s, step_s;
    double *height, *speed, *accel;
};
bool sim_table_make(const struct sim_view *view, double start_s, double end_s, double step_s,
                    struct sim_table *table);
void sim_table_free(struct sim_table *table);
double sim_table_time(const struct sim_table *table, size_t i);

/* Where braking begins, as an index: the first time after the peak of speed at which the bar decelerates
 * harder than g; the end of the drive when it never does. With to_the_end only a stretch that lasts to the
 * end of the drive counts. */
size_t sim_table_braking(const struct sim_table *table, double gravity, bool to_the_end);
/* Rise through [low, high] over the time spent between those heights. NaN when no time is spent there. */
double sim_table_speed_between(const struct sim_table *table, double low_m, double high_m);
struct sim_sticking sim_table_sticking(const struct sim_table *table, double bottom_m, double range_m);
/* Spectral arc length of the speed (Balasubramanian et al. 2015, J NeuroEng Rehabil 12:112): cut-off 10 Hz,
 * threshold 0.05. False when memory is out. */
bool sim_table_smoothness(const struct sim_table *table, double *smoothness);

/* Motion in the shake band over the whole log: a brick wall at 0.7 and 8 Hz, zero phase, made from the exact
 * acceleration on an even grid. */
struct sim_bands {
    size_t count;
    double rate_hz;
    double *along_m, *along_m_s, *along_m_s2, *fore_m;
};
bool sim_bands_make(const struct sim_motion *motion, struct sim_bands *bands);
void sim_bands_free(struct sim_bands *bands);
struct sim_shake sim_bands_shake(const struct sim_bands *bands, double from_s, double to_s);
/* Area of the ellipse that holds 95 % of a normal scatter: π χ²(0.95, 2) sqrt(det). */
double sim_bands_area(const struct sim_bands *bands, double from_s, double to_s);

/* Fills *truth; false when memory is out. */
bool sim_truth_make(const struct sim_motion *motion, struct sim_truth *truth);

#endif
