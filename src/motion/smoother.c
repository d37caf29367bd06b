/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/smoother.h"

#include <math.h>
#include <string.h>

enum { CELLS = BP_STATES_MAX * BP_STATES_MAX };

bool bp_smoother_make(struct bp_smoother *s, size_t n, size_t count, struct bp_arena *arena)
{
    *s = (struct bp_smoother){.n = n, .count = count};
    double **vectors[] = {&s->x, &s->x_pred};
    double **matrices[] = {&s->P, &s->P_pred, &s->F, &s->gain};
    for (size_t i = 0; i < sizeof vectors / sizeof *vectors; i++) {
        if (!(*vectors[i] = bp_arena_doubles(arena, count * n))) {
            return false;
        }
    }
    for (size_t i = 0; i < sizeof matrices / sizeof *matrices; i++) {
        if (!(*matrices[i] = bp_arena_doubles(arena, count * n * n))) {
            return false;
        }
    }
    return true;
}

void bp_smoother_start(struct bp_smoother *s, const double *mean, const double *variance)
{
    size_t n = s->n;
    memcpy(s->x, mean, n * sizeof *mean);
    memset(s->P, 0, n * n * sizeof *s->P);
    for (size_t i = 0; i < n; i++) {
        s->P[i * n + i] = variance[i];
    }
    memcpy(s->x_pred, s->x, n * sizeof *s->x);
    memcpy(s->P_pred, s->P, n * n * sizeof *s->P);
}

/* out = F A; most cells of a transition are 0, and skipping them halves the work. */
static void times(const double *F, const double *A, double *out, size_t n)
{
    memset(out, 0, n * n * sizeof *out);
    for (size_t r = 0; r < n; r++) {
        for (size_t k = 0; k < n; k++) {
            double f = F[r * n + k];
            if (f == 0.0) {
                continue;
            }
            for (size_t c = 0; c < n; c++) {
                out[r * n + c] += f * A[k * n + c];
            }
        }
    }
}

static void transpose(const double *A, double *out, size_t n)
{
    for (size_t r = 0; r < n; r++) {
        for (size_t c = 0; c < n; c++) {
            out[c * n + r] = A[r * n + c];
        }
    }
}

void bp_smoother_predict(struct bp_smoother *s, size_t k, const double *F, const double *input,
                         const double *Q)
{
    size_t n = s->n, nn = n * n;
    const double *x = s->x + (k - 1) * n, *P = s->P + (k - 1) * nn;
    double *xp = s->x_pred + k * n, *Pp = s->P_pred + k * nn;
    double FP[CELLS], PFt[CELLS] = {0};
    for (size_t r = 0; r < n; r++) {
        double sum = input[r];
        for (size_t c = 0; c < n; c++) {
            sum += F[r * n + c] * x[c];
        }
        xp[r] = sum;
    }
    times(F, P, FP, n);
    transpose(FP, PFt, n); /* P is symmetric, so (F P)' = P F' */
    times(F, PFt, Pp, n);
    for (size_t i = 0; i < nn; i++) {
        Pp[i] += Q[i];
    }
    memcpy(s->F + k * nn, F, nn * sizeof *F);
    memcpy(s->x + k * n, xp, n * sizeof *xp);
    memcpy(s->P + k * nn, Pp, nn * sizeof *Pp);
}

double bp_smoother_offer(struct bp_smoother *s, size_t k, const double *H, double z, double variance,
                         double gate)
{
    size_t n = s->n;
    double *x = s->x + k * n, *P = s->P + k * n * n;
    double PH[BP_STATES_MAX], innovation = z, spread = variance;
    for (size_t r = 0; r < n; r++) {
        double sum = 0;
        for (size_t c = 0; c < n; c++) {
            sum += P[r * n + c] * H[c];
        }
        PH[r] = sum;
    }
    for (size_t r = 0; r < n; r++) {
        innovation -= H[r] * x[r];
        spread += H[r] * PH[r];
    }
    double off = innovation / sqrt(spread);
    if (fabs(off) > gate) {
        return off;
    }
    for (size_t r = 0; r < n; r++) {
        double gain = PH[r] / spread;
        x[r] += gain * innovation;
        for (size_t c = 0; c <= r; c++) {
            P[r * n + c] -= gain * PH[c];
            P[c * n + r] = P[r * n + c];
        }
    }
    return off;
}

double bp_smoother_observe(struct bp_smoother *s, size_t k, const double *H, double z, double variance)
{
    return bp_smoother_offer(s, k, H, z, variance, HUGE_VAL);
}

bool bp_cholesky(double *a, size_t n)
{
    for (size_t c = 0; c < n; c++) {
        double sum = a[c * n + c];
        for (size_t k = 0; k < c; k++) {
            sum -= a[c * n + k] * a[c * n + k];
        }
        if (!(sum > 0)) {
            return false;
        }
        double diagonal = sqrt(sum);
        a[c * n + c] = diagonal;
        for (size_t r = c + 1; r < n; r++) {
            double cell = a[r * n + c];
            for (size_t k = 0; k < c; k++) {
                cell -= a[r * n + k] * a[c * n + k];
            }
            a[r * n + c] = cell / diagonal;
        }
    }
    return true;
}

