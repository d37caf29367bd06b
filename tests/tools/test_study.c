/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/simulate.h"

#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

enum { SEEDS = 1000 };

static void study_scenarios_are_in_range_whatever_the_seed(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 4 * SEEDS; seed++) {
        struct sim_scenario s;
        sim_scenario_study(seed, &s);
        assert_null(sim_scenario_fault(&s));
        assert_true(s.seed == seed);
    }
}

static void phones_go_from_good_to_cheap(void **state)
{
    (void)state;
    const double milli_g = 1e-3 * BP_STANDARD_GRAVITY;
    double worst_bias = 0.0, least = HUGE_VAL, most = 0.0;
    int coarse = 0, web_rate = 0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s;
        sim_scenario_study(seed, &s);
        least = fmin(least, s.force_noise_ug);
        most = fmax(most, s.force_noise_ug);
        for (int i = 0; i < 3; i++) {
            worst_bias = fmax(worst_bias, fabs(s.force_bias_m_s2[i]));
            assert_true(fabs(s.force_scale[i]) <= 0.025 && fabs(s.turn_scale[i]) <= 0.025);
        }
        assert_true(s.force_cross <= 0.005 && s.turn_cross > 0.0 && s.turn_cross <= 0.005);
        coarse += s.force_grid_m_s2 == 0.1;
        web_rate += s.rate_hz == 60.0;
    }
    assert_true(least >= 60.0 && least < 65.0 && most <= 400.0 && most > 370.0);
    assert_true(worst_bias > 40.0 * milli_g && worst_bias <= 60.0 * milli_g);
    assert_in_range(coarse, 50, 110); /* 80 expected, sd 9 */
    assert_int_equal(web_rate, coarse);
}

static void chips_sit_one_to_four_centimetres_off_the_bar_s_axis(void **state)
{
    (void)state;
    double most_fore = 0.0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s;
        sim_scenario_study(seed, &s);
        double radius = hypot(s.mount_forward_m, s.mount_up_m);
        assert_true(radius > 0.0099 && radius < 0.0401);
        most_fore = fmax(most_fore, fabs(s.mount_forward_m));
    }
    assert_true(most_fore > 0.035);
}

static void logs_are_cut_and_stillness_is_short_more_often_than_at_random(void **state)
{
    (void)state;
    int cut = 0, plain_cut = 0, hasty[2] = {0};
    double most = 0.0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s, plain;
        sim_scenario_study(seed, &s);
        sim_scenario_random(seed, &plain);
        cut += s.ending == SIM_CUT;
        plain_cut += plain.ending == SIM_CUT;
        hasty[0] += s.still_start_s < 1.0;
        hasty[1] += s.still_end_s < 1.0;
        assert_true(s.still_start_s >= 0.3 && s.still_end_s >= 0.3);
        assert_true(s.lockout_spread_m >= 0.002 && s.bottom_spread_m >= 0.002);
        most = fmax(most, fmax(s.lockout_spread_m, s.bottom_spread_m));
    }
    assert_true(cut > 2 * plain_cut);
    assert_in_range(hasty[0], 150, 250); /* 200 expected, sd 13 */
    assert_in_range(hasty[1], 150, 250);
    assert_true(most > 0.0145 && most <= 0.015);
}

static void about_three_of_ten_sets_have_one_trouble_that_suits_the_lift(void **state)
{
    (void)state;
    int seen[SIM_TROUBLE_COUNT] = {0};
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s;
        sim_scenario_study(seed, &s);
        seen[s.trouble]++;
        /* The label and the settings say the same, and there is no second trouble. */
        assert_true((s.trouble == SIM_TROUBLE_HIT) == (s.hit_rep > 0 && s.hit_m_s2 > 0.0));
        assert_true((s.trouble == SIM_TROUBLE_SLIP) == (s.slip_at_s > 0.0 && s.slip_deg != 0.0));
        assert_true((s.trouble == SIM_TROUBLE_SPOTTER) == (s.spotter_rep > 0));
        assert_true((s.trouble == SIM_TROUBLE_DROP) == s.dropped);
        assert_true((s.trouble == SIM_TROUBLE_CLATTER) == (s.links_per_m > 0.0 && s.clatter_m_s2 > 19.0));
        assert_true(s.trouble != SIM_TROUBLE_DROP || s.lift == BP_DEADLIFT);
        assert_true(s.trouble != SIM_TROUBLE_BOUNCE ||
                    (s.lift == BP_BENCH && s.bounce_m > 0.0 && s.bottom_pause_s == 0.0));
        assert_true(s.trouble != SIM_TROUBLE_CLIP || s.force_limit_m_s2 < 39.3);
    }
    assert_in_range(SEEDS - seen[SIM_TROUBLE_NONE], 240, 360);
    for (int i = 0; i < SIM_TROUBLE_COUNT; i++) {
        assert_true(seen[i] >= 5);
        for (int k = 0; k < i; k++) {
            assert_string_not_equal(sim_trouble_name((enum sim_trouble)i),
                                    sim_trouble_name((enum sim_trouble)k));
        }
    }
    assert_string_equal(sim_trouble_name(SIM_TROUBLE_NONE), "none");
}

