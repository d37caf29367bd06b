/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Running errors of one figure. */
struct errors {
    double sum, squares, worst;
    size_t count;
};

enum figure {
    MEAN,
    PEAK,
    PROPULSIVE,
    RANGE,
    THIRD_1,
    THIRD_2,
    THIRD_3,
    SHAKE,
    CLATTER,
    TILT,
    DRIVE_TIME,
    FIGURES
};
static const struct {
    const char *name, *unit;
    double scale;
} NAMES[FIGURES] = {
    {"mean velocity", "m/s", 1},       {"peak velocity", "m/s", 1},
    {"propulsive velocity", "m/s", 1}, {"range of motion", "mm", 1e3},
    {"speed, first third", "m/s", 1},  {"speed, second third", "m/s", 1},
    {"speed, last third", "m/s", 1},   {"shake, relative", "%", 100},
    {"clatter, relative", "%", 100},   {"tilt", "deg", 1},
    {"drive time", "ms", 1e3},
};

struct tally {
    size_t sets, perfect, refused, reps, lost, invented, dips, dips_agree;
    struct errors errors[FIGURES];
};

static void add(struct errors *e, double error)
{
    if (isfinite(error)) {
        e->sum += error;
        e->squares += error * error;
        e->worst = fmax(e->worst, fabs(error));
        e->count++;
    }
}

static double ratio(double measured, double truth)
{
    return truth > 0 ? measured / truth - 1 : (double)NAN;
}

static void add_rep(struct tally *tally, const struct sim_rep_truth *truth, const struct bp_rep_figures *rep)
{
    struct errors *e = tally->errors;
    add(&e[MEAN], rep->mean_velocity_m_s.value - truth->mean_velocity_m_s);
    add(&e[PEAK], rep->peak_velocity_m_s.value - truth->peak_velocity_m_s);
    add(&e[PROPULSIVE], rep->propulsive_velocity_m_s.value - truth->propulsive_velocity_m_s);
    add(&e[RANGE], rep->range_m.value - truth->range_m);
    for (int r = 0; r < SIM_RANGES; r++) {
        add(&e[THIRD_1 + r], rep->ranges[r].mean_velocity_m_s.value - truth->range_velocity_m_s[r]);
    }
    add(&e[SHAKE], ratio(rep->shake_mm.value, 1e3 * truth->drive.rms_m));
    add(&e[CLATTER], ratio(rep->clatter_m_s2.value, truth->clatter_m_s2 > 0.5 ? truth->clatter_m_s2 : 0));
    add(&e[TILT], rep->tilt_deg.value - truth->tilt_deg);
    add(&e[DRIVE_TIME], rep->drive_end_s - rep->drive_start_s - (truth->drive_end_s - truth->drive_start_s));
    tally->dips++;
    tally->dips_agree += rep->sticking.present == truth->sticking.present;
}

static void describe(uint64_t seed, const struct sim_scenario *scenario, const struct sim_truth *truth,
                     const struct bp_summary *summary, const struct bp_error *error, size_t lost,
                     size_t invented)
{
    printf("seed %llu %s %s, %d reps at %.2f m/s, %.0f Hz, hold %.2f s, pause %.2f s, ending %d: %zu true, "
           "%zu found, lost %zu, invented %zu %s\n",
           (unsigned long long)seed, bp_lift_facts(scenario->lift)->name,
           scenario->gyroscope ? "gyro" : "acc", scenario->reps, scenario->mean_speed_m_s, scenario->rate_hz,
           scenario->top_hold_s, scenario->bottom_pause_s, (int)scenario->ending, truth->rep_count,
           summary->rep_count, lost, invented, error->text);
}

static void describe_reps(const struct sim_truth *truth, const struct bp_summary *summary,
                          const size_t *found)
{
    for (size_t t = 0; t < truth->rep_count; t++) {
        const struct sim_rep_truth *true_rep = &truth->reps[t];
        if (found[t] == SIZE_MAX || !summary->reps) {
            printf("    rep %zu %s lost (drive at %.2f s)\n", t + 1, true_rep->missed ? "missed" : "",
                   true_rep->drive_start_s);
            continue;
        }
        const struct bp_rep_figures *rep = &summary->reps[found[t]];
        printf("    rep %zu mean %.3f %+.4f  peak %.3f %+.4f  range %.3f %+.4f  start %+.3f end %+.3f shake "
               "%.1f %.1f mm\n",
               t + 1, true_rep->mean_velocity_m_s, rep->mean_velocity_m_s.value - true_rep->mean_velocity_m_s,
               true_rep->peak_velocity_m_s, rep->peak_velocity_m_s.value - true_rep->peak_velocity_m_s,
               true_rep->range_m, rep->range_m.value - true_rep->range_m,
               rep->drive_start_s - true_rep->drive_start_s, rep->drive_end_s - true_rep->drive_end_s,
               1e3 * true_rep->drive.rms_m, rep->shake_mm.value);
    }
}

