/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "drives.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct drive drive;

static const double step_s = 0.005, gravity = BP_STANDARD_GRAVITY;

/* With the hands letting go at let_go_m_s2. */
static double propulsive_above(double let_go_m_s2)
{
    static double push[DRIVE_MOST];
    for (size_t i = 0; i < drive.track.count; i++) {
        push[i] = drive.accel_m_s2[i] - let_go_m_s2;
    }
    return bp_propulsive_speed(&drive.track, push, 0, &drive.times);
}

static double propulsive(void)
{
    return propulsive_above(-gravity);
}

static double range_time(double from, double to)
{
    double rise = (drive.times.drive_end.height_m - drive.times.drive_start.height_m) * (to - from);
    return rise / bp_range_speed(&drive.track, &drive.times, from, to, NULL, NULL);
}

static drive_shape *const shapes[] = {minimum_jerk, humps, plateau, thrown, stalling, dipping, falling_back};
static const double lengths_s[] = {1.2, 2, 1, 0.46, 1.7, 1, 1.6};
enum { SHAPES = sizeof shapes / sizeof *shapes };

static void mean_speed_times_time_is_the_rise(void **state)
{
    (void)state;
    for (size_t n = 0; n < SHAPES; n++) {
        drive_make(&drive, shapes[n], lengths_s[n], step_s, 0.35);
        double time_s = drive.times.drive_end.time_s - drive.times.drive_start.time_s;
        double rise = drive.times.drive_end.height_m - drive.times.drive_start.height_m;
        assert_true(rise > 0.3);
        assert_true(fabs(bp_mean_speed(&drive.times) * time_s - rise) < 1e-12);
    }
}

/* Minimum jerk: mean D/T between its ends, peak 1.875 D/T. The edges leave out 0.04 m/s and slower. */
static void minimum_jerk_has_its_known_speeds(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0.35);
    assert_true(fabs(bp_peak_speed(&drive.track, &drive.times) - 0.625) < 1e-6);
    double mean = bp_mean_speed(&drive.times);
    assert_true(mean > 0.333333 && mean < 0.42);
    drive.times = bp_rep_times(&drive.track, &drive.rep, 1e-4);
    assert_true(fabs(bp_mean_speed(&drive.times) - 0.333333) < 0.012); /* within edges 1e-4 m/s */
}

static void peak_speed_lies_between_samples(void **state)
{
    (void)state;
    const double coarse_s = 0.02; /* a largest sample alone is up to 0.0006 m/s short */
    for (int n = 0; n < 10; n++) {
        drive_make(&drive, minimum_jerk, minimum_jerk_s, coarse_s, n / 10.0);
        assert_true(fabs(bp_peak_speed(&drive.track, &drive.times) - 0.625) < 2e-6);
    }
}

/* Mean over the drive until the bar is let go: 0.5 m, less what lies below the edge, by 0.3 s. */
static void propulsive_speed_leaves_out_exactly_the_braking(void **state)
{
    (void)state;
    for (int n = 0; n < 10; n++) {
        drive_make(&drive, thrown, thrown_s, 0.001, n / 10.0);
        double start_s = BP_EDGE_SPEED_M_S / 20, start_m = 10 * start_s * start_s;
        double want = (0.5 - start_m) / (thrown_let_go_s - start_s);
        assert_true(bp_mean_speed(&drive.times) < want - 0.1);
        assert_true(fabs(propulsive() - want) < 2e-3);
    }
}

static void propulsive_speed_without_braking_is_the_mean_speed_to_the_bit(void **state)
{
    (void)state;
    drive_shape *const gentle[] = {minimum_jerk, humps, stalling};
    const double gentle_s[] = {1.2, 2, 1.7};
    for (size_t n = 0; n < 3; n++) {
        drive_make(&drive, gentle[n], gentle_s[n], step_s, 0.2);
        assert_true(propulsive() == bp_mean_speed(&drive.times));
    }
}

/* With chains or bands the hands let go later: m (a + g) + F = 0. */
static void a_lower_limit_keeps_more_of_the_drive(void **state)
{
    (void)state;
    drive_make(&drive, thrown, thrown_s, step_s, 0.2);
    double mean = bp_mean_speed(&drive.times);
    assert_true(propulsive() > mean);
    assert_true(propulsive_above(-(gravity + 3)) == mean);
}

