/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How much of each error shape is in the movement along the bar. A bar's sideways movement does not by itself
 * follow the lift's acceleration, the roll or the lever's swing, so what of it does is error: a linear
 * regression of the band of acceleration, with the prior's sd of each share, each stretch of the log weighted
 * by its own power.
 */
#include "summary/sideways_shapes.h"

#include <math.h>
#include <string.h>

static const double SEGMENT_S = 2; /* a stretch of even power: about a stroke */
enum { ROUNDS = 4 };               /* of weighting; the third changes nothing a figure shows */
/* Column 0 is the movement, 1 … the shapes in units of the prior's sd. */
enum { COLUMNS = BP_SHAPES + 1 };
/* A segment of less than this power is a bar at rest, and weighs as if it had it, (m/s^2)^2. */
static const double POWER_FLOOR = 1e-4;
/* A descent, a drive and a hold: without a gyroscope a rep is one piece of evidence, not three. */
static const double SEGMENTS_A_REP = 3;

struct segment {
    double gram[COLUMNS][COLUMNS];
    double count;
};

struct work {
    struct bp_sideways *sideways;
    size_t p; /* shapes */
    size_t segment_count;
    struct segment *segments;
    double precision[BP_SHAPES][BP_SHAPES], pull[BP_SHAPES];
};

static void add_sample(struct segment *segment, const double *x, size_t columns)
{
    for (size_t r = 0; r < columns; r++) {
        for (size_t c = 0; c <= r; c++) {
            segment->gram[r][c] += x[r] * x[c];
        }
    }
    segment->count++;
}

static void mirror(struct segment *segment, size_t columns)
{
    for (size_t r = 0; r < columns; r++) {
        for (size_t c = r + 1; c < columns; c++) {
            segment->gram[r][c] = segment->gram[c][r];
        }
    }
}

/* Sums over each segment of the phone's time on the bar. */
static bool make_segments(struct work *w, struct bp_arena *arena)
{
    const struct bp_sideways *s = w->sideways;
    const double *time = s->motion->trace->time_s;
    double from = time[s->motion->on_bar.first], to = time[s->motion->on_bar.last];
    size_t first = (size_t)ceil(from / s->step_s), end = (size_t)floor(to / s->step_s) + 1;
    size_t length = (size_t)ceil(SEGMENT_S / s->step_s);
    end = end < s->bands.count ? end : s->bands.count;
    w->segment_count = end > first ? (end - first + length - 1) / length : 0;
    w->segments = bp_arena_zero(arena, w->segment_count + 1, sizeof *w->segments);
    if (!w->segments) {
        return false;
    }
    for (size_t k = first; k < end; k++) {
        double x[COLUMNS] = {s->bands.along_m_s2[k]};
        for (size_t j = 0; j < w->p; j++) {
            x[j + 1] = s->sd[j] * s->shape[j][BP_BAND_ACCELERATION][k];
        }
        add_sample(&w->segments[(k - first) / length], x, w->p + 1);
    }
    for (size_t k = 0; k < w->segment_count; k++) {
        mirror(&w->segments[k], w->p + 1);
    }
    return true;
}

/* Of the residual with column r: the Gram row r times (1, -best). */
static double residual_with(const struct work *w, const struct segment *segment, size_t r)
{
    double sum = segment->gram[r][0];
    for (size_t j = 0; j < w->p; j++) {
        sum -= segment->gram[r][j + 1] * w->sideways->best[j];
    }
    return sum;
}

static double residual_power(const struct work *w, const struct segment *segment)
{
    double sum = residual_with(w, segment, 0);
    for (size_t j = 0; j < w->p; j++) {
        sum -= w->sideways->best[j] * residual_with(w, segment, j + 1);
    }
    return fmax(sum / segment->count, 0) + POWER_FLOOR;
}

