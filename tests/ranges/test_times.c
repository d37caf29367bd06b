/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "drives.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct drive drive;

static const double step_s = 0.005;

/* When minimum jerk passes `speed` on its way up, s: bisection on the closed form. */
static double minimum_jerk_passes(double speed)
{
    double low = 0, high = minimum_jerk_s / 2, out[3];
    for (int i = 0; i < 60; i++) {
        minimum_jerk((low + high) / 2, out);
        *(out[1] < speed ? &low : &high) = (low + high) / 2;
    }
    return low;
}

static void drive_begins_and_ends_where_speed_crosses_the_edge(void **state)
{
    (void)state;
    double edge_s = minimum_jerk_passes(BP_EDGE_SPEED_M_S), at[3];
    minimum_jerk(edge_s, at);
    for (int n = 0; n < 10; n++) {
        drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, n / 10.0);
        const struct bp_rep_times *times = &drive.times;
        assert_true(fabs(times->drive_start.time_s - edge_s) < 1e-4);
        assert_true(fabs(times->drive_end.time_s - (minimum_jerk_s - edge_s)) < 1e-4);
        assert_true(fabs(times->drive_start.height_m - at[0]) < 1e-5);
        assert_true(fabs(times->drive_end.height_m - (minimum_jerk_m - at[0])) < 1e-5);
        assert_true(fabs(times->range_m - minimum_jerk_m) < 1e-6);
    }
}

/* Where a drive sets in, speed bends within a step of 50 Hz: a straight line between samples is a millisecond
 * early. */
static void drive_ends_are_found_as_well_at_a_low_rate(void **state)
{
    (void)state;
    double edge_s = minimum_jerk_passes(BP_EDGE_SPEED_M_S);
    for (int n = 0; n < 10; n++) {
        drive_make(&drive, minimum_jerk, minimum_jerk_s, 0.02, n / 10.0);
        assert_true(fabs(drive.times.drive_start.time_s - edge_s) < 1e-4);
        assert_true(fabs(drive.times.drive_end.time_s - (minimum_jerk_s - edge_s)) < 1e-4);
    }
}

/* Between samples the height is that of the moment found, even at 50 Hz. */
static void height_at_the_ends_belongs_to_their_time(void **state)
{
    (void)state;
    for (int n = 0; n < 10; n++) {
        double start[3], end[3];
        drive_make(&drive, minimum_jerk, minimum_jerk_s, 0.02, n / 10.0);
        minimum_jerk(drive.times.drive_start.time_s, start);
        minimum_jerk(drive.times.drive_end.time_s, end);
        assert_true(fabs(drive.times.drive_start.height_m - start[0]) < 1e-6);
        assert_true(fabs(drive.times.drive_end.height_m - end[0]) < 1e-6);
    }
}

static void another_edge_speed_moves_the_ends(void **state)
{
    (void)state;
    const double speeds[] = {0.005, 0.02, 0.1, 0.2};
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0.3);
    for (size_t n = 0; n < sizeof speeds / sizeof *speeds; n++) {
        struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, speeds[n]);
        double edge_s = minimum_jerk_passes(speeds[n]);
        assert_true(fabs(times.drive_start.time_s - edge_s) < 2e-4);
        assert_true(fabs(times.drive_end.time_s - (minimum_jerk_s - edge_s)) < 2e-4);
    }
}

static void samples_inside_are_those_between_the_edges(void **state)
{
    (void)state;
    for (int n = 0; n < 10; n++) {
        drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, n / 10.0);
        const struct bp_rep_times *times = &drive.times;
        assert_true(drive.time_s[times->first] >= times->drive_start.time_s);
        assert_true(drive.time_s[times->first - 1] < times->drive_start.time_s);
        assert_true(drive.time_s[times->last] <= times->drive_end.time_s);
        assert_true(drive.time_s[times->last + 1] > times->drive_end.time_s);
    }
}

