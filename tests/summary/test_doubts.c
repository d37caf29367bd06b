/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/doubts.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "sets.h"

/* A tidy bench set of four reps. */
static void simulate(struct set *set)
{
    struct sim_scenario scenario;
    sim_scenario_for(BP_BENCH, &scenario);
    scenario.seed = 11;
    scenario.reps = 4;
    scenario.rate_hz = 200;
    set_simulate(set, &scenario);
}

static size_t sample_at(const struct bp_trace *trace, double t)
{
    size_t i = 0;
    while (i + 1 < trace->count && trace->time_s[i] < t) {
        i++;
    }
    return i;
}

/* Takes samples [first, end) out; from there on times go on as if they had never been. */
static void cut_out(struct bp_trace *trace, size_t first, size_t end)
{
    double gone = trace->time_s[end] - trace->time_s[first];
    for (size_t i = first; i + end - first < trace->count; i++) {
        size_t from = i + end - first;
        trace->time_s[i] = trace->time_s[from] - gone;
        trace->marks[i] = trace->marks[from];
        for (size_t a = 0; a < 3; a++) {
            trace->force[a][i] = trace->force[a][from];
            trace->turn[a][i] = trace->gyroscope ? trace->turn[a][from] : 0;
        }
    }
    trace->count -= end - first;
}

static bool rep_known(const struct bp_rep_figures *rep)
{
    return isfinite(rep->mean_velocity_m_s.value) || isfinite(rep->range_m.value) ||
           isfinite(rep->shake_mm.value) || isfinite(rep->drive_time_s.value);
}

static void rep_that_a_part_is_cut_out_of_has_no_figure_and_the_others_keep_theirs(void **state)
{
    struct set *set = *state;
    simulate(set);
    double speed[4], drive = set->truth.reps[1].drive_start_s;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_int_equal(set->summary.doubts.count, 0);
    for (size_t r = 0; r < 4; r++) {
        speed[r] = set->summary.reps[r].mean_velocity_m_s.value;
        assert_true(rep_known(&set->summary.reps[r]));
    }
    size_t first = sample_at(&set->trace, drive + 0.15);
    cut_out(&set->trace, first, first + 60);
    set->trace.marks[first] |= BP_MARK_SPOILT;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_true(set_found(set, "reps-doubtful"));
    assert_int_equal(set->summary.doubts.count, 1);
    const struct bp_doubt *spell = &set->summary.doubts.list[0];
    assert_true(spell->from_s < drive && spell->to_s > drive + 0.15);
    assert_true(isnan(set->summary.set.velocity_loss_pct.value) || set->summary.rep_count == 4);
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        const struct bp_rep_figures *rep = &set->summary.reps[r];
        double at = 0.5 * (rep->drive_start_s + rep->drive_end_s);
        assert_int_equal(rep_known(rep), at < spell->from_s || at > spell->to_s);
    }
    const struct bp_rep_figures *last = &set->summary.reps[set->summary.rep_count - 1];
    assert_near(set->summary.reps[0].mean_velocity_m_s.value, speed[0], 0.02);
    assert_near(last->mean_velocity_m_s.value, speed[3], 0.02);
}

static void doubts_of_one_spell_are_told_once_and_reach_to_the_sound_reps(void **state)
{
    (void)state;
    static double time_s[100];
    static struct bp_summary summary;
    struct bp_rep list[3] = {{.has_before = true, .top_before = 5, .bottom = 10, .top = 20},
                             {.has_before = true, .top_before = 30, .bottom = 40, .top = 50},
                             {.has_before = true, .top_before = 60, .bottom = 70, .top = 80}};
    struct bp_reps reps = {.count = 3, .list = list};
    struct bp_doubts doubts = {.count = 3, .list = {{45, 46}, {52, 58}, {90, 91}}};
    for (size_t i = 0; i < 100; i++) {
        time_s[i] = (double)i;
    }
    memset(&summary, 0, sizeof summary);
    bp_doubts_mark(&doubts, time_s, &reps);
    assert_false(list[0].spoilt);
    assert_true(list[1].spoilt);
    assert_false(list[2].spoilt);
    bp_doubts_report(&doubts, time_s, 100, &reps, &summary);
    assert_int_equal(summary.doubts.count, 2);
    assert_int_equal(summary.findings.count, 2);
    assert_near(summary.doubts.list[0].from_s, 20, 0);
    assert_near(summary.doubts.list[0].to_s, 60, 0);
    assert_near(summary.doubts.list[1].from_s, 80, 0);
    assert_near(summary.doubts.list[1].to_s, 99, 0);
}

