/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "motion/smoother.h"
#include "shake/signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

static struct bp_arena arena;

static int setup(void **state)
{
    (void)state;
    bp_arena_init(&arena);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    bp_arena_free(&arena);
    return 0;
}

static const double noise = 0.3; /* velocity random walk of the closed forms, m/s per sqrt(s) */
/* Steps as uneven as a log's knots, s. */
static double step_at(size_t k)
{
    return 0.05 + 0.04 * sin((double)k * 1.7);
}

/* A random walk over `count` knots from exactly 0. */
static double make_walk(struct bp_smoother *s, size_t count)
{
    const double F[1] = {1}, none[1] = {0};
    double t = 0;
    assert_true(bp_smoother_make(s, 1, count, &arena));
    bp_smoother_start(s, none, none);
    for (size_t k = 1; k < count; k++) {
        const double Q[1] = {noise * noise * step_at(k)};
        bp_smoother_predict(s, k, F, none, Q);
        t += step_at(k);
    }
    return t;
}

/* A random walk tied at both ends is a Brownian bridge: sd N sqrt(t (T - t) / T), and a straight mean. */
static void walk_tied_at_both_ends_is_a_brownian_bridge(void **state)
{
    (void)state;
    enum { COUNT = 60 };
    const double H[1] = {1};
    struct bp_smoother s;
    double T = make_walk(&s, COUNT), t = 0;
    bp_smoother_observe(&s, COUNT - 1, H, 2.0, 1e-14);
    assert_true(bp_smoother_back(&s));
    for (size_t k = 1; k + 1 < COUNT; k++) {
        t += step_at(k);
        assert_true(fabs(sqrt(s.P[k]) / (noise * sqrt(t * (T - t) / T)) - 1) < 1e-9);
        assert_true(fabs(s.x[k] - 2.0 * t / T) < 1e-9);
    }
}

/* Height and speed under white acceleration of density noise². */
static void make_fall(struct bp_smoother *s, size_t count)
{
    const double none[2] = {0, 0};
    assert_true(bp_smoother_make(s, 2, count, &arena));
    bp_smoother_start(s, none, none);
    for (size_t k = 1; k < count; k++) {
        double dt = step_at(k), q = noise * noise;
        const double F[4] = {1, dt, 0, 1};
        const double Q[4] = {q * dt * dt * dt / 3, q * dt * dt / 2, q * dt * dt / 2, q * dt};
        bp_smoother_predict(s, k, F, none, Q);
    }
}

/* Woodman 2007 (Technical Report UCAM-CL-TR-696, from memory): var v = N² t, var h = N² t³ / 3. */
static void white_acceleration_twice_integrated_has_variance_t_cubed_over_three(void **state)
{
    (void)state;
    enum { COUNT = 80 };
    struct bp_smoother s;
    double t = 0;
    make_fall(&s, COUNT);
    for (size_t k = 1; k < COUNT; k++) {
        const double *P = s.P + 4 * k;
        t += step_at(k);
        assert_true(fabs(P[0] / (noise * noise * t * t * t / 3) - 1) < 1e-12);
        assert_true(fabs(P[1] / (noise * noise * t * t / 2) - 1) < 1e-12);
        assert_true(fabs(P[3] / (noise * noise * t) - 1) < 1e-12);
    }
}

/* Standing still at both ends halves the sd of the height gained: N sqrt(T³ / 12). */
static void speed_known_at_both_ends_halves_the_sd_of_the_rise(void **state)
{
    (void)state;
    enum { COUNT = 80 };
    const double H[2] = {0, 1};
    struct bp_smoother s;
    double T = 0;
    make_fall(&s, COUNT);
    for (size_t k = 1; k < COUNT; k++) {
        T += step_at(k);
    }
    bp_smoother_observe(&s, COUNT - 1, H, 0, 1e-14);
    assert_true(bp_smoother_back(&s));
    assert_true(fabs(sqrt(s.P[4 * (COUNT - 1)]) / (noise * sqrt(T * T * T / 12)) - 1) < 1e-9);
}

