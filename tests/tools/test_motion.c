/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/motion.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* A scenario with everything on, and the same without anything that shakes the bar at rest. */
static void full(struct sim_scenario *scenario)
{
    sim_scenario_for(BP_SQUAT, scenario);
    sim_scenario_rig(SIM_CHAINS, scenario);
    scenario->seed = 11;
    scenario->reps = 2;
    scenario->handling_start_s = 3.0;
    scenario->handling_end_s = 2.0;
    scenario->slip_at_s = 14.0;
    scenario->slip_deg = 5.0;
    scenario->mount_forward_m = 0.015;
    scenario->tilt_deg = 3.0;
    scenario->yaw_deg = 3.0;
    scenario->sensor_window = 0.0;
}

static double length_of(const double v[3])
{
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

static void specific_force_at_rest_is_gravity(void **state)
{
    (void)state;
    struct sim_scenario scenario;
    struct sim_motion motion;
    struct sim_state now;
    full(&scenario);
    scenario.building_m_s2 = 0.0;
    assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
    for (int i = 1; i < 10; i++) {
        sim_motion_at(&motion, scenario.handling_start_s + 0.1 * (double)i * scenario.still_start_s, &now);
        assert_true(fabs(length_of(now.force) - scenario.gravity_m_s2) < 1e-12);
        assert_true(length_of(now.turn) < 1e-12);
        for (int k = 0; k < 3; k++) {
            assert_true(fabs(now.force[k] - now.gravity[k]) < 1e-12);
        }
    }
    sim_motion_free(&motion);
}

/* The phone's matrix to the world: bar, then mounting, then its own turning. */
static void phone_matrix(const struct sim_motion *motion, double t, const struct sim_state *state,
                         double out[3][3])
{
    struct sim_jet twist[3];
    struct sim_rotation own;
    for (int i = 0; i < 3; i++) {
        twist[i] = sim_path_at(&motion->twist[i], t);
    }
    sim_rotation_make(twist, &own);
    for (int j = 0; j < 3; j++) {
        double axis[3] = {own.matrix[0][j], own.matrix[1][j], own.matrix[2][j]}, bar[3], world[3];
        sim_rotate(motion->phone.matrix, axis, bar);
        sim_rotate(state->bar.matrix, bar, world);
        for (int i = 0; i < 3; i++) {
            out[i][j] = world[i];
        }
    }
}

/* Where the phone's sensor is in the world. */
static void phone_place(const struct sim_motion *motion, double t, double place[3])
{
    struct sim_state state;
    double arm[3];
    sim_motion_at(motion, t, &state);
    sim_rotate(state.bar.matrix, motion->mount, arm);
    for (int i = 0; i < 3; i++) {
        place[i] = state.middle[i].value + arm[i] + sim_path_at(&motion->rattle[i], t).value +
                   sim_path_at(&motion->hand[i], t).value;
    }
}

static void reading_turned_to_the_world_is_the_phone_s_acceleration_plus_gravity(void **state)
{
    (void)state;
    const double h = 1e-4;
    struct sim_scenario scenario;
    struct sim_motion motion;
    full(&scenario);
    scenario.links_per_m = 0.0; /* 80 Hz bursts need a finer step than the second difference bears */
    scenario.knock_m_s2 = 0.0;
    assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
    double worst = 0.0;
    for (double t = 0.05; t < motion.end_s - 0.05; t += 0.0371) {
        struct sim_state now;
        double turned[3][3], world[3], a[3], b[3], c[3];
        sim_motion_at(&motion, t, &now);
        phone_matrix(&motion, t, &now, turned);
        sim_rotate(turned, now.force, world);
        phone_place(&motion, t - h, a);
        phone_place(&motion, t, b);
        phone_place(&motion, t + h, c);
        for (int i = 0; i < 3; i++) {
            double accel = (a[i] - 2.0 * b[i] + c[i]) / (h * h);
            worst = fmax(worst, fabs(world[i] - (i == 2 ? motion.gravity : 0.0) - accel));
        }
    }
    /* Second difference at 1e-4 s: rounding 1e-16 / 1e-8, and the fourth derivative of the quickest wave. */
    assert_true(worst < 1e-4);
    sim_motion_free(&motion);
}

/* A raised-cosine window of half-width T has its first zero at 1/T: at a half-width of one sample the rate
 * itself is taken out, and a tenth of the rate hardly touched. */
static void sensor_s_window_holds_back_what_would_fold(void **state)
{
    (void)state;
    const double half_width = 0.01, hz[2] = {100.0, 10.0};
    double largest[2] = {0.0, 0.0};
    for (int n = 0; n < 2; n++) {
        const struct sim_jet none[3] = {{0}};
        struct sim_motion motion = {.smear_s = half_width, .end_s = 10.0};
        struct sim_state now;
        double omega = 2.0 * BP_PI * hz[n];
        sim_rotation_make(none, &motion.phone);
        sim_path_wave(&motion.rattle[2], 0.0, 4.0, 1.0 / (omega * omega), 0.5, hz[n], 0.0);
        for (double t = 1.0; t < 3.0; t += 0.00037) {
            sim_motion_at(&motion, t, &now);
            largest[n] = fmax(largest[n], fabs(now.force[2]));
        }
        sim_motion_free(&motion);
    }
    assert_true(largest[0] < 0.02);
    assert_true(largest[1] > 0.95 && largest[1] <= 1.0 + 1e-9);
}

static void rate_of_turn_is_the_derivative_of_the_phone_s_matrix(void **state)
{
    (void)state;
    const double h = 1e-5;
    struct sim_scenario scenario;
    struct sim_motion motion;
    full(&scenario);
    assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
    for (double t = 0.05; t < motion.end_s - 0.05; t += 0.0531) {
        struct sim_state before, now, after;
        double m0[3][3], m[3][3], m1[3][3], product[3][3] = {{0}};
        sim_motion_at(&motion, t - h, &before);
        sim_motion_at(&motion, t, &now);
        sim_motion_at(&motion, t + h, &after);
        phone_matrix(&motion, t - h, &before, m0);
        phone_matrix(&motion, t, &now, m);
        phone_matrix(&motion, t + h, &after, m1);
        for (int i = 0; i < 3; i++) {
            for (int j = 0; j < 3; j++) {
                for (int k = 0; k < 3; k++) {
                    product[i][j] += m[k][i] * (m1[k][j] - m0[k][j]) / (2.0 * h);
                }
            }
        }
        assert_true(fabs(product[2][1] - now.turn[0]) < 1e-6);
        assert_true(fabs(product[0][2] - now.turn[1]) < 1e-6);
        assert_true(fabs(product[1][0] - now.turn[2]) < 1e-6);
    }
    sim_motion_free(&motion);
}

static void whole_motion_s_acceleration_integrates_to_its_path(void **state)
{
    (void)state;
    const double h = 0.001;
    struct sim_scenario scenario;
    struct sim_motion motion;
    full(&scenario);
    assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
    enum { PATHS = 6 };
    const struct sim_path *const paths[PATHS] = {&motion.along, &motion.fore, &motion.height,
                                                 &motion.roll,  &motion.tilt, &motion.yaw};
    for (size_t p = 0; p < PATHS; p++) {
        struct sim_jet before = sim_path_at(paths[p], 0.0);
        double rate = before.rate, value = before.value, worst = 0.0;
        for (size_t i = 1; (double)i * h < motion.end_s; i++) { /* Simpson's rule on each step */
            struct sim_jet middle = sim_path_at(paths[p], ((double)i - 0.5) * h);
            struct sim_jet after = sim_path_at(paths[p], (double)i * h);
            rate += h / 6.0 * (before.accel + 4.0 * middle.accel + after.accel);
            value += h / 6.0 * (before.rate + 4.0 * middle.rate + after.rate);
            worst = fmax(worst, fmax(fabs(rate - after.rate), fabs(value - after.value)));
            before = after;
        }
        assert_true(worst < 1e-6);
    }
    sim_motion_free(&motion);
}

static void point_coordinates_agree_with_the_whole_state(void **state)
{
    (void)state;
    struct sim_scenario scenario;
    struct sim_motion motion;
    full(&scenario);
    assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
    for (double t = 0.0; t < motion.end_s; t += 0.0917) {
        struct sim_state now;
        sim_motion_at(&motion, t, &now);
        const struct sim_jet point[3] = {sim_motion_point_along(&motion, t),
                                         sim_motion_point_fore(&motion, t),
                                         sim_motion_point_height(&motion, t)};
        for (int i = 0; i < 3; i++) {
            assert_true(fabs(point[i].value - now.point[i]) < 1e-12);
            assert_true(fabs(point[i].rate - now.point_velocity[i]) < 1e-12);
        }
    }
    sim_motion_free(&motion);
}

/* A bare motion: gravity, a mounting, nothing moves. */
static void still_motion(struct sim_motion *motion)
{
    const struct sim_jet none[3] = {{0}};
    *motion = (struct sim_motion){.gravity = 9.81, .end_s = 10.0};
    sim_rotation_make(none, &motion->phone);
}

/* In uniform circular motion the sensor feels ω² r towards the axis. */
static void steady_roll_gives_centripetal_force_of_the_radial_offset(void **state)
{
    (void)state;
    struct sim_motion motion;
    struct sim_state now;
    still_motion(&motion);
    motion.mount[0] = 0.4; /* along the axis of turning: no lever */
    motion.mount[2] = 0.03;
    sim_path_stroke(&motion.roll, 0.0, 4.0, 6.0, 0.25, 0.25);
    double omega = 6.0 / (4.0 * 0.75);
    sim_motion_at(&motion, 2.0, &now);
    double s = sin(now.angle[0].value), c = cos(now.angle[0].value);
    assert_true(fabs(now.turn[0] - omega) < 1e-12);
    assert_true(fabs(now.force[0]) < 1e-12);
    assert_true(fabs(now.force[1] - 9.81 * s) < 1e-12);
    assert_true(fabs(now.force[2] - (9.81 * c - omega * omega * 0.03)) < 1e-12);
    sim_motion_free(&motion);
}

static void steady_yaw_gives_centripetal_force_of_the_place_along_the_bar(void **state)
{
    (void)state;
    struct sim_motion motion;
    struct sim_state now;
    still_motion(&motion);
    motion.mount[0] = 0.5;
    sim_path_stroke(&motion.yaw, 0.0, 4.0, 3.0, 0.25, 0.25);
    sim_motion_at(&motion, 2.0, &now);
    assert_true(fabs(now.force[0] + 0.5) < 1e-12); /* ω = 1 rad/s at 0.5 m */
    assert_true(fabs(now.force[1]) < 1e-12);
    assert_true(fabs(now.force[2] - 9.81) < 1e-12);
    assert_true(fabs(now.turn[2] - 1.0) < 1e-12);
    sim_motion_free(&motion);
}

static void tilt_lifts_the_end_at_positive_x(void **state)
{
    (void)state;
    struct sim_motion motion;
    struct sim_state now;
    still_motion(&motion);
    motion.mount[0] = 0.6;
    motion.tilt.start = 2.0 * BP_DEGREE;
    sim_motion_at(&motion, 1.0, &now);
    assert_true(fabs(now.point[2] - 0.6 * sin(2.0 * BP_DEGREE)) < 1e-15);
    assert_true(now.force[0] > 0.3); /* x points a little upward, and the reaction to gravity does too */
    sim_motion_free(&motion);
}

static void roll_follows_height_by_the_scenario_s_angle(void **state)
{
    (void)state;
    struct sim_scenario scenario = sim_scenario_defaults;
    struct sim_motion motion;
    scenario.roll_drift_deg = 0.0;
    scenario.roll_deg = 12.0;
    assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
    struct sim_state low, high;
    sim_motion_at(&motion, motion.reps[1].drive_from_s, &low);
    sim_motion_at(&motion, motion.reps[1].drive_to_s, &high);
    double rise = high.middle[2].value - low.middle[2].value;
    double rolled = (high.angle[0].value - low.angle[0].value) / BP_DEGREE;
    assert_true(fabs(rolled - 12.0 * rise / scenario.range_m) < 1e-9);
    sim_motion_free(&motion);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(specific_force_at_rest_is_gravity),
        cmocka_unit_test(reading_turned_to_the_world_is_the_phone_s_acceleration_plus_gravity),
        cmocka_unit_test(sensor_s_window_holds_back_what_would_fold),
        cmocka_unit_test(rate_of_turn_is_the_derivative_of_the_phone_s_matrix),
        cmocka_unit_test(whole_motion_s_acceleration_integrates_to_its_path),
        cmocka_unit_test(point_coordinates_agree_with_the_whole_state),
        cmocka_unit_test(steady_roll_gives_centripetal_force_of_the_radial_offset),
        cmocka_unit_test(steady_yaw_gives_centripetal_force_of_the_place_along_the_bar),
        cmocka_unit_test(tilt_lifts_the_end_at_positive_x),
        cmocka_unit_test(roll_follows_height_by_the_scenario_s_angle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