/* A moment's clatter under -g in the middle is not where the bar was let go: it has to stay under. */
static void a_knock_on_the_way_does_not_end_propulsion(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0);
    drive.accel_m_s2[drive.times.first + 50] = -30;
    assert_true(propulsive() == bp_mean_speed(&drive.times));
}

static void constant_speed_is_the_same_in_every_range(void **state)
{
    (void)state;
    drive_make(&drive, plateau, plateau_s, step_s, 0.5);
    double middle = bp_range_speed(&drive.track, &drive.times, 1.0 / 3, 2.0 / 3, NULL, NULL);
    assert_true(fabs(middle - plateau_m_s) < 1e-12);
    for (int r = 0; r < 3; r++) {
        double speed = bp_range_speed(&drive.track, &drive.times, r / 3.0, (r + 1) / 3.0, NULL, NULL);
        assert_true(fabs(speed - plateau_m_s) < 0.02); /* the outer ones hold a ramp of 0.02 s */
    }
}

static void times_spent_in_ranges_add_up_to_the_drives(void **state)
{
    (void)state;
    const double cuts[] = {0, 0.2, 1.0 / 3, 0.5, 2.0 / 3, 0.9, 1};
    for (size_t n = 0; n < SHAPES; n++) {
        drive_make(&drive, shapes[n], lengths_s[n], step_s, 0.6);
        double sum = 0, time_s = drive.times.drive_end.time_s - drive.times.drive_start.time_s;
        for (size_t c = 0; c + 1 < sizeof cuts / sizeof *cuts; c++) {
            sum += range_time(cuts[c], cuts[c + 1]);
        }
        assert_true(fabs(sum - time_s) < 1e-12);
        double whole = bp_range_speed(&drive.track, &drive.times, 0, 1, NULL, NULL);
        assert_true(fabs(whole - bp_mean_speed(&drive.times)) < 1e-12);
    }
}

/* Speeds through thirds of the rise of minimum jerk, from the closed form's own crossing times. */
static void thirds_of_minimum_jerk_take_their_known_times(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, 0.001, 0.25);
    double start = drive.times.drive_start.height_m, rise = drive.times.drive_end.height_m - start;
    double at_s[4] = {drive.times.drive_start.time_s, 0, 0, drive.times.drive_end.time_s};
    for (int c = 1; c < 3; c++) {
        double low = 0, high = minimum_jerk_s, out[3];
        for (int i = 0; i < 60; i++) {
            minimum_jerk((low + high) / 2, out);
            *(out[0] < start + rise * c / 3 ? &low : &high) = (low + high) / 2;
        }
        at_s[c] = low;
    }
    for (int r = 0; r < 3; r++) {
        assert_true(fabs(range_time(r / 3.0, (r + 1) / 3.0) - (at_s[r + 1] - at_s[r])) < 1e-5);
    }
}

/* The bar turns back in the middle third: its time is longer by what the dip cost, the others' is not. */
static void a_dip_counts_in_the_range_it_happens_in(void **state)
{
    (void)state;
    drive_make(&drive, plateau, plateau_s, step_s, 0.5);
    double even[3] = {range_time(0, 1.0 / 3), range_time(1.0 / 3, 2.0 / 3), range_time(2.0 / 3, 1)};
    drive_make(&drive, dipping, plateau_s, step_s, 0.5);
    assert_true(drive.height_m[drive.rep.bottom + 80] >
                drive.height_m[drive.rep.bottom + 100]); /* it turns */
    assert_true(fabs(range_time(0, 1.0 / 3) - even[0]) < 1e-9);
    assert_true(fabs(range_time(1.0 / 3, 2.0 / 3) - even[1]) < 1e-9);
    assert_true(fabs(range_time(2.0 / 3, 1) - even[2]) < 1e-9);
    /* Cut inside the dip: a height passed three times has all its visits counted. */
    double whole = range_time(1.0 / 3, 0.385) + range_time(0.385, 2.0 / 3);
    assert_true(fabs(whole - even[1]) < 1e-9);
    drive_make(&drive, plateau, plateau_s, step_s, 0.5);
    double once = range_time(0.38, 0.39);
    drive_make(&drive, dipping, plateau_s, step_s, 0.5);
    assert_true(range_time(0.38, 0.39) > 1.5 * once);
}

