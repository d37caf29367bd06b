/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"
#include "simulate/motion.h"
#include "simulate/simulate.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

/* One short rep, read by a sensor without any error. */
static void ideal(struct sim_scenario *s)
{
    sim_scenario_for(BP_BENCH, s);
    s->reps = 1;
    s->still_start_s = s->still_end_s = 1.0;
    s->building_m_s2 = s->jitter_s = 0.0;
    s->force_drift = s->force_cross = s->force_noise_ug = s->force_grid_m_s2 = s->force_limit_m_s2 = 0.0;
    s->turn_drift_deg_s = s->turn_noise_mdps = s->turn_grid_deg_s = s->turn_limit_deg_s = 0.0;
    memset(s->force_bias_m_s2, 0, sizeof s->force_bias_m_s2);
    memset(s->force_scale, 0, sizeof s->force_scale);
    memset(s->turn_bias_deg_s, 0, sizeof s->turn_bias_deg_s);
    memset(s->turn_scale, 0, sizeof s->turn_scale);
}

/* A long stillness: one rep, then a minute in the rack. */
static void long_rest(struct sim_scenario *s)
{
    ideal(s);
    s->still_start_s = 60.0;
    s->rate_hz = 100.0;
}

static double sd_of(const double *x, size_t count)
{
    double mean = 0.0, square = 0.0;
    for (size_t i = 0; i < count; i++) {
        mean += x[i] / (double)count;
    }
    for (size_t i = 0; i < count; i++) {
        square += (x[i] - mean) * (x[i] - mean);
    }
    return sqrt(square / (double)(count - 1));
}

static void ideal_sensor_reads_the_exact_motion(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log log;
    struct sim_motion motion;
    ideal(&s);
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    assert_int_equal(sim_motion_make(&s, &motion), SIM_OK);
    assert_true(log.gyroscope && log.turn_count == log.count && !log.turn_time_s);
    assert_true(log.time_s[0] == 0.0);
    for (size_t i = 0; i < log.count; i++) {
        struct sim_state now;
        sim_motion_at(&motion, log.time_s[i], &now);
        assert_true(fabs(log.time_s[i] - (double)i / s.rate_hz) < 1e-12);
        for (int k = 0; k < 3; k++) {
            assert_true(log.force[k][i] == now.force[k]);
            assert_true(log.turn[k][i] == now.turn[k]);
            assert_true(log.gravity[k][i] == now.gravity[k]);
        }
    }
    sim_motion_free(&motion);
    sim_log_free(&log);
    assert_null(log.time_s);
}

/* sigma = density g sqrt(rate / 2): 70 µg/√Hz at 100 Hz is 0.004854 m/s², 160 is 0.011095, 400 is 0.027737
 * (one-sided density over half the rate; computed). */
static void noise_has_the_sd_its_density_says(void **state)
{
    (void)state;
    const double density[] = {70.0, 160.0, 400.0}, sd[] = {0.004854, 0.011095, 0.027737};
    for (int n = 0; n < 3; n++) {
        struct sim_scenario s;
        struct sim_log log;
        long_rest(&s);
        s.force_noise_ug = density[n];
        s.turn_noise_mdps = 7.0;
        assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
        for (int k = 0; k < 3; k++) { /* 6000 samples: the sd's own error is 0.9 %; allow 4 % */
            assert_true(fabs(sd_of(log.force[k], 6000) / sd[n] - 1.0) < 0.04);
            double turn_sd = 7e-3 * BP_DEGREE * sqrt(50.0);
            assert_true(fabs(sd_of(log.turn[k], 6000) / turn_sd - 1.0) < 0.04);
        }
        sim_log_free(&log);
    }
}

static void bias_and_scale_are_added_as_set(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log truth, log;
    ideal(&s);
    assert_int_equal(sim_run(&s, &truth, NULL), SIM_OK);
    s.force_bias_m_s2[1] = -0.3;
    s.force_scale[2] = 0.01;
    s.turn_bias_deg_s[0] = 1.5;
    s.turn_scale[1] = -0.02;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    assert_int_equal(log.count, truth.count);
    for (size_t i = 0; i < log.count; i++) {
        assert_true(log.force[0][i] == truth.force[0][i]);
        assert_true(fabs(log.force[1][i] - (truth.force[1][i] - 0.3)) < 1e-12);
        assert_true(fabs(log.force[2][i] - 1.01 * truth.force[2][i]) < 1e-12);
        assert_true(fabs(log.turn[0][i] - (truth.turn[0][i] + 1.5 * BP_DEGREE)) < 1e-12);
        assert_true(fabs(log.turn[1][i] - 0.98 * truth.turn[1][i]) < 1e-12);
    }
    sim_log_free(&log);
    sim_log_free(&truth);
}