/* Told by where they are: a spell of readings that are sound by themselves may still have lost its reps. */
static void rises_that_no_rep_was_found_in_are_told_with_the_sound_reps_about_them(void **state)
{
    (void)state;
    static double time_s[100];
    static struct bp_summary summary;
    struct bp_rep list[2] = {{.has_before = true, .top_before = 5, .bottom = 10, .top = 20},
                             {.has_before = true, .top_before = 60, .bottom = 70, .top = 80}};
    struct bp_reps reps = {.count = 2, .list = list};
    struct bp_doubts spoilt = {.count = 1, .list = {{40, 41}}},
                     uncounted = {.count = 2, .list = {{42, 43}, {90, 92}}};
    for (size_t i = 0; i < 100; i++) {
        time_s[i] = (double)i;
    }
    memset(&summary, 0, sizeof summary);
    bp_doubts_report(&spoilt, time_s, 100, &reps, &summary);
    bp_doubts_report_uncounted(&uncounted, time_s, 100, &reps, &summary);
    assert_int_equal(summary.doubts.count, 2); /* between the two reps it was told already */
    assert_int_equal(summary.findings.count, 2);
    assert_string_equal(summary.findings.list[1].code, "reps-doubtful");
    assert_int_equal(summary.findings.list[1].severity, BP_RESERVATION);
    assert_near(summary.findings.list[1].at_s, 80, 0);
    assert_non_null(strstr(summary.findings.list[0].text, "spoilt"));
    assert_non_null(strstr(summary.findings.list[1].text, "rose as in a rep"));
    assert_non_null(strstr(summary.findings.list[1].text, "99.00 s"));
}

/* From half-way on one axis reads otherwise, without a gyroscope: reps may be lost with the path, not without
 * a word. */
static void a_sensor_that_shifts_loses_no_rep_without_a_word(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario;
    sim_scenario_for(BP_SQUAT, &scenario);
    scenario.seed = 11;
    scenario.reps = 5;
    scenario.gyroscope = false;
    size_t lost = 0, told = 0;
    for (size_t k = 0; k < 12; k++) {
        set_simulate(set, &scenario);
        for (size_t i = set->trace.count / 2; i < set->trace.count; i++) {
            set->trace.force[k % 3][i] += 0.25 * ((double)(k / 3) - 1.5);
        }
        if (set_analyse(set) == BP_OK && set->summary.rep_count < 5) {
            lost++;
            told += set_found(set, "reps-doubtful") || set_found(set, "cut-short");
        }
    }
    assert_true(lost > 0); /* or the test shows nothing */
    assert_int_equal(told, lost);
}

/* An accelerometer that reads a tenth too much makes every speed a tenth too large. */
static void gain_that_gravity_shows_to_be_off_widens_the_speeds(void **state)
{
    struct set *set = *state;
    simulate(set);
    assert_int_equal(set_analyse(set), BP_OK);
    struct bp_quantity sound = set->summary.reps[0].mean_velocity_m_s;
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = 0; i < set->trace.count; i++) {
            set->trace.force[a][i] *= 1.1;
        }
    }
    assert_int_equal(set_analyse(set), BP_OK);
    struct bp_quantity scaled = set->summary.reps[0].mean_velocity_m_s;
    assert_true(set_found(set, "gravity-off"));
    assert_true(scaled.low < sound.value && scaled.high > sound.value);
    assert_true(scaled.high - scaled.low > 2 * (sound.high - sound.low));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(
            rep_that_a_part_is_cut_out_of_has_no_figure_and_the_others_keep_theirs, set_up, set_down),
        cmocka_unit_test(doubts_of_one_spell_are_told_once_and_reach_to_the_sound_reps),
        cmocka_unit_test(rises_that_no_rep_was_found_in_are_told_with_the_sound_reps_about_them),
        cmocka_unit_test_setup_teardown(a_sensor_that_shifts_loses_no_rep_without_a_word, set_up, set_down),
        cmocka_unit_test_setup_teardown(gain_that_gravity_shows_to_be_off_widens_the_speeds, set_up,
                                        set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
