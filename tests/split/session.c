/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "split/session.h"

#include "barplumb/random.h"
#include "barplumb/units.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define GRAVITY 9.81
#define END_S 0.5 /* of a log, taken for how the phone lies there */

#define ROLLED_RAD (30 * BP_DEGREE)

enum { START_SAMPLES = 10 };

static const double PI = 3.14159265358979323846;

int session_up(void **state)
{
    struct session *session = calloc(1, sizeof *session);
    if (!session) {
        return 1;
    }
    bp_arena_init(&session->arena);
    *state = session;
    return 0;
}

int session_down(void **state)
{
    struct session *session = *state;
    bp_arena_free(&session->arena);
    free(session);
    return 0;
}

void session_clear(struct session *session, uint64_t seed)
{
    struct bp_arena arena = session->arena;
    bp_arena_reset(&arena);
    memset(session, 0, sizeof *session);
    session->arena = arena;
    session->seed = seed;
}

static void *grown(struct session *session, const void *old, size_t size)
{
    char *fresh = bp_arena_zero(&session->arena, session->capacity, size);
    assert_non_null(fresh);
    if (session->trace.count > 0) {
        memcpy(fresh, old, session->trace.count * size);
    }
    return fresh;
}

/* Room for one sample more; returns its index. */
static size_t next_sample(struct session *session)
{
    struct bp_trace *trace = &session->trace;
    if (trace->count == session->capacity) {
        session->capacity = session->capacity > 0 ? 2 * session->capacity : 65536;
        trace->time_s = grown(session, trace->time_s, sizeof(double));
        trace->marks = grown(session, trace->marks, 1);
        for (int a = 0; a < 3; a++) {
            trace->force[a] = grown(session, trace->force[a], sizeof(double));
            trace->turn[a] = trace->gyroscope ? grown(session, trace->turn[a], sizeof(double)) : NULL;
        }
    }
    return trace->count++;
}

static struct bp_random random_of(struct session *session)
{
    struct bp_random random;
    bp_random_init(&random, session->seed++, 1);
    return random;
}

/* One sample a step later, with the sensors' noise. */
static void add(struct session *session, struct bp_random *random, const double force[3],
                const double turn[3])
{
    struct bp_trace *trace = &session->trace;
    size_t i = next_sample(session);
    trace->time_s[i] = trace->time_s[i - 1] + session->step_s;
    for (int a = 0; a < 3; a++) {
        trace->force[a][i] = force[a] + session->force_sd * bp_random_normal(random);
        if (trace->gyroscope) {
            trace->turn[a][i] = session->turn[a] + turn[a] + session->turn_sd * bp_random_normal(random);
        }
    }
}

static size_t steps(const struct session *session, double length_s)
{
    return (size_t)lround(length_s / session->step_s);
}

static void take_set(struct session *session, const struct sim_log *log)
{
    struct bp_trace *trace = &session->trace;
    size_t begin = trace->count;
    double begin_s = begin > 0 ? trace->time_s[begin - 1] + session->step_s : 0;
    for (size_t k = 0; k < log->count; k++) {
        size_t i = next_sample(session);
        trace->time_s[i] = begin_s + log->time_s[k];
        for (int a = 0; a < 3; a++) {
            trace->force[a][i] = log->force[a][k];
            if (log->gyroscope) {
                trace->turn[a][i] = log->turn[a][k];
            }
        }
    }
    session->begins_s[session->sets] = begin_s;
}

static void mean_and_sd(double *const axis[3], size_t first, size_t last, double mean[3], double *sd)
{
    double sum = 0, n = (double)(last - first);
    for (int a = 0; a < 3; a++) {
        mean[a] = 0;
        for (size_t i = first; i < last; i++) {
            mean[a] += axis[a][i] / n;
        }
        for (size_t i = first; i < last; i++) {
            sum += (axis[a][i] - mean[a]) * (axis[a][i] - mean[a]);
        }
    }
    *sd = sqrt(sum / (3 * n));
}