/* Without noise and bias x reads x + g_xy y + g_xz z. Least squares give the gains, every sample must agree
 * with them, and over many phones they have the sd asked for. */
static void gyroscope_s_cross_axis_gains_are_fixed_and_have_their_sd(void **state)
{
    (void)state;
    enum { PHONES = 60 };
    const double sd = 0.01;
    double square = 0.0;
    for (uint64_t seed = 0; seed < PHONES; seed++) {
        struct sim_scenario s;
        struct sim_log exact, log;
        ideal(&s);
        s.seed = seed;
        s.rate_hz = 25.0;
        s.yaw_deg = s.tilt_deg = 5.0;
        assert_int_equal(sim_run(&s, &exact, NULL), SIM_OK);
        s.turn_cross = sd;
        assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
        double yy = 0.0, yz = 0.0, zz = 0.0, ye = 0.0, ze = 0.0, worst = 0.0;
        for (size_t i = 0; i < log.count; i++) {
            double y = exact.turn[1][i], z = exact.turn[2][i], error = log.turn[0][i] - exact.turn[0][i];
            yy += y * y;
            yz += y * z;
            zz += z * z;
            ye += y * error;
            ze += z * error;
        }
        double det = yy * zz - yz * yz;
        double gains[2] = {(ye * zz - ze * yz) / det, (ze * yy - ye * yz) / det};
        for (size_t i = 0; i < log.count; i++) {
            double made = exact.turn[0][i] + gains[0] * exact.turn[1][i] + gains[1] * exact.turn[2][i];
            worst = fmax(worst, fabs(log.turn[0][i] - made));
        }
        assert_true(worst < 1e-9);
        square += (gains[0] * gains[0] + gains[1] * gains[1]) / (2.0 * PHONES);
        sim_log_free(&exact);
        sim_log_free(&log);
    }
    assert_true(fabs(sqrt(square) / sd - 1.0) < 0.25); /* four standard errors of 120 gains */
}

/* The walk's sd after T seconds is drift * sqrt(T). */
static void drift_grows_as_a_random_walk(void **state)
{
    (void)state;
    enum { RUNS = 120 };
    const double drift = 0.01, after_s = 25.0;
    double square = 0.0;
    for (uint64_t seed = 0; seed < RUNS; seed++) {
        struct sim_scenario s;
        struct sim_log log;
        long_rest(&s);
        s.still_start_s = 30.0;
        s.rate_hz = 12.5;
        s.gyroscope = false;
        s.seed = seed;
        s.force_drift = drift;
        assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
        size_t i = (size_t)(after_s * s.rate_hz);
        for (int k = 0; k < 3; k++) {
            double walked = log.force[k][i] - log.gravity[k][i];
            square += walked * walked / (3.0 * RUNS);
        }
        sim_log_free(&log);
    }
    assert_true(fabs(square / (drift * drift * after_s) - 1.0) <
                0.3); /* four standard errors of 360 squares */
}

static void grid_rounds_and_limit_clips(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log fine, log;
    ideal(&s);
    assert_int_equal(sim_run(&s, &fine, NULL), SIM_OK);
    s.force_grid_m_s2 = 0.1;
    s.force_limit_m_s2 = 10.0;
    s.turn_grid_deg_s = 0.1;
    s.turn_limit_deg_s = 5.0;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    size_t clipped = 0;
    for (size_t i = 0; i < log.count; i++) {
        for (int k = 0; k < 3; k++) {
            double steps = log.force[k][i] / 0.1;
            assert_true(fabs(steps - round(steps)) < 1e-9);
            double exact = fmax(-10.0, fmin(10.0, fine.force[k][i]));
            assert_true(fabs(log.force[k][i] - exact) <= 0.05 + 1e-12);
            assert_true(fabs(log.force[k][i]) <= 10.0);
            clipped += fabs(fine.force[k][i]) > 10.0;
            assert_true(fabs(log.turn[k][i]) <= 5.0 * BP_DEGREE + 1e-12);
        }
    }
    assert_true(clipped > 10);
    sim_log_free(&log);
    sim_log_free(&fine);
}

