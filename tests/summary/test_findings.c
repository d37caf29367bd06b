/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/findings.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "sets.h"

/* A tidy bench set, nothing wrong with it. */
static struct sim_scenario tidy(void)
{
    struct sim_scenario scenario;
    sim_scenario_for(BP_BENCH, &scenario);
    scenario.seed = 11;
    scenario.reps = 4;
    scenario.rate_hz = 200;
    scenario.roll_deg = 8;
    return scenario;
}

static void analyse(struct set *set, const struct sim_scenario *scenario)
{
    set_simulate(set, scenario);
    assert_int_equal(set_analyse(set), BP_OK);
}

static void tidy_set_has_no_finding_of_trouble(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = tidy();
    analyse(set, &scenario);
    const char *const codes[] = {"hit", "slipped", "clattering", "disagrees", "rep-unsure"};
    for (size_t c = 0; c < sizeof codes / sizeof *codes; c++) {
        assert_false(set_found(set, codes[c]));
    }
}

/* In the third rep the phone is taken off and laid on its side; the log goes on to the end of the set. */
static void a_phone_that_turns_over_in_a_rep_is_told_with_its_time(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = tidy();
    set_simulate(set, &scenario);
    const double turn_s = 0.8, turn_rad = 1.6;
    double from_s = set->truth.reps[2].turnaround_s - 0.3;
    for (size_t i = 0; i < set->trace.count; i++) {
        double share = fmin(fmax((set->trace.time_s[i] - from_s) / turn_s, 0), 1);
        double y = set->trace.force[1][i], z = set->trace.force[2][i];
        set->trace.force[1][i] = cos(share * turn_rad) * y - sin(share * turn_rad) * z;
        set->trace.force[2][i] = sin(share * turn_rad) * y + cos(share * turn_rad) * z;
    }
    for (size_t a = 0; a < 3; a++) {
        set->trace.turn[a] = NULL;
    }
    set->trace.gyroscope = false;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_int_equal(set->summary.rep_count, 2);
    bool told = false;
    for (size_t f = 0; f < set->summary.findings.count; f++) {
        const struct bp_finding *finding = &set->summary.findings.list[f];
        told = told || (strcmp(finding->code, "cut-short") == 0 && finding->severity == BP_RESERVATION &&
                        fabs(finding->at_s - from_s) < 1);
    }
    assert_true(told);
}

static void knock_on_the_rack_is_found_at_its_time(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = tidy();
    scenario.hit_rep = 2;
    scenario.hit_in_hold = true;
    scenario.hit_m_s2 = 60;
    scenario.hit_s = 0.03;
    analyse(set, &scenario);
    assert_true(set_found(set, "hit"));
    for (size_t f = 0; f < set->summary.findings.count; f++) {
        const struct bp_finding *finding = &set->summary.findings.list[f];
        if (strcmp(finding->code, "hit") == 0) { /* in the hold after the second drive */
            assert_true(finding->at_s > set->truth.reps[1].drive_end_s - 0.1);
            assert_true(finding->at_s < set->truth.reps[2].drive_start_s);
        }
    }
}

static void links_landing_are_clatter_and_no_hits(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = tidy();
    sim_scenario_rig(SIM_CHAINS, &scenario);
    scenario.clatter_m_s2 = 35;
    analyse(set, &scenario);
    assert_true(set_found(set, "clattering"));
    assert_false(set_found(set, "hit"));
}

/* Turned about an axis that is not the bar's, the phone lies otherwise in the rack than it did. */
static void phone_that_slipped_is_found_unless_it_turned_with_the_bar(void **state)
{
    struct set *set = *state;
    size_t found = 0, roll = 0;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        struct sim_scenario scenario = tidy();
        scenario.seed = seed;
        scenario.slip_at_s = 9;
        scenario.slip_deg = 6;
        bp_arena_reset(&set->arena);
        analyse(set, &scenario);
        for (size_t r = 0; r < set->summary.rep_count && set_found(set, "slipped"); r++) {
            assert_true(isnan(set->summary.reps[r].tilt_deg.value)); /* of the phone, not of the bar */
        }
        found += set_found(set, "slipped");
        roll += !set_found(set, "slipped");
    }
    /* One in three slips tilts the phone along the bar, the others roll it or turn it about the upright. */
    assert_true(found >= 2);
    assert_true(roll >= 2);
}

static void disagreement_and_an_unsure_rep_are_told(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = tidy();
    analyse(set, &scenario);
    struct bp_motion motion;
    struct bp_motion_settings settings = bp_motion_defaults;
    struct bp_track track;
    struct bp_reps reps;
    struct bp_error error;
    assert_int_equal(bp_motion_prepare(&set->trace, &settings, &set->arena, &motion, &error), BP_OK);
    assert_int_equal(bp_track_find(&motion, NULL, NULL, &set->arena, &track, &error), BP_OK);
    assert_int_equal(bp_reps_find(&motion, &track, BP_BENCH, &set->arena, &reps, &error), BP_OK);
    assert_true(reps.count > 0);
    struct bp_slip slip = bp_slip_find(&motion, &reps);
    set->summary.findings.count = 0;
    track.variance_factor = 9;
    set->summary.reps[1].mean_velocity_m_s = bp_quantity_unknown();
    bp_summary_findings(&motion, &track, &reps, &slip, &set->settings, &set->summary);
    assert_true(set_found(set, "disagrees"));
    assert_true(set_found(set, "rep-unsure"));
    for (size_t f = 0; f < set->summary.findings.count; f++) {
        const struct bp_finding *finding = &set->summary.findings.list[f];
        assert_true(strcmp(finding->code, "disagrees") != 0 || strstr(finding->text, " 3.0 times") != NULL);
        assert_true(strcmp(finding->code, "rep-unsure") != 0 || strstr(finding->text, "rep 2 ") != NULL);
    }
}

/* Of the other hand, it would roll the bar to the wrong side. */
static void gyroscope_that_contradicts_gravity_is_left_out(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = tidy();
    set_simulate(set, &scenario);
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = 0; i < set->trace.count; i++) {
            set->trace.turn[a][i] = -set->trace.turn[a][i];
        }
    }
    assert_int_equal(set_analyse(set), BP_OK);
    assert_true(set_found(set, "gyro-disagrees"));
    assert_true(set_found(set, "no-gyroscope"));
    assert_false(set->summary.log.gyroscope);
    assert_true(set->trace.gyroscope && set->trace.turn[0] != NULL); /* the caller's trace is untouched */
    assert_int_equal(set->summary.rep_count, set->truth.rep_count);
    for (size_t r = 0; r < set->truth.rep_count; r++) {
        assert_near(set->summary.reps[r].mean_velocity_m_s.value, set->truth.reps[r].mean_velocity_m_s, 0.03);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(tidy_set_has_no_finding_of_trouble, set_up, set_down),
        cmocka_unit_test_setup_teardown(a_phone_that_turns_over_in_a_rep_is_told_with_its_time, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(knock_on_the_rack_is_found_at_its_time, set_up, set_down),
        cmocka_unit_test_setup_teardown(links_landing_are_clatter_and_no_hits, set_up, set_down),
        cmocka_unit_test_setup_teardown(phone_that_slipped_is_found_unless_it_turned_with_the_bar, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(gyroscope_that_contradicts_gravity_is_left_out, set_up, set_down),
        cmocka_unit_test_setup_teardown(disagreement_and_an_unsure_rep_are_told, set_up, set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