static void cross(const double a[3], const double b[3], double out[3])
{
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}

static double length_of(const double v[3])
{
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

/* How the phone reads some 60 to 150 degrees away. */
static void draw_place(const double force[3], struct bp_random *random, double place[3])
{
    double axis[3], side[3], angle = bp_random_between(random, 60, 150) * BP_DEGREE;
    const double aside[3] = {bp_random_normal(random), bp_random_normal(random), bp_random_normal(random)};
    cross(force, aside, axis);
    cross(axis, force, side);
    for (int a = 0; a < 3; a++) { /* with its offset there: 15 mg, an ordinary phone */
        place[a] =
            GRAVITY * (cos(angle) * force[a] / length_of(force) + sin(angle) * side[a] / length_of(side)) +
            0.15 * bp_random_normal(random);
    }
}

/* By hand from how the phone lies to where it reads `place`: turned about one axis, carried up and down. */
static void turn_to(struct session *session, const double place[3], double length_s)
{
    struct bp_random random = random_of(session);
    double from[3], axis[3], side[3], was = length_of(session->force), is = length_of(place);
    memcpy(from, session->force, sizeof from);
    cross(from, place, axis);
    double crossed = length_of(axis);
    double whole = atan2(crossed, from[0] * place[0] + from[1] * place[1] + from[2] * place[2]);
    for (int a = 0; a < 3; a++) {
        axis[a] /= crossed;
        from[a] /= was;
    }
    cross(axis, from, side);
    size_t count = steps(session, length_s);
    for (size_t k = 0; k <= count; k++) {
        double part = (double)k / (double)count, wave = 2 * PI * part;
        double angle = whole * (part - sin(wave) / (2 * PI)), rate = whole / length_s * (1 - cos(wave));
        /* half a metre up, and unsteadily; a bar that lies otherwise in its hooks is not lifted */
        double lift = whole < ROLLED_RAD ? 0
                                         : 0.5 * 2 * PI / (length_s * length_s) * sin(wave) +
                                               0.8 * sin(3 * wave) * sin(PI * part);
        double force[3], turn[3];
        for (int a = 0; a < 3; a++) {
            force[a] = (was + (is - was) * part + lift) * (from[a] * cos(angle) + side[a] * sin(angle)) +
                       0.5 * lift * axis[a];
            turn[a] = -rate * axis[a]; /* up turns in the phone against the phone's own turn */
        }
        add(session, &random, force, turn);
    }
    memcpy(session->force, place, sizeof session->force);
}

void session_add_turn(struct session *session, double length_s)
{
    struct bp_random random = random_of(session);
    double place[3];
    draw_place(session->force, &random, place);
    turn_to(session, place, length_s);
}

/* How the phone lies at the end of a set of count samples; its noise and the gyroscope's bias are those of
 * the set's quietest window, for the phone may be in a hand at the end. */
static void take_rest(struct session *session, size_t count)
{
    struct bp_trace *trace = &session->trace;
    size_t window = steps(session, END_S), end = trace->count;
    double mean[3], sd;
    session->force_sd = (double)INFINITY;
    for (size_t i = end - count; i + window <= end; i += window) {
        mean_and_sd(trace->force, i, i + window, mean, &sd);
        if (sd < session->force_sd) {
            session->force_sd = sd;
            if (trace->gyroscope) {
                mean_and_sd(trace->turn, i, i + window, session->turn, &session->turn_sd);
            }
        }
    }
    mean_and_sd(trace->force, end - START_SAMPLES, end, session->force, &sd);
}

void session_add_set(struct session *session, const struct sim_scenario *scenario, double turn_s)
{
    struct sim_log log;
    struct bp_trace *trace = &session->trace;
    assert_true(session->sets < SESSION_SETS_MAX);
    assert_null(sim_scenario_fault(scenario));
    assert_int_equal(sim_run(scenario, &log, &session->truth[session->sets]), SIM_OK);
    assert_null(log.turn_time_s);
    if (trace->count == 0) {
        trace->gyroscope = log.gyroscope;
        trace->force_limit = trace->turn_limit = trace->start_epoch_s = (double)NAN;
        trace->recognised.declared_rate_hz = (double)NAN;
        session->step_s = log.time_s[log.count - 1] / (double)(log.count - 1);
    }
    if (turn_s > 0) {
        double place[3], sd;
        mean_and_sd(log.force, 0, START_SAMPLES, place, &sd);
        turn_to(session, place, turn_s);
    }
    take_set(session, &log);
    session->sets++;
    trace->recognised.rows = trace->count;
    take_rest(session, log.count);
    sim_log_free(&log);
}

void session_add_rest(struct session *session, double length_s)
{
    static const double none[3] = {0, 0, 0};
    struct bp_random random = random_of(session);
    for (size_t k = steps(session, length_s); k > 0; k--) {
        add(session, &random, session->force, none);
    }
}

/* Of |sin|^20: who walks on the level does not accelerate upward on average. */
#define STRIKE_MEAN 0.17619705200195312

void session_add_walk(struct session *session, double length_s)
{
    struct bp_random random = random_of(session);
    const double *rest = session->force;
    double length = length_of(rest), aside[3], across[3];
    aside[0] = rest[1] / length, aside[1] = -rest[0] / length, aside[2] = 0.3;
    cross(rest, aside, across);
    for (size_t k = 0; k < steps(session, length_s); k++) {
        double t = (double)k * session->step_s, w = 4 * PI, ease = fmin(1, t);
        double swing = 0.25 * sin(PI * 2 * t) * ease, rate = 0.25 * 2 * PI * cos(PI * 2 * t) * ease;
        double bob = 0.02 * w * w * sin(w * t) * ease,
               strike = 3 * (pow(fabs(sin(w * t / 2)), 20) - STRIKE_MEAN) * ease;
        double force[3], turn[3];
        for (int a = 0; a < 3; a++) {
            force[a] = rest[a] * (cos(swing) + (bob + strike) / length) + length * sin(swing) * aside[a];
            turn[a] = rate * across[a] / length;
        }
        add(session, &random, force, turn);
    }
}

/* Where a knock takes the bar after t seconds, for a push of 1: it rings at 22 Hz, and is back where it was.
 */
static double ring(double t)
{
    return t > 0 ? t * t * t * exp(-t / 0.02) * sin(2 * PI * 22 * t) : 0;
}

void session_add_knocks(struct session *session, double length_s)
{
    static const double none[3] = {0, 0, 0};
    static const double h = 1e-4; /* s, of the second difference that makes an acceleration of it */
    struct bp_random random = random_of(session);
    double push[3] = {0}, since = 1;
    for (size_t k = 0; k < steps(session, length_s); k++) {
        since += session->step_s;
        if (since > 0.2 && bp_random_between(&random, 0, 1) < 4 * session->step_s) {
            since = 0;
            for (int a = 0; a < 3; a++) {
                push[a] = 50 * bp_random_normal(&random); /* 11 m/s^2 at its peak */
            }
        }
        double ringing = (ring(since + h) - 2 * ring(since) + ring(since - h)) / (h * h);
        double force[3];
        for (int a = 0; a < 3; a++) {
            force[a] = session->force[a] + push[a] * ringing;
        }
        add(session, &random, force, none);
    }
}

void session_vary(const struct sim_scenario *first, uint64_t seed, struct sim_scenario *scenario)
{
    struct bp_random random;
    bp_random_init(&random, seed, 2);
    *scenario = *first;
    scenario->seed = seed;
    scenario->reps = 1 + (int)(6 * bp_random_between(&random, 0, 1));
    scenario->mean_speed_m_s = first->mean_speed_m_s * (0.85 + 0.3 * bp_random_between(&random, 0, 1));
    scenario->sticking_from_rep = 0;
    scenario->handling_start_s = scenario->handling_end_s = 0; /* session_add_turn does that */
    if (scenario->ending == SIM_CUT) {                         /* the phone runs on */
        scenario->ending = SIM_RACKED;
    }
}
