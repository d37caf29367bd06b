/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/attitude.h"
#include "barplumb/units.h"
#include "motion/rotation.h"
#include "motion/smoother.h"

#include <math.h>
#include <string.h>

enum { UP = 0, DRIFT = 3, STATES = 6 };

/* Long enough that the bar's acceleration averages down, short enough that the drift is a straight line. */
static const double KNOT_S = 0.5;
/* Random walk of the gyroscope's bias, rad/s per sqrt(s): bias stability 6-10 °/h of a BMI160-class part, and
 * warming; from memory of such data sheets. */
static const double DRIFT_WALK = 1e-5;
/* Without a gyroscope, directions of the force slower than this are taken for attitude: the bar rolls with
 * the reps (0.2-0.8 Hz), while shake (0.7-8 Hz) should mostly not turn "up". */
static const double TILT_CUTOFF_HZ = 1.2;
/* Slower still, direction is attitude for sure: no lifter pushes a bar sideways for seconds. */
static const double SLOW_TILT_HZ = 0.15;
/* Four first-order passes have half power where (1 + (ωτ)²)^4 = 2. */
static const double FOUR_PASS = 0.43498;

struct knots {
    size_t count;
    size_t *sample;     /* [count + 1] first sample of each; the last entry is the trace's count */
    double (*force)[3]; /* mean specific force in the integrated frame, m/s^2 */
    double (*frame)[9]; /* integral of the phone-to-frame matrix over the knot, s */
    bool *still;
    double *length_s;
    double *gap_s; /* part of it that is a gap in the log */
};

struct work {
    const struct bp_trace *trace;
    const struct bp_spells *stills;
    const struct bp_noise *noise;
    const struct bp_prior *prior;
    struct bp_quaternion *frame; /* [count] phone axes to the integrated frame */
    bool told;                   /* the frame is not integrated: the phone's own attitude made it */
    double told_up[3];           /* "up" in that frame, but for the attitude's error */
    double told_sd;              /* of that error, each axis, rad */
    struct knots knots;
    size_t spell; /* the first still spell that reaches the knot's end: knots are filled in order */
    struct bp_smoother smoother;
};

static void integrate_turns(struct work *w)
{
    const struct bp_trace *trace = w->trace;
    w->frame[0] = (struct bp_quaternion){1, 0, 0, 0};
    for (size_t i = 1; i < trace->count; i++) {
        double dt = trace->time_s[i] - trace->time_s[i - 1], turn[3];
        for (int a = 0; a < 3; a++) {
            double mean = 0.5 * (trace->turn[a][i - 1] + trace->turn[a][i]);
            turn[a] = (mean - w->noise->turn_bias[a]) * dt;
        }
        struct bp_quaternion q = bp_quaternion_times(w->frame[i - 1], bp_quaternion_of(turn));
        /* Products of unit quaternions stay unit to rounding; once in a while is often enough. */
        w->frame[i] = i % 64 == 0 ? bp_quaternion_unit(q) : q;
    }
}

/* The turn that takes the direction `from` to `to`, about the axis across both. Opposite ones have no such
 * axis: any turn by half does. */
static struct bp_quaternion turn_between(const double from[3], const double to[3])
{
    const double LEAST = 1e-12;
    double across[3], w = 1 + bp_dot(from, to);
    bp_cross(from, to, across);
    if (w > LEAST) {
        return bp_quaternion_unit((struct bp_quaternion){w, across[0], across[1], across[2]});
    }
    int least = fabs(from[0]) < fabs(from[1]) ? 0 : 1;
    least = fabs(from[2]) < fabs(from[least]) ? 2 : least;
    double axis[3] = {least == 0, least == 1, least == 2}, other[3];
    bp_cross(from, axis, other);
    bp_normalise(other);
    return (struct bp_quaternion){0, other[0], other[1], other[2]};
}

/* A frame in which the phone's own "up" stands where it is on average. Heading is left out: nothing asks. */
static void take_told(struct work *w)
{
    const struct bp_trace *trace = w->trace;
    for (int a = 0; a < 3; a++) {
        for (size_t i = 0; i < trace->count; i++) {
            w->told_up[a] += trace->up[a][i];
        }
    }
    bp_normalise(w->told_up);
    for (size_t i = 0; i < trace->count; i++) {
        const double up[3] = {trace->up[0][i], trace->up[1][i], trace->up[2][i]};
        w->frame[i] = turn_between(up, w->told_up);
    }
}

