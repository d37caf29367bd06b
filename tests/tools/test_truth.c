/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/drive.h"
#include "simulate/truth.h"

#include "barplumb/shake.h"
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
    *motion = (struct sim_motion){.gravity = 9.81, .end_s = 9.0, .rate_hz = 200.0, .rep_count = 1};
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
    assert_true(fabs(rep->descent_time_s - (1.0 - 2.0 * x) * drive_s) < 1e-9);
    assert_true(fabs(rep->drive_time_s - (1.0 - 2.0 * x) * drive_s) < 1e-9);
    assert_true(fabs(rep->pause_s - (drive_at_s - descent_at_s - (1.0 - 2.0 * x) * drive_s)) < 1e-9);
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

/* The definition's gain, written out once more. */
static double band_gain(double hz, double end_hz)
{
    double low = 0.7 / hz, high = hz / end_hz;
    return 1.0 / sqrt((1.0 + pow(low, 8.0)) * (1.0 + pow(high, 8.0)));
}

/* Along the bar A sin(2πft): rms A/√2, 2πfA/√2, (2πf)²A/√2, each times the band's gain at f, over whole
 * periods in the middle of a long wave. At both ends of the band the gain is 1/√2. */
static void sway_has_the_rms_of_a_sinusoid_times_the_band_s_gain(void **state)
{
    (void)state;
    const double hz[] = {0.3, 0.7, 1.0, 3.0, 8.0, 12.0, 20.0}, size_m = 0.02;
    for (size_t i = 0; i < sizeof hz / sizeof *hz; i++) {
        struct sim_motion motion;
        struct sim_bands bands;
        closed_form(&motion);
        motion.end_s = 60.0;
        sim_path_wave(&motion.along, 1.0, 58.0, size_m, 10.0, hz[i], 0.4);
        assert_true(sim_bands_make(&motion, &bands));
        struct sim_shake shake = sim_bands_shake(&bands, 25.0, 34.999); /* ten seconds, less one sample */
        double expected = band_gain(hz[i], 8.0) * size_m / sqrt(2.0), omega = 2.0 * BP_PI * hz[i];
        assert_true(fabs(shake.rms_m / expected - 1.0) < 0.002);
        assert_true(fabs(shake.rms_m_s / (omega * expected) - 1.0) < 0.002);
        assert_true(fabs(shake.rms_m_s2 / (omega * omega * expected) - 1.0) < 0.002);
        sim_bands_free(&bands);
        sim_motion_free(&motion);
    }
    assert_true(fabs(sim_gain_above(0.7, 0.7) - sqrt(0.5)) < 1e-15);
    assert_true(fabs(sim_gain_below(8.0, 8.0) - sqrt(0.5)) < 1e-15);
}

static void band_of_a_slow_log_ends_at_0_45_of_its_rate(void **state)
{
    (void)state;
    struct sim_motion motion;
    struct sim_bands bands;
    closed_form(&motion);
    motion.rate_hz = 12.5;
    motion.end_s = 30.0;
    sim_path_wave(&motion.along, 0.0, 30.0, 0.01, 5.0, 6.0, 0.0);
    assert_true(sim_bands_make(&motion, &bands));
    double expected = band_gain(6.0, 5.625) * 0.01 / sqrt(2.0);
    assert_true(fabs(sim_bands_shake(&bands, 10.0, 19.999).rms_m / expected - 1.0) < 0.002);
    sim_bands_free(&bands);
    sim_motion_free(&motion);
}

/* A bar carried 50 mm to the side in 8 s moves, but does not shake. */
static void slow_walk_sideways_does_not_count(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    sim_path_stroke(&motion.along, 0.5, 8.0, 0.05, 0.5, 0.5);
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(truth.reps[0].drive.rms_m < 0.0002);
    sim_motion_free(&motion);
}