static void loss_drops_its_part_and_a_gap_its_stretch(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log whole, lossy, holed;
    long_rest(&s);
    assert_int_equal(sim_run(&s, &whole, NULL), SIM_OK);
    s.loss = 0.1;
    assert_int_equal(sim_run(&s, &lossy, NULL), SIM_OK);
    double kept = (double)lossy.count / (double)whole.count;
    assert_true(fabs(kept - 0.9) < 0.02); /* five standard errors at 6500 samples */
    s.loss = 0.0;
    s.gap_at_s = 20.005;
    s.gap_s = 0.5;
    assert_int_equal(sim_run(&s, &holed, NULL), SIM_OK);
    assert_int_equal(whole.count - holed.count, 50);
    double longest = 0.0, at = 0.0;
    for (size_t i = 1; i < holed.count; i++) {
        if (holed.time_s[i] - holed.time_s[i - 1] > longest) {
            longest = holed.time_s[i] - holed.time_s[i - 1];
            at = holed.time_s[i - 1];
        }
    }
    assert_true(fabs(longest - 0.51) < 1e-9 && fabs(at - 20.0) < 1e-9);
    sim_log_free(&whole);
    sim_log_free(&lossy);
    sim_log_free(&holed);
}

static void jitter_keeps_the_order_and_has_its_sd(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log log;
    static double off[8000];
    long_rest(&s);
    s.jitter_s = 0.0005;
    s.stamp_jitter_s = 0.02; /* far too much for 100 Hz: held back so that time still runs forward */
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    for (size_t i = 1; i < log.count; i++) {
        assert_true(log.time_s[i] > log.time_s[i - 1]);
    }
    sim_log_free(&log);
    s.stamp_jitter_s = 0.0;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    for (size_t i = 0; i < 6000; i++) {
        off[i] = log.time_s[i + 1] - (double)(i + 1) / s.rate_hz;
    }
    assert_true(fabs(sd_of(off, 6000) / 0.0005 - 1.0) < 0.04);
    sim_log_free(&log);
}

static void clock_and_rate_errors_stretch_the_stamps_as_set(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log log;
    ideal(&s);
    s.clock_ppm = 1000.0;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    assert_true(fabs(log.time_s[200] - 1.001) < 1e-12);
    sim_log_free(&log);
    s.clock_ppm = 0.0;
    s.rate_ppm = -5000.0;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    assert_true(fabs(log.time_s[199] - 1.0) < 1e-12); /* 199 Hz for 200 */
    assert_true(log.nominal_rate_hz == 200.0);
    sim_log_free(&log);
}

static void gyroscope_of_another_rate_has_its_own_times(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log log;
    struct sim_motion motion;
    ideal(&s);
    s.turn_rate_hz = 80.0;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    assert_int_equal(sim_motion_make(&s, &motion), SIM_OK);
    assert_non_null(log.turn_time_s);
    assert_true(fabs((double)log.turn_count / (double)log.count - 0.4) < 0.01);
    for (size_t i = 0; i < log.turn_count; i += 7) {
        struct sim_state now;
        sim_motion_at(&motion, log.turn_time_s[i], &now);
        assert_true(fabs(log.turn[1][i] - now.turn[1]) < 1e-12);
    }
    sim_motion_free(&motion);
    sim_log_free(&log);
}

static void slip_turns_the_reading_by_its_angle(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log log;
    long_rest(&s);
    s.slip_at_s = 10.0;
    s.slip_deg = 5.0;
    assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
    double dot[4] = {
        0}; /* of the gravity before with that after, over both lengths; and the turn in between */
    for (int k = 0; k < 3; k++) {
        dot[0] += log.force[k][900] * log.force[k][1100];
    }
    for (size_t i = 1000; i < 1016; i++) {
        for (int k = 0; k < 3; k++) {
            dot[1 + k] += log.turn[k][i] / s.rate_hz;
        }
    }
    double turned = sqrt(dot[1] * dot[1] + dot[2] * dot[2] + dot[3] * dot[3]) / BP_DEGREE;
    assert_true(fabs(turned - 5.0) < 0.01);
    /* Gravity moves by up to the slip's angle: not at all when the slip is about the upright. */
    assert_true(acos(fmin(dot[0] / (9.81 * 9.81), 1.0)) / BP_DEGREE < 5.0 + 1e-6);
    sim_log_free(&log);
}