static void innovation_comes_in_units_of_its_own_sd(void **state)
{
    (void)state;
    const double mean[2] = {1, 2}, variance[2] = {4, 9}, H[2] = {2, -1};
    struct bp_smoother s;
    assert_true(bp_smoother_make(&s, 2, 1, &arena));
    bp_smoother_start(&s, mean, variance);
    /* H x = 0, variance 4·4 + 9 + 11 = 36 */
    assert_true(fabs(bp_smoother_observe(&s, 0, H, 3, 11) - 0.5) < 1e-15);
    assert_true(fabs(s.x[0] - (1 + 8.0 / 36 * 3)) < 1e-15 && fabs(s.x[1] - (2 - 9.0 / 36 * 3)) < 1e-15);
    assert_true(fabs(s.P[0] - (4 - 64.0 / 36)) < 1e-14 && fabs(s.P[1] - 72.0 / 36) < 1e-14);
    assert_true(fabs(s.P[3] - (9 - 81.0 / 36)) < 1e-14 && s.P[1] == s.P[2]);
}

/* The small case both ways: height, speed and bias at nine uneven knots, eleven scalar observations. */
enum { STATES = 3, KNOTS = 9, UNKNOWN = STATES * KNOTS, SEEN = 11, ROWS = UNKNOWN + SEEN };

struct small_case {
    double mean[STATES], variance[STATES];
    double F[KNOTS][STATES * STATES], input[KNOTS][STATES], Q[KNOTS][STATES * STATES];
    size_t seen_at[SEEN];
    double H[SEEN][STATES], z[SEEN], seen_variance[SEEN];
};

static void make_case(struct small_case *c)
{
    double drawn[64];
    signal_noise(drawn, 64, 31);
    *c = (struct small_case){.mean = {0.1, -0.2, 0.05}, .variance = {0.01, 0.25, 0.09}};
    for (size_t k = 1; k < KNOTS; k++) {
        double dt = 0.1 + 0.08 * drawn[k] / 2, q = 0.04;
        const double F[9] = {1, dt, -dt * dt / 2, 0, 1, -dt, 0, 0, 1};
        const double Q[9] = {
            q * dt * dt * dt / 3, q * dt * dt / 2, 0, q * dt * dt / 2, q * dt, 0, 0, 0, 1e-4 * dt};
        memcpy(c->F[k], F, sizeof F);
        memcpy(c->Q[k], Q, sizeof Q);
        c->input[k][0] = 0.05 * drawn[20 + k];
        c->input[k][1] = 0.3 * drawn[30 + k];
    }
    for (size_t o = 0; o < SEEN; o++) {
        c->seen_at[o] = o * (KNOTS - 1) / (SEEN - 1);
        c->H[o][o % 2] = 1;
        c->H[o][2] = o % 3 == 0 ? 0.5 : 0;
        c->z[o] = 0.2 * drawn[40 + o];
        c->seen_variance[o] = 1e-4 * (double)(1 + o);
    }
}

static void filter_case(const struct small_case *c, struct bp_smoother *s)
{
    assert_true(bp_smoother_make(s, STATES, KNOTS, &arena));
    bp_smoother_start(s, c->mean, c->variance);
    for (size_t k = 0; k < KNOTS; k++) {
        if (k > 0) {
            bp_smoother_predict(s, k, c->F[k], c->input[k], c->Q[k]);
        }
        for (size_t o = 0; o < SEEN; o++) {
            if (c->seen_at[o] == k) {
                bp_smoother_observe(s, k, c->H[o], c->z[o], c->seen_variance[o]);
            }
        }
    }
}

/* Rows first..first+2 of the whitened system: L⁻¹ (x_k - F x_{k-1} - input) with Q = L L'. */
static void put_transition(const struct small_case *c, size_t k, gsl_matrix *A, gsl_vector *b)
{
    double Q[STATES * STATES], left[STATES * 2 * STATES] = {0};
    memcpy(Q, c->Q[k], sizeof Q);
    gsl_matrix_view L = gsl_matrix_view_array(Q, STATES, STATES);
    gsl_linalg_cholesky_decomp1(&L.matrix);
    for (size_t r = 0; r < STATES; r++) {
        for (size_t col = 0; col < STATES; col++) {
            left[r * 2 * STATES + col] = -c->F[k][r * STATES + col];
        }
        left[r * 2 * STATES + STATES + r] = 1;
    }
    for (size_t col = 0; col <= 2 * STATES; col++) {
        double cells[STATES];
        for (size_t r = 0; r < STATES; r++) {
            double sum = col < 2 * STATES ? left[r * 2 * STATES + col] : c->input[k][r];
            for (size_t m = 0; m < r; m++) {
                sum -= Q[r * STATES + m] * cells[m];
            }
            cells[r] = sum / Q[r * STATES + r];
            if (col < 2 * STATES) {
                gsl_matrix_set(A, k * STATES + r, (k - 1) * STATES + col, cells[r]);
            } else {
                gsl_vector_set(b, k * STATES + r, cells[r]);
            }
        }
    }
}

