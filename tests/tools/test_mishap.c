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

/* Three reps of a bare bar in a still building: nothing rattles but the rack at the end. */
static void quiet(struct sim_scenario *s, uint64_t seed)
{
    *s = sim_scenario_defaults;
    s->seed = seed;
    s->reps = 3;
    s->building_m_s2 = 0.0;
    s->sensor_window = 0.0;
}

struct ring {
    double peak_m_s2, farthest_m, from_s, to_s;
};

/* What rattles before the bar goes back to the rack. */
static struct ring find_ring(const struct sim_motion *motion)
{
    struct ring ring = {.from_s = (double)NAN, .to_s = (double)NAN};
    for (double t = 0.0; t < motion->rerack_from_s; t += 0.00005) {
        double accel = 0.0, place = 0.0;
        for (int i = 0; i < 3; i++) {
            struct sim_jet jet = sim_path_at(&motion->rattle[i], t);
            accel += jet.accel * jet.accel;
            place += jet.value * jet.value;
        }
        if (accel > 0.0) {
            ring.from_s = isnan(ring.from_s) ? t : ring.from_s;
            ring.to_s = t;
        }
        ring.peak_m_s2 = fmax(ring.peak_m_s2, sqrt(accel));
        ring.farthest_m = fmax(ring.farthest_m, sqrt(place));
    }
    return ring;
}

static void hit_has_its_peak_its_length_and_its_place(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 12; seed++) {
        struct sim_scenario s;
        struct sim_motion motion;
        quiet(&s, seed);
        s.hit_rep = 2;
        s.hit_in_hold = seed % 2 == 1;
        s.hit_m_s2 = 70.0;
        s.hit_s = 0.01 + 0.0025 * (double)seed;
        assert_int_equal(sim_motion_make(&s, &motion), SIM_OK);
        struct ring ring = find_ring(&motion);
        const struct sim_planned_rep *rep = &motion.reps[1];
        assert_true(fabs(ring.peak_m_s2 / 70.0 - 1.0) < 0.01);
        assert_true(fabs(ring.to_s - ring.from_s - s.hit_s) < 0.0002);
        assert_true(ring.from_s > (s.hit_in_hold ? rep->drive_to_s : rep->drive_from_s));
        assert_true(ring.from_s < (s.hit_in_hold ? rep->top_to_s : rep->drive_to_s));
        /* a / ω² at the slowest, 1.5 periods in 37.5 ms: 1.1 mm, and the window widens the ring a little */
        assert_true(ring.farthest_m < 0.0018);
        sim_motion_free(&motion);
    }
}

static void bar_that_is_not_hit_does_not_rattle(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_motion motion;
    quiet(&s, 3);
    s.hit_m_s2 = 70.0; /* how hard, but never */
    assert_int_equal(sim_motion_make(&s, &motion), SIM_OK);
    assert_true(isnan(find_ring(&motion).from_s));
    sim_motion_free(&motion);
}

static double largest_reading(const struct sim_scenario *s)
{
    struct sim_log log;
    double largest = 0.0;
    assert_int_equal(sim_run(s, &log, NULL), SIM_OK);
    for (size_t i = 0; i < log.count; i++) {
        for (int k = 0; k < 3; k++) {
            largest = fmax(largest, fabs(log.force[k][i]));
        }
    }
    sim_log_free(&log);
    return largest;
}

/* The sensor averages the hit, and what is left it clips. */
static void slow_log_sees_less_of_a_hit_and_a_narrow_range_clips_it(void **state)
{
    (void)state;
    struct sim_scenario s;
    quiet(&s, 4);
    s.ending = SIM_CUT; /* the rack's own knock is not asked for */
    s.hit_rep = 2;
    s.hit_m_s2 = 78.0;
    s.hit_s = 0.02;
    s.rate_hz = 1000.0;
    s.force_limit_m_s2 = 0.0;
    double quick = largest_reading(&s);
    s.rate_hz = 50.0;
    s.sensor_window = 1.0;
    double slow = largest_reading(&s);
    s.rate_hz = 1000.0;
    s.sensor_window = 0.0;
    s.force_limit_m_s2 = 2.0 * BP_STANDARD_GRAVITY;
    double clipped = largest_reading(&s);
    assert_true(quick > 50.0);
    assert_true(slow < 0.5 * quick);
    assert_true(fabs(clipped - 2.0 * BP_STANDARD_GRAVITY) < s.force_grid_m_s2);
}