static void samples_of_neighbouring_ranges_touch(void **state)
{
    (void)state;
    size_t first[3], last[3];
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0.5);
    for (int r = 0; r < 3; r++) {
        bp_range_speed(&drive.track, &drive.times, r / 3.0, (r + 1) / 3.0, &first[r], &last[r]);
        assert_true(first[r] <= last[r]);
    }
    assert_int_equal(first[0], drive.times.first);
    assert_int_equal(last[2], drive.times.last);
    for (int r = 0; r < 2; r++) {
        assert_in_range(first[r + 1], last[r], last[r] + 1);
    }
}

/* No figure may depend on where the samples fell: samples moved by tenths of a step. */
enum { FIGURES = 6 };

static void measure(double out[FIGURES])
{
    out[0] = bp_mean_speed(&drive.times);
    out[1] = bp_peak_speed(&drive.track, &drive.times);
    out[2] = propulsive();
    for (int r = 0; r < 3; r++) {
        out[3 + r] = bp_range_speed(&drive.track, &drive.times, r / 3.0, (r + 1) / 3.0, NULL, NULL);
    }
}

static void figures_do_not_depend_on_where_the_samples_fell(void **state)
{
    (void)state;
    drive_shape *const smooth[] = {minimum_jerk, humps, stalling};
    const double smooth_s[] = {1.2, 2, 1.7};
    for (size_t n = 0; n < 3; n++) {
        double first[FIGURES], figures[FIGURES];
        drive_make(&drive, smooth[n], smooth_s[n], step_s, 0);
        measure(first);
        for (int phase = 1; phase < 10; phase++) {
            drive_make(&drive, smooth[n], smooth_s[n], step_s, phase / 10.0);
            measure(figures);
            for (int f = 0; f < FIGURES; f++) {
                assert_true(fabs(figures[f] - first[f]) < 1e-3);
            }
        }
    }
}

static void profile_is_the_speed_at_evenly_spread_heights(void **state)
{
    (void)state;
    enum { POINTS = 8 };
    for (int phase = 0; phase < 10; phase++) {
        double profile[POINTS];
        drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, phase / 10.0);
        bp_speed_profile(&drive.track, &drive.times, POINTS, profile);
        double start = drive.times.drive_start.height_m, rise = drive.times.drive_end.height_m - start;
        for (int p = 0; p < POINTS; p++) {
            double low = 0, high = minimum_jerk_s, out[3];
            for (int i = 0; i < 60; i++) {
                minimum_jerk((low + high) / 2, out);
                *(out[0] < start + rise * (p + 0.5) / POINTS ? &low : &high) = (low + high) / 2;
            }
            assert_true(fabs(profile[p] - out[1]) < 1e-3);
        }
    }
}

static void profile_of_no_drive_is_unknown(void **state)
{
    (void)state;
    double profile[3] = {1, 1, 1};
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0);
    drive.times.drive_start.time_s = (double)NAN;
    bp_speed_profile(&drive.track, &drive.times, 3, profile);
    assert_true(isnan(profile[0]) && isnan(profile[1]) && isnan(profile[2]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mean_speed_times_time_is_the_rise),
        cmocka_unit_test(minimum_jerk_has_its_known_speeds),
        cmocka_unit_test(peak_speed_lies_between_samples),
        cmocka_unit_test(propulsive_speed_leaves_out_exactly_the_braking),
        cmocka_unit_test(propulsive_speed_without_braking_is_the_mean_speed_to_the_bit),
        cmocka_unit_test(a_lower_limit_keeps_more_of_the_drive),
        cmocka_unit_test(a_knock_on_the_way_does_not_end_propulsion),
        cmocka_unit_test(constant_speed_is_the_same_in_every_range),
        cmocka_unit_test(times_spent_in_ranges_add_up_to_the_drives),
        cmocka_unit_test(thirds_of_minimum_jerk_take_their_known_times),
        cmocka_unit_test(a_dip_counts_in_the_range_it_happens_in),
        cmocka_unit_test(samples_of_neighbouring_ranges_touch),
        cmocka_unit_test(figures_do_not_depend_on_where_the_samples_fell),
        cmocka_unit_test(profile_is_the_speed_at_evenly_spread_heights),
        cmocka_unit_test(profile_of_no_drive_is_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
