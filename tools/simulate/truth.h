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

/* Gains of fourth-order Butterworth filters without their phase, 1/sqrt(2) at edge_hz: hz > 0. */
double sim_gain_above(double edge_hz, double hz);
double sim_gain_below(double edge_hz, double hz);

/* Motion in the shake band over the whole log, zero phase: the exact acceleration on an even grid through
 * sim_gain_above(0.7 Hz) sim_gain_below(end_hz). */
struct sim_bands {
    size_t count;
    double rate_hz;     /* of the arrays */
    double log_rate_hz; /* nominal */
    double end_hz;      /* 8 Hz, or 0.45 of the log's rate where that is less */
    double *along_m, *along_m_s, *along_m_s2, *fore_m;
};
bool sim_bands_make(const struct sim_motion *motion, struct sim_bands *bands);
void sim_bands_free(struct sim_bands *bands);
struct sim_shake sim_bands_shake(const struct sim_bands *bands, double from_s, double to_s);
/* Where the spectrum of the speed along the bar is highest in the band; NaN where it has no peak or fewer
 * than 1.5 of its periods fit the stretch. */
double sim_bands_dominant(const struct sim_bands *bands, double from_s, double to_s);
/* Area of the ellipse 2π F(0.95; 2, n - 2) sqrt(det), n = the samples a log of log_rate_hz has there. */
double sim_bands_area(const struct sim_bands *bands, double from_s, double to_s);

/* What a noise-free accelerometer of the log's nominal rate passes on above 15 Hz, all three axes (zero
 * phase, sim_gain_above): rms of the vector's length over [from_s, to_s], and its largest over that. NaN
 * below 37.5 Hz of rate. False when memory is out. */
struct sim_clatter {
    double rms_m_s2, crest;
};
bool sim_clatter_measure(const struct sim_motion *motion, double from_s, double to_s,
                         struct sim_clatter *clatter);

/* What the hands gave over the table of a drive; leaves rep alone without a rig. False when memory is out. */
bool sim_effort_measure(const struct sim_view *view, const struct sim_table *table,
                        struct sim_rep_truth *rep);
/* The set's loads at rest, from the reps' heights. */
void sim_effort_level(const struct sim_motion *motion, struct sim_truth *truth);

/* Fills *truth; false when memory is out. */
bool sim_truth_make(const struct sim_motion *motion, struct sim_truth *truth);

#endif
