/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/knots.h"

#include <math.h>

/* A movement bends over this; what bends quicker is clatter, and would only be made louder. */
static const double BEND_S = 0.02;

static bool take_arrays(struct bp_knots *k, size_t most, struct bp_arena *arena)
{
    k->sample = bp_arena_take(arena, most, sizeof *k->sample);
    k->length_s = bp_arena_zero(arena, most, sizeof *k->length_s);
    k->speed = bp_arena_zero(arena, most, sizeof *k->speed);
    k->height = bp_arena_zero(arena, most, sizeof *k->height);
    k->speed_error = bp_arena_zero(arena, most, sizeof *k->speed_error);
    k->height_error = bp_arena_zero(arena, most, sizeof *k->height_error);
    k->steps = bp_arena_zero(arena, most, sizeof *k->steps);
    k->rough = bp_arena_zero(arena, most, sizeof *k->rough);
    k->uneven = bp_arena_zero(arena, most, sizeof *k->uneven);
    k->gap_s = bp_arena_zero(arena, most, sizeof *k->gap_s);
    k->clipped_s2 = bp_arena_zero(arena, most, sizeof *k->clipped_s2);
    k->spoilt = bp_arena_zero(arena, most, sizeof *k->spoilt);
    return k->spoilt && k->sample && k->length_s && k->speed && k->height && k->speed_error &&
           k->height_error && k->rough && k->uneven && k->steps && k->gap_s && k->clipped_s2;
}

/* Is the step to sample i, or a part of it, in a spoilt spell? */
static bool is_spoilt(const struct bp_motion *motion, size_t i)
{
    const double *t = motion->trace->time_s;
    bool inside = false;
    for (size_t d = 0; i > 0 && d < motion->doubts.count; d++) {
        inside = inside || (motion->doubts.list[d].from_s < t[i] && motion->doubts.list[d].to_s > t[i - 1]);
    }
    return inside;
}

/* Marks the samples that must be knots. */
static void mark_samples(const struct bp_motion *motion, const struct bp_closures *closures, double step_s,
                         unsigned char *knot)
{
    const struct bp_trace *trace = motion->trace;
    double next = trace->time_s[0];
    for (size_t i = 0; i < trace->count; i++) {
        if (trace->time_s[i] >= next) {
            knot[i] = 1;
            next = trace->time_s[i] + step_s;
        }
        if (((trace->marks[i] & BP_MARK_AFTER_GAP) && i > 0) || is_spoilt(motion, i)) {
            knot[i - 1] = knot[i] = 1; /* so that the doubt stays between its own two knots */
        }
    }
    knot[trace->count - 1] = 1;
    for (size_t c = 0; closures && c < closures->count; c++) {
        knot[closures->list[c].first] = 1;
    }
}

/* What stands out of the straight line between the samples `side` before and after sample i, which exist. */
static double rest_of(const struct bp_motion *motion, size_t i, size_t side)
{
    const double *a = motion->rise_m_s2 + i - side, *t = motion->trace->time_s + i - side;
    double share = (t[side] - t[0]) / (t[2 * side] - t[0]);
    return a[side] - (a[0] + share * (a[2 * side] - a[0]));
}

/* What stands out between its neighbours is too quick for the rate: sensor noise, and clatter near or (folded
 * back) above half of it. Of white noise of sd σ it has variance 1.5 σ². */
static double roughness(const struct bp_motion *motion, size_t i)
{
    const double WHITE = 1.5;
    double rest = i > 0 && i + 1 < motion->trace->count ? rest_of(motion, i, 1) : 0;
    return rest * rest / WHITE;
}

size_t bp_knots_side(const struct bp_motion *motion)
{
    const struct bp_trace *trace = motion->trace;
    double step_s = (trace->time_s[trace->count - 1] - trace->time_s[0]) / (double)(trace->count - 1);
    return (size_t)fmax(round(BEND_S / step_s), 1);
}

