/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs one part of src/motion on what stands on standard input and writes its result to standard output, both
 * as raw doubles, for motion_smoother.py. Exit status 2 for a bad call, 1 for a failed one.
 *
 *   smoother: n, count, start mean [n], start variance [n], then for every knot: F [n*n], input [n], Q [n*n]
 *             (read but unused at knot 0), how many observations, each H [n], z, variance.
 *             Out: for every knot filtered P [n*n], smoothed x [n], P [n*n], gain [n*n] (0 at the last).
 *   rotation: any number of v [3]. Out: for each the matrix of the turn by v [9].
 *   eigen:    any number of symmetric matrices [9]. Out: for each values [3], vectors [9].
 */
#include "motion/rotation.h"
#include "motion/smoother.h"

#include <stdio.h>
#include <string.h>

enum { NUMBERS_MAX = 1 << 18 };

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

static bool run_smoother(struct call *call)
{
    static double filtered[NUMBERS_MAX];
    size_t n = (size_t)*take(call, 1), count = (size_t)*take(call, 1), nn = n * n;
    struct bp_smoother s;
    if (n < 1 || n > BP_STATES_MAX || count < 1 || count > NUMBERS_MAX / (4 * nn) ||
        !bp_smoother_make(&s, n, count, &call->arena)) {
        return false;
    }
    const double *mean = take(call, n), *variance = take(call, n);
    bp_smoother_start(&s, mean, variance);
    for (size_t k = 0; k < count; k++) {
        filter_knot(call, &s, k);
    }
    memcpy(filtered, s.P, count * nn * sizeof *filtered);
    memset(s.gain, 0, count * nn * sizeof *s.gain);
    if (!bp_smoother_back(&s)) {
        return false;
    }
    for (size_t k = 0; k < count; k++) {
        put(call, filtered + k * nn, nn);
        put(call, s.x + k * n, n);
        put(call, s.P + k * nn, nn);
        put(call, s.gain + k * nn, nn);
    }
    return true;
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
    } table[] = {{"smoother", run_smoother}, {"rotation", run_rotation}, {"eigen", run_eigen}};
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
        fputs("usage: motion_driver smoother|rotation|eigen <doubles >doubles\n", stderr);
    }
    return status;
}
