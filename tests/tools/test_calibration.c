/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The calibration study of tools/bench: its statistics on hand-worked numbers, its records, its verdicts.
 */
#include "bench/study.h"
#include "report/figures.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct bench_scale plain = {.factor = 1};
static const double none = (double)NAN;

static bool near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance;
}

/* A record of set `set` whose interval holds its truth, or does not. */
static struct bench_record drawn(uint32_t set, bool covered)
{
    return (struct bench_record){.truth = covered ? 1 : 9, .value = 1, .low = 0, .high = 2, .set = set};
}

static void an_interval_holds_its_own_ends(void **state)
{
    (void)state;
    struct bench_record record = {.truth = 9, .value = 10, .low = 9, .high = 12};
    assert_true(bench_covered(&record));
    record.truth = 12;
    assert_true(bench_covered(&record));
    record.truth = 12.001;
    assert_false(bench_covered(&record));
    record.truth = 8.999;
    assert_false(bench_covered(&record));
}

/* Half-widths: 1 below the value, 2 above. */
static void confident_and_wrong_is_more_than_three_half_widths_of_the_truths_side(void **state)
{
    (void)state;
    static const struct {
        double truth;
        bool wrong;
    } cases[] = {{10, false},  {15.9, false}, {16, false}, {16.1, true},
                 {7.1, false}, {7, false},    {6.9, true}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct bench_record record = {.truth = cases[i].truth, .value = 10, .low = 9, .high = 12};
        assert_int_equal(bench_wrong(&record), cases[i].wrong);
    }
}

static void an_interval_without_width_is_wrong_unless_it_is_exact(void **state)
{
    (void)state;
    struct bench_record record = {.truth = 10, .value = 10, .low = 10, .high = 10};
    assert_false(bench_wrong(&record));
    record.truth = 10.0001;
    assert_true(bench_wrong(&record));
    /* A value above its own interval has no half-width upward. */
    record = (struct bench_record){.truth = 11, .value = 10.5, .low = 9, .high = 10};
    assert_true(bench_wrong(&record));
}

