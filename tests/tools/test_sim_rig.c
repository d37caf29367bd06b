/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "simulate/load.h"
#include "simulate/write.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double WITHIN_SD = 1.96;

/* What the version before rigs made of these seeds (its own readings): rows, the sum of all readings of a row
 * weighted by 1 to 97 in turn, the mean square of a row's force, and propulsive velocities and shakes of the
 * completed reps summed. Seeds are quoted in reports: they keep their logs and truths. */
static void rigs_left_every_seed_its_log_and_its_truth(void **state)
{
    (void)state;
    static const struct {
        bool study;
        uint64_t seed;
        size_t rows;
        double weighted, square, truth;
    } kept[] = {
        {false, 1, 4523, 513.785933515, 105.552888477, 0.224093665168},
        {false, 3, 5943, 518.16895572, 101.473756637, 3.87834402235},
        {false, 42, 9031, -489.572015816, 100.447023918, 1.20372266588},
        {false, 1001, 2583, 545.919262969, 99.3140452043, 3.95401046563},
        {true, 2, 1319, 464.980893994, 105.346581591, 0.85226444634},
        {true, 7, 6680, -480.927419624, 97.8974114931, 0.770438297327},
        {true, 42, 6722, -512.307135704, 96.8557676951, 1.20393435784},
        {true, 1001, 2458, 567.069846386, 102.869264202, 3.95015494204},
    };
    static struct sim_truth truth;
    for (size_t n = 0; n < sizeof kept / sizeof *kept; n++) {
        struct sim_scenario s;
        struct sim_log log;
        (kept[n].study ? sim_scenario_study : sim_scenario_random)(kept[n].seed, &s);
        if (kept[n].study) { /* studies have since moved the scatter from the samples to their stamps */
            s.jitter_s = s.stamp_jitter_s;
            s.stamp_jitter_s = 0.0;
        }
        assert_int_equal(sim_run(&s, &log, &truth), SIM_OK);
        assert_int_equal(log.count, kept[n].rows);
        double weighted = 0.0, square = 0.0, figures = 0.0, rows = (double)log.count;
        for (size_t i = 0; i < log.count; i++) {
            for (int k = 0; k < 3; k++) {
                weighted += ((double)(i % 97) + 1.0) * log.force[k][i] / rows;
                square += log.force[k][i] * log.force[k][i] / rows;
            }
        }
        for (size_t r = 0; r < truth.rep_count; r++) {
            const struct sim_rep_truth *rep = &truth.reps[r];
            figures += rep->missed ? 0.0 : rep->propulsive_velocity_m_s + rep->drive.rms_m;
        }
        assert_true(fabs(weighted - kept[n].weighted) < 1e-6);
        assert_true(fabs(square - kept[n].square) < 1e-7);
        assert_true(fabs(figures - kept[n].truth) < 1e-9);
        sim_log_free(&log);
    }
}

static void what_hangs_on_the_bar_moves_nothing(void **state)
{
    (void)state;
    struct sim_scenario s;
    struct sim_log light, heavy;
    sim_scenario_study(11, &s);
    assert_int_equal(sim_run(&s, &light, NULL), SIM_OK);
    s.rig = (struct sim_rig){.bar_kg = 25.0, .plates_kg = 200.0, .lockout_m = 2.0, .chains = 3};
    s.rig.chain_kg_per_m = 5.7;
    s.rig.chain_m = 2.0;
    assert_int_equal(sim_run(&s, &heavy, NULL), SIM_OK);
    assert_int_equal(light.count, heavy.count);
    for (int k = 0; k < 3; k++) {
        assert_memory_equal(light.force[k], heavy.force[k], light.count * sizeof(double));
    }
    sim_log_free(&light);
    sim_log_free(&heavy);
}

static bool is_hung(const struct sim_scenario *s)
{
    return s->rig.chains > 0 || s->rig.bands > 0;
}

