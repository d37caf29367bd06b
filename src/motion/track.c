/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The motion stage's two steps: prepare what does not depend on the reps, then find the track.
 */
#include "barplumb/motion.h"
#include "barplumb/units.h"
#include "motion/attitude.h"
#include "motion/axis.h"
#include "motion/beyond.h"
#include "motion/held.h"
#include "motion/posterior.h"
#include "motion/rotation.h"
#include "motion/stretch.h"
#include "motion/vertical.h"

#include <math.h>
#include <string.h>

const struct bp_motion_settings bp_motion_defaults = {.along_axis = -1};

/* Between knots the bias does not move and the sensors are exact to well under a millimetre. */
static const double KNOT_STEP_S = 0.2;

static bool take_arrays(const struct bp_trace *trace, struct bp_arena *arena, struct bp_motion *motion)
{
    size_t n = trace->count;
    bool ok = true;
    for (int a = 0; a < 3; a++) {
        motion->up[a] = bp_arena_doubles(arena, n);
        ok = ok && motion->up[a];
    }
    motion->rise_m_s2 = bp_arena_doubles(arena, n);
    bool swings = !trace->gyroscope && !trace->up[0];
    motion->swing_m_s2 = swings ? bp_arena_doubles(arena, n) : NULL;
    motion->along_m_s2 = bp_arena_doubles(arena, n);
    motion->fore_m_s2 = trace->gyroscope ? bp_arena_doubles(arena, n) : NULL;
    motion->tilt_rad = trace->gyroscope ? bp_arena_doubles(arena, n) : NULL;
    return ok && motion->rise_m_s2 && motion->along_m_s2 &&
           (!trace->gyroscope || (motion->fore_m_s2 && motion->tilt_rad)) && (!swings || motion->swing_m_s2);
}

/* Specific force of one sample, turned to the bar's axes: up, along the bar (kept horizontal), across it.
 * Without a gyroscope "up" follows the force, so what is left along the bar is the phone axis's own reading
 * less its slow part: tilt stays in it ("apparent"). */
static void turn_sample(struct bp_motion *motion, size_t i)
{
    const struct bp_trace *trace = motion->trace;
    const double *bar = motion->along.axis;
    double f[3] = {trace->force[0][i], trace->force[1][i], trace->force[2][i]};
    double up[3] = {motion->up[0][i], motion->up[1][i], motion->up[2][i]};
    motion->rise_m_s2[i] = bp_dot(up, f) - BP_STANDARD_GRAVITY;
    if (!trace->gyroscope) {
        motion->along_m_s2[i] = bp_dot(bar, f);
        return;
    }
    double lift = bp_dot(bar, up), level[3], fore[3];
    for (int a = 0; a < 3; a++) {
        level[a] = bar[a] - lift * up[a];
    }
    bp_normalise(level);
    bp_cross(up, level, fore);
    motion->along_m_s2[i] = bp_dot(level, f);
    motion->fore_m_s2[i] = bp_dot(fore, f);
    motion->tilt_rad[i] = asin(fmin(fmax(lift, -1), 1));
}

enum bp_code bp_motion_prepare(const struct bp_trace *trace, const struct bp_motion_settings *settings,
                               struct bp_arena *arena, struct bp_motion *motion, struct bp_error *error)
{
    *motion = (struct bp_motion){.trace = trace, .gain_off = settings->gain_off, .doubts = settings->doubts};
    if (!take_arrays(trace, arena, motion)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the bar's motion");
    }
    enum bp_code code = BP_OK;
    if (settings->still) {
        motion->still = *settings->still;
        motion->noise = *settings->noise;
    } else {
        code = bp_still_find(trace, &bp_still_defaults, arena, &motion->still, &motion->noise, NULL, error);
    }
    if (code == BP_OK) {
        code = bp_attitude_find(trace, &motion->still, &motion->noise, &bp_prior_defaults, arena, motion->up,
                                error);
    }
    if (code == BP_OK && motion->swing_m_s2) {
        code = bp_attitude_swing(trace, motion->up, arena, motion->swing_m_s2, error);
    }
    if (code != BP_OK) {
        return code;
    }
    motion->on_bar = bp_stretch_find(motion);
    motion->along =
        bp_axis_find(motion->up, trace->time_s, motion->on_bar, trace->gyroscope, settings->along_axis);
    for (size_t i = 0; i < trace->count; i++) {
        turn_sample(motion, i);
    }
    bp_beyond_add(motion);
    if (!bp_held_find(motion, arena, &motion->held)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the bar's motion");
    }
    return BP_OK;
}

/* Fills the samples between two knots: the sensors carried on from the first, and the small mismatch at the
 * second taken up by the cubic that is zero with zero slope at the first. */
