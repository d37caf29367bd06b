/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A linear fixed-interval smoother for small states: Kalman forward, Rauch-Tung-Striebel back (AIAA J 1965,
 * 3:1445-50). Every observation is a scalar. The covariances and gains of all knots are kept, since
 * intervals are drawn from them.
 */
#ifndef BARPLUMB_MOTION_SMOOTHER_H
#define BARPLUMB_MOTION_SMOOTHER_H

#include "barplumb/arena.h"
#include "barplumb/random.h"

#include <stdbool.h>
#include <stddef.h>

enum { BP_STATES_MAX = 10 };

struct bp_smoother {
    size_t n;       /* states, 1 to BP_STATES_MAX */
    size_t count;   /* knots */
    double *x;      /* [count*n] filtered, after bp_smoother_back smoothed, mean */
    double *P;      /* [count*n*n] its covariance */
    double *x_pred; /* [count*n] predicted from the knot before */
    double *P_pred; /* [count*n*n] */
    double *F;      /* [count*n*n] transition into the knot from the one before; unused at knot 0 */
    double *gain;   /* [count*n*n] C[k] = P[k] F[k+1]' P_pred[k+1]^-1, set by bp_smoother_back */
    double *spread; /* [count*n*n] lower triangular, set by bp_smoother_spread; NULL before */
};

/* Takes the arrays from arena; false when memory is out. */
bool bp_smoother_make(struct bp_smoother *s, size_t n, size_t count, struct bp_arena *arena);

/* Mean and variances (independent) at knot 0 before any observation. */
void bp_smoother_start(struct bp_smoother *s, const double *mean, const double *variance);

/* Knot k from knot k-1: x = F x + input, P = F P F' + Q. F [n*n], input [n], Q [n*n] symmetric. */
void bp_smoother_predict(struct bp_smoother *s, size_t k, const double *F, const double *input,
                         const double *Q);

/* Takes in z = H·x + noise of the given variance (> 0) at knot k, after its prediction. Returns the
 * innovation over its standard deviation, for outlier tests. */
double bp_smoother_observe(struct bp_smoother *s, size_t k, const double *H, double z, double variance);

/* The same, but takes nothing in where the innovation is off by more than `gate` standard deviations. */
double bp_smoother_offer(struct bp_smoother *s, size_t k, const double *H, double z, double variance,
                         double gate);

/* Smooths backward. False when a predicted covariance is not positive definite. */
bool bp_smoother_back(struct bp_smoother *s);

/* After bp_smoother_back: what is left uncertain at each knot once the next is known, as a factor. False when
 * memory is out. */
bool bp_smoother_spread(struct bp_smoother *s, struct bp_arena *arena);

/* One draw of all states from their joint posterior, less its mean and times `by`, to error [count*n]:
 * backward from the last knot, each given the next (Carter & Kohn 1994, Biometrika 81(3):541-53;
 * Frühwirth-Schnatter 1994, J Time Ser Anal 15(2):183-202). */
void bp_smoother_draw(const struct bp_smoother *s, struct bp_random *random, double by, double *error);

/* Cholesky factor of the symmetric a [n*n] into its lower triangle; false when not positive definite. */
bool bp_cholesky(double *a, size_t n);

#endif
