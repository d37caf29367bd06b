/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/fields.h"
#include "simulate/simulate.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

static void random_scenarios_are_always_in_range_and_varied(void **state)
{
    (void)state;
    int lifts[BP_LIFT_COUNT] = {0}, setups[SIM_SETUP_COUNT] = {0}, gyroscopes = 0, paused = 0;
    for (uint64_t seed = 0; seed < 500; seed++) {
        struct sim_scenario s;
        sim_scenario_random(seed, &s);
        assert_null(sim_scenario_fault(&s));
        assert_true(s.seed == seed);
        assert_true(s.rate_hz >= 50.0 && s.rate_hz <= 400.0);
        lifts[s.lift]++;
        setups[s.setup]++;
        gyroscopes += s.gyroscope;
        paused += s.bottom_pause_s > 0.0;
    }
    for (int i = 0; i < BP_LIFT_COUNT; i++) {
        assert_in_range(lifts[i], 60, 150);
    }
    for (int i = 0; i < SIM_SETUP_COUNT; i++) {
        assert_in_range(setups[i], 80, 170);
    }
    assert_in_range(gyroscopes, 300, 400);
    assert_in_range(paused, 150, 350);
}

/* Two sets as the first version made them (its own readings, row 2000). Seeds are quoted in
 * reports: they keep their logs. */
static void seeds_of_random_sets_keep_their_logs(void **state)
{
    (void)state;
    const size_t i = 1999;
    static const struct {
        uint64_t seed;
        size_t count;
        double time_s, force[3];
    } kept[] = {{7, 6665, 5.020108763, {-10.790666882, -0.011971008, -0.263362183}},
                {77, 14120, 10.046453120, {0.656011255, 9.694122522, 1.845929480}}};
    for (size_t n = 0; n < sizeof kept / sizeof *kept; n++) {
        struct sim_scenario s;
        struct sim_log log;
        sim_scenario_random(kept[n].seed, &s);
        assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
        assert_int_equal(log.count, kept[n].count);
        assert_true(fabs(log.time_s[i] - kept[n].time_s) < 1e-9);
        for (int k = 0; k < 3; k++) {
            assert_true(fabs(log.force[k][i] - kept[n].force[k]) < 1e-6);
        }
        sim_log_free(&log);
    }
}

static void check_rep(const struct sim_scenario *s, const struct sim_rep_truth *rep)
{
    assert_true(rep->drive_start_s >= rep->turnaround_s);
    assert_true(rep->drive_end_s > rep->drive_start_s && rep->top_s >= rep->drive_end_s);
    assert_true(fabs(rep->middle_range_m - s->range_m) < 0.08);
    assert_true(rep->mean_velocity_m_s > 0.05 && rep->mean_velocity_m_s < 1.3);
    assert_true(rep->peak_velocity_m_s > rep->mean_velocity_m_s);
    assert_true(rep->propulsive_velocity_m_s >= rep->mean_velocity_m_s - 1e-12);
    assert_true(rep->unbraked_velocity_m_s >= rep->propulsive_velocity_m_s - 1e-12);
    assert_true(rep->descent_end_s > rep->descent_start_s);
    if (s->lift == BP_BENCH || s->lift == BP_SQUAT) {
        assert_true(rep->descent_end_s <= rep->drive_start_s);
    } else {
        assert_true(rep->descent_start_s >= rep->drive_end_s);
    }
    assert_true(rep->drive.rms_m > 1e-5 && rep->drive.rms_m < 0.05);
    assert_true(isfinite(rep->range_velocity_m_s[0]) && isfinite(rep->smoothness) && rep->sway_area_m2 > 0.0);
}

static void every_random_set_has_its_reps_in_order_and_sound(void **state)
{
    (void)state;
    static struct sim_truth truth;
    for (uint64_t seed = 1000; seed < 1060; seed++) {
        struct sim_scenario s;
        sim_scenario_random(seed, &s);
        assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
        bool missed = s.ending == SIM_MISSED || s.ending == SIM_MISSED_LEFT;
        assert_int_equal(truth.rep_count, s.reps + (missed ? 1 : 0));
        for (int i = 0; i < s.reps; i++) {
            assert_false(truth.reps[i].missed);
            check_rep(&s, &truth.reps[i]);
            assert_true(i == 0 || truth.reps[i].turnaround_s > truth.reps[i - 1].top_s);
        }
        if (missed) {
            assert_true(truth.reps[s.reps].missed);
            assert_true(truth.reps[s.reps].range_m < 0.9 * s.range_m);
        }
        assert_true(truth.reps[truth.rep_count - 1].drive_end_s < truth.duration_s);
    }
}

