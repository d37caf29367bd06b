/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/drive.h"
#include "simulate/truth.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double rise_m = 0.4, drive_s = 1.2, drive_at_s = 5.0, descent_at_s = 2.0;

/* A descent and a drive, both minimum-jerk over 0.4 m in 1.2 s, and nothing else but what the test adds. */
static void closed_form(struct sim_motion *motion)
{
    const struct sim_jet none[3] = {{0}};
    *motion = (struct sim_motion){.gravity = 9.81, .end_s = 9.0, .rep_count = 1};
    motion->unrack_from_s = motion->unrack_to_s = motion->rerack_from_s = motion->rerack_to_s = (double)NAN;
    sim_rotation_make(none, &motion->phone);
    sim_path_add(&motion->height,
                 &(struct sim_piece){
                     .kind = SIM_MIN_JERK, .from_s = descent_at_s, .length_s = drive_s, .size = -rise_m});
    sim_path_add(
        &motion->height,
        &(struct sim_piece){.kind = SIM_MIN_JERK, .from_s = drive_at_s, .length_s = drive_s, .size = rise_m});
    motion->reps[0] = (struct sim_planned_rep){.low_from_s = descent_at_s + 0.5 * drive_s,
                                               .drive_from_s = drive_at_s,
                                               .drive_to_s = drive_at_s + drive_s,
                                               .top_to_s = 8.0,
                                               .descent_from_s = descent_at_s,
                                               .descent_to_s = descent_at_s + drive_s,
                                               .bottom_m = -rise_m,
                                               .top_m = 0.0};
}

/* Share of the time at which a minimum-jerk stroke passes a speed: 30 τ² (1 - τ)² D / T = v, so
 * τ (1 - τ) = sqrt(v T / (30 D)). */
static double share_at_speed(double speed)
{
    double product = sqrt(speed * drive_s / (30.0 * rise_m));
    return 0.5 - sqrt(0.25 - product);
}

static double place(double x)
{
    return x * x * x * (10.0 + x * (-15.0 + x * 6.0));
}

static void closed_form_rep_is_measured_by_the_definitions(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    assert_true(sim_truth_make(&motion, &truth));
    const struct sim_rep_truth *rep = &truth.reps[0];
    double x = share_at_speed(0.04), time = (1.0 - 2.0 * x) * drive_s, rise = (1.0 - 2.0 * place(x)) * rise_m;
    assert_int_equal(truth.rep_count, 1);
    assert_false(rep->missed);
    assert_true(fabs(rep->drive_start_s - (drive_at_s + x * drive_s)) < 1e-9);
    assert_true(fabs(rep->drive_end_s - (drive_at_s + (1.0 - x) * drive_s)) < 1e-9);
    assert_true(fabs(rep->descent_start_s - (descent_at_s + x * drive_s)) < 1e-9);
    assert_true(fabs(rep->descent_end_s - (descent_at_s + (1.0 - x) * drive_s)) < 1e-9);
    assert_true(fabs(rep->range_m - rise_m) < 1e-9);
    assert_true(fabs(rep->mean_velocity_m_s - rise / time) < 1e-9);
    assert_true(fabs(rep->middle_mean_velocity_m_s - rise / time) < 1e-9);
    assert_true(fabs(rep->peak_velocity_m_s - 0.625) < 1e-6);
    assert_true(rep->turnaround_s >= descent_at_s + drive_s && rep->turnaround_s <= drive_at_s + 0.01);
    assert_true(fabs(rep->top_s - (drive_at_s + drive_s)) < 0.01);
    assert_false(rep->sticking.present);
    /* Never under -g: all speeds are the same. */
    assert_true(rep->propulsive_velocity_m_s == rep->mean_velocity_m_s);
    assert_true(rep->unbraked_velocity_m_s == rep->mean_velocity_m_s);
    assert_true(isnan(truth.unrack_start_s));
    sim_motion_free(&motion);
}

static void thirds_multiply_back_to_the_drive_s_time(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    assert_true(sim_truth_make(&motion, &truth));
    const struct sim_rep_truth *rep = &truth.reps[0];
    double time = rep->drive_end_s - rep->drive_start_s, third = rep->mean_velocity_m_s * time / 3.0,
           sum = 0.0;
    for (int i = 0; i < SIM_RANGES; i++) {
        sum += third / rep->range_velocity_m_s[i];
    }
    assert_true(fabs(sum - time) < 1e-6);
    /* Symmetric in time, so the outer thirds are alike and slower than the middle. */
    assert_true(fabs(rep->range_velocity_m_s[0] - rep->range_velocity_m_s[2]) < 1e-4);
    assert_true(rep->range_velocity_m_s[1] > 1.2 * rep->range_velocity_m_s[0]);
    sim_motion_free(&motion);
}

