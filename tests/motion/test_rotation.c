/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/units.h"
#include "motion/rotation.h"
#include "shake/signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

enum { DRAWS = 300 };

static const struct bp_quaternion one = {1, 0, 0, 0}, i = {0, 1, 0, 0}, j = {0, 0, 1, 0}, k = {0, 0, 0, 1};

static double quaternion_distance(struct bp_quaternion a, struct bp_quaternion b)
{
    return fmax(fmax(fabs(a.w - b.w), fabs(a.x - b.x)), fmax(fabs(a.y - b.y), fabs(a.z - b.z)));
}

static struct bp_quaternion minus(struct bp_quaternion q)
{
    return (struct bp_quaternion){-q.w, -q.x, -q.y, -q.z};
}

static double norm(struct bp_quaternion q)
{
    return sqrt(q.w * q.w + q.x * q.x + q.y * q.y + q.z * q.z);
}

/* Numbers between -1.8 and 1.8, the same in every run. */
static const double *drawn(void)
{
    static double numbers[12 * DRAWS];
    signal_noise(numbers, 12 * DRAWS, 9);
    return numbers;
}

static struct bp_quaternion drawn_quaternion(const double *four)
{
    return (struct bp_quaternion){four[0], four[1], four[2], four[3]};
}

/* Hamilton's own table: ii = jj = kk = ijk = -1, ij = k and so round; ji = -k. */
static void product_keeps_hamiltons_table(void **state)
{
    (void)state;
    const struct bp_quaternion units[3] = {i, j, k};
    for (int a = 0; a < 3; a++) {
        struct bp_quaternion next = units[(a + 1) % 3], third = units[(a + 2) % 3];
        assert_true(quaternion_distance(bp_quaternion_times(units[a], units[a]), minus(one)) == 0);
        assert_true(quaternion_distance(bp_quaternion_times(units[a], next), third) == 0);
        assert_true(quaternion_distance(bp_quaternion_times(next, units[a]), minus(third)) == 0);
        assert_true(quaternion_distance(bp_quaternion_times(one, units[a]), units[a]) == 0);
        assert_true(quaternion_distance(bp_quaternion_times(units[a], one), units[a]) == 0);
    }
    struct bp_quaternion ijk = bp_quaternion_times(bp_quaternion_times(i, j), k);
    assert_true(quaternion_distance(ijk, minus(one)) == 0);
}

/* (1 + 2i + 3j + 4k)(5 + 6i + 7j + 8k) = -60 + 12i + 30j + 24k, worked by hand from the table. */
static void product_of_two_whole_quaternions_is_exact(void **state)
{
    (void)state;
    struct bp_quaternion product =
        bp_quaternion_times((struct bp_quaternion){1, 2, 3, 4}, (struct bp_quaternion){5, 6, 7, 8});
    assert_true(quaternion_distance(product, (struct bp_quaternion){-60, 12, 30, 24}) == 0);
}

static void product_is_associative_and_keeps_lengths(void **state)
{
    (void)state;
    for (size_t n = 0; n < DRAWS; n++) {
        struct bp_quaternion a = drawn_quaternion(drawn() + 12 * n),
                             b = drawn_quaternion(drawn() + 12 * n + 4),
                             c = drawn_quaternion(drawn() + 12 * n + 8);
        struct bp_quaternion left = bp_quaternion_times(bp_quaternion_times(a, b), c);
        struct bp_quaternion right = bp_quaternion_times(a, bp_quaternion_times(b, c));
        assert_true(quaternion_distance(left, right) < 1e-13);
        assert_true(fabs(norm(left) - norm(a) * norm(b) * norm(c)) < 1e-13);
        assert_true(fabs(norm(bp_quaternion_unit(a)) - 1) < 1e-15);
    }
}

static void a_quarter_turn_about_z_takes_x_to_y(void **state)
{
    (void)state;
    const double quarter[3] = {0, 0, BP_PI / 2}, x[3] = {1, 0, 0};
    double out[3];
    bp_turn_out(bp_quaternion_of(quarter), x, out);
    assert_true(fabs(out[0]) < 1e-15 && fabs(out[1] - 1) < 1e-15 && fabs(out[2]) < 1e-15);
}