static void speed_falls_over_the_set_by_the_loss_asked_for(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_scenario s = sim_scenario_defaults;
    s.reps = 8;
    s.speed_spread = s.tilt_deg = s.tremor_m = s.wander_m = 0.0;
    s.mean_speed_m_s = 0.6;
    s.speed_loss = 0.4;
    assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
    assert_true(fabs(truth.reps[0].mean_velocity_m_s - 0.6) < 0.006);
    assert_true(fabs(truth.reps[7].mean_velocity_m_s - 0.36) < 0.006);
}

static void sway_has_the_rms_asked_for(void **state)
{
    (void)state;
    static struct sim_truth truth;
    double square = 0.0;
    int count = 0;
    for (uint64_t seed = 0; seed < 20; seed++) {
        struct sim_scenario s = sim_scenario_defaults;
        s.seed = seed;
        s.reps = 10;
        s.sway_m = 0.004;
        s.mount_along_m = 0.0;
        assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
        for (size_t i = 0; i < truth.rep_count; i++, count++) {
            square += truth.reps[i].drive.rms_m * truth.reps[i].drive.rms_m;
        }
    }
    /* Few slow waves a set, and some of the sway lies outside the drive: within a quarter. */
    assert_true(fabs(sqrt(square / (double)count) / 0.004 - 1.0) < 0.25);
}

static void bar_comes_back_to_where_it_lay(void **state)
{
    (void)state;
    const enum bp_lift lifts[] = {BP_BENCH, BP_PRESS, BP_SQUAT, BP_DEADLIFT, BP_ROW};
    for (int i = 0; i < BP_LIFT_COUNT; i++) {
        struct sim_scenario s;
        struct sim_log log;
        static struct sim_truth truth;
        sim_scenario_for(lifts[i], &s);
        s.building_m_s2 = 0.0;
        assert_int_equal(sim_run(&s, &log, &truth), SIM_OK);
        assert_true(isnan(truth.rerack_end_s) == (lifts[i] == BP_DEADLIFT));
        assert_true(isnan(truth.unrack_start_s) == (lifts[i] == BP_DEADLIFT));
        /* Still at the end: nothing but noise, a grid and the drift's last steps. */
        for (size_t k = 0; k < 3; k++) {
            size_t last = log.count - 1;
            assert_true(fabs(log.force[k][last] - log.force[k][last - 100]) < 0.15);
        }
        sim_log_free(&log);
    }
}

static void cut_log_ends_before_the_rack_and_a_miss_may_stay_where_it_is(void **state)
{
    (void)state;
    static struct sim_truth truth;
    struct sim_scenario s = sim_scenario_defaults;
    s.ending = SIM_CUT;
    assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
    assert_true(isnan(truth.rerack_start_s));
    assert_true(truth.duration_s < truth.reps[4].top_s + 3.0);
    s.ending = SIM_MISSED_LEFT;
    assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
    assert_int_equal(truth.rep_count, 6);
    assert_true(truth.reps[5].missed && isnan(truth.rerack_start_s));
    assert_true(fabs(truth.reps[5].range_m / s.range_m - s.missed_fraction) < 0.1);
    s.ending = SIM_MISSED;
    assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
    assert_true(truth.reps[5].missed && truth.rerack_end_s < truth.duration_s);
}

static void chains_clatter_and_a_bare_bar_does_not(void **state)
{
    (void)state;
    static struct sim_truth bare, chained;
    struct sim_scenario s = sim_scenario_defaults;
    assert_int_equal(sim_run(&s, NULL, &bare), SIM_OK);
    sim_scenario_rig(SIM_CHAINS, &s);
    assert_int_equal(sim_run(&s, NULL, &chained), SIM_OK);
    assert_true(bare.reps[2].clatter_m_s2 < 0.1); /* the upper end of the tremble */
    assert_true(chained.reps[2].clatter_m_s2 > 1.0);
    assert_true(chained.reps[2].clatter_crest > 2.0); /* landings, not a hum */
    /* The rattle is local: the bar's own speed is the same. */
    assert_true(fabs(chained.reps[2].mean_velocity_m_s - bare.reps[2].mean_velocity_m_s) < 1e-12);
}