/* A bar that goes on swaying when the log is cut: its shake in the last second is that of the whole wave. */
static void end_of_the_log_makes_no_shake_of_its_own(void **state)
{
    (void)state;
    struct sim_motion motion;
    struct sim_bands bands;
    closed_form(&motion);
    motion.end_s = 20.0;
    sim_path_wave(&motion.along, 0.0, 60.0, 0.01, 5.0, 2.0, 0.0);
    assert_true(sim_bands_make(&motion, &bands));
    double expected = band_gain(2.0, 8.0) * 0.01 / sqrt(2.0);
    assert_true(fabs(sim_bands_shake(&bands, 19.0, 19.999).rms_m / expected - 1.0) < 0.002);
    sim_bands_free(&bands);
    sim_motion_free(&motion);
}

static void dominant_frequency_is_that_of_the_strongest_speed(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    sim_path_wave(&motion.along, 1.0, 7.0, 0.010, 0.8, 2.0, 0.4);
    sim_path_wave(&motion.along, 1.0, 7.0, 0.005, 0.8, 5.0, 0.4); /* half the size, 1.25 times the speed */
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(fabs(truth.reps[0].shake_hz - 5.0) < 0.1);
    sim_motion_free(&motion);
    closed_form(&motion);
    sim_path_wave(&motion.along, 1.0, 7.0, 0.010, 0.8, 1.0, 0.4); /* about one period fits the drive */
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(isnan(truth.reps[0].shake_hz));
    sim_motion_free(&motion);
}

/* 360 points (3 cos θ, sin θ): 2π F(0.95; 2, 358) s_x s_y = 28.471697 with F = 3.020941, and with ten samples
 * 2π 4.458970 s_x s_y (F from tables; computed). */
static void sway_area_takes_the_f_of_the_log_s_samples(void **state)
{
    (void)state;
    enum { POINTS = 360 };
    static double x[POINTS], y[POINTS];
    for (int i = 0; i < POINTS; i++) {
        x[i] = 3.0 * cos((double)i * BP_DEGREE);
        y[i] = sin((double)i * BP_DEGREE);
    }
    struct sim_bands bands = {
        .count = POINTS, .rate_hz = 1.0, .log_rate_hz = 360.0 / 359.0, .along_m = x, .fore_m = y};
    assert_true(fabs(sim_bands_area(&bands, 0.0, 359.0) - 28.471697) < 2e-6);
    bands.log_rate_hz = 10.0 / 359.0;
    assert_true(fabs(sim_bands_area(&bands, 0.0, 359.0) - 2.0 * BP_PI * 4.458970 * 1.5) < 1e-5);
    bands.log_rate_hz = 2.0 / 359.0;
    assert_true(isnan(sim_bands_area(&bands, 0.0, 359.0)));
    assert_true(isnan(sim_bands_area(&bands, 5.0, 5.0)));
}

/* A rattle of a(t) = A sin(2πft) on two axes, smoothed by no window: length A √2 sin, so rms A, crest √2,
 * both times the gain at f. */
static void clatter_is_what_passes_15_hz_as_a_vector(void **state)
{
    (void)state;
    const double size_m_s2 = 5.0, hz[] = {10.0, 15.0, 40.0};
    for (size_t i = 0; i < sizeof hz / sizeof *hz; i++) {
        struct sim_motion motion;
        struct sim_clatter clatter;
        closed_form(&motion);
        double omega = 2.0 * BP_PI * hz[i], gain = 1.0 / sqrt(1.0 + pow(15.0 / hz[i], 8.0));
        sim_path_wave(&motion.rattle[0], 1.0, 7.0, size_m_s2 / (omega * omega), 1.0, hz[i], 0.0);
        sim_path_wave(&motion.rattle[2], 1.0, 7.0, size_m_s2 / (omega * omega), 1.0, hz[i], 0.0);
        motion.rate_hz = 480.0; /* so that samples fall on the peaks */
        assert_true(sim_clatter_measure(&motion, 3.5, 4.499, &clatter));
        assert_true(fabs(clatter.rms_m_s2 / (gain * size_m_s2) - 1.0) < 0.001);
        assert_true(fabs(clatter.crest / sqrt(2.0) - 1.0) < 0.002);
        sim_motion_free(&motion);
    }
}