/* Samples are not independent: they come quicker than the band moves, and a movement has its own rhythm. How
 * much the segments' scores really scatter says by how much (the sandwich estimate of Liang & Zeger 1986,
 * Biometrika 73:13-22), as one factor: the shapes' mean. The tilt that is not seen without a gyroscope comes
 * once a rep, in step with what it hides behind: there the worst shape speaks for all. */
static double dependence(const struct work *w)
{
    double sum = 0, worst = 0, shapes = 0;
    for (size_t j = 0; j < w->p; j++) {
        double scatter = 0, said = 0;
        for (size_t k = 0; k < w->segment_count; k++) {
            double weight = 1 / residual_power(w, &w->segments[k]);
            double score = weight * residual_with(w, &w->segments[k], j + 1);
            scatter += score * score;
            said += weight * w->segments[k].gram[j + 1][j + 1];
        }
        if (said > 0) {
            sum += scatter / said;
            worst = fmax(worst, scatter / said);
            shapes++;
        }
    }
    /* White noise within the band is the least dependent it can be. */
    double least = 0.5 / (w->sideways->step_s * (BP_SHAKE_HIGH_HZ - BP_SHAKE_LOW_HZ));
    double factor = w->sideways->motion->trace->gyroscope ? sum / fmax(shapes, 1) : SEGMENTS_A_REP * worst;
    return fmax(factor, fmax(least, 1));
}

/* Precision and pull of the shares in units of their sd: the prior's is 1. */
static void sum_up(struct work *w)
{
    double factor = dependence(w);
    memset(w->precision, 0, sizeof w->precision);
    memset(w->pull, 0, sizeof w->pull);
    for (size_t k = 0; k < w->segment_count; k++) {
        double weight = 1 / (factor * residual_power(w, &w->segments[k]));
        for (size_t r = 0; r < w->p; r++) {
            w->pull[r] += weight * w->segments[k].gram[r + 1][0];
            for (size_t c = 0; c < w->p; c++) {
                w->precision[r][c] += weight * w->segments[k].gram[r + 1][c + 1];
            }
        }
    }
    for (size_t r = 0; r < w->p; r++) {
        w->precision[r][r] += 1;
    }
}

/* Cholesky; the precision is at least 1 in every direction. */
static void find_root(struct work *w)
{
    double *L = w->sideways->root;
    memset(L, 0, sizeof w->sideways->root);
    for (size_t r = 0; r < w->p; r++) {
        for (size_t c = 0; c <= r; c++) {
            double sum = w->precision[r][c];
            for (size_t k = 0; k < c; k++) {
                sum -= L[r * BP_SHAPES + k] * L[c * BP_SHAPES + k];
            }
            L[r * BP_SHAPES + c] = r == c ? sqrt(sum) : sum / L[c * BP_SHAPES + c];
        }
    }
}

static void solve(struct work *w)
{
    const double *L = w->sideways->root;
    double *x = w->sideways->best;
    for (size_t r = 0; r < w->p; r++) {
        double sum = w->pull[r];
        for (size_t k = 0; k < r; k++) {
            sum -= L[r * BP_SHAPES + k] * x[k];
        }
        x[r] = sum / L[r * BP_SHAPES + r];
    }
    for (size_t r = w->p; r-- > 0;) {
        double sum = x[r];
        for (size_t k = r + 1; k < w->p; k++) {
            sum -= L[k * BP_SHAPES + r] * x[k];
        }
        x[r] = sum / L[r * BP_SHAPES + r];
    }
}

bool bp_sideways_fit(struct bp_sideways *sideways, struct bp_arena *arena)
{
    struct work w = {.sideways = sideways, .p = sideways->shape_count};
    if (!make_segments(&w, arena)) {
        return false;
    }
    memset(sideways->best, 0, sizeof sideways->best);
    for (int round = 0; round < ROUNDS; round++) {
        sum_up(&w);
        find_root(&w);
        solve(&w);
    }
    return true;
}
