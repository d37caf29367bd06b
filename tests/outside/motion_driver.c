/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs one part of src/motion on what stands on standard input and writes its result to standard output, both
 * as raw doubles, for motion_smoother.py. Exit status 2 for a bad call, 1 for a failed one.
 *
 *   smoother: n, count, start mean [n], start variance [n], then for every knot: F [n*n], input [n], Q [n*n]
 *             (read but unused at knot 0), how many observations, each H [n], z, variance.
 *             Out: for every knot filtered P [n*n], smoothed x [n], P [n*n], gain [n*n] (0 at the last).
 *   draws:    the same. Out: for every normal that one draw takes, in order, the error [count*n] of a draw in
 * which that one is 1 and the others 0: the columns of the linear map from the normals to the error. track:
 * any number of logs with a gyroscope that reads 0: samples, still spells, closures, sd of one force axis,
 *             length of gravity at rest, time [samples], force x, y, z [samples] each, each spell's first and
 * last, each closure's kind, level, first, last and sd. Out: for each height [samples], speed [samples], and
 * their stated sd over the log. rotation: any number of v [3]. Out: for each the matrix of the turn by v [9].
 *   eigen:    any number of symmetric matrices [9]. Out: for each values [3], vectors [9].
 */
#include "barplumb/motion.h"
#include "motion/rotation.h"
#include "motion/smoother.h"

#include <stdio.h>
#include <string.h>

enum { NUMBERS_MAX = 1 << 18, SPELLS_MAX = 8, CLOSURES_MAX = 16 };
static const double TURN_SD = 1e-3; /* rad/s: of a common gyroscope */

/* The linker puts this in place of the library's generator: one normal of a draw is 1, the others are 0. */
static size_t normals_taken, normal_that_is_one;
double __wrap_bp_random_normal(struct bp_random *random);
double __wrap_bp_random_normal(struct bp_random *random)
{
    (void)random;
    return normals_taken++ == normal_that_is_one ? 1 : 0;
}

struct call {
    double *in, *out; /* [NUMBERS_MAX] */
    size_t count, next, written;
    struct bp_arena arena;
};

static const double *take(struct call *call, size_t count)
{
    static const double nothing[BP_STATES_MAX * BP_STATES_MAX];
    if (count > call->count - call->next) {
        call->next = call->count;
        return nothing;
    }
    call->next += count;
    return call->in + call->next - count;
}

static void put(struct call *call, const double *x, size_t count)
{
    if (count <= NUMBERS_MAX - call->written) {
        memcpy(call->out + call->written, x, count * sizeof *x);
        call->written += count;
    }
}

static void filter_knot(struct call *call, struct bp_smoother *s, size_t k)
{
    size_t n = s->n;
    const double *F = take(call, n * n), *input = take(call, n), *Q = take(call, n * n);
    if (k > 0) {
        bp_smoother_predict(s, k, F, input, Q);
    }
    size_t seen = (size_t)*take(call, 1);
    for (size_t i = 0; i < seen; i++) {
        const double *H = take(call, n), *z = take(call, 1), *variance = take(call, 1);
        bp_smoother_observe(s, k, H, *z, *variance);
    }
}

/* Reads a case and filters it; filtered: NULL, or [count*n*n] for the covariances before smoothing. */
static bool smooth_case(struct call *call, struct bp_smoother *s, double *filtered)
{
    size_t n = (size_t)*take(call, 1), count = (size_t)*take(call, 1), nn = n * n;
    if (n < 1 || n > BP_STATES_MAX || count < 1 || count > NUMBERS_MAX / (4 * nn) ||
        !bp_smoother_make(s, n, count, &call->arena)) {
        return false;
    }
    const double *mean = take(call, n), *variance = take(call, n);
    bp_smoother_start(s, mean, variance);
    for (size_t k = 0; k < count; k++) {
        filter_knot(call, s, k);
    }
    if (filtered) {
        memcpy(filtered, s->P, count * nn * sizeof *filtered);
    }
    memset(s->gain, 0, count * nn * sizeof *s->gain);
    return bp_smoother_back(s);
}

static bool run_smoother(struct call *call)
{
    static double filtered[NUMBERS_MAX];
    struct bp_smoother s;
    if (!smooth_case(call, &s, filtered)) {
        return false;
    }
    size_t n = s.n, nn = n * n;
    for (size_t k = 0; k < s.count; k++) {
        put(call, filtered + k * nn, nn);
        put(call, s.x + k * n, n);
        put(call, s.P + k * nn, nn);
        put(call, s.gain + k * nn, nn);
    }
    return true;
}

