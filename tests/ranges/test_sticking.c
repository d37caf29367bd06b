/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "drives.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct drive drive;

static const double step_s = 0.005, least_m_s = 0.02;

/* From the first local maximum of speed to the following local minimum (van den Tillaar & Ettema 2010, J
 * Sports Sci 28:529-535). */
static void two_humps_stick_from_the_first_peak_to_the_low(void **state)
{
    (void)state;
    for (int phase = 0; phase < 10; phase++) {
        double peak[3], low[3];
        drive_make(&drive, humps, humps_s, step_s, phase / 10.0);
        struct bp_sticking found = bp_sticking_find(&drive.track, &drive.times, least_m_s);
        humps(humps_turn[0] * humps_s, peak);
        humps(humps_turn[1] * humps_s, low);
        assert_true(found.present);
        assert_true(fabs(found.start.time_s - humps_turn[0] * humps_s) < 1e-4);
        assert_true(fabs(found.end.time_s - humps_turn[1] * humps_s) < 1e-4);
        assert_true(fabs(found.start.height_m - peak[0]) < 1e-4);
        assert_true(fabs(found.end.height_m - low[0]) < 1e-4);
        assert_true(fabs(found.peak_before_m_s - peak[1]) < 1e-6);
        assert_true(fabs(found.low_m_s - low[1]) < 1e-6);
    }
}

static void a_single_hump_does_not_stick(void **state)
{
    (void)state;
    for (int phase = 0; phase < 10; phase++) {
        drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, phase / 10.0);
        assert_false(bp_sticking_find(&drive.track, &drive.times, least_m_s).present);
        drive_make(&drive, plateau, plateau_s, step_s, phase / 10.0);
        assert_false(bp_sticking_find(&drive.track, &drive.times, least_m_s).present);
    }
}

/* The dip is 0.2126 m/s deep on one side and 0.0866 on the other: both must stand out. */
static void a_dip_within_the_speeds_own_doubt_is_none(void **state)
{
    (void)state;
    drive_make(&drive, humps, humps_s, step_s, 0.4);
    assert_true(bp_sticking_find(&drive.track, &drive.times, 0.08).present);
    assert_false(bp_sticking_find(&drive.track, &drive.times, 0.09).present);
    assert_false(bp_sticking_find(&drive.track, &drive.times, 0.3).present);
}

/* Ripple smaller than the limit neither makes a sticking region nor moves a real one by much. */
static void ripple_is_no_sticking_region(void **state)
{
    (void)state;
    const double ripple_m_s = 0.008;
    for (int shape = 0; shape < 2; shape++) {
        drive_make(&drive, shape ? humps : minimum_jerk, shape ? humps_s : minimum_jerk_s, step_s, 0.4);
        for (size_t i = drive.times.first; i <= drive.times.last; i++) {
            drive.speed_m_s[i] += ripple_m_s * sin(2 * BP_PI * 9 * drive.time_s[i]);
        }
        struct bp_sticking found = bp_sticking_find(&drive.track, &drive.times, least_m_s);
        assert_int_equal(found.present, shape);
        if (shape) {
            assert_true(fabs(found.start.time_s - humps_turn[0] * humps_s) < 0.1);
            assert_true(fabs(found.end.time_s - humps_turn[1] * humps_s) < 0.1);
        }
    }
}

/* Clatter is what lies above 15 Hz: a notch on the way up, as of a link that lands, is none of the bar's. */
static void a_notch_quicker_than_clatter_does_not_end_the_search(void **state)
{
    (void)state;
    const double notch_m_s = 0.05;
    drive_make(&drive, humps, humps_s, step_s, 0.4);
    size_t notch = drive.times.first;
    while (drive.time_s[notch] < 0.7 * humps_turn[0] * humps_s) {
        notch++;
    }
    for (size_t i = 0; i < 2; i++) { /* down and up again in 15 ms */
        drive.speed_m_s[notch + i] = drive.speed_m_s[notch - 1] - notch_m_s;
    }
    struct bp_sticking found = bp_sticking_find(&drive.track, &drive.times, least_m_s);
    assert_true(found.present);
    assert_true(fabs(found.start.time_s - humps_turn[0] * humps_s) < 1e-4);
    assert_true(fabs(found.end.time_s - humps_turn[1] * humps_s) < 1e-4);
}

/* A stall is a sticking region that ends where the bar moves again; it may turn back a little. */
static void a_stall_sticks(void **state)
{
    (void)state;
    drive_make(&drive, stalling, stall_s, step_s, 0.4);
    struct bp_sticking found = bp_sticking_find(&drive.track, &drive.times, least_m_s);
    assert_true(found.present);
    assert_true(fabs(found.start.time_s - 0.3) < 1e-3);
    assert_true(fabs(found.peak_before_m_s - 0.625) < 1e-4); /* 1.875 · 0.2 m / 0.6 s */
    assert_true(found.end.time_s >= 0.59 && found.end.time_s <= 1.12);
    assert_true(fabs(found.low_m_s) < 1e-4);
}

static void sticking_is_looked_for_inside_the_drive_alone(void **state)
{
    (void)state;
    drive_make(&drive, minimum_jerk, minimum_jerk_s, step_s, 0.4);
    for (size_t i = 5; i < 20; i++) { /* a knock before the drive */
        drive.speed_m_s[i] = i % 2 ? 0.5 : -0.5;
    }
    assert_false(bp_sticking_find(&drive.track, &drive.times, least_m_s).present);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_humps_stick_from_the_first_peak_to_the_low),
        cmocka_unit_test(a_single_hump_does_not_stick),
        cmocka_unit_test(a_dip_within_the_speeds_own_doubt_is_none),
        cmocka_unit_test(ripple_is_no_sticking_region),
        cmocka_unit_test(a_notch_quicker_than_clatter_does_not_end_the_search),
        cmocka_unit_test(a_stall_sticks),
        cmocka_unit_test(sticking_is_looked_for_inside_the_drive_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
