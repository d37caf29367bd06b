/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A set whose acceleration may count up or down: the way it moves tells.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "summary/path.h"
#include "summary/sense.h"
#include "summary/sets.h"

#include "barplumb/import.h"
#include "simulate/write.h"

#include <math.h>
#include <string.h>

/* What bp_sense_check says of the set as it is (sign 1) or upside down (-1). */
static enum bp_code sense_of(struct set *set, double sign)
{
    struct bp_motion motion;
    struct bp_track track;
    struct bp_reps reps;
    double odds, rate_hz = (double)(set->trace.count - 1) / set->trace.time_s[set->trace.count - 1];
    assert_int_equal(bp_motion_prepare(&set->trace, &bp_motion_defaults, &set->arena, &motion, &set->error),
                     BP_OK);
    for (size_t i = 0; i < set->trace.count; i++) {
        motion.rise_m_s2[i] *= sign;
    }
    enum bp_code code =
        bp_path_find(&motion, set->settings.lift, rate_hz, &set->arena, &track, &reps, &odds, &set->error);
    assert_true(code == BP_OK || code == BP_ERR_MOTION);
    return bp_sense_check(&motion, set->settings.lift, rate_hz, code == BP_OK ? odds : -HUGE_VAL, &set->arena,
                          &set->error);
}

/* Every lift's set, as it is or upside down. */
static void assert_sense(struct set *set, double sign, enum bp_code code)
{
    static const enum bp_lift lifts[] = {BP_BENCH, BP_SQUAT, BP_DEADLIFT};
    for (size_t l = 0; l < sizeof lifts / sizeof lifts[0]; l++) {
        struct sim_scenario scenario;
        sim_scenario_for(lifts[l], &scenario);
        set_simulate(set, &scenario);
        assert_int_equal(sense_of(set, sign), code);
        if (code != BP_OK) {
            assert_non_null(strstr(set->error.text, "--units sign=plus or sign=minus"));
        }
    }
}

static void a_set_the_right_way_up_passes(void **state)
{
    assert_sense(*state, 1, BP_OK);
}

static void a_set_upside_down_is_refused_and_told_what_settles_it(void **state)
{
    assert_sense(*state, -1, BP_ERR_MOTION);
}

/* A log with gravity in columns of its own that count the other way: nothing in it says so but the movement,
 * and a setting mends it. */
static void gravity_that_counts_the_other_way_is_refused_until_it_is_told(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    struct sim_layout layout = sim_layout_defaults;
    struct bp_import_settings told = bp_import_defaults;
    struct sim_log log;
    struct bp_text csv;
    set->settings = bp_analyse_defaults;
    set->settings.lift = scenario.lift;
    layout.gravity = SIM_GRAVITY_AGAINST;
    told.units = "sign=minus";
    assert_int_equal(sim_run(&scenario, &log, &set->truth), SIM_OK);
    bp_text_init(&csv);
    sim_write_csv(&log, &layout, &csv);
    sim_log_free(&log);
    const struct bp_import_settings *const ways[] = {NULL, &told};
    for (int w = 0; w < 2; w++) {
        assert_int_equal(bp_import_csv_bytes("log.csv", csv.data, csv.length, ways[w], &set->arena,
                                             &set->trace, &set->error),
                         BP_OK);
        assert_int_equal(set->trace.sign_assumed, w == 0);
        assert_int_equal(set_analyse(set), w == 0 ? BP_ERR_MOTION : BP_OK);
    }
    bp_text_free(&csv);
    assert_int_equal(set->summary.rep_count, set->truth.rep_count);
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        assert_near(set->summary.reps[r].mean_velocity_m_s.value, set->truth.reps[r].mean_velocity_m_s, 0.02);
    }
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, set_up, set_down)
    const struct CMUnitTest tests[] = {
        FRESH(a_set_the_right_way_up_passes),
        FRESH(a_set_upside_down_is_refused_and_told_what_settles_it),
        FRESH(gravity_that_counts_the_other_way_is_refused_until_it_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
