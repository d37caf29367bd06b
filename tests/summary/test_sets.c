/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The main job on simulated sets: every rep found, none invented, and its figures near the truth. Tolerances
 * are what a coach can live with (0.03 m/s is the best laboratory agreement, Thompson et al. 2020, Sports
 * 8(7):94), not what these very sets give.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "summary/sets.h"

#include <math.h>

static const double SPEED_NEAR = 0.03, RANGE_NEAR = 0.03, TIME_NEAR = 0.08;

static void assert_reps_match(const struct set *set)
{
    assert_int_equal(set->summary.rep_count, set->truth.rep_count);
    for (size_t r = 0; r < set->truth.rep_count; r++) {
        const struct sim_rep_truth *truth = &set->truth.reps[r];
        const struct bp_rep_figures *rep = &set->summary.reps[r];
        assert_int_equal(rep->index, r + 1);
        assert_int_equal(rep->missed, truth->missed);
        if (truth->missed) {
            assert_true(isnan(rep->mean_velocity_m_s.value));
            continue;
        }
        assert_near(rep->mean_velocity_m_s.value, truth->mean_velocity_m_s, SPEED_NEAR);
        assert_near(rep->peak_velocity_m_s.value, truth->peak_velocity_m_s, 2 * SPEED_NEAR);
        assert_near(rep->range_m.value, truth->range_m, RANGE_NEAR);
        assert_near(rep->drive_start_s, truth->drive_start_s, TIME_NEAR);
        assert_near(rep->drive_end_s, truth->drive_end_s, TIME_NEAR);
    }
}

static void run(void **state, const struct sim_scenario *scenario)
{
    struct set *set = *state;
    set_simulate(set, scenario);
    assert_int_equal(set_analyse(set), BP_OK);
    assert_reps_match(set);
}

static void five_reps_of_every_lift_are_found(void **state)
{
    struct set *set = *state;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        struct sim_scenario scenario;
        sim_scenario_for((enum bp_lift)lift, &scenario);
        scenario.seed = 40 + (uint64_t)lift;
        scenario.reps = 5;
        bp_arena_reset(&set->arena);
        run(state, &scenario);
        assert_int_equal(set->summary.set.reps, 5);
    }
}

static void every_lift_is_found_without_a_gyroscope(void **state)
{
    struct set *set = *state;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        struct sim_scenario scenario;
        sim_scenario_for((enum bp_lift)lift, &scenario);
        scenario.seed = 60 + (uint64_t)lift;
        scenario.gyroscope = false;
        bp_arena_reset(&set->arena);
        run(state, &scenario);
        assert_true(set_found(set, "no-gyroscope"));
        assert_true(set->summary.log.shake_apparent);
    }
}

static void single_rep_is_found(void **state)
{
    struct sim_scenario scenario;
    sim_scenario_for(BP_SQUAT, &scenario);
    scenario.seed = 3;
    scenario.reps = 1;
    run(state, &scenario);
    assert_true(isnan(((struct set *)*state)->summary.set.velocity_loss_pct.value));
}

static void thirty_touch_and_go_reps_are_found(void **state)
{
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 4;
    scenario.reps = 30;
    scenario.bottom_pause_s = 0;
    scenario.top_hold_s = 0.15;
    scenario.mean_speed_m_s = 0.7;
    run(state, &scenario);
}

static void grinder_with_a_stall_is_one_rep_with_a_sticking_region(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 5;
    scenario.reps = 2;
    scenario.mean_speed_m_s = 0.15;
    scenario.speed_loss = 0;
    scenario.sticking_from_rep = 1;
    scenario.sticking_ratio = 0.05;
    scenario.sticking_span = 0.2;
    run(state, &scenario);
    for (size_t r = 0; r < 2; r++) {
        const struct bp_sticking_figures *sticking = &set->summary.reps[r].sticking;
        const struct sim_sticking *truth = &set->truth.reps[r].sticking;
        assert_true(truth->present);
        assert_true(sticking->present);
        assert_near(sticking->low_m_s.value, truth->low_m_s, SPEED_NEAR);
        assert_near(sticking->start_pct.value, truth->start_pct, 6);
    }
}

static void missed_rep_is_named_not_dropped(void **state)
{
    struct set *set = *state;
    static const enum bp_lift LIFTS[] = {BP_BENCH, BP_SQUAT, BP_DEADLIFT};
    for (size_t l = 0; l < sizeof LIFTS / sizeof *LIFTS; l++) {
        struct sim_scenario scenario;
        sim_scenario_for(LIFTS[l], &scenario);
        scenario.seed = 70 + l;
        scenario.reps = 3;
        scenario.ending = SIM_MISSED;
        bp_arena_reset(&set->arena);
        run(state, &scenario);
        assert_int_equal(set->summary.set.reps, 3);
        assert_int_equal(set->summary.set.missed, 1);
        assert_true(set_found(set, "missed"));
    }
}