/* Rodrigues' formula: v cos θ + (k × v) sin θ + k (k·v)(1 - cos θ). */
static void turning_out_is_rodrigues_formula(void **state)
{
    (void)state;
    for (size_t n = 0; n < DRAWS; n++) {
        const double *turn = drawn() + 12 * n, *v = turn + 3;
        double angle = bp_length(turn), axis[3] = {turn[0] / angle, turn[1] / angle, turn[2] / angle};
        double side[3], out[3], along = bp_dot(axis, v);
        bp_cross(axis, v, side);
        bp_turn_out(bp_quaternion_of(turn), v, out);
        for (int a = 0; a < 3; a++) {
            double want = v[a] * cos(angle) + side[a] * sin(angle) + axis[a] * along * (1 - cos(angle));
            assert_true(fabs(out[a] - want) < 1e-14);
        }
    }
}

/* Below 0.01 rad a series stands in for cos and sin. */
static void small_turns_are_as_exact_as_large_ones(void **state)
{
    (void)state;
    const double sizes[] = {0, 1e-300, 1e-12, 1e-6, 1e-3, 0.005, 0.00999999, 0.01, 0.01000001, 0.5, 3, 6.2};
    for (size_t n = 0; n < sizeof sizes / sizeof *sizes; n++) {
        const double turn[3] = {sizes[n] * 2 / 7, sizes[n] * -3 / 7, sizes[n] * 6 / 7};
        struct bp_quaternion q = bp_quaternion_of(turn);
        long double angle = (long double)sizes[n];
        assert_true(fabs(q.w - (double)cosl(angle / 2)) < 4e-16);
        double part = (double)sinl(angle / 2), slack = 5e-16 * sizes[n];
        assert_true(fabs(q.x - part * 2 / 7) <= slack);
        assert_true(fabs(q.y + part * 3 / 7) <= slack);
        assert_true(fabs(q.z - part * 6 / 7) <= slack);
    }
}

static void turns_about_one_axis_add_up(void **state)
{
    (void)state;
    for (size_t n = 0; n < DRAWS; n++) {
        const double *axis = drawn() + 12 * n;
        double first[3], second[3], both[3];
        for (int a = 0; a < 3; a++) {
            first[a] = 0.4 * axis[a];
            second[a] = 1.1 * axis[a];
            both[a] = 1.5 * axis[a];
        }
        struct bp_quaternion q = bp_quaternion_times(bp_quaternion_of(first), bp_quaternion_of(second));
        assert_true(quaternion_distance(q, bp_quaternion_of(both)) < 1e-15);
    }
}

static void matrix_is_orthonormal_and_right_handed(void **state)
{
    (void)state;
    for (size_t n = 0; n < DRAWS; n++) {
        double m[9], third[3];
        bp_quaternion_matrix(bp_quaternion_unit(drawn_quaternion(drawn() + 12 * n)), m);
        for (int r = 0; r < 3; r++) {
            for (int c = 0; c < 3; c++) {
                assert_true(fabs(bp_dot(m + 3 * r, m + 3 * c) - (r == c ? 1 : 0)) < 4e-15);
            }
        }
        bp_cross(m, m + 3, third);
        for (int a = 0; a < 3; a++) {
            assert_true(fabs(third[a] - m[6 + a]) < 4e-15);
        }
    }
}

static void matrix_of_a_product_is_the_product_of_the_matrices(void **state)
{
    (void)state;
    for (size_t n = 0; n < DRAWS; n++) {
        struct bp_quaternion a = bp_quaternion_unit(drawn_quaternion(drawn() + 12 * n));
        struct bp_quaternion b = bp_quaternion_unit(drawn_quaternion(drawn() + 12 * n + 4));
        double A[9], B[9], AB[9];
        bp_quaternion_matrix(a, A);
        bp_quaternion_matrix(b, B);
        bp_quaternion_matrix(bp_quaternion_times(a, b), AB);
        for (int r = 0; r < 3; r++) {
            for (int c = 0; c < 3; c++) {
                const double column[3] = {B[c], B[3 + c], B[6 + c]};
                assert_true(fabs(AB[3 * r + c] - bp_dot(A + 3 * r, column)) < 2e-15);
            }
        }
    }
}

static void turning_in_undoes_turning_out_even_in_place(void **state)
{
    (void)state;
    for (size_t n = 0; n < DRAWS; n++) {
        struct bp_quaternion q = bp_quaternion_unit(drawn_quaternion(drawn() + 12 * n));
        const double *v = drawn() + 12 * n + 4;
        double there[3], same[3] = {v[0], v[1], v[2]};
        bp_turn_out(q, v, there);
        bp_turn_out(q, same, same);
        assert_memory_equal(there, same, sizeof there);
        bp_turn_in(q, same, same);
        for (int a = 0; a < 3; a++) {
            assert_true(fabs(same[a] - v[a]) < 2e-15);
        }
        assert_true(fabs(bp_length(there) - bp_length(v)) < 2e-15);
    }
}