static void each_setting_out_of_its_range_is_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sim_field_count; i++) {
        const struct sim_field *field = &sim_fields[i];
        struct sim_scenario s = sim_scenario_defaults, before;
        before = s;
        assert_null(sim_scenario_fault(&s));
        assert_false(sim_field_set(field, "-1e9", &s));
        assert_false(sim_field_set(field, "1e9", &s));
        assert_false(sim_field_set(field, "nan", &s));
        assert_false(sim_field_set(field, "", &s));
        assert_false(sim_field_set(field, "1x", &s));
        assert_memory_equal(&s, &before, sizeof s);
    }
}

static void settings_are_read_and_given_back(void **state)
{
    (void)state;
    struct sim_scenario s = sim_scenario_defaults;
    const char *const given[][2] = {{"lift", "row"},
                                    {"setup", "bands-up"},
                                    {"reps", "12"},
                                    {"gyroscope", "no"},
                                    {"force-bias-z", "-0.25"}};
    const double values[] = {BP_ROW, SIM_BANDS_UP, 12.0, 0.0, -0.25};
    for (size_t n = 0; n < 5; n++) {
        for (size_t i = 0; i < sim_field_count; i++) {
            if (strcmp(sim_fields[i].name, given[n][0]) == 0) {
                assert_true(sim_field_set(&sim_fields[i], given[n][1], &s));
                assert_true(sim_field_get(&sim_fields[i], &s) == values[n]);
                assert_false(sim_field_set(&sim_fields[i], "1.5e9", &s));
            }
        }
    }
    assert_true(s.lift == BP_ROW && s.setup == SIM_BANDS_UP && s.reps == 12 && !s.gyroscope);
    assert_true(s.force_bias_m_s2[2] == -0.25);
}

static void settings_that_do_not_go_together_are_refused(void **state)
{
    (void)state;
    struct sim_log log;
    struct sim_scenario s = sim_scenario_defaults;
    s.rise_fraction = s.fall_fraction = 0.6;
    assert_non_null(sim_scenario_fault(&s));
    assert_int_equal(sim_run(&s, &log, NULL), SIM_SETTING);
    assert_null(log.time_s);
    s = sim_scenario_defaults;
    s.sway_low_hz = 7.0;
    assert_non_null(sim_scenario_fault(&s));
    s = sim_scenario_defaults;
    s.gap_s = 1.0;
    assert_non_null(sim_scenario_fault(&s));
    s = sim_scenario_defaults;
    s.bottom_spread_m = s.lockout_spread_m = 0.03;
    assert_non_null(sim_scenario_fault(&s));
    s = sim_scenario_defaults;
    s.hit_rep = s.reps + 1;
    assert_non_null(sim_scenario_fault(&s));
    s = sim_scenario_defaults;
    s.spotter_rep = s.reps + 1;
    assert_non_null(sim_scenario_fault(&s));
    s = sim_scenario_defaults;
    s.rate_hz = (double)NAN;
    assert_non_null(sim_scenario_fault(&s));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_scenarios_are_always_in_range_and_varied),
        cmocka_unit_test(seeds_of_random_sets_keep_their_logs),
        cmocka_unit_test(every_random_set_has_its_reps_in_order_and_sound),
        cmocka_unit_test(speed_falls_over_the_set_by_the_loss_asked_for),
        cmocka_unit_test(sway_has_the_rms_asked_for),
        cmocka_unit_test(bar_comes_back_to_where_it_lay),
        cmocka_unit_test(cut_log_ends_before_the_rack_and_a_miss_may_stay_where_it_is),
        cmocka_unit_test(chains_clatter_and_a_bare_bar_does_not),
        cmocka_unit_test(each_setting_out_of_its_range_is_refused),
        cmocka_unit_test(settings_are_read_and_given_back),
        cmocka_unit_test(settings_that_do_not_go_together_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
