/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/drive.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

static const struct sim_drive_shape shapes[] = {
    {.shape = SIM_SHAPE_STROKE, .rise_fraction = 0.4, .fall_fraction = 0.45},
    {.shape = SIM_SHAPE_STROKE, .rise_fraction = 0.3, .fall_fraction = 0.2},
    {.shape = SIM_SHAPE_MIN_JERK},
    {.sticking = true, .sticking_ratio = 0.6, .sticking_span = 0.15},
    {.sticking = true, .sticking_ratio = 0.1, .sticking_span = 0.4},
};
enum { SHAPES = sizeof shapes / sizeof *shapes };

static struct sim_path path_of(const struct sim_drive *drive)
{
    struct sim_path path;
    sim_path_init(&path);
    sim_drive_add(drive, 0.0, &path);
    return path;
}

static void every_shape_rises_all_the_way_and_never_falls(void **state)
{
    (void)state;
    for (size_t i = 0; i < SHAPES; i++) {
        struct sim_drive drive;
        sim_drive_make(&shapes[i], 0.45, 1.5, &drive);
        struct sim_path path = path_of(&drive);
        assert_true(fabs(sim_path_at(&path, 1.5).value - 0.45) < 1e-12);
        for (int n = 0; n <= 1500; n++) {
            assert_true(sim_path_at(&path, 0.001 * (double)n).rate >= -1e-12);
        }
        sim_path_free(&path);
    }
}

/* The definition, looked up by brute force on a grid of 10 µs. */
static double mean_velocity_between_edges(const struct sim_path *path, double rise_m, double length_s)
{
    const double step = 1e-5;
    double start = 0.0, end = length_s;
    for (double t = 0.0; sim_path_at(path, t).value < 0.1 * rise_m; t += step) {
        start = sim_path_at(path, t).rate <= SIM_EDGE_SPEED ? t : start;
    }
    for (double t = length_s; sim_path_at(path, t).value > 0.9 * rise_m; t -= step) {
        end = sim_path_at(path, t).rate <= SIM_EDGE_SPEED ? t : end;
    }
    return (sim_path_at(path, end).value - sim_path_at(path, start).value) / (end - start);
}

static void drive_takes_the_time_its_mean_velocity_asks_for(void **state)
{
    (void)state;
    const double speeds[] = {0.15, 0.4, 0.8, 1.2};
    for (size_t i = 0; i < SHAPES; i++) {
        for (int k = 0; k < 4; k++) {
            struct sim_drive drive;
            double length = sim_drive_length(&shapes[i], 0.5, speeds[k]);
            sim_drive_make(&shapes[i], 0.5, length, &drive);
            struct sim_path path = path_of(&drive);
            assert_true(fabs(mean_velocity_between_edges(&path, 0.5, length) / speeds[k] - 1.0) < 0.01);
            sim_path_free(&path);
        }
    }
}

static void grinder_stalls_in_the_middle_and_still_ends(void **state)
{
    (void)state;
    struct sim_drive drive;
    double length = sim_drive_length(&shapes[4], 0.4, 0.15), slowest = 1.0;
    sim_drive_make(&shapes[4], 0.4, length, &drive);
    struct sim_path path = path_of(&drive);
    for (int n = 300; n <= 700; n++) {
        slowest = fmin(slowest, sim_path_at(&path, length * 0.001 * (double)n).rate);
    }
    assert_true(slowest < 0.02 && slowest > 0.0);
    sim_path_free(&path);
}

static void light_explosive_drive_brakes_harder_than_gravity(void **state)
{
    (void)state;
    struct sim_drive drive;
    double length = sim_drive_length(&shapes[1], 0.5, 1.2), least = 0.0;
    sim_drive_make(&shapes[1], 0.5, length, &drive);
    struct sim_path path = path_of(&drive);
    for (int n = 0; n <= 1000; n++) {
        least = fmin(least, sim_path_at(&path, length * 0.001 * (double)n).accel);
    }
    assert_true(least < -9.81);
    sim_path_free(&path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_shape_rises_all_the_way_and_never_falls),
        cmocka_unit_test(drive_takes_the_time_its_mean_velocity_asks_for),
        cmocka_unit_test(grinder_stalls_in_the_middle_and_still_ends),
        cmocka_unit_test(light_explosive_drive_brakes_harder_than_gravity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