/* Along the bar A sin(2πft): rms A/√2, 2πfA/√2, (2πf)²A/√2. At 3 Hz and 20 mm the last is 5.024782 m/s²
 * (computed). */
static void sway_inside_the_band_has_the_rms_of_a_sinusoid(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    sim_path_wave(&motion.along, 1.0, 7.0, 0.02, 0.8, 3.0, 0.4);
    assert_true(sim_truth_make(&motion, &truth));
    const struct sim_shake *shake = &truth.reps[0].drive;
    /* The drive is no whole number of periods: allow 4 %. */
    assert_true(fabs(shake->rms_m / (0.02 / sqrt(2.0)) - 1.0) < 0.04);
    assert_true(fabs(shake->rms_m_s / (0.376991 / sqrt(2.0)) - 1.0) < 0.04);
    assert_true(fabs(shake->rms_m_s2 / 5.024782 - 1.0) < 0.04);
    sim_motion_free(&motion);
}

static void sway_outside_the_band_does_not_count(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    sim_path_wave(&motion.along, 0.5, 8.0, 0.02, 2.5, 12.0, 0.4);
    sim_path_stroke(&motion.along, 0.5, 8.0, 0.05, 0.5, 0.5);
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(truth.reps[0].drive.rms_m < 0.0002);
    sim_motion_free(&motion);
}

/* 360 points (3 cos θ, sin θ): π χ² s_x s_y = 28.234112 (computed). */
static void sway_area_is_the_ellipse_that_holds_95_percent(void **state)
{
    (void)state;
    enum { POINTS = 360 };
    static double x[POINTS], y[POINTS];
    for (int i = 0; i < POINTS; i++) {
        x[i] = 3.0 * cos((double)i * BP_DEGREE);
        y[i] = sin((double)i * BP_DEGREE);
    }
    struct sim_bands bands = {.count = POINTS, .rate_hz = 1.0, .along_m = x, .fore_m = y};
    assert_true(fabs(sim_bands_area(&bands, 0.0, 359.0) - 28.234112) < 1e-6);
    assert_true(isnan(sim_bands_area(&bands, 5.0, 5.0)));
}

/* The two humps' speeds in closed form: between them only the creep moves, at ratio * rise / length. */
static void two_humped_drive_sticks_at_its_creeping_speed(void **state)
{
    (void)state;
    const struct sim_drive_shape shape = {.sticking = true, .sticking_ratio = 0.4, .sticking_span = 0.2};
    struct sim_motion motion = {.gravity = 9.81};
    struct sim_drive drive;
    struct sim_table table;
    sim_drive_make(&shape, 0.4, 2.0, &drive);
    sim_drive_add(&drive, 1.0, &motion.height);
    struct sim_view view = {&motion, true};
    assert_true(sim_table_make(&view, 1.0, 3.0, 0.0005, &table));
    struct sim_sticking sticking = sim_table_sticking(&table, 0.0, 0.4);
    assert_true(sticking.present);
    assert_true(fabs(sticking.low_m_s - 0.4 * 0.4 / 2.0) < 1e-9);
    assert_true(sticking.start_s > 1.0 && sticking.start_s < 1.0 + 0.36 * 2.0);
    assert_true(sticking.end_s > 1.0 + 0.359 * 2.0 && sticking.end_s < 1.0 + 0.561 * 2.0);
    assert_true(sticking.peak_before_m_s > sticking.low_m_s + SIM_STICKING_DIP);
    assert_true(sticking.end_pct > sticking.start_pct);
    sim_table_free(&table);
    sim_motion_free(&motion);
}

static void shallow_dip_is_no_sticking(void **state)
{
    (void)state;
    double height[5] = {0, 1, 2, 3, 4}, speed[5] = {0.1, 0.5, 0.485, 0.52, 0.1}, accel[5] = {0};
    struct sim_table table = {.count = 5, .step_s = 0.1, .height = height, .speed = speed, .accel = accel};
    assert_false(sim_table_sticking(&table, 0.0, 4.0).present);
    speed[2] = 0.475;
    struct sim_sticking sticking = sim_table_sticking(&table, 0.0, 4.0);
    assert_true(sticking.present && sticking.peak_before_m_s == 0.5 && sticking.low_m_s == 0.475);
    assert_true(sticking.start_pct == 25.0 && sticking.end_pct == 50.0);
}