static bool make_knots(struct work *w, struct bp_arena *arena)
{
    const struct bp_trace *trace = w->trace;
    struct knots *k = &w->knots;
    size_t most = (size_t)(trace->time_s[trace->count - 1] / KNOT_S) + 2;
    most = most < trace->count ? most : trace->count;
    k->sample = bp_arena_take(arena, most + 1, sizeof *k->sample);
    k->force = bp_arena_zero(arena, most, sizeof *k->force);
    k->frame = bp_arena_zero(arena, most, sizeof *k->frame);
    k->still = bp_arena_zero(arena, most, sizeof *k->still);
    k->length_s = bp_arena_doubles(arena, most);
    k->gap_s = bp_arena_zero(arena, most, sizeof *k->gap_s);
    if (!k->gap_s || !k->sample || !k->force || !k->frame || !k->still || !k->length_s) {
        return false;
    }
    k->count = 0;
    double next = 0;
    for (size_t i = 0; i < trace->count; i++) {
        if (trace->time_s[i] >= next && k->count < most) {
            k->sample[k->count++] = i;
            next = trace->time_s[i] + KNOT_S;
        }
    }
    k->sample[k->count] = trace->count;
    return true;
}

static void fill_knot(struct work *w, size_t k)
{
    const struct bp_trace *trace = w->trace;
    struct knots *knots = &w->knots;
    size_t first = knots->sample[k], end = knots->sample[k + 1];
    double n = (double)(end - first);
    double until = end < trace->count ? trace->time_s[end] : trace->time_s[end - 1];
    knots->length_s[k] = fmax(until - trace->time_s[first], 1e-3);
    for (size_t i = first; i < end; i++) {
        if (i > 0 && (trace->marks[i] & BP_MARK_AFTER_GAP)) {
            knots->gap_s[k] += trace->time_s[i] - trace->time_s[i - 1];
        }
        double m[9], f[3] = {trace->force[0][i], trace->force[1][i], trace->force[2][i]};
        bp_quaternion_matrix(w->frame[i], m);
        for (int r = 0; r < 3; r++) {
            knots->force[k][r] += bp_dot(m + 3 * r, f) / n;
        }
        for (int c = 0; c < 9; c++) {
            knots->frame[k][c] += m[c] * knots->length_s[k] / n;
        }
    }
    while (w->spell < w->stills->count && w->stills->list[w->spell].last + 1 < end) {
        w->spell++;
    }
    knots->still[k] = w->spell < w->stills->count && w->stills->list[w->spell].first <= first;
}

/* u̇ = -u × (R d): how a bias d left in the gyroscope moves "up" in the integrated frame. */
static void transition(const double up[3], const double frame[9], double F[STATES * STATES])
{
    memset(F, 0, STATES * STATES * sizeof *F);
    for (int i = 0; i < STATES; i++) {
        F[i * STATES + i] = 1;
    }
    for (int c = 0; c < 3; c++) {
        double column[3] = {frame[c], frame[3 + c], frame[6 + c]}, moved[3];
        bp_cross(column, up, moved);
        for (int r = 0; r < 3; r++) {
            F[(UP + r) * STATES + DRIFT + c] = moved[r];
        }
    }
}

static void observe_gravity(struct work *w, size_t k)
{
    const struct knots *knots = &w->knots;
    double sd = knots->still[k] ? w->prior->tilt_still_rad
                                : w->prior->moving_speed_m_s / knots->length_s[k] / BP_STANDARD_GRAVITY +
                                      w->prior->tilt_still_rad;
    double gravity = isfinite(w->noise->gravity) ? w->noise->gravity : BP_STANDARD_GRAVITY;
    for (int a = 0; a < 3; a++) {
        double H[STATES] = {0};
        H[UP + a] = 1;
        bp_smoother_observe(&w->smoother, k, H, knots->force[k][a] / gravity, sd * sd);
    }
}

static bool take_smoothed(struct work *w, double (*about)[3])
{
    if (!bp_smoother_back(&w->smoother)) {
        return false;
    }
    for (size_t k = 0; k < w->knots.count; k++) {
        memcpy(about[k], w->smoother.x + k * STATES, sizeof about[k]);
        bp_normalise(about[k]);
    }
    return true;
}

/* How far gravity, where the phone is still, lies from where its own attitude says: no less than the prior
 * says it may be off. */
static void size_told(struct work *w)
{
    double squares = 0, n = 0;
    for (size_t k = 0; k < w->knots.count; k++) {
        double f[3], off[3];
        memcpy(f, w->knots.force[k], sizeof f);
        bp_normalise(f);
        bp_cross(f, w->told_up, off);
        squares += w->knots.still[k] ? bp_dot(off, off) : 0;
        n += w->knots.still[k] ? 1 : 0;
    }
    const double AXES = 2; /* across "up" */
    double seen = n > 0 ? sqrt(squares / n / AXES) : 0;
    w->told_sd = fmax(w->prior->attitude_rad, seen);
}