/* A raised cosine of half-width one sample lets half of what lies at half the rate pass. */
static void clatter_of_a_slow_log_is_what_its_window_lets_pass(void **state)
{
    (void)state;
    struct sim_motion motion;
    struct sim_clatter clatter;
    closed_form(&motion);
    double omega = 2.0 * BP_PI * 40.0;
    sim_path_wave(&motion.rattle[2], 1.0, 7.0, 5.0 / (omega * omega), 1.0, 40.0, 0.3);
    motion.rate_hz = 90.0;
    motion.smear_s = 1.0 / 80.0; /* 40 Hz is half of 80 */
    double gain = 0.5 / sqrt(1.0 + pow(15.0 / 40.0, 8.0));
    assert_true(sim_clatter_measure(&motion, 3.0, 5.999, &clatter));
    assert_true(fabs(clatter.rms_m_s2 / (gain * 5.0 / sqrt(2.0)) - 1.0) < 0.02);
    motion.rate_hz = 37.0;
    assert_true(sim_clatter_measure(&motion, 3.0, 5.999, &clatter));
    assert_true(isnan(clatter.rms_m_s2) && isnan(clatter.crest));
    sim_motion_free(&motion);
}

enum { EXACT_MOST = 20000 };

/* An exact log of the motion at its nominal rate: along, fore-aft, the three axes of force. */
static size_t sample_exactly(const struct sim_motion *motion, double x[5][EXACT_MOST])
{
    size_t count = (size_t)floor(motion->end_s * motion->rate_hz) + 1;
    assert_true(count <= EXACT_MOST);
    for (size_t i = 0; i < count; i++) {
        double time = (double)i / motion->rate_hz;
        struct sim_state now;
        sim_motion_at(motion, time, &now);
        x[0][i] = sim_motion_point_along(motion, time).accel;
        x[1][i] = sim_motion_point_fore(motion, time).accel;
        for (int k = 0; k < 3; k++) {
            x[2 + k][i] = now.force[k];
        }
    }
    return count;
}

/* Clatter is taken at the same samples. The truth of the shake lies on a finer clock, so that a sample more
 * or less at a drive's ends stays. */
static void assert_same_shake(const struct bp_shake_figures *found, const struct sim_rep_truth *rep)
{
    assert_true(fabs(found->clatter_rms_m_s2 / rep->clatter_m_s2 - 1.0) < 0.001);
    assert_true(fabs(found->clatter_crest / rep->clatter_crest - 1.0) < 0.001);
    assert_true(fabs(found->rms_m / rep->drive.rms_m - 1.0) < 0.02);
    assert_true(fabs(found->rms_m_s / rep->drive.rms_m_s - 1.0) < 0.02);
    assert_true(fabs(found->rms_m_s2 / rep->drive.rms_m_s2 - 1.0) < 0.02);
    assert_true(fabs(found->sway_area_m2 / rep->sway_area_m2 - 1.0) < 0.04);
    if (isfinite(found->dominant_hz) && isfinite(rep->shake_hz)) {
        assert_true(fabs(found->dominant_hz - rep->shake_hz) < 0.05);
    }
}

/* Two programs of one definition: the library's filter on an exact log, and the truth. What is left is the
 * few samples at a drive's ends. */
static void library_s_figures_of_an_exact_log_are_the_truth(void **state)
{
    (void)state;
    static struct sim_truth truth;
    static double x[5][EXACT_MOST];
    int peaks = 0, both = 0;
    for (uint64_t seed = 0; seed < 12; seed++) {
        struct sim_scenario s = sim_scenario_defaults;
        struct sim_motion motion;
        struct bp_arena arena;
        struct bp_shake_bands bands;
        s.seed = seed;
        s.rate_hz = seed % 2 ? 100.0 : 200.0;
        s.ending = seed % 3 ? SIM_RACKED : SIM_CUT;
        sim_scenario_rig(seed % 4 ? SIM_CHAINS : SIM_STRAIGHT, &s);
        bp_arena_init(&arena);
        assert_int_equal(sim_motion_make(&s, &motion), SIM_OK);
        assert_true(sim_truth_make(&motion, &truth));
        size_t count = sample_exactly(&motion, x);
        const double *const force[3] = {x[2], x[3], x[4]};
        assert_int_equal(bp_shake_make(x[0], x[1], force, count, s.rate_hz, NULL, &arena, &bands), BP_OK);
        for (size_t i = 0; i < truth.rep_count; i++) {
            const struct sim_rep_truth *rep = &truth.reps[i];
            size_t first = (size_t)ceil(rep->drive_start_s * s.rate_hz);
            size_t last = (size_t)floor(rep->drive_end_s * s.rate_hz);
            struct bp_shake_figures found;
            assert_int_equal(bp_shake_measure(&bands, first, last, NULL, &arena, &found), BP_OK);
            assert_same_shake(&found, rep);
            peaks += isfinite(rep->shake_hz);
            both += isfinite(rep->shake_hz) && isfinite(found.dominant_hz);
        }
        bp_arena_free(&arena);
        sim_motion_free(&motion);
    }
    assert_true(peaks >= 10 && both >= peaks - 2);
}