/* Sánchez-Medina, Pérez & González-Badillo 2010 (from memory): what comes under -g is braking, not drive. */
static void braking_begins_where_acceleration_goes_under_gravity(void **state)
{
    (void)state;
    double height[8] = {0}, speed[8] = {0.1, 0.5, 0.9, 0.8, 0.6, 0.4, 0.2, 0.0};
    double accel[8] = {5, 5, 0, -10, -9, -10, -10, -10};
    struct sim_table table = {.count = 8, .step_s = 0.1, .height = height, .speed = speed, .accel = accel};
    assert_int_equal(sim_table_braking(&table, 9.81, false), 3);
    assert_int_equal(sim_table_braking(&table, 9.81, true), 5);
    accel[7] = -9.0;
    assert_int_equal(sim_table_braking(&table, 9.81, true), 7);
    accel[3] = accel[5] = accel[6] = -9.0;
    assert_int_equal(sim_table_braking(&table, 9.81, false), 7);
}

static void speed_between_heights_counts_all_time_spent_there(void **state)
{
    (void)state;
    /* Up to 2, back to 1, up to 3: a second a step; between 1 and 2 two seconds are spent. */
    double height[5] = {0, 2, 1, 3, 4}, speed[5] = {0}, accel[5] = {0};
    struct sim_table table = {.count = 5, .step_s = 1.0, .height = height, .speed = speed, .accel = accel};
    assert_true(fabs(sim_table_speed_between(&table, 1.0, 2.0) - 1.0 / 2.0) < 1e-15);
    assert_true(isnan(sim_table_speed_between(&table, 5.0, 6.0)));
}

static double smoothness_of(double *speed, /* NOLINT(readability-non-const-parameter): a table holds it */
                            size_t count, double step_s)
{
    struct sim_table table = {.count = count, .step_s = step_s, .speed = speed};
    double smoothness = 0.0;
    assert_true(sim_table_smoothness(&table, &smoothness));
    return smoothness;
}

/* Balasubramanian et al. 2015's own example: v = exp(-5 t²), t from -1 by 0.01, 200 points: -1.41403. And a
 * minimum-jerk stroke of 1 s at 100 Hz, both ends included: -1.405829 (computed with their code). */
static void smoothness_is_the_published_spectral_arc_length(void **state)
{
    (void)state;
    static double speed[200];
    for (int i = 0; i < 200; i++) {
        double t = -1.0 + 0.01 * (double)i;
        speed[i] = exp(-5.0 * t * t);
    }
    assert_true(fabs(smoothness_of(speed, 200, 0.01) + 1.41403) < 1e-5);
    for (int i = 0; i <= 100; i++) {
        double x = 0.01 * (double)i;
        speed[i] = 30.0 * x * x * (1.0 - x) * (1.0 - x);
    }
    assert_true(fabs(smoothness_of(speed, 101, 0.01) + 1.405829) < 1e-5);
}

static void tilt_counts_from_the_tilt_at_rest(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    motion.tilt.start = 0.5 * BP_DEGREE;
    sim_path_bump(&motion.tilt, drive_at_s, drive_s, -2.0 * BP_DEGREE);
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(fabs(truth.reps[0].tilt_deg - 2.0) < 1e-6);
    sim_motion_free(&motion);
}

static void point_off_the_middle_has_its_own_speed(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    motion.mount[0] = 0.5;
    sim_path_stroke(&motion.tilt, drive_at_s, drive_s, asin(0.02), 0.5, 0.5); /* ends 10 mm higher there */
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(fabs(truth.reps[0].middle_range_m - rise_m) < 1e-9);
    assert_true(fabs(truth.reps[0].range_m - (rise_m + 0.01)) < 1e-9);
    assert_true(truth.reps[0].mean_velocity_m_s > truth.reps[0].middle_mean_velocity_m_s);
    sim_motion_free(&motion);
}

static void missed_rep_has_no_speeds(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    motion.reps[0].missed = true;
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(truth.reps[0].missed);
    assert_true(isnan(truth.reps[0].mean_velocity_m_s) && isnan(truth.reps[0].peak_velocity_m_s));
    assert_true(isfinite(truth.reps[0].range_m) && isfinite(truth.reps[0].turnaround_s));
    sim_motion_free(&motion);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closed_form_rep_is_measured_by_the_definitions),
        cmocka_unit_test(thirds_multiply_back_to_the_drive_s_time),
        cmocka_unit_test(sway_inside_the_band_has_the_rms_of_a_sinusoid),
        cmocka_unit_test(sway_outside_the_band_does_not_count),
        cmocka_unit_test(sway_area_is_the_ellipse_that_holds_95_percent),
        cmocka_unit_test(two_humped_drive_sticks_at_its_creeping_speed),
        cmocka_unit_test(shallow_dip_is_no_sticking),
        cmocka_unit_test(braking_begins_where_acceleration_goes_under_gravity),
        cmocka_unit_test(speed_between_heights_counts_all_time_spent_there),
        cmocka_unit_test(smoothness_is_the_published_spectral_arc_length),
        cmocka_unit_test(tilt_counts_from_the_tilt_at_rest),
        cmocka_unit_test(point_off_the_middle_has_its_own_speed),
        cmocka_unit_test(missed_rep_has_no_speeds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
