/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Knots: the samples at which the smoother works, and what the sensors say happened between them, summed up
 * exactly at the log's own rate.
 */
#ifndef BARPLUMB_MOTION_KNOTS_H
#define BARPLUMB_MOTION_KNOTS_H

#include "barplumb/motion.h"

enum { BP_ERRORS = 4, BP_ERROR_LEAN = 3 };

struct bp_knots {
    size_t count;
    size_t *sample; /* [count] ascending; the first sample and the last are always knots */
    /* From knot k-1 to knot k (entry 0 unused): */
    double *length_s;
    size_t *steps;  /* samples from the one to the other */
    double *speed;  /* ∫ a dt, m/s */
    double *height; /* ∫∫ a dt², m */
    /* What each error adds: a bias of one phone axis (∫ up dt, s; ∫∫ up dt², s^2), and last what leans
     * "up": the share of the swing that was sideways acceleration; with a gyroscope fore-aft acceleration for
     * each rad by which level is off (m/s; m). */
    double (*speed_error)[BP_ERRORS];
    double (*height_error)[BP_ERRORS];
    double *rough;      /* variance of speed from what the rate does not resolve, (m/s)^2 */
    double *uneven;     /* of the steps' mean square the part that is their scatter, 0 to 1 */
    double *gap_s;      /* part of the time that is a gap */
    double *clipped_s2; /* the squares of how long each clipped run lasts, summed: runs are independent */
    bool *spoilt;       /* a step in between is in a spoilt spell */
};

/* What is added to sample i's acceleration so that a rule which takes it as linear between samples integrates
 * a cubic exactly: a twelfth of the second difference, less (Gregory's formula to its first correction;
 * Hamming 1973, Numerical methods for scientists and engineers). The trapezoid rule by itself loses (2π f
 * T)²/12 of what goes at f at steps of T, which rounds a stroke's ends. The difference is told over 20 ms to
 * either side. 0 beside gaps and where the sensor clips. m/s^2 */
double bp_knots_bent(const struct bp_motion *motion, size_t side, size_t i);
/* `side` of the above: those 20 ms in samples, at least one. */
size_t bp_knots_side(const struct bp_motion *motion);

/* The last error's record, m/s^2 a unit; NULL where there is none. */
const double *bp_knots_lean(const struct bp_motion *motion);

/* Makes knots every step_s and at every closure's samples. False when memory is out. */
bool bp_knots_make(const struct bp_motion *motion, const struct bp_closures *closures, double step_s,
                   struct bp_arena *arena, struct bp_knots *knots);

#endif