static void a_stall_in_the_middle_does_not_end_the_drive(void **state)
{
    (void)state;
    drive_make(&drive, stalling, stall_s, step_s, 0.4);
    assert_true(drive.times.drive_start.time_s < 0.15);
    assert_true(drive.times.drive_end.time_s > stall_s - 0.15);
    size_t middle = drive.rep.bottom + (size_t)(stall_s / 2 / step_s);
    assert_true(fabs(drive.speed_m_s[middle]) < 1e-12); /* it does stand */
}

/* A bar that sinks a little and stands again before the drive: the drive begins after it. */
static void a_false_start_at_the_bottom_is_no_part_of_the_drive(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0);
    double as_made = drive.times.drive_start.time_s;
    for (size_t i = 10; i < 30; i++) { /* before the drive; up by 8 mm and down again */
        double x = (double)(i - 10) / 20;
        drive.height_m[i] += 0.008 * sin(BP_PI * x) * sin(BP_PI * x);
        drive.speed_m_s[i] += 0.008 * BP_PI / (20 * step_s) * sin(2 * BP_PI * x);
    }
    drive.rep.bottom = 5;
    struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(fabs(times.drive_start.time_s - as_made) < 1e-9);
}

/* Down, a pause, up: the descent's ends are the drive's, mirrored. */
static void down_pause_up(double t, double out[3])
{
    const double pause_s = 0.8;
    double down[3];
    minimum_jerk(t, down);
    minimum_jerk(t - minimum_jerk_s - pause_s, out);
    for (int d = 0; d < 3; d++) {
        out[d] -= down[d];
    }
}

static void descent_has_its_ends_like_the_drive_downward(void **state)
{
    (void)state;
    double edge_s = minimum_jerk_passes(BP_EDGE_SPEED_M_S), length = 2 * minimum_jerk_s + 0.8;
    drive_make(&drive, down_pause_up, length, step_s, 0.7);
    drive.rep.has_before = true;
    drive.rep.top_before = drive.rep.bottom;
    drive.rep.bottom += (size_t)((minimum_jerk_s + 0.4) / step_s);
    struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(fabs(times.descent_start.time_s - edge_s) < 1e-4);
    assert_true(fabs(times.descent_end.time_s - (minimum_jerk_s - edge_s)) < 1e-4);
    assert_true(fabs(times.drive_start.time_s - (minimum_jerk_s + 0.8 + edge_s)) < 1e-4);
    assert_true(fabs(times.drive_end.time_s - (length - edge_s)) < 1e-4);
    assert_true(times.turnaround.time_s >= times.descent_end.time_s);
    assert_true(times.turnaround.time_s <= times.drive_start.time_s);
}

static void descent_after_the_drive_is_measured_too(void **state)
{
    (void)state;
    double edge_s = minimum_jerk_passes(BP_EDGE_SPEED_M_S), length = 2 * minimum_jerk_s + 0.8;
    drive_make(&drive, down_pause_up, length, step_s, 0);
    for (size_t i = 0; i < drive.track.count; i++) { /* upside down: up, a hold, down */
        drive.height_m[i] = -drive.height_m[i];
        drive.speed_m_s[i] = -drive.speed_m_s[i];
        drive.accel_m_s2[i] = -drive.accel_m_s2[i];
    }
    drive.rep.has_after = true;
    drive.rep.bottom_after = drive.rep.top;
    drive.rep.top = drive.rep.bottom + (size_t)((minimum_jerk_s + 0.4) / step_s);
    struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(fabs(times.drive_end.time_s - (minimum_jerk_s - edge_s)) < 1e-4);
    assert_true(fabs(times.descent_start.time_s - (minimum_jerk_s + 0.8 + edge_s)) < 1e-4);
    assert_true(fabs(times.descent_end.time_s - (length - edge_s)) < 1e-4);
}

/* Touch and go: h = 0.2 (1 - cos) / 2 turns at its bottom between two samples. */
static void touch_and_go(double t, double out[3])
{
    double omega = 2 * BP_PI / 1.6;
    out[0] = 0.2 * (1 - cos(omega * t));
    out[1] = 0.2 * omega * sin(omega * t);
    out[2] = 0.2 * omega * omega * cos(omega * t);
}