static bool one_set(uint64_t seed, char only, bool verbose, struct bp_arena *arena, struct sim_truth *truth,
                    struct tally tallies[2])
{
    struct sim_scenario scenario;
    struct sim_log log;
    struct bp_trace trace;
    struct bp_summary summary = {0};
    struct bp_error error = {0};
    size_t found[SIM_REPS_MAX + 1], lost = 0;
    sim_scenario_random(seed, &scenario);
    if ((only == 'g' && !scenario.gyroscope) || (only == 'a' && scenario.gyroscope)) {
        return true;
    }
    if (sim_run(&scenario, &log, truth) != SIM_OK) {
        return false;
    }
    bp_arena_reset(arena);
    bool ok = bench_trace(&log, arena, &trace);
    sim_log_free(&log);
    struct bp_analyse_settings settings = bp_analyse_defaults;
    settings.lift = scenario.lift;
    settings.lift_given = true;
    enum bp_code code = ok ? bp_analyse_trace(&trace, &settings, arena, &summary, &error) : BP_ERR_MEMORY;
    struct tally *tally = &tallies[scenario.gyroscope];
    size_t invented = bench_match(truth, &summary, found);
    for (size_t t = 0; t < truth->rep_count; t++) {
        lost += found[t] == SIZE_MAX;
        if (found[t] != SIZE_MAX && summary.reps && !truth->reps[t].missed) {
            add_rep(tally, &truth->reps[t], &summary.reps[found[t]]);
        }
    }
    tally->sets++;
    tally->refused += code != BP_OK;
    tally->reps += truth->rep_count;
    tally->lost += lost;
    tally->invented += invented;
    tally->perfect += lost == 0 && invented == 0;
    if (verbose || lost || invented) {
        describe(seed, &scenario, truth, &summary, &error, lost, invented);
    }
    if (verbose) {
        describe_reps(truth, &summary, found);
    }
    return ok;
}

static void print_tally(const char *title, const struct tally *tally)
{
    if (tally->sets == 0) {
        return;
    }
    printf("\n%s: %zu sets, %zu reps; every rep found and none invented in %zu (%.1f %%); lost %zu, invented "
           "%zu, refused %zu; sticking region told rightly in %zu of %zu reps\n",
           title, tally->sets, tally->reps, tally->perfect,
           100.0 * (double)tally->perfect / (double)tally->sets, tally->lost, tally->invented, tally->refused,
           tally->dips_agree, tally->dips);
    printf("  %-22s %6s %10s %10s %10s\n", "figure", "reps", "bias", "rms", "worst");
    for (int f = 0; f < FIGURES; f++) {
        const struct errors *e = &tally->errors[f];
        double n = (double)(e->count ? e->count : 1), scale = NAMES[f].scale;
        printf("  %-22s %6zu %10.4f %10.4f %10.4f %s\n", NAMES[f].name, e->count, scale * e->sum / n,
               scale * sqrt(e->squares / n), scale * e->worst, NAMES[f].unit);
    }
}

/* What the project promises of its random sets: reps found in a share of them, and mean velocity's rms error.
 */
static bool within(const char *title, const struct tally *tally, double least_share, double most_rms)
{
    const struct errors *mean = &tally->errors[MEAN];
    double share = tally->sets ? (double)tally->perfect / (double)tally->sets : 1;
    double rms = mean->count ? sqrt(mean->squares / (double)mean->count) : 0;
    if (share >= least_share && rms <= most_rms) {
        return true;
    }
    printf("%s: outside the limits (%.1f %% of sets, %.4f m/s)\n", title, 100 * least_share, most_rms);
    return false;
}

int bench_accuracy(size_t sets, uint64_t first_seed, char only, bool verbose, bool limits)
{
    static const double GYROSCOPE_SHARE = 0.99, ALONE_SHARE = 0.95, GYROSCOPE_RMS = 0.015, ALONE_RMS = 0.02;
    struct tally tallies[2] = {{0}, {0}};
    struct bp_arena arena;
    struct sim_truth *truth = malloc(sizeof *truth);
    int status = truth ? 0 : 1;
    bp_arena_init(&arena);
    for (size_t s = 0; s < sets && status == 0; s++) {
        status = one_set(first_seed + s, only, verbose, &arena, truth, tallies) ? 0 : 1;
    }
    print_tally("with gyroscope", &tallies[1]);
    print_tally("accelerometer alone", &tallies[0]);
    if (limits && !(within("with gyroscope", &tallies[1], GYROSCOPE_SHARE, GYROSCOPE_RMS) &&
                    within("accelerometer alone", &tallies[0], ALONE_SHARE, ALONE_RMS))) {
        status = 1;
    }
    bp_arena_free(&arena);
    free(truth);
    return status;
}