static void same_seed_gives_the_same_bytes_and_another_does_not(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log a, b, c;
    sim_scenario_random(77, &s);
    assert_int_equal(sim_run(&s, &a, NULL), SIM_OK);
    assert_int_equal(sim_run(&s, &b, NULL), SIM_OK);
    s.seed = 78;
    assert_int_equal(sim_run(&s, &c, NULL), SIM_OK);
    assert_int_equal(a.count, b.count);
    assert_memory_equal(a.time_s, b.time_s, a.count * sizeof(double));
    for (int k = 0; k < 3; k++) {
        assert_memory_equal(a.force[k], b.force[k], a.count * sizeof(double));
    }
    assert_true(memcmp(a.force[0], c.force[0], 100 * sizeof(double)) != 0);
    sim_log_free(&a);
    sim_log_free(&b);
    sim_log_free(&c);
}

static void another_phone_leaves_the_motion_as_it_was(void **state)
{
    (void)state;
    struct sim_scenario s;
    static struct sim_truth a, b;
    ideal(&s);
    memset(&a, 0, sizeof a);
    memset(&b, 0, sizeof b);
    assert_int_equal(sim_run(&s, NULL, &a), SIM_OK);
    s.rate_hz = 50.0;
    s.force_noise_ug = 300.0;
    s.gyroscope = false;
    assert_int_equal(sim_run(&s, NULL, &b), SIM_OK);
    assert_true(a.reps[0].drive_start_s == b.reps[0].drive_start_s);
    assert_true(a.reps[0].mean_velocity_m_s == b.reps[0].mean_velocity_m_s);
    assert_true(a.reps[0].drive.rms_m == b.reps[0].drive.rms_m);
}

static void each_failed_allocation_ends_in_a_clean_memory_code(void **state)
{
    (void)state;
    struct sim_scenario s;
    static struct sim_truth truth;
    ideal(&s);
    s.turn_rate_hz = 50.0;
    s.rate_hz = 25.0;
    size_t failures = 0;
    for (size_t n = 0; n < 2000; n++) {
        struct sim_log log;
        memset(&log, 0x5a, sizeof log);
        failing_alloc_arm(n);
        enum sim_code code = sim_run(&s, &log, &truth);
        bool failed = failing_alloc_disarm();
        if (!failed) {
            assert_int_equal(code, SIM_OK);
            sim_log_free(&log);
            break;
        }
        failures++;
        assert_int_equal(code, SIM_MEMORY);
        assert_null(log.time_s);
        assert_null(log.force[0]);
        assert_int_equal(log.count, 0);
    }
    assert_in_range(failures, 50, 1999);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ideal_sensor_reads_the_exact_motion),
        cmocka_unit_test(noise_has_the_sd_its_density_says),
        cmocka_unit_test(bias_and_scale_are_added_as_set),
        cmocka_unit_test(gyroscope_s_cross_axis_gains_are_fixed_and_have_their_sd),
        cmocka_unit_test(drift_grows_as_a_random_walk),
        cmocka_unit_test(grid_rounds_and_limit_clips),
        cmocka_unit_test(loss_drops_its_part_and_a_gap_its_stretch),
        cmocka_unit_test(jitter_keeps_the_order_and_has_its_sd),
        cmocka_unit_test(clock_and_rate_errors_stretch_the_stamps_as_set),
        cmocka_unit_test(gyroscope_of_another_rate_has_its_own_times),
        cmocka_unit_test(slip_turns_the_reading_by_its_angle),
        cmocka_unit_test(same_seed_gives_the_same_bytes_and_another_does_not),
        cmocka_unit_test(another_phone_leaves_the_motion_as_it_was),
        cmocka_unit_test(each_failed_allocation_ends_in_a_clean_memory_code),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
