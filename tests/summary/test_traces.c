/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The set over time, against the truth of simulated sets and against the figures of the same summary.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "barplumb/traces.h"
#include "base/failing_alloc.h"
#include "simulate/motion.h"
#include "simulate/truth.h"
#include "summary/sets.h"

#include <math.h>
#include <string.h>

static void analyse_seed(struct set *set, uint64_t seed, bool gyroscope, struct sim_scenario *scenario)
{
    *scenario = sim_scenario_defaults;
    scenario->seed = seed;
    scenario->reps = 3;
    scenario->gyroscope = gyroscope;
    set_simulate(set, scenario);
    set->settings.keep_traces = true;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_non_null(set->summary.traces);
}

/* A record at a time, between its points. */
static double at(const struct bp_traces *traces, const double *list, double time_s)
{
    size_t i = 0;
    while (i + 2 < traces->count && traces->time_s[i + 1] <= time_s) {
        i++;
    }
    double share = (time_s - traces->time_s[i]) / (traces->time_s[i + 1] - traces->time_s[i]);
    return list[i] + share * (list[i + 1] - list[i]);
}

static void traces_are_only_kept_when_asked_for(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 31;
    scenario.reps = 2;
    set_simulate(set, &scenario);
    assert_int_equal(set_analyse(set), BP_OK);
    assert_null(set->summary.traces);
    struct bp_set_figures without = set->summary.set;
    struct bp_rep_figures rep = set->summary.reps[1];
    set->settings.keep_traces = true;
    assert_int_equal(set_analyse(set), BP_OK);
    assert_non_null(set->summary.traces);
    assert_memory_equal(&without, &set->summary.set, sizeof without);
    assert_memory_equal(&rep, &set->summary.reps[1], sizeof rep);
}

static void traces_hold_at_most_fifty_points_a_second_and_all_reps(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario;
    analyse_seed(set, 32, true, &scenario);
    const struct bp_traces *traces = set->summary.traces;
    for (size_t i = 1; i < traces->count; i++) {
        assert_true(traces->time_s[i] - traces->time_s[i - 1] >= 0.999 / BP_TRACES_RATE_HZ);
    }
    double length = traces->time_s[traces->count - 1] - traces->time_s[0];
    assert_true((double)traces->count > 0.9 * BP_TRACES_RATE_HZ * length); /* 200 Hz: every fourth sample */
    assert_true(traces->time_s[0] < set->summary.reps[0].descent_start_s);
    assert_true(traces->time_s[traces->count - 1] > set->summary.reps[2].drive_end_s);
}

static void traces_agree_with_the_figures(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario;
    analyse_seed(set, 33, true, &scenario);
    const struct bp_traces *traces = set->summary.traces;
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        const struct bp_rep_figures *rep = &set->summary.reps[r];
        double squares = 0, count = 0, peak = 0;
        for (size_t i = 0; i < traces->count; i++) {
            if (traces->time_s[i] >= rep->drive_start_s && traces->time_s[i] <= rep->drive_end_s) {
                squares += traces->shake_mm.value[i] * traces->shake_mm.value[i];
                peak = fmax(peak, traces->speed_m_s.value[i]);
                count++;
            }
        }
        /* Two points stand between the ends of the drive and the trace's own. */
        assert_near(sqrt(squares / count), rep->shake_mm.value, 0.04 * rep->shake_mm.value);
        assert_near(peak, rep->peak_velocity_m_s.value, 0.005);
        double rise = at(traces, traces->height_m.value, rep->drive_end_s) -
                      at(traces, traces->height_m.value, rep->drive_start_s);
        double length = rep->drive_end_s - rep->drive_start_s;
        assert_near(rise / length, rep->mean_velocity_m_s.value, 0.001);
    }
}

struct cover {
    double held[3], points;
};