/* The whole case as one dense least-squares problem, every row in units of its own sd. */
static void fill_dense(const struct small_case *c, gsl_matrix *A, gsl_vector *b)
{
    for (size_t i = 0; i < STATES; i++) {
        gsl_matrix_set(A, i, i, 1 / sqrt(c->variance[i]));
        gsl_vector_set(b, i, c->mean[i] / sqrt(c->variance[i]));
    }
    for (size_t k = 1; k < KNOTS; k++) {
        put_transition(c, k, A, b);
    }
    for (size_t o = 0; o < SEEN; o++) {
        double sd = sqrt(c->seen_variance[o]);
        for (size_t i = 0; i < STATES; i++) {
            gsl_matrix_set(A, UNKNOWN + o, c->seen_at[o] * STATES + i, c->H[o][i] / sd);
        }
        gsl_vector_set(b, UNKNOWN + o, c->z[o] / sd);
    }
}

/* Solution and covariance (A'A)⁻¹ of the dense problem. */
static void solve_dense(const struct small_case *c, double x[UNKNOWN], double P[UNKNOWN * UNKNOWN])
{
    gsl_matrix *A = gsl_matrix_calloc(ROWS, UNKNOWN), *U = gsl_matrix_calloc(ROWS, UNKNOWN);
    gsl_matrix *V = gsl_matrix_calloc(UNKNOWN, UNKNOWN);
    gsl_vector *b = gsl_vector_calloc(ROWS), *size = gsl_vector_calloc(UNKNOWN),
               *work = gsl_vector_calloc(UNKNOWN);
    gsl_vector_view solution = gsl_vector_view_array(x, UNKNOWN);
    fill_dense(c, A, b);
    gsl_matrix_memcpy(U, A);
    gsl_linalg_SV_decomp(U, V, size, work);
    gsl_linalg_SV_solve(U, V, size, b, &solution.vector);
    for (size_t r = 0; r < UNKNOWN; r++) {
        for (size_t col = 0; col < UNKNOWN; col++) {
            double sum = 0;
            for (size_t m = 0; m < UNKNOWN; m++) {
                double one = gsl_vector_get(size, m);
                sum += gsl_matrix_get(V, r, m) * gsl_matrix_get(V, col, m) / (one * one);
            }
            P[r * UNKNOWN + col] = sum;
        }
    }
    gsl_matrix_free(A);
    gsl_matrix_free(U);
    gsl_matrix_free(V);
    gsl_vector_free(b);
    gsl_vector_free(size);
    gsl_vector_free(work);
}

static void smoother_equals_the_dense_least_squares_solution(void **state)
{
    (void)state;
    static struct small_case c;
    static double x[UNKNOWN], P[UNKNOWN * UNKNOWN];
    struct bp_smoother s;
    make_case(&c);
    filter_case(&c, &s);
    assert_true(bp_smoother_back(&s));
    solve_dense(&c, x, P);
    for (size_t k = 0; k < KNOTS; k++) {
        for (size_t r = 0; r < STATES; r++) {
            size_t row = k * STATES + r;
            assert_true(fabs(s.x[row] - x[row]) < 1e-8);
            for (size_t col = 0; col < STATES; col++) {
                double scale =
                    sqrt(P[row * UNKNOWN + row] * P[(k * STATES + col) * UNKNOWN + k * STATES + col]);
                double got = s.P[k * STATES * STATES + r * STATES + col];
                assert_true(fabs(got - P[row * UNKNOWN + k * STATES + col]) < 1e-8 * scale);
            }
        }
    }
}

