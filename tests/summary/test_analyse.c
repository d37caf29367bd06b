/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The analysis as a caller sees it: its errors, and what it leaves behind after one.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/failing_alloc.h"
#include "summary/sets.h"

#include <math.h>
#include <string.h>

static void simulate_default(struct set *set)
{
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 21;
    scenario.reps = 2;
    set_simulate(set, &scenario);
}

static void assert_nothing_left(const struct set *set, enum bp_code code)
{
    assert_int_equal(set->error.code, code);
    assert_true(strlen(set->error.text) > 0);
    assert_string_equal(set->error.path, "set.csv");
    assert_int_equal(set->summary.rep_count, 0);
    assert_null(set->summary.reps);
}

static void poison(struct set *set)
{
    memset(&set->summary, 0x5a, sizeof set->summary);
    memset(&set->error, 0x5a, sizeof set->error);
}

static void analyse_refuses_settings_out_of_range(void **state)
{
    struct set *set = *state;
    simulate_default(set);
    const struct bp_analyse_settings good = set->settings;
    set->settings.edge_speed_m_s = 0.5;
    poison(set);
    assert_int_equal(set_analyse(set), BP_ERR_ARGUMENT);
    assert_nothing_left(set, BP_ERR_ARGUMENT);
    set->settings = good;
    set->settings.edge_speed_m_s = (double)NAN;
    assert_int_equal(set_analyse(set), BP_ERR_ARGUMENT);
    set->settings = good;
    set->settings.along_axis = 3;
    assert_int_equal(set_analyse(set), BP_ERR_ARGUMENT);
    set->settings = good;
    set->settings.lift = BP_LIFT_COUNT;
    assert_int_equal(set_analyse(set), BP_ERR_ARGUMENT);
}

static void analyse_says_that_a_resting_bar_holds_no_rep(void **state)
{
    struct set *set = *state;
    simulate_default(set);
    size_t still = 0;
    while (set->trace.time_s[still] < 3.0) {
        still++;
    }
    set->trace.count = still;
    poison(set);
    assert_int_equal(set_analyse(set), BP_ERR_NO_REP);
    assert_nothing_left(set, BP_ERR_NO_REP);
}

static void analyse_gives_no_figure_from_a_log_that_is_not_fit(void **state)
{
    struct set *set = *state;
    simulate_default(set);
    set->trace.gravity_removed = true;
    poison(set);
    assert_int_equal(set_analyse(set), BP_ERR_MOTION);
    assert_nothing_left(set, BP_ERR_MOTION);
    assert_non_null(strstr(set->error.text, "not fit"));
}

static void analyse_says_when_the_lift_was_assumed(void **state)
{
    struct set *set = *state;
    simulate_default(set);
    set->settings.lift_given = false;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_true(set_found(set, "lift-assumed"));
    set->settings.lift_given = true;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_false(set_found(set, "lift-assumed"));
}

static void analyse_gives_the_same_figures_twice(void **state)
{
    struct set *set = *state;
    simulate_default(set);
    assert_int_equal(set_analyse(set), BP_OK);
    struct bp_set_figures first = set->summary.set;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_true(memcmp(&first.mean_velocity_m_s.value, &set->summary.set.mean_velocity_m_s.value,
                       sizeof(double)) == 0);
    assert_true(memcmp(&first.shake_mm.value, &set->summary.set.shake_mm.value, sizeof(double)) == 0);
}

static void analyse_survives_every_failed_allocation(void **state)
{
    struct set *set = *state;
    simulate_default(set);
    bool failed = true;
    for (size_t n = 0; failed && n < 200; n++) {
        struct bp_arena arena;
        bp_arena_init(&arena);
        failing_alloc_arm(n);
        enum bp_code code = bp_analyse_trace(&set->trace, &set->settings, &arena, &set->summary, &set->error);
        failed = failing_alloc_disarm();
        assert_true(code == BP_OK || code == BP_ERR_MEMORY);
        bp_arena_free(&arena);
    }
    assert_false(failed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(analyse_refuses_settings_out_of_range, set_up, set_down),
        cmocka_unit_test_setup_teardown(analyse_says_that_a_resting_bar_holds_no_rep, set_up, set_down),
        cmocka_unit_test_setup_teardown(analyse_gives_no_figure_from_a_log_that_is_not_fit, set_up, set_down),
        cmocka_unit_test_setup_teardown(analyse_says_when_the_lift_was_assumed, set_up, set_down),
        cmocka_unit_test_setup_teardown(analyse_gives_the_same_figures_twice, set_up, set_down),
        cmocka_unit_test_setup_teardown(analyse_survives_every_failed_allocation, set_up, set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