static void hit_is_clatter_and_no_movement_of_the_bar(void **state)
{
    (void)state;
    struct sim_scenario s;
    static struct sim_truth plain, hit;
    quiet(&s, 5);
    assert_int_equal(sim_run(&s, NULL, &plain), SIM_OK);
    s.hit_rep = 2;
    s.hit_m_s2 = 60.0;
    assert_int_equal(sim_run(&s, NULL, &hit), SIM_OK);
    for (int i = 0; i < 3; i++) {
        assert_true(hit.reps[i].mean_velocity_m_s == plain.reps[i].mean_velocity_m_s);
        assert_true(hit.reps[i].drive.rms_m == plain.reps[i].drive.rms_m);
        assert_true((hit.reps[i].clatter_m_s2 > 2.0 * plain.reps[i].clatter_m_s2) == (i == 1));
    }
    assert_true(hit.reps[1].clatter_crest > 4.0); /* one blow in a whole drive */
}

static void spotter_brings_the_bar_ahead_and_aside_and_back(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_motion plain, touched;
    quiet(&s, 6);
    assert_int_equal(sim_motion_make(&s, &plain), SIM_OK);
    s.spotter_rep = 3;
    s.spotter_lift_m = 0.012;
    s.spotter_aside_m = -0.008;
    assert_int_equal(sim_motion_make(&s, &touched), SIM_OK);
    const struct sim_planned_rep *rep = &plain.reps[2];
    double ahead = 0.0, aside = 0.0, fore = 0.0;
    for (double t = 0.0; t <= plain.end_s; t += 0.001) {
        double up = sim_path_at(&touched.height, t).value - sim_path_at(&plain.height, t).value;
        double along = sim_path_at(&touched.along, t).value - sim_path_at(&plain.along, t).value;
        double forward = sim_path_at(&touched.fore, t).value - sim_path_at(&plain.fore, t).value;
        if (t < rep->drive_from_s || t > rep->drive_to_s) {
            assert_true(fabs(up) < 1e-12);
        }
        assert_true(up > -1e-12 && along < 1e-12);
        ahead = fmax(ahead, up);
        aside = fmin(aside, along);
        fore = fmin(fore, forward);
    }
    assert_true(fabs(ahead - 0.012) < 1e-6);
    assert_true(fabs(aside + 0.008) < 1e-6 && fabs(fore + 0.004) < 1e-6);
    sim_motion_free(&plain);
    sim_motion_free(&touched);
}

static void spotter_s_push_is_in_the_truth_of_that_rep_alone(void **state)
{
    (void)state;
    struct sim_scenario s;
    static struct sim_truth plain, touched;
    quiet(&s, 6);
    s.mean_speed_m_s = 0.3;
    s.sway_m = 0.001;
    s.tremor_m = s.wander_m = s.tilt_deg = 0.0; /* the bar's top is then where its last stroke ends */
    assert_int_equal(sim_run(&s, NULL, &plain), SIM_OK);
    s.spotter_rep = 3;
    s.spotter_lift_m = 0.03;
    s.spotter_aside_m = 0.02;
    assert_int_equal(sim_run(&s, NULL, &touched), SIM_OK);
    assert_true(touched.reps[1].mean_velocity_m_s == plain.reps[1].mean_velocity_m_s);
    assert_true(touched.reps[2].peak_velocity_m_s > 1.1 * plain.reps[2].peak_velocity_m_s);
    assert_true(touched.reps[2].drive.rms_m > 1.5 * plain.reps[2].drive.rms_m);
    assert_true(fabs(touched.reps[2].range_m - plain.reps[2].range_m) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hit_has_its_peak_its_length_and_its_place),
        cmocka_unit_test(bar_that_is_not_hit_does_not_rattle),
        cmocka_unit_test(slow_log_sees_less_of_a_hit_and_a_narrow_range_clips_it),
        cmocka_unit_test(hit_is_clatter_and_no_movement_of_the_bar),
        cmocka_unit_test(spotter_brings_the_bar_ahead_and_aside_and_back),
        cmocka_unit_test(spotter_s_push_is_in_the_truth_of_that_rep_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
