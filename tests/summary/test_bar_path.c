/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Of two readings of a set that are each of one piece, the one the sensors speak loudest for: sets in which a
 * beginning settles on reps that are none, and count and likeness of reps cannot tell.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

/* cmocka wants the four above first */
#include <cmocka.h>

#include "summary/sets.h"

#include <math.h>

/* Lockouts further off than this are another rep's: the quickest reps are a second apart. */
static const double SAME_REP_S = 0.4;

static void the_reps_of_the_study_set_are_found(struct set *set, uint64_t seed)
{
    struct sim_scenario scenario;
    sim_scenario_study(seed, &scenario);
    set_simulate(set, &scenario);
    set->trace.force_grid = scenario.force_grid_m_s2; /* as the importer would see it */
    assert_int_equal(set_analyse(set), BP_OK);
    assert_int_equal(set->summary.rep_count, set->truth.rep_count);
    for (size_t r = 0; r < set->truth.rep_count; r++) {
        assert_int_equal(set->summary.reps[r].missed, set->truth.reps[r].missed);
        if (!set->truth.reps[r].missed) {
            assert_near(set->summary.reps[r].drive_end_s, set->truth.reps[r].drive_end_s, SAME_REP_S);
        }
    }
}

static void path_finds_a_row_in_which_likeness_alone_misleads(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 60061);
}

static void path_finds_a_bench_in_which_likeness_alone_misleads(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 60080);
}

static void path_finds_a_squat_in_which_likeness_alone_misleads(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 60139);
}

/* One rep, and nothing after it that would hold the drift of picking the bar up. */
static void path_finds_a_row_whose_log_is_cut(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 40138);
}

/* 0.4 s of rest are none: the path sinks through the whole walk-out. */
static void path_finds_the_first_rep_of_a_log_without_rest_before_it(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 11173);
}

/* Rounded to 0.1 m/s²: at rest the rounding does not dither, and passes for a bias known well. */
static void path_finds_reps_in_coarse_readings(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 11199);
}

/* Walked back into the rack, the bar seems to rise as in a rep: with a rest in the rack behind it, and with
 * none. */
static void path_takes_a_press_put_away_for_no_rep(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 40954);
    the_reps_of_the_study_set_are_found(*state, 70575);
}

static void path_tells_a_rows_first_rep_from_its_picking_up(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 40474);
}

/* Without a gyroscope, and left on the safeties half-way up. */
static void path_takes_a_squat_that_is_missed_for_one(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 9113);
}

/* Taken off the bar after 0.4 s of rest: what the hand does with it is no rep. */
static void path_ends_where_the_phone_is_taken_off(void **state)
{
    the_reps_of_the_study_set_are_found(*state, 40193);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(path_finds_a_row_in_which_likeness_alone_misleads, set_up, set_down),
        cmocka_unit_test_setup_teardown(path_finds_a_bench_in_which_likeness_alone_misleads, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(path_finds_a_squat_in_which_likeness_alone_misleads, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(path_finds_a_row_whose_log_is_cut, set_up, set_down),
        cmocka_unit_test_setup_teardown(path_finds_the_first_rep_of_a_log_without_rest_before_it, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(path_finds_reps_in_coarse_readings, set_up, set_down),
        cmocka_unit_test_setup_teardown(path_takes_a_press_put_away_for_no_rep, set_up, set_down),
        cmocka_unit_test_setup_teardown(path_tells_a_rows_first_rep_from_its_picking_up, set_up, set_down),
        cmocka_unit_test_setup_teardown(path_takes_a_squat_that_is_missed_for_one, set_up, set_down),
        cmocka_unit_test_setup_teardown(path_ends_where_the_phone_is_taken_off, set_up, set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