static void drawn_rigs_suit_their_setup(void **state)
{
    (void)state;
    enum { SEEDS = 1000 };
    int hung = 0, doubled = 0, second_peg = 0, clear = 0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s;
        (seed % 2 ? sim_scenario_study : sim_scenario_random)(seed, &s);
        assert_null(sim_scenario_fault(&s));
        double mass = s.rig.bar_kg + s.rig.plates_kg;
        struct sim_load low, high;
        sim_load_at(&s.rig, 9.81, (struct sim_jet){s.rig.lockout_m - s.range_m, 0.0, 0.0}, &low);
        sim_load_at(&s.rig, 9.81, (struct sim_jet){s.rig.lockout_m, 0.0, 0.0}, &high);
        double rise = (high.weight_n - low.weight_n) / high.weight_n;
        assert_true(mass >= 15.0 && mass <= 290.0);
        assert_true((s.rig.chains > 0) == (s.setup == SIM_CHAINS));
        assert_true((s.rig.bands > 0) == (s.setup == SIM_BANDS_DOWN || s.setup == SIM_BANDS_UP));
        assert_true(is_hung(&s) ? rise > 0.004 && rise < 0.45 : rise == 0.0);
        if (s.setup == SIM_BANDS_UP) {
            assert_true(low.weight_n < mass * 9.81 && high.weight_n < mass * 9.81);
        } else {
            assert_true(low.weight_n >= mass * 9.81 && high.weight_n >= mass * 9.81);
        }
        hung += is_hung(&s);
        doubled += (s.rig.chains > 0 && s.rig.chain_doubled) || (s.rig.bands > 0 && s.rig.band_doubled);
        second_peg += s.rig.bands > 0 && s.rig.peg_beyond_m > 0.0;
        clear += s.rig.chains > 0 && s.rig.lockout_m - s.rig.leader_m > sim_load_strand_length(&s.rig);
    }
    assert_in_range(hung, 680, 830);
    assert_in_range(doubled, 150, 320);
    assert_in_range(second_peg, 70, 190);
    assert_in_range(clear, 15, 100); /* chains that leave the floor before lockout */
}

static void a_setup_given_by_hand_brings_its_chains_or_bands(void **state)
{
    (void)state;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        struct sim_scenario s;
        sim_scenario_for((enum bp_lift)lift, &s);
        assert_false(is_hung(&s));
        sim_scenario_rig(SIM_CHAINS, &s);
        assert_null(sim_scenario_fault(&s));
        assert_true(s.rig.chains > 0 && s.rig.bands == 0);
        sim_scenario_rig(SIM_BANDS_UP, &s);
        assert_null(sim_scenario_fault(&s));
        assert_true(s.rig.chains == 0 && s.rig.bands > 0 && s.rig.peg_height_m > s.rig.lockout_m);
        sim_scenario_rig(SIM_BANDS_DOWN, &s);
        assert_null(sim_scenario_fault(&s));
        assert_true(s.rig.bands > 0 && s.rig.peg_height_m < s.rig.lockout_m - s.range_m);
        sim_scenario_rig(SIM_STRAIGHT, &s);
        assert_false(is_hung(&s));
    }
}

/* Chain of 20 kg/m in all shows a wrong height of 5 mm as 0.1 kg. */
static void the_usual_lockout_stands_as_high_as_the_rig_says(void **state)
{
    (void)state;
    static struct sim_truth truth;
    for (int lift = 0; lift < BP_LIFT_COUNT; lift++) {
        struct sim_scenario s;
        sim_scenario_for((enum bp_lift)lift, &s);
        s.lockout_spread_m = s.bottom_spread_m = s.tremor_m = s.wander_m = s.tilt_deg = 0.0;
        s.rest_tilt_deg = 1.0; /* at the phone the bar rests 8 mm above its middle */
        s.rig = (struct sim_rig){.bar_kg = 20.0, .plates_kg = 60.0, .lockout_m = 1.5, .chains = 1};
        s.rig.chain_kg_per_m = 10.0;
        s.rig.chain_m = 3.0;
        s.rig.leader_m = 0.2;
        assert_int_equal(sim_run(&s, NULL, &truth), SIM_OK);
        assert_true(fabs(truth.load_lockout_kg - (80.0 + 20.0 * 1.3)) < 0.1);
        assert_true(fabs(truth.load_bottom_kg - (80.0 + 20.0 * (1.3 - s.range_m))) < 0.1);
        assert_true(fabs(truth.load_halfway_kg - (80.0 + 20.0 * (1.3 - 0.5 * s.range_m))) < 0.1);
    }
}

static void rigs_that_make_no_sense_are_refused(void **state)
{
    (void)state;
    struct sim_scenario s = sim_scenario_defaults;
    s.rig.lockout_m = 0.3; /* the bar's bottom under the floor: a bare bar does not mind */
    assert_null(sim_scenario_fault(&s));
    s.rig.chains = 1;
    s.rig.chain_kg_per_m = 3.8;
    s.rig.chain_m = 1.0;
    assert_non_null(sim_scenario_fault(&s));
    s.rig.lockout_m = 1.1;
    assert_null(sim_scenario_fault(&s));
    s.rig.chain_m = 0.0;
    assert_non_null(sim_scenario_fault(&s));
    s.rig.chains = 0;
    s.rig.bands = 1;
    s.rig.band_rest_m = 0.5;
    assert_non_null(sim_scenario_fault(&s));
    s.rig.band_scale_m = 0.3;
    assert_null(sim_scenario_fault(&s));
}

