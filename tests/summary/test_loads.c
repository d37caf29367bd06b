/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/loads.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "sets.h"

static const double g = BP_STANDARD_GRAVITY;

static struct bp_rig straight(double kg)
{
    struct bp_rig rig = {.name = "straight", .bar_kg = {20, 0}, .plates_kg = {kg - 20, 0}};
    rig.bottom_m.value = rig.lockout_m.value = (double)NAN;
    return rig;
}

/* 8 kg for every metre of height, off the floor all the way. */
static struct bp_rig chained(double kg, double lockout_m)
{
    struct bp_rig rig = straight(kg);
    strcpy(rig.name, "chained");
    rig.lockout_m.value = lockout_m;
    rig.chain_count = 1;
    rig.chains[0] = (struct bp_chain){.name = "long",
                                      .kg_per_m = {4, 0},
                                      .length_m = 3,
                                      .leader_m = {0, 0},
                                      .pieces = 1,
                                      .side = BP_SIDE_BOTH};
    return rig;
}

static void simulate(struct set *set)
{
    struct sim_scenario scenario;
    sim_scenario_for(BP_BENCH, &scenario);
    scenario.seed = 21;
    scenario.reps = 4;
    scenario.rate_hz = 200;
    set_simulate(set, &scenario);
}

static void analyse_with(struct set *set, const struct bp_rig *rig)
{
    set->settings.rig = rig;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_int_equal(set->summary.set.reps, 4);
}

static void without_a_rig_no_load_is_known(void **state)
{
    struct set *set = *state;
    simulate(set);
    analyse_with(set, NULL);
    const struct bp_rep_figures *rep = &set->summary.reps[0];
    assert_false(set->summary.set.loaded);
    assert_false(bp_quantity_known(rep->load_kg) || bp_quantity_known(rep->force_n) ||
                 bp_quantity_known(rep->peak_power_w) || bp_quantity_known(rep->ranges[1].work_j) ||
                 bp_quantity_known(set->summary.set.load_lockout_kg));
}

static void a_straight_bar_weighs_the_same_everywhere(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = straight(100);
    simulate(set);
    analyse_with(set, &rig);
    assert_true(set->summary.set.loaded && !set->summary.set.load_varies);
    assert_near(set->summary.set.load_bottom_kg.value, 100, 1e-9);
    assert_near(set->summary.set.load_lockout_kg.value, 100, 1e-9);
    assert_near(set->summary.set.share_pct.value, 0, 1e-9);
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        assert_near(set->summary.reps[r].load_kg.value, 100, 1e-9);
        assert_near(set->summary.reps[r].ranges[2].load_kg.value, 100, 1e-9);
    }
}

/* From one edge of 0.04 m/s to the other the bar gains height but no speed: work is m g times the rise (0.5 %
 * for the samples' trapezoids and the low-pass), and power is that over the drive's time. */
static void work_is_weight_times_rise_and_power_work_over_time(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = straight(100);
    simulate(set);
    analyse_with(set, &rig);
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        const struct bp_rep_figures *rep = &set->summary.reps[r];
        double rise = rep->mean_velocity_m_s.value * rep->drive_time_s.value;
        assert_near(rep->work_j.value, 100 * g * rise, 0.005 * 100 * g * rise);
        assert_near(rep->power_w.value, rep->work_j.value / rep->drive_time_s.value, 1e-9);
        assert_near(rep->force_n.value, rep->impulse_n_s.value / rep->drive_time_s.value, 1e-9);
        assert_near(rep->force_n.value, 100 * g, 0.01 * 100 * g);
        assert_true(rep->peak_force_n.value > rep->force_n.value);
        assert_true(rep->peak_power_w.value > rep->power_w.value);
        assert_true(rep->force_n.low < rep->force_n.value && rep->force_n.high > rep->force_n.value);
    }
}

static void ranges_add_up_to_the_drive(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = chained(90, 0.7);
    simulate(set);
    analyse_with(set, &rig);
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        const struct bp_rep_figures *rep = &set->summary.reps[r];
        double work = 0, impulse = 0;
        for (size_t i = 0; i < rep->range_count; i++) {
            work += rep->ranges[i].work_j.value;
            impulse += rep->ranges[i].impulse_n_s.value;
        }
        assert_near(work, rep->work_j.value, 1e-6 * work);
        assert_near(impulse, rep->impulse_n_s.value, 1e-6 * impulse);
    }
}