/* Cov(x_k, x_{k+1}) given everything is C[k] P[k+1]: what drawing a path from the posterior rests on. */
static void gain_gives_the_covariance_of_neighbouring_knots(void **state)
{
    (void)state;
    static struct small_case c;
    static double x[UNKNOWN], P[UNKNOWN * UNKNOWN];
    struct bp_smoother s;
    make_case(&c);
    filter_case(&c, &s);
    assert_true(bp_smoother_back(&s));
    solve_dense(&c, x, P);
    for (size_t k = 0; k + 1 < KNOTS; k++) {
        const double *C = s.gain + k * STATES * STATES, *next = s.P + (k + 1) * STATES * STATES;
        for (size_t r = 0; r < STATES; r++) {
            for (size_t col = 0; col < STATES; col++) {
                double got = 0;
                for (size_t m = 0; m < STATES; m++) {
                    got += C[r * STATES + m] * next[m * STATES + col];
                }
                size_t row = k * STATES + r, column = (k + 1) * STATES + col;
                double scale = sqrt(P[row * UNKNOWN + row] * P[column * UNKNOWN + column]);
                assert_true(fabs(got - P[row * UNKNOWN + column]) < 1e-8 * scale);
            }
        }
    }
}

/* Not one direction in the state is less certain after the backward pass. */
static void smoothing_never_adds_uncertainty(void **state)
{
    (void)state;
    enum { CELLS = STATES * STATES };
    static struct small_case c;
    struct bp_smoother s;
    double filtered[KNOTS * CELLS];
    make_case(&c);
    filter_case(&c, &s);
    memcpy(filtered, s.P, sizeof filtered);
    assert_true(bp_smoother_back(&s));
    for (size_t k = 0; k < KNOTS; k++) {
        double gained[CELLS];
        for (size_t i = 0; i < CELLS; i++) {
            gained[i] = filtered[k * CELLS + i] - s.P[k * CELLS + i] + (i % (STATES + 1) == 0 ? 1e-12 : 0);
        }
        assert_true(bp_cholesky(gained, STATES));
    }
    for (size_t i = 0; i < CELLS; i++) {
        assert_true(filtered[(KNOTS - 1) * CELLS + i] == s.P[(KNOTS - 1) * CELLS + i]);
    }
}

static void smoother_works_at_its_largest_state(void **state)
{
    (void)state;
    enum { N = BP_STATES_MAX };
    struct bp_smoother s;
    double F[N * N] = {0}, Q[N * N] = {0}, none[N] = {0}, ones[N];
    for (size_t i = 0; i < N; i++) {
        F[i * N + i] = 1;
        Q[i * N + i] = 0.5;
        ones[i] = 1;
    }
    assert_true(bp_smoother_make(&s, N, 2, &arena));
    bp_smoother_start(&s, none, ones);
    bp_smoother_predict(&s, 1, F, none, Q);
    for (size_t i = 0; i < N; i++) {
        double H[N] = {0};
        H[i] = 1;
        bp_smoother_observe(&s, 1, H, 3, 0.5);
    }
    assert_true(bp_smoother_back(&s));
    for (size_t i = 0; i < N; i++) { /* each alone: x_0 ~ (0, 1), seen through 0.5 + 0.5 at 3 */
        assert_true(fabs(s.x[i] - 1.5) < 1e-14);
        assert_true(fabs(s.P[i * N + i] - 0.5) < 1e-14);
    }
}

static void a_singular_covariance_is_reported(void **state)
{
    (void)state;
    const double F[4] = {1, 0, 0, 1}, none[4] = {0}, broken[4] = {(double)NAN, 0, 0, 1};
    const double half[4] = {1, 0, 0, 0}, indefinite[4] = {1, 2, 2, 1};
    const double *bad[] = {none, broken, half, indefinite};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct bp_smoother s;
        assert_true(bp_smoother_make(&s, 2, 2, &arena));
        bp_smoother_start(&s, none, none);
        bp_smoother_predict(&s, 1, F, none, bad[i]);
        assert_false(bp_smoother_back(&s));
    }
}