double bp_knots_bent(const struct bp_motion *motion, size_t side, size_t i)
{
    const struct bp_trace *trace = motion->trace;
    const double *t = trace->time_s + i;
    if (i < side || i + side >= trace->count) {
        return 0;
    }
    bool torn = (trace->marks[i - side] & BP_MARK_CLIPPED) != 0;
    for (size_t k = i - side + 1; k <= i + side; k++) {
        torn = torn || (trace->marks[k] & (BP_MARK_AFTER_GAP | BP_MARK_CLIPPED));
    }
    double before = t[0] - trace->time_s[i - side], after = t[side] - t[0];
    return torn ? 0
                : rest_of(motion, i, side) * (t[1] - t[0]) * (t[0] - trace->time_s[i - 1]) /
                      (6 * before * after);
}

const double *bp_knots_lean(const struct bp_motion *motion)
{
    return motion->swing_m_s2 ? motion->swing_m_s2 : motion->fore_m_s2;
}

/* One step of the trapezoid rule for speed and its exact match for height (acceleration linear in time), with
 * how the acceleration bends between samples; the errors change too slowly to bend. */
static void add_step(const struct bp_motion *motion, struct bp_knots *k, size_t knot, size_t i,
                     const double bent[2], double *clipped_s)
{
    const struct bp_trace *trace = motion->trace;
    double dt = trace->time_s[i] - trace->time_s[i - 1];
    double a0 = motion->rise_m_s2[i - 1] + bent[0], a1 = motion->rise_m_s2[i] + bent[1];
    k->height[knot] += k->speed[knot] * dt + dt * dt * (2 * a0 + a1) / 6;
    k->speed[knot] += dt * (a0 + a1) / 2;
    const double *lean = bp_knots_lean(motion);
    for (int a = 0; a < (lean ? BP_ERRORS : 3); a++) {
        const double *error = a == BP_ERROR_LEAN ? lean : motion->up[a];
        double u0 = error[i - 1], u1 = error[i];
        k->height_error[knot][a] += k->speed_error[knot][a] * dt + dt * dt * (2 * u0 + u1) / 6;
        k->speed_error[knot][a] += dt * (u0 + u1) / 2;
    }
    k->length_s[knot] += dt;
    k->steps[knot]++;
    k->rough[knot] += roughness(motion, i) * dt * dt;
    k->uneven[knot] += dt * dt;
    k->gap_s[knot] += trace->marks[i] & BP_MARK_AFTER_GAP ? dt : 0;
    k->spoilt[knot] = k->spoilt[knot] || is_spoilt(motion, i);
    if (trace->marks[i] & BP_MARK_CLIPPED) {
        k->clipped_s2[knot] += dt * (2 * *clipped_s + dt);
    }
    *clipped_s = trace->marks[i] & BP_MARK_CLIPPED ? *clipped_s + dt : 0;
}

/* From the sum of the steps' squares to what is uneven of them. */
static void finish(struct bp_knots *k, size_t knot)
{
    double even = k->length_s[knot] * k->length_s[knot] / (double)(k->steps[knot] > 0 ? k->steps[knot] : 1);
    k->uneven[knot] = k->uneven[knot] > 0 ? fmax(1 - even / k->uneven[knot], 0) : 0;
}

bool bp_knots_make(const struct bp_motion *motion, const struct bp_closures *closures, double step_s,
                   struct bp_arena *arena, struct bp_knots *knots)
{
    const struct bp_trace *trace = motion->trace;
    unsigned char *marked = bp_arena_zero(arena, trace->count, 1);
    if (!marked) {
        return false;
    }
    mark_samples(motion, closures, step_s, marked);
    size_t count = 0;
    for (size_t i = 0; i < trace->count; i++) {
        count += marked[i];
    }
    *knots = (struct bp_knots){0};
    if (!take_arrays(knots, count, arena)) {
        return false;
    }
    size_t side = bp_knots_side(motion);
    double bent[2] = {0, 0}; /* of the sample before, and of this one */
    double clipped_s = 0;    /* how long it has been clipped */
    for (size_t i = 0; i < trace->count; i++) {
        bent[0] = bent[1];
        bent[1] = bp_knots_bent(motion, side, i);
        if (i > 0) {
            add_step(motion, knots, knots->count, i, bent, &clipped_s);
        }
        if (marked[i]) {
            finish(knots, knots->count);
            knots->sample[knots->count++] = i;
        }
    }
    return true;
}