/* How many points between the first descent and the last lockout hold the truth. */
static void add_cover(const struct set *set, const struct sim_motion *motion, struct cover *cover)
{
    const struct bp_traces *traces = set->summary.traces;
    const struct bp_summary *summary = &set->summary;
    double from = summary->reps[0].descent_start_s;
    double to = summary->reps[summary->rep_count - 1].drive_end_s;
    double rest = sim_motion_point_height(motion, 0).value;
    for (size_t i = 0; i < traces->count; i++) {
        if (traces->time_s[i] < from || traces->time_s[i] > to) {
            continue;
        }
        struct sim_jet height = sim_motion_point_height(motion, traces->time_s[i]);
        double truth[2] = {height.value - rest, height.rate};
        const struct bp_record *records[2] = {&traces->height_m, &traces->speed_m_s};
        for (int k = 0; k < 2; k++) {
            assert_true(records[k]->low[i] <= records[k]->value[i]);
            assert_true(records[k]->high[i] >= records[k]->value[i]);
            cover->held[k] += truth[k] >= records[k]->low[i] && truth[k] <= records[k]->high[i];
        }
        cover->points++;
    }
}

/* The shake in the band by the definition's own gains, from the simulator: its sign is the bar's, the trace's
 * may be the other. */
static void add_shake_cover(const struct set *set, const struct sim_motion *motion, struct cover *cover)
{
    struct sim_bands bands;
    const struct bp_traces *traces = set->summary.traces;
    assert_true(sim_bands_make(motion, &bands));
    double held[2] = {0, 0};
    for (size_t i = 0; i < traces->count; i++) {
        size_t place = (size_t)lround(traces->time_s[i] * bands.rate_hz);
        if (!isfinite(traces->shake_mm.low[i]) || place >= bands.count) {
            continue;
        }
        for (int sign = 0; sign < 2; sign++) {
            double truth = (sign ? -1e3 : 1e3) * bands.along_m[place];
            held[sign] += truth >= traces->shake_mm.low[i] && truth <= traces->shake_mm.high[i];
        }
    }
    double points = 0;
    for (size_t i = 0; i < traces->count; i++) {
        points += isfinite(traces->shake_mm.low[i]) ? 1 : 0;
    }
    cover->held[2] += fmax(held[0], held[1]) / points;
    sim_bands_free(&bands);
}

/* Sets as accuracy studies draw them, phones good and cheap; what goes wrong in some is not for this test. */
static bool analyse_study(struct set *set, uint64_t seed, struct sim_scenario *scenario)
{
    sim_scenario_study(seed, scenario);
    scenario->turn_rate_hz = 0; /* one clock for both sensors, as set_simulate wants it */
    set_simulate(set, scenario);
    set->settings.keep_traces = true;
    return scenario->trouble == SIM_TROUBLE_NONE && set_analyse(set) == BP_OK &&
           set->summary.rep_count == (size_t)set->truth.rep_count && set->summary.set.missed == 0;
}

static void bands_hold_the_true_path(void **state)
{
    enum { SETS = 60 };
    struct set *set = *state;
    struct cover cover = {{0}, 0};
    double sets = 0;
    for (uint64_t seed = 0; seed < SETS; seed++) {
        struct sim_scenario scenario;
        struct sim_motion motion;
        if (analyse_study(set, 50001 + seed, &scenario)) {
            assert_int_equal(sim_motion_make(&scenario, &motion), SIM_OK);
            add_cover(set, &motion, &cover);
            add_shake_cover(set, &motion, &cover);
            sim_motion_free(&motion);
            sets++;
        }
        bp_arena_reset(&set->arena);
    }
    double height = cover.held[0] / cover.points, speed = cover.held[1] / cover.points;
    double shake = cover.held[2] / sets;
    print_message("%.0f sets, %.0f points; the bands hold: height %.3f, speed %.3f, shake %.3f\n", sets,
                  cover.points, height, speed, shake);
    assert_true(sets >= SETS / 2.0);
    /* The points of a set go together: 0.95 less three standard errors of a share of so many sets. */
    const double least = 0.95 - 3 * sqrt(0.95 * 0.05 / sets);
    assert_true(height >= least);
    assert_true(speed >= least);
    assert_true(shake >= least);
}

static void bands_end_with_the_reps(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario;
    analyse_seed(set, 34, true, &scenario);
    const struct bp_traces *traces = set->summary.traces;
    assert_true(!isfinite(traces->height_m.low[0]));
    assert_true(!isfinite(traces->speed_m_s.high[traces->count - 1]));
    assert_true(isfinite(traces->height_m.value[0]));
    size_t middle = traces->count / 2;
    assert_true(traces->height_m.low[middle] < traces->height_m.high[middle]);
    assert_true(traces->shake_mm.low[middle] < traces->shake_mm.high[middle]);
    assert_true(traces->shake_mm_s.low[middle] < traces->shake_mm_s.high[middle]);
}