/* Examples of Newcombe 1998, Stat Med 17:857-872, table I, method 3 (from memory). */
static void wilsons_interval_is_that_of_published_examples(void **state)
{
    (void)state;
    static const struct {
        double hits, n, low, high;
    } cases[] = {
        {81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double low = -1, high = -1, mirror_low = -1, mirror_high = -1;
        bench_wilson(cases[i].hits / cases[i].n, cases[i].n, &low, &high);
        assert_true(near(low, cases[i].low, 0.00006));
        assert_true(near(high, cases[i].high, 0.00006));
        /* As many misses as there were hits: the same from the other end. */
        bench_wilson(1 - cases[i].hits / cases[i].n, cases[i].n, &mirror_low, &mirror_high);
        assert_true(near(mirror_low, 1 - high, 1e-12));
        assert_true(near(mirror_high, 1 - low, 1e-12));
    }
}

/* Two sets of four reps, 4 and 2 covered: share 3/4, excess +1 and -1, variance 2/(2-1) * 2 / 8^2 = 1/16,
 * worth (3/4 * 1/4) / (1/16) = 3 trials. */
static void reps_of_one_set_are_worth_fewer_trials(void **state)
{
    (void)state;
    struct bench_record records[8];
    for (uint32_t i = 0; i < 8; i++) {
        records[i] = drawn(i / 4, i < 6);
    }
    assert_true(near(bench_effective_trials(records, 8), 3, 1e-12));
    /* Shared out evenly, 3 and 3: the sets differ in nothing, and no more than the reps there are. */
    records[3] = drawn(0, false);
    records[6] = drawn(1, true);
    assert_true(near(bench_effective_trials(records, 8), 8, 1e-12));
}

static void sets_of_one_rep_are_independent_trials(void **state)
{
    (void)state;
    struct bench_record records[10];
    for (uint32_t i = 0; i < 10; i++) {
        records[i] = drawn(i, i % 5 > 0);
    }
    assert_true(near(bench_effective_trials(records, 10), 9, 1e-12)); /* n - 1: the unbiased variance */
}

static void where_all_are_covered_every_set_is_one_trial(void **state)
{
    (void)state;
    struct bench_record records[9];
    for (uint32_t i = 0; i < 9; i++) {
        records[i] = drawn(i / 3, true);
    }
    assert_true(bench_effective_trials(records, 9) == 3);
    for (uint32_t i = 0; i < 9; i++) {
        records[i] = drawn(i / 3, false);
    }
    assert_true(bench_effective_trials(records, 9) == 3);
}

static void median_is_the_middle_or_the_mean_of_the_middle_two(void **state)
{
    (void)state;
    double odd[] = {5, 1, 3}, even[] = {4, 1, 10, 2}, one[] = {7};
    assert_true(bench_median(odd, 3) == 3);
    assert_true(bench_median(even, 4) == 3);
    assert_true(bench_median(one, 1) == 7);
    assert_true(isnan(bench_median(one, 0)));
}

/* Errors +1 and -3 and a figure that is not given: bias -1, rms sqrt((1 + 9) / 2). */
static void errors_are_those_of_the_given_values(void **state)
{
    (void)state;
    double scratch[3];
    struct bench_statistics s;
    const struct bench_record records[] = {
        {.truth = 4, .value = 5, .low = none, .high = none, .set = 0},
        {.truth = 4, .value = none, .low = none, .high = none, .set = 0},
        {.truth = 4, .value = 1, .low = none, .high = none, .set = 1},
    };
    const struct bench_scale thousandfold = {.factor = 1e3};
    bench_statistics_of(records, 3, &plain, scratch, &s);
    assert_int_equal(s.given, 2);
    assert_int_equal(s.not_given, 1);
    assert_int_equal(s.sets, 2);
    assert_true(near(s.bias, -1, 1e-12) && near(s.rms, sqrt(5), 1e-12) && near(s.worst, -3, 1e-12));
    assert_true(near(s.median, 2, 1e-12) && isnan(s.pooled)); /* of 1 and 3 */
    assert_int_equal(s.intervals, 0);
    assert_true(isnan(s.coverage) && isnan(s.width) && isnan(s.wrong));
    bench_statistics_of(records, 3, &thousandfold, scratch, &s);
    assert_true(near(s.bias, -1000, 1e-9) && near(s.worst, -3000, 1e-9));
}

/* Four intervals of widths 2, 4, 2 and 6 around 10, and one value without: truths 10 (in), 11.5 (in), 12
 * (out, two half-widths) and 20 (out, 10 > 3 * 3). */
static void coverage_and_wrong_are_shares_of_the_intervals(void **state)
{
    (void)state;
    double scratch[5], low = 0, high = 0;
    struct bench_statistics s;
    const struct bench_record records[] = {
        {.truth = 10, .value = 10, .low = 9, .high = 11, .set = 0},
        {.truth = 11.5, .value = 10, .low = 8, .high = 12, .set = 1},
        {.truth = 10, .value = 10, .low = none, .high = none, .set = 1},
        {.truth = 12, .value = 10, .low = 9, .high = 11, .set = 2},
        {.truth = 20, .value = 10, .low = 7, .high = 13, .set = 3},
    };
    bench_statistics_of(records, 5, &plain, scratch, &s);
    assert_int_equal(s.given, 5);
    assert_int_equal(s.intervals, 4);
    assert_true(s.coverage == 0.5);
    assert_true(s.width == 3);
    assert_true(s.wrong == 0.25);
    bench_wilson(0.5, 3, &low, &high); /* four sets of one interval: worth three trials */
    assert_true(near(s.coverage_low, low, 1e-12) && near(s.coverage_high, high, 1e-12));
}

static void relative_errors_leave_out_a_truth_too_small_but_coverage_does_not(void **state)
{
    (void)state;
    double scratch[3];
    struct bench_statistics s;
    const struct bench_scale percent = {.factor = 100, .relative = true, .least_truth = 0.5};
    const struct bench_record records[] = {
        {.truth = 10, .value = 11, .low = 9, .high = 14, .set = 0},
        {.truth = 20, .value = 18, .low = 17, .high = 21, .set = 1},
        {.truth = 0.1, .value = 0.3, .low = 0.2, .high = 0.4, .set = 2},
    };
    bench_statistics_of(records, 3, &percent, scratch, &s);
    assert_int_equal(s.errors, 2);
    assert_true(near(s.bias, 0, 1e-12) && near(s.rms, 10, 1e-12) && near(fabs(s.worst), 10, 1e-12));
    assert_true(near(s.width, 35, 1e-12)); /* of 50 and 20 % */
    assert_int_equal(s.intervals, 3);
    assert_true(near(s.coverage, 2.0 / 3.0, 1e-12));
}

/* Off by 20 and 10 %: by √(4 + 4) of √(100 + 400). */
static void small_truths_do_not_rule_the_pooled_error(void **state)
{
    (void)state;
    double scratch[2];
    struct bench_statistics s;
    const struct bench_scale percent = {.factor = 100, .relative = true};
    const struct bench_record records[] = {
        {.truth = 10, .value = 12, .low = none, .high = none, .set = 0},
        {.truth = 20, .value = 18, .low = none, .high = none, .set = 1},
    };
    bench_statistics_of(records, 2, &percent, scratch, &s);
    assert_true(near(s.rms, sqrt(250), 1e-12));
    assert_true(near(s.median, 15, 1e-12));
    assert_true(near(s.pooled, 100 * sqrt(8.0 / 500), 1e-12));
}

static bool is_named(const char *prefix, const char *name)
{
    char full[80];
    int length = snprintf(full, sizeof full, "%s%s", prefix, name);
    assert_in_range(length, 1, sizeof full - 1);
    return study_figure_named(full) < study_figure_count;
}

static void every_figure_of_the_reports_is_studied(void **state)
{
    (void)state;
    const struct {
        const char *prefix;
        const struct bp_figure_list *list;
    } lists[] = {{"set.", &bp_report_set_quantities},
                 {"", &bp_report_rep_times},
                 {"", &bp_report_rep_speeds},
                 {"sticking.", &bp_report_sticking_times},
                 {"sticking.", &bp_report_sticking_quantities},
                 {"range_1.", &bp_report_range_quantities},
                 {"range_2.", &bp_report_range_quantities},
                 {"range_3.", &bp_report_range_quantities},
                 {"", &bp_report_rep_steadiness},
                 {"", &bp_report_rep_loads}};
    for (size_t l = 0; l < sizeof lists / sizeof *lists; l++) {
        for (size_t f = 0; f < lists[l].list->count; f++) {
            const char *name = lists[l].list->list[f].name;
            if (!is_named(lists[l].prefix, name)) {
                fail_msg("%s%s is in the reports and not in the study", lists[l].prefix, name);
            }
        }
    }
}

/* Groups whose conditions are parts of a whole: every set lies in exactly one. */
static void the_conditions_of_a_group_share_the_sets_out(void **state)
{
    (void)state;
    static const char *const groups[] = {"all",  "lift",  "setup",  "rate",    "speed", "bottom",
                                         "hold", "still", "ending", "trouble", "phone"};
    for (uint64_t seed = 1; seed <= 400; seed++) {
        struct study_set set = {0};
        (seed % 2 ? sim_scenario_random : sim_scenario_study)(seed, &set.scenario);
        set.mean_speed_m_s = set.scenario.mean_speed_m_s;
        for (size_t g = 0; g < sizeof groups / sizeof *groups; g++) {
            int in = 0;
            for (size_t c = 0; c < study_condition_count; c++) {
                in += strcmp(study_conditions[c].group, groups[g]) == 0 &&
                      study_holds(&study_conditions[c], &set);
            }
            assert_int_equal(in, 1);
        }
    }
}

static double truth_of(const struct study_bench *bench, const struct study_set *set, const char *name)
{
    for (uint32_t i = 0; i < set->records; i++) {
        if (strcmp(study_figures[bench->records[i].figure].name, name) == 0) {
            return bench->records[i].truth;
        }
    }
    return (double)NAN;
}

static void a_set_is_recorded_with_the_truth_of_its_reps_and_of_itself(void **state)
{
    (void)state;
    struct study_options options = {.sets = 1, .first_seed = 8, .jobs = 1, .plain_scenarios = true};
    struct study_bench *bench = study_bench_new();
    struct study_set set;
    assert_non_null(bench);
    assert_true(study_measure_set(&options, 0, bench, &set));
    assert_int_equal(set.code, BP_OK);
    assert_int_equal(set.lost + set.invented, 0);
    double sum = 0, best = 0, last = 0;
    size_t completed = 0, speeds = study_figure_named("mean_velocity_m_s"), recorded = 0;
    for (size_t t = 0; t < bench->truth.rep_count; t++) {
        if (!bench->truth.reps[t].missed) {
            last = bench->truth.reps[t].mean_velocity_m_s;
            sum += last;
            best = fmax(best, last);
            completed++;
        }
    }
    for (uint32_t i = 0; i < set.records; i++) {
        const struct bench_record *record = &bench->records[i];
        if (record->figure == speeds) {
            assert_true(record->truth == bench->truth.reps[record->rep].mean_velocity_m_s);
            assert_true(near(record->value, record->truth, 0.05));
            recorded++;
        }
    }
    assert_true(completed > 1);
    assert_int_equal(recorded, completed);
    assert_true(near(truth_of(bench, &set, "set.mean_velocity_m_s"), sum / (double)completed, 1e-12));
    assert_true(truth_of(bench, &set, "set.best_velocity_m_s") == best);
    assert_true(near(truth_of(bench, &set, "set.velocity_loss_pct"), 100 * (best - last) / best, 1e-12));
    assert_true(near(truth_of(bench, &set, "shake_mm"), 1e3 * bench->truth.reps[0].drive.rms_m, 1e-12));
    study_bench_free(bench);
}

/* The rig the estimator is given is the scenario's, as its coach measured it. */
static void a_set_s_loads_are_recorded_with_the_truth_of_its_rig(void **state)
{
    (void)state;
    struct study_options options = {.sets = 1, .jobs = 1};
    struct study_bench *bench = study_bench_new();
    struct study_set set;
    int straight = 0, hung = 0;
    assert_non_null(bench);
    for (uint64_t seed = 700; seed < 712; seed++) {
        options.first_seed = seed;
        assert_true(study_measure_set(&options, 0, bench, &set));
        assert_int_equal(set.code, BP_OK);
        const struct sim_rig *rig = &set.scenario.rig;
        double mass = rig->bar_kg + rig->plates_kg;
        bool bare = rig->chains + rig->bands == 0;
        assert_true(near(bench->rig.plates_kg.value, rig->plates_kg, 0.04 * rig->plates_kg + 1e-3));
        assert_true(truth_of(bench, &set, "set.load_lockout_kg") == bench->truth.load_lockout_kg);
        assert_true(isnan(truth_of(bench, &set, "set.share_pct")) == bare);
        for (uint32_t i = 0; i < set.records; i++) {
            const struct bench_record *record = &bench->records[i];
            if (strcmp(study_figures[record->figure].name, "range_2.load_kg") == 0) {
                double truth = bench->truth.reps[record->rep].range_effort[1].load_kg;
                assert_true(record->truth == truth && near(record->value, truth, 0.05 * truth));
                assert_true(!bare || near(truth, mass, 1e-9));
                (*(bare ? &straight : &hung))++;
            }
        }
    }
    assert_true(straight > 1 && hung > 10);
    study_bench_free(bench);
}

static void the_outcome_does_not_depend_on_the_number_of_processes(void **state)
{
    (void)state;
    enum { SETS = 3 };
    struct bp_text texts[SETS];
    for (size_t jobs = 1; jobs <= SETS; jobs++) {
        struct study_options options = {
            .sets = SETS, .first_seed = 1, .jobs = jobs, .verbose = true, .figure = "range_m"};
        struct study study;
        struct bp_text *text = &texts[jobs - 1];
        assert_true(study_run(&options, &study));
        assert_int_equal(study.set_count, SETS);
        bp_text_init(text);
        study_put_sets(&study, &options, text);
        study_put_console(&study, &options, text);
        study_put_markdown(&study, &options, text);
        assert_false(text->failed);
        study_free(&study);
    }
    assert_string_equal(texts[0].data, texts[1].data);
    assert_string_equal(texts[0].data, texts[2].data);
    for (size_t i = 0; i < SETS; i++) {
        bp_text_free(&texts[i]);
    }
}

/* A study without a set whose cells say what the test wants. */
static struct study made_up(double rms, double coverage)
{
    struct study study = {0};
    size_t count = study_figure_count * STUDY_SIDES * study_condition_count;
    study.cells = calloc(count, sizeof *study.cells);
    assert_non_null(study.cells);
    for (size_t i = 0; i < count; i++) {
        study.cells[i] = (struct bench_statistics){.given = 100,
                                                   .sets = 50,
                                                   .errors = 100,
                                                   .rms = rms,
                                                   .intervals = 100,
                                                   .coverage = coverage,
                                                   .coverage_low = coverage - 0.02,
                                                   .coverage_high = coverage + 0.02};
    }
    return study;
}

/* The verdict at the end of the table's row that begins so. */
static bool is_met(const struct study *study, const char *row)
{
    struct bp_text text;
    bp_text_init(&text);
    study_put_targets(study, true, &text);
    assert_false(text.failed);
    const char *at = strstr(text.data, row);
    assert_non_null(at);
    const char *end = strchr(at, '\n');
    assert_non_null(end);
    bool yes = strncmp(end - 7, "| yes |", 7) == 0;
    assert_true(yes || strncmp(end - 6, "| no |", 6) == 0);
    bp_text_free(&text);
    return yes;
}

static void a_target_is_met_by_the_median_and_lost_by_one_condition_worse_than_twice(void **state)
{
    (void)state;
    static const char ROW[] = "| with gyroscope | mean_velocity_m_s";
    struct study study = made_up(0.005, 0.95);
    size_t speed = study_figure_named("mean_velocity_m_s");
    size_t cell = (speed * STUDY_SIDES + STUDY_GYROSCOPE) * study_condition_count + 3;
    assert_true(is_met(&study, ROW));
    study.cells[cell].rms = 0.0119; /* under twice 0.006 */
    assert_true(is_met(&study, ROW));
    study.cells[cell].rms = 0.0121;
    assert_false(is_met(&study, ROW));
    study.cells[cell].sets = STUDY_SETS_MIN - 1; /* too few to judge */
    assert_true(is_met(&study, ROW));
    study_free(&study);
    study = made_up(0.0061, 0.95);
    assert_false(is_met(&study, ROW));
    assert_true(is_met(&study, "| accelerometer alone | mean_velocity_m_s")); /* 0.018 there */
    study_free(&study);
}

static void coverage_is_judged_over_all_sets_and_under_each_condition(void **state)
{
    (void)state;
    static const char ALL[] = "| with gyroscope | figures that cover",
                      EACH[] = "| with gyroscope | conditions significantly outside";
    struct study study = made_up(0.001, 0.95);
    assert_true(is_met(&study, ALL));
    assert_true(is_met(&study, EACH));
    study_free(&study);
    study = made_up(0.001, 0.89); /* its interval reaches 0.91: not significantly below 0.90 */
    assert_false(is_met(&study, ALL));
    assert_true(is_met(&study, EACH));
    study_free(&study);
    study = made_up(0.001, 0.87);
    assert_false(is_met(&study, EACH));
    study_free(&study);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_interval_holds_its_own_ends),
        cmocka_unit_test(confident_and_wrong_is_more_than_three_half_widths_of_the_truths_side),
        cmocka_unit_test(an_interval_without_width_is_wrong_unless_it_is_exact),
        cmocka_unit_test(wilsons_interval_is_that_of_published_examples),
        cmocka_unit_test(reps_of_one_set_are_worth_fewer_trials),
        cmocka_unit_test(sets_of_one_rep_are_independent_trials),
        cmocka_unit_test(where_all_are_covered_every_set_is_one_trial),
        cmocka_unit_test(median_is_the_middle_or_the_mean_of_the_middle_two),
        cmocka_unit_test(errors_are_those_of_the_given_values),
        cmocka_unit_test(small_truths_do_not_rule_the_pooled_error),
        cmocka_unit_test(coverage_and_wrong_are_shares_of_the_intervals),
        cmocka_unit_test(relative_errors_leave_out_a_truth_too_small_but_coverage_does_not),
        cmocka_unit_test(every_figure_of_the_reports_is_studied),
        cmocka_unit_test(the_conditions_of_a_group_share_the_sets_out),
        cmocka_unit_test(a_set_is_recorded_with_the_truth_of_its_reps_and_of_itself),
        cmocka_unit_test(a_set_s_loads_are_recorded_with_the_truth_of_its_rig),
        cmocka_unit_test(the_outcome_does_not_depend_on_the_number_of_processes),
        cmocka_unit_test(a_target_is_met_by_the_median_and_lost_by_one_condition_worse_than_twice),
        cmocka_unit_test(coverage_is_judged_over_all_sets_and_under_each_condition),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