static bool run_draws(struct call *call)
{
    struct bp_smoother s;
    struct bp_random random = {.spare = 0};
    if (!smooth_case(call, &s, NULL) || !bp_smoother_spread(&s, &call->arena)) {
        return false;
    }
    double *error = bp_arena_doubles(&call->arena, s.count * s.n);
    for (size_t one = 0; error && one < s.count * s.n; one++) {
        normals_taken = 0;
        normal_that_is_one = one;
        bp_smoother_draw(&s, &random, 1, error);
        if (normals_taken != s.count * s.n) {
            return false;
        }
        put(call, error, s.count * s.n);
    }
    return error != NULL;
}

static double *copy(struct call *call, size_t count)
{
    double *out = bp_arena_doubles(&call->arena, count);
    if (out) {
        memcpy(out, take(call, count), count * sizeof *out);
    }
    return out;
}

static void read_knowledge(struct call *call, struct bp_spells *still, struct bp_closures *closures)
{
    for (size_t s = 0; s < still->count; s++) {
        const double *ends = take(call, 2);
        still->list[s] = (struct bp_spell){(size_t)ends[0], (size_t)ends[1]};
    }
    for (size_t c = 0; c < closures->count; c++) {
        const double *given = take(call, 5);
        closures->list[c] = (struct bp_closure){.kind = (enum bp_closure_kind)given[0],
                                                .level = (enum bp_level)given[1],
                                                .first = (size_t)given[2],
                                                .last = (size_t)given[3],
                                                .sd = given[4]};
    }
}

/* One log through the whole stage. */
static bool track_log(struct call *call)
{
    struct bp_spell spells[SPELLS_MAX];
    struct bp_closure list[CLOSURES_MAX];
    const double *head = take(call, 5);
    size_t n = (size_t)head[0];
    struct bp_spells still = {(size_t)head[1], spells};
    struct bp_closures closures = {.count = (size_t)head[2], .list = list};
    struct bp_noise noise = {.force_sd = head[3], .turn_sd = TURN_SD, .gravity = head[4]};
    struct bp_trace trace = {.count = n, .gyroscope = true};
    struct bp_motion_settings settings = {.along_axis = 0, .still = &still, .noise = &noise};
    struct bp_motion motion;
    struct bp_track track;
    struct bp_error error;
    if (n < 2 || 4 * n > call->count - call->next || still.count > SPELLS_MAX ||
        closures.count > CLOSURES_MAX) {
        return false;
    }
    trace.time_s = copy(call, n);
    trace.marks = bp_arena_zero(&call->arena, n, 1);
    for (int a = 0; a < 3; a++) {
        trace.force[a] = copy(call, n);
        trace.turn[a] = bp_arena_zero(&call->arena, n, sizeof(double));
    }
    read_knowledge(call, &still, &closures);
    if (!trace.time_s || !trace.marks || !trace.force[2] || !trace.turn[2] ||
        bp_motion_prepare(&trace, &settings, &call->arena, &motion, &error) != BP_OK ||
        bp_track_find(&motion, &closures, NULL, &call->arena, &track, &error) != BP_OK) {
        return false;
    }
    put(call, track.height_m, n);
    put(call, track.speed_m_s, n);
    put(call, &track.height_sd_m, 1);
    put(call, &track.speed_sd_m_s, 1);
    return true;
}

static bool run_track(struct call *call)
{
    bool good = true;
    while (good && call->next < call->count) {
        good = track_log(call);
    }
    return good;
}

static bool run_rotation(struct call *call)
{
    while (call->count - call->next >= 3) {
        double m[9];
        bp_quaternion_matrix(bp_quaternion_of(take(call, 3)), m);
        put(call, m, 9);
    }
    return true;
}

static bool run_eigen(struct call *call)
{
    while (call->count - call->next >= 9) {
        double values[3], vectors[9];
        bp_eigen3(take(call, 9), values, vectors);
        put(call, values, 3);
        put(call, vectors, 9);
    }
    return true;
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        bool (*run)(struct call *call);
    } table[] = {{"smoother", run_smoother},
                 {"draws", run_draws},
                 {"track", run_track},
                 {"rotation", run_rotation},
                 {"eigen", run_eigen}};
    struct call call = {.next = 0};
    int status = 2;
    bp_arena_init(&call.arena);
    call.in = bp_arena_doubles(&call.arena, NUMBERS_MAX);
    call.out = bp_arena_doubles(&call.arena, NUMBERS_MAX);
    for (size_t i = 0; argc == 2 && call.in && call.out && i < sizeof table / sizeof *table; i++) {
        if (strcmp(argv[1], table[i].name) == 0) {
            call.count = fread(call.in, sizeof(double), NUMBERS_MAX, stdin);
            bool good = table[i].run(&call) && call.written > 0;
            status = good && fwrite(call.out, sizeof(double), call.written, stdout) == call.written ? 0 : 1;
        }
    }
    bp_arena_free(&call.arena);
    if (status == 2) {
        fputs("usage: motion_driver smoother|draws|track|rotation|eigen <doubles >doubles\n", stderr);
    }
    return status;
}