/* The phone's own attitude: its error comes and goes (an Ornstein-Uhlenbeck process about where it says that
 * up is). */
static bool smooth_told(struct work *w, double (*about)[3])
{
    const double KNOWN = 1e-12; /* variance of what does not move here: there is no drift */
    double spread = w->told_sd * w->told_sd;
    double mean[STATES] = {w->told_up[0], w->told_up[1], w->told_up[2], 0, 0, 0};
    double variance[STATES] = {spread, spread, spread, KNOWN, KNOWN, KNOWN};
    bp_smoother_start(&w->smoother, mean, variance);
    observe_gravity(w, 0);
    for (size_t k = 1; k < w->knots.count; k++) {
        double F[STATES * STATES] = {0}, Q[STATES * STATES] = {0}, input[STATES] = {0};
        double keep = exp(-w->knots.length_s[k - 1] / w->prior->attitude_time_s);
        for (int i = 0; i < STATES; i++) {
            bool up = i < DRIFT;
            F[i * STATES + i] = up ? keep : 1;
            Q[i * STATES + i] = up ? spread * (1 - keep * keep) : KNOWN;
            input[i] = up ? (1 - keep) * w->told_up[i] : 0;
        }
        bp_smoother_predict(&w->smoother, k, F, input, Q);
        observe_gravity(w, k);
    }
    return take_smoothed(w, about);
}

/* One pass over the knots; `about` holds the "up" of every knot the transition is linear about. */
static bool smooth_up(struct work *w, double (*about)[3])
{
    const struct bp_prior *prior = w->prior;
    bool seen = w->stills->count > 0;
    /* Readings coarser than their noise hide up to half a step of bias at rest. */
    double coarse = 0.5 * w->trace->turn_grid;
    double drift = seen ? hypot(prior->turn_bias_left, coarse) : prior->turn_bias_rad_s;
    double mean[STATES] = {about[0][0], about[0][1], about[0][2], 0, 0, 0};
    double variance[STATES] = {1, 1, 1, drift * drift, drift * drift, drift * drift};
    bp_smoother_start(&w->smoother, mean, variance);
    observe_gravity(w, 0);
    for (size_t k = 1; k < w->knots.count; k++) {
        double F[STATES * STATES], Q[STATES * STATES] = {0}, none[STATES] = {0};
        double dt = w->knots.length_s[k - 1];
        double hidden = prior->gap_turn_rad_s * (w->knots.gap_s[k - 1] + w->knots.gap_s[k]);
        transition(about[k - 1], w->knots.frame[k - 1], F);
        for (int a = 0; a < 3; a++) {
            Q[(UP + a) * STATES + UP + a] = prior->turn_walk * prior->turn_walk * dt + hidden * hidden;
            Q[(DRIFT + a) * STATES + DRIFT + a] = DRIFT_WALK * DRIFT_WALK * dt;
        }
        bp_smoother_predict(&w->smoother, k, F, none, Q);
        observe_gravity(w, k);
    }
    return take_smoothed(w, about);
}

/* Turns the smoothed "up" of the knots back into phone axes at every sample, linear between knot middles. */
static void spread_up(const struct work *w, double (*about)[3], double *up[3])
{
    const struct bp_trace *trace = w->trace;
    size_t k = 0;
    for (size_t i = 0; i < trace->count; i++) {
        double t = trace->time_s[i];
        while (k + 2 < w->knots.count &&
               t > trace->time_s[w->knots.sample[k + 1]] + w->knots.length_s[k + 1] / 2) {
            k++;
        }
        size_t next = k + 1 < w->knots.count ? k + 1 : k;
        double from = trace->time_s[w->knots.sample[k]] + w->knots.length_s[k] / 2;
        double to = trace->time_s[w->knots.sample[next]] + w->knots.length_s[next] / 2;
        double share = next > k ? fmin(fmax((t - from) / (to - from), 0), 1) : 0;
        double v[3];
        for (int a = 0; a < 3; a++) {
            v[a] = about[k][a] + share * (about[next][a] - about[k][a]);
        }
        bp_normalise(v);
        bp_turn_in(w->frame[i], v, v);
        for (int a = 0; a < 3; a++) {
            up[a][i] = v[a];
        }
    }
}

static void first_guess(const struct work *w, double (*about)[3])
{
    double mean[3] = {0};
    for (size_t k = 0; k < w->knots.count; k++) {
        for (int a = 0; a < 3; a++) {
            mean[a] += w->knots.force[k][a];
        }
    }
    for (size_t k = 0; k < w->knots.count; k++) {
        memcpy(about[k], w->knots.still[k] ? w->knots.force[k] : mean, sizeof about[k]);
        bp_normalise(about[k]);
    }
}

