/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "drives.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct drive drive;

static drive_shape *const shapes[] = {minimum_jerk, humps, plateau, thrown, stalling, dipping, falling_back};
static const double lengths_s[] = {1.2, 2, 1, 0.46, 1.7, 1, 1.6};
enum { SHAPES = sizeof shapes / sizeof *shapes };
static const double step_s = 0.005;

static double integral(double from, double to, const double *value)
{
    return bp_range_integral(&drive.track, &drive.times, from, to, value, 0);
}

static void the_integral_of_one_is_the_drives_time(void **state)
{
    (void)state;
    for (size_t n = 0; n < SHAPES; n++) {
        drive_make(&drive, shapes[n], lengths_s[n], step_s, 0.35);
        double time_s = drive.times.drive_end.time_s - drive.times.drive_start.time_s;
        assert_true(time_s > 0.3);
        assert_true(fabs(integral(0, 1, NULL) - time_s) < 1e-12);
    }
}

static void thirds_add_up_to_the_whole(void **state)
{
    (void)state;
    for (size_t n = 0; n < SHAPES; n++) {
        drive_make(&drive, shapes[n], lengths_s[n], step_s, 0.6);
        double sum = 0;
        for (int third = 0; third < 3; third++) {
            sum += integral(third / 3.0, (third + 1) / 3.0, drive.accel_m_s2);
        }
        assert_true(fabs(sum - integral(0, 1, drive.accel_m_s2)) < 1e-12);
    }
}

/* The trapezoid rule is right to dt²: 5 ms of a bar that turns within a tenth of a second. */
static void speed_over_time_is_the_way_through_the_range(void **state)
{
    (void)state;
    for (size_t n = 0; n < SHAPES; n++) {
        drive_make(&drive, shapes[n], lengths_s[n], step_s, 0.35);
        double rise = drive.times.drive_end.height_m - drive.times.drive_start.height_m;
        assert_true(fabs(integral(0, 1, drive.speed_m_s) - rise) < 2e-4);
        assert_true(fabs(integral(1.0 / 3, 2.0 / 3, drive.speed_m_s) - rise / 3) < 1e-3);
    }
}

static void acceleration_over_time_is_the_gain_of_speed(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, 0.001, 0.35);
    assert_true(fabs(integral(0, 1, drive.accel_m_s2)) < 1e-6); /* 0.04 m/s at both edges */
    assert_true(fabs(integral(0, 0.5, drive.accel_m_s2) - (0.625 - BP_EDGE_SPEED_M_S)) < 1e-3);
}

static void values_may_begin_just_before_the_drive(void **state)
{
    (void)state;
    drive_make(&drive, humps, 2, step_s, 0.1);
    size_t base = drive.times.first - 1;
    double whole = integral(0.2, 0.9, drive.speed_m_s);
    assert_true(bp_range_integral(&drive.track, &drive.times, 0.2, 0.9, drive.speed_m_s + base, base) ==
                whole);
}

static void no_drive_has_no_integral(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0);
    drive.rep.top = drive.rep.bottom;
    drive.times = bp_rep_times(&drive.track, &drive.rep, BP_EDGE_SPEED_M_S);
    assert_true(integral(0, 1, NULL) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_integral_of_one_is_the_drives_time),
        cmocka_unit_test(thirds_add_up_to_the_whole),
        cmocka_unit_test(speed_over_time_is_the_way_through_the_range),
        cmocka_unit_test(acceleration_over_time_is_the_gain_of_speed),
        cmocka_unit_test(values_may_begin_just_before_the_drive),
        cmocka_unit_test(no_drive_has_no_integral),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