static void check_rep(const struct sim_rep_truth *rep)
{
    assert_true(rep->drive_start_s >= rep->turnaround_s);
    assert_true(rep->drive_end_s > rep->drive_start_s && rep->top_s >= rep->drive_end_s);
    assert_true(rep->mean_velocity_m_s > 0.04 && rep->peak_velocity_m_s > rep->mean_velocity_m_s);
    assert_true(isfinite(rep->range_velocity_m_s[0]) && isfinite(rep->smoothness));
    assert_true(rep->drive.rms_m > 1e-5 && rep->drive.rms_m < 0.05 && rep->sway_area_m2 > 0.0);
    assert_true(rep->clatter_m_s2 > 0.0 && rep->clatter_crest >= 1.0);
    assert_true(isnan(rep->pause_s) || rep->pause_s >= 0.0);
    assert_true(rep->descent_time_s > 0.05);
}

static void every_study_set_has_its_reps_in_order_and_sound(void **state)
{
    (void)state;
    static struct sim_truth truth;
    for (uint64_t seed = 2000; seed < 2080; seed++) {
        struct sim_scenario s;
        sim_scenario_study(seed, &s);
        assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
        bool missed = s.ending == SIM_MISSED || s.ending == SIM_MISSED_LEFT;
        assert_int_equal(truth.rep_count, s.reps + (missed ? 1 : 0));
        for (int i = 0; i < s.reps; i++) {
            check_rep(&truth.reps[i]);
            assert_true(i == 0 || truth.reps[i].turnaround_s > truth.reps[i - 1].top_s);
        }
        assert_true(s.slip_at_s < truth.duration_s);
    }
}

/* A trouble by that name, and a reading at the end of the range: what else would "clip" be. */
static void sets_that_clip_have_readings_at_the_limit(void **state)
{
    (void)state;
    int asked = 0, clipped = 0;
    for (uint64_t seed = 0; asked < 12; seed++) {
        struct sim_scenario s;
        struct sim_log log;
        sim_scenario_study(seed, &s);
        if (s.trouble != SIM_TROUBLE_CLIP || s.ending != SIM_RACKED || s.rate_hz < 100.0) {
            continue;
        }
        assert_int_equal(sim_run(&s, &log, NULL), SIM_OK);
        double largest = 0.0;
        for (size_t i = 0; i < log.count; i++) {
            for (int k = 0; k < 3; k++) {
                largest = fmax(largest, fabs(log.force[k][i]));
            }
        }
        assert_true(largest <= s.force_limit_m_s2 + s.force_grid_m_s2);
        clipped += largest >= s.force_limit_m_s2 - s.force_grid_m_s2;
        asked++;
        sim_log_free(&log);
    }
    assert_true(clipped >= 6);
}

static void study_keeps_the_lift_and_the_load_of_the_random_set(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < 100; seed++) {
        struct sim_scenario s, plain, again;
        sim_scenario_study(seed, &s);
        sim_scenario_study(seed, &again);
        sim_scenario_random(seed, &plain);
        assert_memory_equal(&s, &again, sizeof s);
        assert_true(s.lift == plain.lift && s.reps == plain.reps && s.range_m == plain.range_m);
        assert_true(plain.trouble == SIM_TROUBLE_NONE && plain.hit_rep == 0 && plain.turn_cross == 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(study_scenarios_are_in_range_whatever_the_seed),
        cmocka_unit_test(phones_go_from_good_to_cheap),
        cmocka_unit_test(chips_sit_one_to_four_centimetres_off_the_bar_s_axis),
        cmocka_unit_test(logs_are_cut_and_stillness_is_short_more_often_than_at_random),
        cmocka_unit_test(about_three_of_ten_sets_have_one_trouble_that_suits_the_lift),
        cmocka_unit_test(every_study_set_has_its_reps_in_order_and_sound),
        cmocka_unit_test(sets_that_clip_have_readings_at_the_limit),
        cmocka_unit_test(study_keeps_the_lift_and_the_load_of_the_random_set),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