static void fill_between(const struct bp_motion *motion, const struct bp_knots *knots,
                         const struct bp_smoother *s, size_t k, struct bp_track *track)
{
    const double *t = motion->trace->time_s, *now = s->x + k * s->n, *next = now + s->n;
    size_t first = knots->sample[k], last = knots->sample[k + 1], side = bp_knots_side(motion);
    double h = now[BP_STATE_HEIGHT], v = now[BP_STATE_SPEED], before = 0;
    const double *lean = bp_knots_lean(motion);
    for (size_t i = first; i <= last; i++) {
        double a = motion->rise_m_s2[i];
        for (int c = 0; c < 3; c++) {
            a -= motion->up[c][i] * now[BP_STATE_ERROR + c];
        }
        if (lean) {
            a -= lean[i] * now[BP_STATE_ERROR + BP_ERROR_LEAN];
        }
        track->accel_m_s2[i] = a;
        a += bp_knots_bent(motion, side, i);
        if (i > first) {
            double dt = t[i] - t[i - 1];
            h += v * dt + dt * dt * (2 * before + a) / 6;
            v += dt * (before + a) / 2;
        }
        before = a;
        track->height_m[i] = h;
        track->speed_m_s[i] = v;
    }
    double T = t[last] - t[first];
    double miss_h = next[BP_STATE_HEIGHT] - h, miss_v = next[BP_STATE_SPEED] - v;
    double c2 = (3 * miss_h - T * miss_v) / (T * T), c3 = (T * miss_v - 2 * miss_h) / (T * T * T);
    for (size_t i = first; i <= last; i++) {
        double x = t[i] - t[first];
        track->height_m[i] += x * x * (c2 + c3 * x);
        track->speed_m_s[i] += x * (2 * c2 + 3 * c3 * x);
    }
}

static void spread_of(const struct bp_posterior *posterior, struct bp_track *track)
{
    const struct bp_smoother *s = &posterior->smoother;
    double speed = 0, height = 0, factor = bp_posterior_factor(posterior);
    for (size_t k = 0; k < s->count; k++) {
        const double *P = s->P + k * s->n * s->n;
        height += P[BP_STATE_HEIGHT * s->n + BP_STATE_HEIGHT];
        speed += P[BP_STATE_SPEED * s->n + BP_STATE_SPEED];
    }
    track->variance_factor = factor;
    track->speed_sd_m_s = sqrt(factor * fmax(speed, 0) / (double)s->count);
    track->height_sd_m = sqrt(factor * fmax(height, 0) / (double)s->count);
}

/* The smoothed height over the level at knot k: its expected square. */
static double level_square(const struct bp_smoother *s, size_t k, enum bp_level level)
{
    size_t n = s->n, a = BP_STATE_HEIGHT, b = BP_STATE_LEVEL + (size_t)level;
    const double *x = s->x + k * n, *P = s->P + k * n * n;
    double off = x[a] - x[b];
    return off * off + fmax(P[a * n + a] + P[b * n + b] - 2 * P[a * n + b], 0);
}

/* The tightest closures of a level are those it is about; looser ones (an unracking) say nothing of it. */
static void spread_levels(const struct bp_posterior *posterior, const struct bp_closures *closures,
                          struct bp_track *track)
{
    double tightest[BP_LEVEL_COUNT] = {0};
    size_t k = 0;
    for (size_t c = 0; c < closures->count; c++) {
        const struct bp_closure *closure = &closures->list[c];
        double *sd = &tightest[closure->level];
        if (closure->kind == BP_CLOSURE_LEVEL) {
            *sd = *sd > 0 ? fmin(*sd, closure->sd) : closure->sd;
        }
    }
    for (size_t c = 0; c < closures->count; c++) {
        const struct bp_closure *closure = &closures->list[c];
        if (closure->kind != BP_CLOSURE_LEVEL || closure->sd > tightest[closure->level]) {
            continue;
        }
        while (posterior->knots.sample[k] < closure->first) {
            k++;
        }
        track->level_squares_m2[closure->level] += level_square(&posterior->smoother, k, closure->level);
        track->level_count[closure->level]++;
    }
}

enum bp_code bp_track_find(const struct bp_motion *motion, const struct bp_closures *closures,
                           const struct bp_first_pass *first_pass, struct bp_arena *arena,
                           struct bp_track *track, struct bp_error *error)
{
    const struct bp_first_pass *first = first_pass ? first_pass : &bp_first_pass_defaults;
    size_t n = motion->trace->count;
    struct bp_posterior *posterior = bp_arena_zero(arena, 1, sizeof *posterior);
    bool broken = false;
    *track = (struct bp_track){.count = n, .time_s = motion->trace->time_s};
    track->height_m = bp_arena_doubles(arena, n);
    track->speed_m_s = bp_arena_doubles(arena, n);
    track->accel_m_s2 = bp_arena_doubles(arena, n);
    if (!posterior || !track->height_m || !track->speed_m_s || !track->accel_m_s2 ||
        !bp_knots_make(motion, closures, KNOT_STEP_S, arena, &posterior->knots) ||
        !bp_vertical_smooth(motion, closures, closures ? NULL : first, &posterior->knots, &bp_prior_defaults,
                            arena, &posterior->smoother, &posterior->fit, &broken)) {
        return broken ? bp_error_set(error, BP_ERR_MOTION, "the bar's path cannot be reconstructed")
                      : bp_error_set(error, BP_ERR_MEMORY, "out of memory for the bar's path");
    }
    posterior->motion = motion;
    posterior->prior = &bp_prior_defaults;
    track->posterior = posterior;
    for (size_t k = 0; k + 1 < posterior->knots.count; k++) {
        fill_between(motion, &posterior->knots, &posterior->smoother, k, track);
    }
    spread_of(posterior, track);
    if (closures) {
        spread_levels(posterior, closures, track);
    }
    return BP_OK;
}