/* Gravity, the stroke itself and an exact mounting leave nothing above 15 Hz, however the phone is turned. */
static void quiet_drive_does_not_clatter(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    const struct sim_jet turned[3] = {{0.5, 0.0, 0.0}, {-0.2, 0.0, 0.0}, {1.2, 0.0, 0.0}};
    sim_rotation_make(turned, &motion.phone);
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(truth.reps[0].clatter_m_s2 < 0.02);
    sim_motion_free(&motion);
}

static void pause_of_a_rep_from_the_bottom_counts_from_the_descent_before(void **state)
{
    (void)state;
    struct sim_motion motion;
    static struct sim_truth truth;
    closed_form(&motion);
    motion.height.start = -rise_m;
    motion.height.pieces[0].size = rise_m; /* up at 2 s, down at 5 s, up again at 8 s */
    motion.height.pieces[1].size = -rise_m;
    sim_path_add(
        &motion.height,
        &(struct sim_piece){.kind = SIM_MIN_JERK, .from_s = 8.0, .length_s = drive_s, .size = rise_m});
    motion.end_s = 12.0;
    motion.rep_count = 2;
    motion.reps[0] = (struct sim_planned_rep){.low_from_s = 1.0,
                                              .drive_from_s = 2.0,
                                              .drive_to_s = 2.0 + drive_s,
                                              .top_to_s = 5.0,
                                              .descent_from_s = 5.0,
                                              .descent_to_s = 5.0 + drive_s,
                                              .bottom_m = -rise_m};
    motion.reps[1] = (struct sim_planned_rep){.low_from_s = 5.6,
                                              .drive_from_s = 8.0,
                                              .drive_to_s = 8.0 + drive_s,
                                              .top_to_s = 11.0,
                                              .bottom_m = -rise_m};
    assert_true(sim_truth_make(&motion, &truth));
    double x = share_at_speed(0.04);
    assert_true(isnan(truth.reps[0].pause_s));
    assert_true(fabs(truth.reps[0].descent_time_s - (1.0 - 2.0 * x) * drive_s) < 1e-9);
    assert_true(fabs(truth.reps[1].pause_s - (3.0 - (1.0 - 2.0 * x) * drive_s)) < 1e-9);
    assert_true(isnan(truth.reps[1].descent_time_s));
    motion.reps[1].missed = true;
    assert_true(sim_truth_make(&motion, &truth));
    assert_true(isnan(truth.reps[1].pause_s));
    sim_motion_free(&motion);
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
        cmocka_unit_test(sway_has_the_rms_of_a_sinusoid_times_the_band_s_gain),
        cmocka_unit_test(band_of_a_slow_log_ends_at_0_45_of_its_rate),
        cmocka_unit_test(slow_walk_sideways_does_not_count),
        cmocka_unit_test(end_of_the_log_makes_no_shake_of_its_own),
        cmocka_unit_test(dominant_frequency_is_that_of_the_strongest_speed),
        cmocka_unit_test(sway_area_takes_the_f_of_the_log_s_samples),
        cmocka_unit_test(clatter_is_what_passes_15_hz_as_a_vector),
        cmocka_unit_test(clatter_of_a_slow_log_is_what_its_window_lets_pass),
        cmocka_unit_test(library_s_figures_of_an_exact_log_are_the_truth),
        cmocka_unit_test(quiet_drive_does_not_clatter),
        cmocka_unit_test(pause_of_a_rep_from_the_bottom_counts_from_the_descent_before),
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