static void normalising_leaves_nothing_alone(void **state)
{
    (void)state;
    double zero[3] = {0, 0, 0}, v[3] = {0, -3, 4};
    assert_true(bp_normalise(zero) == 0);
    assert_true(zero[0] == 0 && zero[1] == 0 && zero[2] == 0);
    assert_true(bp_normalise(v) == 5);
    assert_true(fabs(v[1] + 0.6) < 1e-16 && fabs(v[2] - 0.8) < 1e-16);
}

/* A v = λ v, rows orthonormal, values descending, to `slack`. */
static void hold_eigen(const double A[9], double slack)
{
    double values[3], vectors[9];
    bp_eigen3(A, values, vectors);
    assert_true(values[0] >= values[1] && values[1] >= values[2]);
    for (int e = 0; e < 3; e++) {
        const double *v = vectors + 3 * e;
        for (int r = 0; r < 3; r++) {
            assert_true(fabs(bp_dot(A + 3 * r, v) - values[e] * v[r]) <= slack);
            assert_true(fabs(bp_dot(v, vectors + 3 * r) - (e == r ? 1 : 0)) < 1e-14);
        }
    }
}

static void eigenvalues_of_known_matrices_are_exact(void **state)
{
    (void)state;
    /* The second difference: 2 - 2 cos(nπ/4), n = 3, 2, 1. */
    const double second[9] = {2, -1, 0, -1, 2, -1, 0, -1, 2};
    const double diagonal[9] = {-1, 0, 0, 0, 5, 0, 0, 0, 2};
    const double outer[9] = {1, 2, 2, 2, 4, 4, 2, 4, 4}; /* of (1 2 2): 9, 0, 0 */
    double values[3], vectors[9];
    bp_eigen3(second, values, vectors);
    assert_true(fabs(values[0] - (2 + sqrt(2))) < 1e-14);
    assert_true(fabs(values[1] - 2) < 1e-14 && fabs(values[2] - (2 - sqrt(2))) < 1e-14);
    bp_eigen3(diagonal, values, vectors);
    assert_true(values[0] == 5 && values[1] == 2 && values[2] == -1);
    assert_true(fabs(vectors[1]) == 1 && fabs(vectors[5]) == 1 && fabs(vectors[6]) == 1);
    bp_eigen3(outer, values, vectors);
    assert_true(fabs(values[0] - 9) < 1e-14 && fabs(values[1]) < 1e-14 && fabs(values[2]) < 1e-14);
    assert_true(fabs(fabs(vectors[0] + 2 * vectors[1] + 2 * vectors[2]) / 3 - 1) < 1e-14);
}

static void eigenvectors_hold_for_any_symmetric_matrix(void **state)
{
    (void)state;
    const double zero[9] = {0}, same[9] = {3, 0, 0, 0, 3, 0, 0, 0, 3};
    const double close[9] = {1, 1e-9, 0, 1e-9, 1, 0, 0, 0, 1}; /* nearly equal values */
    hold_eigen(zero, 0);
    hold_eigen(same, 0);
    hold_eigen(close, 1e-15);
    for (size_t n = 0; n < DRAWS; n++) {
        const double *m = drawn() + 12 * n;
        double scale = pow(10, (double)(n % 13) - 6);
        const double A[9] = {scale * m[0], scale * m[1], scale * m[2], scale * m[1], scale * m[3],
                             scale * m[4], scale * m[2], scale * m[4], scale * m[5]};
        hold_eigen(A, 1e-14 * scale);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(product_keeps_hamiltons_table),
        cmocka_unit_test(product_of_two_whole_quaternions_is_exact),
        cmocka_unit_test(product_is_associative_and_keeps_lengths),
        cmocka_unit_test(a_quarter_turn_about_z_takes_x_to_y),
        cmocka_unit_test(turning_out_is_rodrigues_formula),
        cmocka_unit_test(small_turns_are_as_exact_as_large_ones),
        cmocka_unit_test(turns_about_one_axis_add_up),
        cmocka_unit_test(matrix_is_orthonormal_and_right_handed),
        cmocka_unit_test(matrix_of_a_product_is_the_product_of_the_matrices),
        cmocka_unit_test(turning_in_undoes_turning_out_even_in_place),
        cmocka_unit_test(normalising_leaves_nothing_alone),
        cmocka_unit_test(eigenvalues_of_known_matrices_are_exact),
        cmocka_unit_test(eigenvectors_hold_for_any_symmetric_matrix),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
