/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/random.h"
#include "simulate/rotation.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* Three angles as smooth functions of time, and the rotation they give. */
static void rotation_at(double t, struct sim_rotation *rotation)
{
    const double size[3] = {0.4, 0.2, 0.7}, omega[3] = {3.0, 5.0, 2.0}, phase[3] = {0.3, 1.1, 2.0};
    struct sim_jet angle[3];
    for (int i = 0; i < 3; i++) {
        double s = sin(omega[i] * t + phase[i]), c = cos(omega[i] * t + phase[i]);
        angle[i] = (struct sim_jet){size[i] * s, size[i] * omega[i] * c, -size[i] * omega[i] * omega[i] * s};
    }
    sim_rotation_make(angle, rotation);
}

static void matrix_is_orthonormal_and_right_handed(void **state)
{
    (void)state;
    struct bp_random random;
    bp_random_init(&random, 5, 0);
    for (int n = 0; n < 200; n++) {
        struct sim_jet angle[3] = {0};
        struct sim_rotation r;
        for (int i = 0; i < 3; i++) {
            angle[i].value = bp_random_between(&random, -4.0, 4.0);
        }
        sim_rotation_make(angle, &r);
        for (int i = 0; i < 3; i++) {
            for (int j = 0; j < 3; j++) {
                double dot = 0.0;
                for (int k = 0; k < 3; k++) {
                    dot += r.matrix[k][i] * r.matrix[k][j];
                }
                assert_true(fabs(dot - (i == j ? 1.0 : 0.0)) < 1e-14);
            }
        }
        double third[3];
        const double x[3] = {r.matrix[0][0], r.matrix[1][0], r.matrix[2][0]};
        const double y[3] = {r.matrix[0][1], r.matrix[1][1], r.matrix[2][1]};
        sim_cross(x, y, third);
        assert_true(fabs(third[0] - r.matrix[0][2]) < 1e-14 && fabs(third[2] - r.matrix[2][2]) < 1e-14);
    }
}

static void order_is_yaw_then_pitch_then_roll(void **state)
{
    (void)state;
    const double quarter = acos(0.0);
    struct sim_jet angle[3] = {{quarter, 0, 0}, {0, 0, 0}, {quarter, 0, 0}};
    struct sim_rotation r;
    const double z[3] = {0.0, 0.0, 1.0};
    double out[3];
    sim_rotation_make(angle, &r);
    sim_rotate(r.matrix, z, out); /* roll takes z to -y, yaw takes -y to x */
    assert_true(fabs(out[0] - 1.0) < 1e-15 && fabs(out[1]) < 1e-15 && fabs(out[2]) < 1e-15);
}

/* Rᵀ dR/dt is the cross-product matrix of the rate in the turned frame. */
static void rate_is_the_matrix_derivative_and_turn_rate_its_own(void **state)
{
    (void)state;
    const double h = 1e-5;
    for (int n = 0; n < 50; n++) {
        double t = 0.1 * (double)n;
        struct sim_rotation before, now, after;
        rotation_at(t - h, &before);
        rotation_at(t, &now);
        rotation_at(t + h, &after);
        double product[3][3] = {{0}};
        for (int i = 0; i < 3; i++) {
            for (int j = 0; j < 3; j++) {
                for (int k = 0; k < 3; k++) {
                    product[i][j] +=
                        now.matrix[k][i] * (after.matrix[k][j] - before.matrix[k][j]) / (2.0 * h);
                }
            }
        }
        assert_true(fabs(product[2][1] - now.turn[0]) < 1e-8);
        assert_true(fabs(product[0][2] - now.turn[1]) < 1e-8);
        assert_true(fabs(product[1][0] - now.turn[2]) < 1e-8);
        for (int i = 0; i < 3; i++) {
            assert_true(fabs((after.turn[i] - before.turn[i]) / (2.0 * h) - now.turn_rate[i]) < 1e-7);
        }
    }
}

static void rotating_back_undoes_rotating(void **state)
{
    (void)state;
    struct sim_rotation r;
    rotation_at(0.7, &r);
    const double in[3] = {1.0, -2.0, 0.5};
    double turned[3], back[3];
    sim_rotate(r.matrix, in, turned);
    sim_rotate_back(r.matrix, turned, back);
    for (int i = 0; i < 3; i++) {
        assert_true(fabs(back[i] - in[i]) < 1e-15);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(matrix_is_orthonormal_and_right_handed),
        cmocka_unit_test(order_is_yaw_then_pitch_then_roll),
        cmocka_unit_test(rate_is_the_matrix_derivative_and_turn_rate_its_own),
        cmocka_unit_test(rotating_back_undoes_rotating),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