/* The set's usual lockout is where the rig says: 0.7 m, so 8 · 0.7 kg of chain; the bottom a range below. */
static void the_rigs_lockout_is_the_sets(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = chained(90, 0.7);
    simulate(set);
    analyse_with(set, &rig);
    double range = 0;
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        range += set->summary.reps[r].range_m.value / (double)set->summary.rep_count;
    }
    assert_near(set->summary.set.load_lockout_kg.value, 90 + 8 * 0.7, 0.01);
    assert_near(set->summary.set.load_bottom_kg.value, 90 + 8 * (0.7 - range), 0.05);
    assert_true(set->summary.reps[0].ranges[2].load_kg.value > set->summary.reps[0].ranges[0].load_kg.value);
    assert_string_equal(set->summary.set.rig, "chained");
}

static void what_the_rig_may_be_off_widens_the_load(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = straight(100);
    simulate(set);
    analyse_with(set, &rig);
    double sure = set->summary.reps[0].force_n.high - set->summary.reps[0].force_n.low;
    rig.plates_kg.sd = 2;
    analyse_with(set, &rig);
    struct bp_quantity load = set->summary.reps[0].load_kg;
    double half = (load.high - load.low) / 2;
    assert_near(half, 2 * 1.96, 1.2); /* 48 draws give a half-width to 10 % (sd); split sides to more */
    assert_true(set->summary.reps[0].force_n.high - set->summary.reps[0].force_n.low > 2 * sure);
}

/* A drive thrown so hard that a free weight would be let go is still pushed with bands that pull down six
 * times as much: bp_load's let-go acceleration is then near -7 g. */
static void with_a_band_the_hands_push_longer(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario;
    sim_scenario_for(BP_BENCH, &scenario);
    scenario.seed = 5;
    scenario.rate_hz = 200;
    scenario.mean_speed_m_s = 1.2;
    scenario.fall_fraction = 0.1;
    set_simulate(set, &scenario);
    struct bp_rig rig = straight(30);
    set->settings.rig = &rig;
    assert_int_equal(set_analyse(set), BP_OK);
    double free_speed = set->summary.reps[0].propulsive_velocity_m_s.value;
    rig.lockout_m.value = 0.7;
    rig.band_count = 1;
    rig.bands[0] = (struct bp_band){.name = "30 mm", .peg_count = 1, .pieces = 1, .side = BP_SIDE_BOTH};
    rig.bands[0].stretching.count = 2;
    rig.bands[0].stretching.points[0] = (struct bp_band_point){0.1, {900, 0}};
    rig.bands[0].stretching.points[1] = (struct bp_band_point){1.2, {1000, 0}};
    assert_int_equal(set_analyse(set), BP_OK);
    double band_speed = set->summary.reps[0].propulsive_velocity_m_s.value;
    assert_true(free_speed > set->summary.reps[0].mean_velocity_m_s.value + 0.005);
    assert_true(band_speed < free_speed - 0.003);
}

static void a_rig_for_another_lifter_is_told_of(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = chained(90, 0.7);
    rig.bottom_m.value = 0.5; /* 20 cm of a range of some 40 */
    simulate(set);
    analyse_with(set, &rig);
    assert_true(set_found(set, "rig-heights"));
    assert_true(set_found(set, "matched-unsaid"));
    rig.matched = BP_MATCHED_LOCKOUT;
    rig.bottom_m.value = (double)NAN;
    rig.chains[0].leader_m.value = 2;
    analyse_with(set, &rig);
    assert_true(set_found(set, "rig-range"));
    assert_false(set_found(set, "rig-heights"));
    assert_false(set_found(set, "matched-unsaid"));
}

static void a_rig_that_makes_no_sense_is_an_error(void **state)
{
    struct set *set = *state;
    struct bp_rig rig = straight(100);
    rig.bar_kg.value = -20;
    simulate(set);
    set->settings.rig = &rig;
    assert_int_equal(set_analyse(set), BP_ERR_ARGUMENT);
    assert_int_equal(set->summary.rep_count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(without_a_rig_no_load_is_known, set_up, set_down),
        cmocka_unit_test_setup_teardown(a_straight_bar_weighs_the_same_everywhere, set_up, set_down),
        cmocka_unit_test_setup_teardown(work_is_weight_times_rise_and_power_work_over_time, set_up, set_down),
        cmocka_unit_test_setup_teardown(ranges_add_up_to_the_drive, set_up, set_down),
        cmocka_unit_test_setup_teardown(the_rigs_lockout_is_the_sets, set_up, set_down),
        cmocka_unit_test_setup_teardown(what_the_rig_may_be_off_widens_the_load, set_up, set_down),
        cmocka_unit_test_setup_teardown(with_a_band_the_hands_push_longer, set_up, set_down),
        cmocka_unit_test_setup_teardown(a_rig_for_another_lifter_is_told_of, set_up, set_down),
        cmocka_unit_test_setup_teardown(a_rig_that_makes_no_sense_is_an_error, set_up, set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