static void bar_left_on_the_safeties_is_a_missed_rep(void **state)
{
    struct sim_scenario scenario;
    sim_scenario_for(BP_SQUAT, &scenario);
    scenario.seed = 8;
    scenario.reps = 2;
    scenario.ending = SIM_MISSED_LEFT;
    run(state, &scenario);
}

static void walking_out_and_handling_the_phone_are_no_reps(void **state)
{
    struct sim_scenario scenario;
    sim_scenario_for(BP_SQUAT, &scenario);
    scenario.seed = 9;
    scenario.walk_steps = 3;
    scenario.handling_start_s = 4;
    scenario.handling_end_s = 4;
    run(state, &scenario);
}

static void log_cut_before_the_rack_is_measured_and_says_so(void **state)
{
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 10;
    scenario.ending = SIM_CUT;
    run(state, &scenario);
    assert_true(set_found(*state, "ends-early"));
}

static void chains_do_not_hide_the_reps_and_clatter_shows(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 11;
    scenario.setup = SIM_CHAINS;
    scenario.links_per_m = 25;
    scenario.clatter_m_s2 = 10;
    run(state, &scenario);
    double with_chains = set->summary.set.clatter_m_s2.value;
    bp_arena_reset(&set->arena);
    scenario = sim_scenario_defaults;
    scenario.seed = 11;
    run(state, &scenario);
    assert_true(with_chains > 10 * set->summary.set.clatter_m_s2.value);
}

/* Shake against the truth, a plain band of the simulated sway: within 15 % over a set's mean. */
static void shake_is_near_the_truth_with_a_gyroscope(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 12;
    scenario.reps = 8;
    scenario.sway_m = 0.006;
    scenario.sway_low_hz = 1.2;
    run(state, &scenario);
    double truth = 0;
    for (size_t r = 0; r < set->truth.rep_count; r++) {
        truth += 1e3 * set->truth.reps[r].drive.rms_m / (double)set->truth.rep_count;
    }
    assert_true(fabs(set->summary.set.shake_mm.value / truth - 1) < 0.15);
    assert_true(set->summary.log.axis_known);
}

static void either_sign_convention_gives_the_same_figures(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 13;
    run(state, &scenario);
    double speed = set->summary.set.mean_velocity_m_s.value, shake = set->summary.set.shake_mm.value;
    for (int a = 0; a < 3; a++) {
        for (size_t i = 0; i < set->trace.count; i++) {
            set->trace.force[a][i] = -set->trace.force[a][i];
        }
    }
    assert_int_equal(set_analyse(set), BP_OK);
    assert_reps_match(set);
    assert_near(set->summary.set.mean_velocity_m_s.value, speed, 1e-9);
    assert_near(set->summary.set.shake_mm.value, shake, 1e-6);
}

/* The phone's attitude on the bar must not matter: turned by 90° about each axis, the figures stay. */
static void way_the_phone_is_strapped_does_not_matter(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 14;
    run(state, &scenario);
    double speed = set->summary.set.mean_velocity_m_s.value;
    double **sensors[2] = {set->trace.force, set->trace.turn};
    for (int s = 0; s < 2; s++) { /* x y z -> y z x is a rotation: right-handed axes stay right-handed */
        double *first = sensors[s][0];
        sensors[s][0] = sensors[s][1];
        sensors[s][1] = sensors[s][2];
        sensors[s][2] = first;
    }
    assert_int_equal(set_analyse(set), BP_OK);
    assert_near(set->summary.set.mean_velocity_m_s.value, speed, 1e-6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(five_reps_of_every_lift_are_found, set_up, set_down),
        cmocka_unit_test_setup_teardown(every_lift_is_found_without_a_gyroscope, set_up, set_down),
        cmocka_unit_test_setup_teardown(single_rep_is_found, set_up, set_down),
        cmocka_unit_test_setup_teardown(thirty_touch_and_go_reps_are_found, set_up, set_down),
        cmocka_unit_test_setup_teardown(grinder_with_a_stall_is_one_rep_with_a_sticking_region, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(missed_rep_is_named_not_dropped, set_up, set_down),
        cmocka_unit_test_setup_teardown(bar_left_on_the_safeties_is_a_missed_rep, set_up, set_down),
        cmocka_unit_test_setup_teardown(walking_out_and_handling_the_phone_are_no_reps, set_up, set_down),
        cmocka_unit_test_setup_teardown(log_cut_before_the_rack_is_measured_and_says_so, set_up, set_down),
        cmocka_unit_test_setup_teardown(chains_do_not_hide_the_reps_and_clatter_shows, set_up, set_down),
        cmocka_unit_test_setup_teardown(shake_is_near_the_truth_with_a_gyroscope, set_up, set_down),
        cmocka_unit_test_setup_teardown(either_sign_convention_gives_the_same_figures, set_up, set_down),
        cmocka_unit_test_setup_teardown(way_the_phone_is_strapped_does_not_matter, set_up, set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