static void turnaround_is_where_speed_is_zero_between_samples(void **state)
{
    (void)state;
    for (int n = 1; n < 10; n++) {
        drive_make(&drive, touch_and_go, 0.8, step_s, n / 10.0);
        for (size_t off = 0; off < 2; off++) { /* the rep may name the sample on either side */
            struct bp_rep rep = drive.rep;
            rep.bottom += off;
            struct bp_rep_times times = bp_rep_times(&drive.track, &rep, BP_EDGE_SPEED_M_S);
            assert_true(fabs(times.turnaround.time_s) < 1e-5);
            assert_true(fabs(times.turnaround.height_m) < 1e-6);
        }
    }
}

/* Plates that bounce once more: 6 mm under where the rep begins, 0.1 s before. */
static void drive_out_of_a_bounce_turned_at_the_lowest_of_it(void **state)
{
    (void)state;
    const double depth_m = 0.006, half_s = 0.1;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0.5);
    for (size_t i = 0; i < drive.rep.bottom; i++) {
        double phase = BP_PI * drive.time_s[i] / half_s;
        if (phase > -2 * BP_PI) {
            drive.height_m[i] -= depth_m * (1 - cos(phase)) / 2;
            drive.speed_m_s[i] -= depth_m * sin(phase) * BP_PI / half_s / 2;
        }
    }
    struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(fabs(times.turnaround.time_s + half_s) < 1e-4);
    assert_true(fabs(times.range_m - minimum_jerk_m - depth_m) < 1e-4);
    assert_true(times.drive_start.time_s > 0);
}

static void a_rep_that_never_rose_has_no_drive(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0);
    drive.rep.top = drive.rep.bottom;
    struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(isnan(times.drive_start.time_s) && isnan(times.drive_end.time_s));
    assert_true(isnan(times.descent_start.time_s) && isnan(times.descent_end.time_s));
    assert_true(times.first > times.last);
    assert_true(isnan(bp_mean_speed(&times)));
    assert_true(isnan(bp_peak_speed(&drive.track, &times)));
    assert_true(isnan(bp_propulsive_speed(&drive.track, drive.accel_m_s2, 0, &times)));
    assert_true(isnan(bp_range_speed(&drive.track, &times, 0, 1, NULL, NULL)));
    assert_false(bp_sticking_find(&drive.track, &times, 0.02).present);
}

/* The log begins, or ends, in the middle of the drive: its first and last samples stand in. */
static void a_drive_cut_by_the_logs_ends_uses_its_last_sample(void **state)
{
    (void)state;
    drive_make(&drive, plateau, plateau_s, step_s, 0);
    drive.rep.bottom += 20;
    drive.rep.top -= 20;
    struct bp_rep_times times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(times.drive_start.time_s == drive.time_s[drive.rep.bottom]);
    assert_true(times.drive_end.time_s == drive.time_s[drive.rep.top]);
    assert_true(fabs(bp_mean_speed(&times) - plateau_m_s) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drive_begins_and_ends_where_speed_crosses_the_edge),
        cmocka_unit_test(drive_ends_are_found_as_well_at_a_low_rate),
        cmocka_unit_test(height_at_the_ends_belongs_to_their_time),
        cmocka_unit_test(another_edge_speed_moves_the_ends),
        cmocka_unit_test(samples_inside_are_those_between_the_edges),
        cmocka_unit_test(a_stall_in_the_middle_does_not_end_the_drive),
        cmocka_unit_test(a_false_start_at_the_bottom_is_no_part_of_the_drive),
        cmocka_unit_test(descent_has_its_ends_like_the_drive_downward),
        cmocka_unit_test(descent_after_the_drive_is_measured_too),
        cmocka_unit_test(turnaround_is_where_speed_is_zero_between_samples),
        cmocka_unit_test(drive_out_of_a_bounce_turned_at_the_lowest_of_it),
        cmocka_unit_test(a_rep_that_never_rose_has_no_drive),
        cmocka_unit_test(a_drive_cut_by_the_logs_ends_uses_its_last_sample),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