/* The first number behind "key = " and, when it has one, the number behind its ±; NaN where there is none. */
static void find(const char *text, const char *key, double *value, double *within)
{
    char line_key[64];
    *value = *within = (double)NAN;
    snprintf(line_key, sizeof line_key, "\n%s = ", key);
    const char *at = strstr(text, line_key);
    if (!at) {
        return;
    }
    at += strlen(line_key);
    size_t length = strcspn(at, "\n");
    bp_number_read(at, length, '.', value);
    const char *sign = strstr(at, "± ");
    if (sign && sign < at + length) {
        sign += strlen("± ");
        bp_number_read(sign, strcspn(sign, "\n"), '.', within);
    }
}

static void a_rig_file_without_errors_tells_the_truth(void **state)
{
    (void)state;
    struct bp_text text;
    struct sim_scenario s;
    double value, within;
    sim_scenario_for(BP_BENCH, &s);
    sim_scenario_rig(SIM_CHAINS, &s);
    s.rig.errors = 0.0;
    bp_text_init(&text);
    sim_write_rig(&s, &text);
    bp_text_put_char(&text, '\0');
    assert_false(text.failed);
    find(text.data, "mass", &value, &within);
    assert_true(value == 20.0 && within == 0.2);
    find(text.data, "plates", &value, &within);
    assert_true(value == 60.0 && within == 0.6);
    find(text.data, "lockout", &value, &within);
    assert_true(fabs(value - 110.0) < 1e-9 && within == 1.0);
    find(text.data, "mass-per-metre", &value, &within);
    assert_true(value == 3.8 && fabs(within - 0.114) < 1e-9);
    find(text.data, "length", &value, &within);
    assert_true(fabs(value - s.rig.chain_m) < 1e-4 && isnan(within));
    find(text.data, "count", &value, &within);
    assert_true(value == (double)s.rig.chains);
    assert_non_null(strstr(text.data, "\nside = both\n"));
    assert_non_null(strstr(text.data, "\nfold = single\n"));
    bp_text_free(&text);
}

/* Errors are drawn as wide as their own ± say, which then hold 95 % of them. */
static void a_rig_file_is_as_wrong_as_it_says(void **state)
{
    (void)state;
    enum { SEEDS = 2000, KEYS = 3 };
    static const char *const keys[KEYS] = {"mass", "plates", "lockout"};
    double held[KEYS] = {0}, square[KEYS] = {0};
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s = sim_scenario_defaults;
        struct bp_text text;
        const double truths[KEYS] = {s.rig.bar_kg, s.rig.plates_kg, 100.0 * s.rig.lockout_m};
        s.seed = seed;
        bp_text_init(&text);
        sim_write_rig(&s, &text);
        bp_text_put_char(&text, '\0');
        assert_false(text.failed);
        for (int k = 0; k < KEYS; k++) {
            double value, within;
            find(text.data, keys[k], &value, &within);
            double off = (value - truths[k]) / within;
            held[k] += fabs(off) <= 1.0;
            square[k] += off * off;
        }
        bp_text_free(&text);
    }
    for (int k = 0; k < KEYS; k++) {
        assert_true(held[k] / SEEDS > 0.93 && held[k] / SEEDS < 0.97); /* 0.95, sd 0.005 */
        assert_true(fabs(sqrt(square[k] / SEEDS) * WITHIN_SD - 1.0) < 0.08);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rigs_left_every_seed_its_log_and_its_truth),
        cmocka_unit_test(what_hangs_on_the_bar_moves_nothing),
        cmocka_unit_test(drawn_rigs_suit_their_setup),
        cmocka_unit_test(a_setup_given_by_hand_brings_its_chains_or_bands),
        cmocka_unit_test(the_usual_lockout_stands_as_high_as_the_rig_says),
        cmocka_unit_test(rigs_that_make_no_sense_are_refused),
        cmocka_unit_test(a_rig_file_without_errors_tells_the_truth),
        cmocka_unit_test(a_rig_file_is_as_wrong_as_it_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