/* Solves L L' X = B in place for the n columns of B [n*n]. */
static void cholesky_solve(const double *L, double *B, size_t n)
{
    for (size_t r = 0; r < n; r++) {
        for (size_t k = 0; k < r; k++) {
            for (size_t c = 0; c < n; c++) {
                B[r * n + c] -= L[r * n + k] * B[k * n + c];
            }
        }
        for (size_t c = 0; c < n; c++) {
            B[r * n + c] /= L[r * n + r];
        }
    }
    for (size_t r = n; r-- > 0;) {
        for (size_t k = r + 1; k < n; k++) {
            for (size_t c = 0; c < n; c++) {
                B[r * n + c] -= L[k * n + r] * B[k * n + c];
            }
        }
        for (size_t c = 0; c < n; c++) {
            B[r * n + c] /= L[r * n + r];
        }
    }
}

/* C = P F' P_pred^-1, by solving P_pred C' = F P. */
static bool smoother_gain(const struct bp_smoother *s, size_t k)
{
    size_t n = s->n, nn = n * n;
    double L[CELLS], Ct[CELLS];
    memcpy(L, s->P_pred + (k + 1) * nn, nn * sizeof *L);
    if (!bp_cholesky(L, n)) {
        return false;
    }
    times(s->F + (k + 1) * nn, s->P + k * nn, Ct, n);
    cholesky_solve(L, Ct, n);
    transpose(Ct, s->gain + k * nn, n);
    return true;
}

bool bp_smoother_back(struct bp_smoother *s)
{
    size_t n = s->n, nn = n * n;
    for (size_t k = s->count - 1; k-- > 0;) {
        if (!smoother_gain(s, k)) {
            return false;
        }
        const double *C = s->gain + k * nn, *next = s->x + (k + 1) * n, *predicted = s->x_pred + (k + 1) * n;
        double *x = s->x + k * n, *P = s->P + k * nn;
        double change[CELLS], CD[CELLS], DCt[CELLS], CDCt[CELLS];
        for (size_t i = 0; i < nn; i++) {
            change[i] = s->P[(k + 1) * nn + i] - s->P_pred[(k + 1) * nn + i];
        }
        times(C, change, CD, n);
        transpose(CD, DCt, n);
        times(C, DCt, CDCt, n);
        for (size_t r = 0; r < n; r++) {
            for (size_t c = 0; c < n; c++) {
                x[r] += C[r * n + c] * (next[c] - predicted[c]);
                P[r * n + c] += 0.5 * (CDCt[r * n + c] + CDCt[c * n + r]);
            }
        }
    }
    return true;
}

/* Cholesky factor of a [n*n] that may be singular: what a pivot has lost to rounding beside `scale`, its
 * diagonal before the knot after was known, counts as nothing. */
static void cholesky_semidefinite(double *a, const double *scale, size_t n)
{
    const double LOST = 1e-12;
    for (size_t c = 0; c < n; c++) {
        double sum = a[c * n + c];
        for (size_t k = 0; k < c; k++) {
            sum -= a[c * n + k] * a[c * n + k];
        }
        double diagonal = sum > LOST * scale[c * n + c] ? sqrt(sum) : 0;
        for (size_t r = 0; r < n; r++) {
            double cell = a[r * n + c];
            for (size_t k = 0; k < c && r > c; k++) {
                cell -= a[r * n + k] * a[c * n + k];
            }
            a[r * n + c] = r < c || diagonal == 0.0 ? 0 : r == c ? diagonal : cell / diagonal;
        }
    }
}

bool bp_smoother_spread(struct bp_smoother *s, struct bp_arena *arena)
{
    size_t n = s->n, nn = n * n;
    s->spread = bp_arena_doubles(arena, s->count * nn);
    if (!s->spread) {
        return false;
    }
    /* cov(x[k] | x[k+1], all data) = P[k] - C[k] P[k+1] C[k]', with the smoothed P. */
    for (size_t k = 0; k < s->count; k++) {
        double *left = s->spread + k * nn;
        memcpy(left, s->P + k * nn, nn * sizeof *left);
        if (k + 1 < s->count) {
            const double *C = s->gain + k * nn;
            double CP[CELLS], PCt[CELLS], CPCt[CELLS];
            times(C, s->P + (k + 1) * nn, CP, n);
            transpose(CP, PCt, n);
            times(C, PCt, CPCt, n);
            for (size_t r = 0; r < n; r++) {
                for (size_t c = 0; c < n; c++) {
                    left[r * n + c] -= 0.5 * (CPCt[r * n + c] + CPCt[c * n + r]);
                }
            }
        }
        cholesky_semidefinite(left, s->P + k * nn, n);
    }
    return true;
}

void bp_smoother_draw(const struct bp_smoother *s, struct bp_random *random, double by, double *error)
{
    size_t n = s->n, nn = n * n;
    double z[BP_STATES_MAX];
    for (size_t k = s->count; k-- > 0;) {
        const double *L = s->spread + k * nn, *C = s->gain + k * nn, *next = error + (k + 1) * n;
        for (size_t c = 0; c < n; c++) {
            z[c] = L[c * n + c] > 0 ? by * bp_random_normal(random) : 0; /* else its column is empty */
        }
        for (size_t r = 0; r < n; r++) {
            double sum = 0;
            for (size_t c = 0; c <= r; c++) {
                sum += L[r * n + c] * z[c];
            }
            for (size_t c = 0; c < n && k + 1 < s->count; c++) {
                sum += C[r * n + c] * next[c];
            }
            error[k * n + r] = sum;
        }
    }
}