static void cholesky_factors_a_known_matrix_and_refuses_others(void **state)
{
    (void)state;
    /* 4 12 -16; 12 37 -43; -16 -43 98 = L L' with L = 2; 6 1; -8 5 3: worked by hand. */
    double a[9] = {4, 12, -16, 12, 37, -43, -16, -43, 98};
    double indefinite[4] = {1, 2, 2, 1}, nothing[1] = {0}, not_a_number[1] = {(double)NAN};
    assert_true(bp_cholesky(a, 3));
    assert_true(a[0] == 2 && a[3] == 6 && a[4] == 1 && a[6] == -8 && a[7] == 5 && a[8] == 3);
    assert_false(bp_cholesky(indefinite, 2));
    assert_false(bp_cholesky(nothing, 1));
    assert_false(bp_cholesky(not_a_number, 1));
}

static void smoother_reports_memory_that_is_out(void **state)
{
    (void)state;
    enum { LARGE = 400000 }; /* knots: larger arrays than a block has room for beside others */
    size_t failed = 0;
    for (size_t n = 0; n < 20; n++) {
        struct bp_smoother s;
        bp_arena_free(&arena);
        failing_alloc_arm(n);
        bool made = bp_smoother_make(&s, 4, LARGE, &arena);
        bool happened = failing_alloc_disarm();
        assert_int_equal(made, !happened);
        failed += happened;
    }
    assert_in_range(failed, 3, 6);
}

/* The walk tied at both ends: a draw knows the ends exactly, and is of unit size in between on average. */
static void a_draw_keeps_what_is_known(void **state)
{
    (void)state;
    enum { COUNT = 20, DRAWS = 2000 };
    const double H[1] = {1};
    double error[COUNT], twice[COUNT], sum = 0;
    struct bp_smoother s;
    struct bp_random random, same;
    make_walk(&s, COUNT);
    bp_smoother_observe(&s, COUNT - 1, H, 2.0, 1e-14);
    assert_true(bp_smoother_back(&s));
    assert_true(bp_smoother_spread(&s, &arena));
    bp_random_init(&random, 4, 0);
    for (int d = 0; d < DRAWS; d++) {
        same = random;
        bp_smoother_draw(&s, &random, 1, error);
        assert_true(error[0] == 0 && fabs(error[COUNT - 1]) < 1e-6);
        for (size_t k = 1; k + 1 < COUNT; k++) {
            sum += error[k] * error[k] / s.P[k] / ((COUNT - 2) * DRAWS);
        }
    }
    assert_true(fabs(sum - 1) < 5 * sqrt(2.0 / DRAWS)); /* five sigma, were all of a draw's knots as one */
    bp_smoother_draw(&s, &same, 2, twice);
    for (size_t k = 0; k < COUNT; k++) {
        assert_true(fabs(twice[k] - 2 * error[k]) < 1e-14);
    }
}

static void spread_reports_memory_that_is_out(void **state)
{
    (void)state;
    enum { LARGE = 400000 };
    struct bp_smoother s = {.n = 4, .count = LARGE};
    bp_arena_free(&arena);
    failing_alloc_arm(0);
    assert_false(bp_smoother_spread(&s, &arena));
    assert_true(failing_alloc_disarm());
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(walk_tied_at_both_ends_is_a_brownian_bridge),
        cmocka_unit_test(white_acceleration_twice_integrated_has_variance_t_cubed_over_three),
        cmocka_unit_test(speed_known_at_both_ends_halves_the_sd_of_the_rise),
        cmocka_unit_test(innovation_comes_in_units_of_its_own_sd),
        cmocka_unit_test(smoother_equals_the_dense_least_squares_solution),
        cmocka_unit_test(gain_gives_the_covariance_of_neighbouring_knots),
        cmocka_unit_test(smoothing_never_adds_uncertainty),
        cmocka_unit_test(smoother_works_at_its_largest_state),
        cmocka_unit_test(a_singular_covariance_is_reported),
        cmocka_unit_test(cholesky_factors_a_known_matrix_and_refuses_others),
        cmocka_unit_test(smoother_reports_memory_that_is_out),
        cmocka_unit_test(a_draw_keeps_what_is_known),
        cmocka_unit_test(spread_reports_memory_that_is_out),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