/* Over knots in a frame of the gyroscope's or of the phone's own attitude. */
static enum bp_code in_frame(struct work *w, struct bp_arena *arena, double *up[3], struct bp_error *error)
{
    enum { PASSES = 3 }; /* the second is already within 1e-6 of the third unless drift is gross */
    w->frame = bp_arena_take(arena, w->trace->count, sizeof *w->frame);
    if (!w->frame || !make_knots(w, arena)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while finding the phone's attitude");
    }
    if (w->told) {
        take_told(w);
    } else {
        integrate_turns(w);
    }
    for (size_t k = 0; k < w->knots.count; k++) {
        fill_knot(w, k);
    }
    double(*about)[3] = bp_arena_take(arena, w->knots.count, sizeof *about);
    if (!about || !bp_smoother_make(&w->smoother, STATES, w->knots.count, arena)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while finding the phone's attitude");
    }
    bool ok = true;
    if (w->told) {
        size_told(w);
        ok = smooth_told(w, about);
    } else {
        first_guess(w, about);
        for (int pass = 0; pass < PASSES && ok; pass++) {
            ok = smooth_up(w, about);
        }
    }
    if (!ok) {
        return bp_error_set(error, BP_ERR_MOTION, "the phone's attitude cannot be reconstructed");
    }
    spread_up(w, about, up);
    return BP_OK;
}

/* First-order low-pass on uneven timestamps, there and back, twice. keep: [count] scratch. */
static void smooth_directions(const double *time_s, double *const x[3], size_t count, double cutoff_hz,
                              double *keep)
{
    double tau = FOUR_PASS / (2 * BP_PI * cutoff_hz);
    for (size_t i = 1; i < count; i++) {
        keep[i] = 1 - exp(-(time_s[i] - time_s[i - 1]) / tau);
    }
    for (int axis = 0; axis < 3; axis++) {
        double *y = x[axis];
        for (int pass = 0; pass < 2; pass++) {
            for (size_t i = 1; i < count; i++) {
                y[i] = y[i - 1] + keep[i] * (y[i] - y[i - 1]);
            }
            for (size_t i = count - 1; i-- > 0;) {
                y[i] = y[i + 1] + keep[i + 1] * (y[i] - y[i + 1]);
            }
        }
    }
}

static enum bp_code without_gyroscope(const struct bp_trace *trace, struct bp_arena *arena, double *up[3],
                                      struct bp_error *error)
{
    double *keep = bp_arena_doubles(arena, trace->count);
    if (!keep) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while finding the phone's attitude");
    }
    for (int a = 0; a < 3; a++) {
        memcpy(up[a], trace->force[a], trace->count * sizeof *up[a]);
    }
    smooth_directions(trace->time_s, up, trace->count, TILT_CUTOFF_HZ, keep);
    for (size_t i = 0; i < trace->count; i++) {
        double v[3] = {up[0][i], up[1][i], up[2][i]};
        bp_normalise(v);
        for (int a = 0; a < 3; a++) {
            up[a][i] = v[a];
        }
    }
    return BP_OK;
}

enum bp_code bp_attitude_swing(const struct bp_trace *trace, double *const up[3], struct bp_arena *arena,
                               double *swing_m_s2, struct bp_error *error)
{
    double *slow[3], *keep = bp_arena_doubles(arena, trace->count);
    for (int a = 0; a < 3; a++) {
        slow[a] = bp_arena_doubles(arena, trace->count);
        if (!slow[a] || !keep) {
            return bp_error_set(error, BP_ERR_MEMORY, "out of memory while finding the phone's attitude");
        }
        memcpy(slow[a], up[a], trace->count * sizeof *up[a]);
    }
    smooth_directions(trace->time_s, slow, trace->count, SLOW_TILT_HZ, keep);
    for (size_t i = 0; i < trace->count; i++) {
        double v[3] = {slow[0][i], slow[1][i], slow[2][i]};
        bp_normalise(v);
        swing_m_s2[i] = 0;
        for (int a = 0; a < 3; a++) {
            swing_m_s2[i] += trace->force[a][i] * (up[a][i] - v[a]);
        }
    }
    return BP_OK;
}

enum bp_code bp_attitude_find(const struct bp_trace *trace, const struct bp_spells *still,
                              const struct bp_noise *noise, const struct bp_prior *prior,
                              struct bp_arena *arena, double *up[3], struct bp_error *error)
{
    struct work work = {.trace = trace, .stills = still, .noise = noise, .prior = prior};
    work.told = !trace->gyroscope && trace->up[0];
    return trace->gyroscope || work.told ? in_frame(&work, arena, up, error)
                                         : without_gyroscope(trace, arena, up, error);
}