/* Parseval: the density's integral is the mean square of what was windowed. A drive's rms of sideways speed,
 * Hann-weighed or not, is the same to how it is spread over the drive; over all drives within a third. */
static void spectrum_holds_the_power_of_the_sideways_speed(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario;
    analyse_seed(set, 35, true, &scenario);
    const struct bp_traces *traces = set->summary.traces;
    double integral = 0, weighed = 0, seconds = 0;
    for (size_t k = 0; k < traces->spectrum_count; k++) {
        double ends = k == 0 || k + 1 == traces->spectrum_count ? 0.5 : 1;
        integral += ends * traces->spectrum_mm2_s2_hz[k] * traces->spectrum_step_hz;
    }
    for (size_t r = 0; r < set->summary.rep_count; r++) {
        const struct bp_rep_figures *rep = &set->summary.reps[r];
        double sum = 0, weights = 0, length = rep->drive_end_s - rep->drive_start_s;
        for (size_t i = 0; i < traces->count; i++) {
            double place = (traces->time_s[i] - rep->drive_start_s) / length;
            if (place >= 0 && place <= 1) {
                double w =
                    sin(acos(-1.0) * place); /* Hann is its square; the power's weight is Hann's square */
                weights += w * w * w * w;
                sum += w * w * w * w * traces->shake_mm_s.value[i] * traces->shake_mm_s.value[i];
            }
        }
        weighed += length * sum / weights;
        seconds += length;
    }
    assert_true(seconds > 0);
    assert_near(integral, weighed / seconds, 0.03 * weighed / seconds);
}

static void a_pure_sway_peaks_at_its_frequency(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 36;
    scenario.reps = 3;
    scenario.mean_speed_m_s = 0.25; /* slow: a long drive parts frequencies */
    scenario.sway_m = 0.008;
    scenario.sway_low_hz = 2.95;
    scenario.sway_high_hz = 3.05;
    set_simulate(set, &scenario);
    set->settings.keep_traces = true;
    assert_int_equal(set_analyse(set), BP_OK);
    const struct bp_traces *traces = set->summary.traces;
    size_t best = 0;
    for (size_t k = 0; k < traces->spectrum_count; k++) {
        best = traces->spectrum_mm2_s2_hz[k] > traces->spectrum_mm2_s2_hz[best] ? k : best;
    }
    assert_near((double)best * traces->spectrum_step_hz, 3.0, 0.3);
}

static void traces_survive_every_failed_allocation(void **state)
{
    struct set *set = *state;
    struct sim_scenario scenario = sim_scenario_defaults;
    scenario.seed = 37;
    scenario.reps = 1;
    set_simulate(set, &scenario);
    set->settings.keep_traces = true;
    bool failed = true;
    for (size_t n = 0; failed && n < 200; n++) {
        struct bp_arena arena;
        bp_arena_init(&arena);
        failing_alloc_arm(n);
        enum bp_code code = bp_analyse_trace(&set->trace, &set->settings, &arena, &set->summary, &set->error);
        failed = failing_alloc_disarm();
        assert_true(code == BP_OK || code == BP_ERR_MEMORY);
        assert_true((code == BP_OK) == (set->summary.traces != NULL));
        bp_arena_free(&arena);
    }
    assert_false(failed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(traces_are_only_kept_when_asked_for, set_up, set_down),
        cmocka_unit_test_setup_teardown(traces_hold_at_most_fifty_points_a_second_and_all_reps, set_up,
                                        set_down),
        cmocka_unit_test_setup_teardown(traces_agree_with_the_figures, set_up, set_down),
        cmocka_unit_test_setup_teardown(bands_hold_the_true_path, set_up, set_down),
        cmocka_unit_test_setup_teardown(bands_end_with_the_reps, set_up, set_down),
        cmocka_unit_test_setup_teardown(spectrum_holds_the_power_of_the_sideways_speed, set_up, set_down),
        cmocka_unit_test_setup_teardown(a_pure_sway_peaks_at_its_frequency, set_up, set_down),
        cmocka_unit_test_setup_teardown(traces_survive_every_failed_allocation, set_up, set_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
