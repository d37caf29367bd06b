/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a phone's own attitude is worth: the same sets as logs of different columns, each through the importer
 * as a phone would write it, and mean velocity against its truth.
 */
#include "barplumb/import.h"
#include "bench/bench.h"
#include "bench/statistics.h"
#include "simulate/write.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One kind of log. */
struct kind {
    const char *name;
    bool gyroscope, attitude;
    enum sim_gravity_columns gravity;
    enum sim_attitude_columns columns;
    bool in_g;
    bool minus; /* with the opposite sign, as is usual in g */
    double lag_s;
    double stuck_s;
};

static const struct kind KINDS[] = {
    {.name = "acceleration"},
    {.name = "acceleration, attitude", .attitude = true},
    {.name = "acceleration, attitude 0.1 s late", .attitude = true, .lag_s = 0.1},
    {.name = "linear, attitude stuck for 4 s",
     .attitude = true,
     .gravity = SIM_GRAVITY_REMOVED,
     .stuck_s = 8},
    {.name = "linear, attitude", .attitude = true, .gravity = SIM_GRAVITY_REMOVED},
    {.name = "linear in g, gyroscope, angles",
     .attitude = true,
     .gyroscope = true,
     .gravity = SIM_GRAVITY_REMOVED,
     .columns = SIM_ATTITUDE_ANGLES,
     .in_g = true,
     .minus = true},
    {.name = "linear, attitude, sign against its unit",
     .attitude = true,
     .gravity = SIM_GRAVITY_REMOVED,
     .minus = true},
    {.name = "linear, gyroscope, inverse",
     .attitude = true,
     .gyroscope = true,
     .gravity = SIM_GRAVITY_REMOVED,
     .columns = SIM_ATTITUDE_INVERSE},
    {.name = "linear, gravity apart, gyroscope", .gyroscope = true, .gravity = SIM_GRAVITY_APART},
    {.name = "linear, gravity against it, gyroscope", .gyroscope = true, .gravity = SIM_GRAVITY_AGAINST},
    {.name = "linear, gravity apart", .gravity = SIM_GRAVITY_APART},
    {.name = "linear, gravity against it", .gravity = SIM_GRAVITY_AGAINST},
    {.name = "acceleration, gyroscope", .gyroscope = true},
    {.name = "acceleration, gyroscope, attitude", .gyroscope = true, .attitude = true},
};
enum { KIND_COUNT = sizeof KINDS / sizeof *KINDS };

struct outcome {
    size_t refused, perfect, lost, invented;
    struct bench_record *records; /* [sets * (SIM_REPS_MAX + 1)] */
    size_t count;
};

static void record(const struct sim_truth *truth, const struct bp_summary *summary, uint32_t set,
                   struct outcome *out)
{
    size_t found[SIM_REPS_MAX + 1], lost = 0, invented = bench_match(truth, summary, found);
    for (size_t t = 0; t < truth->rep_count; t++) {
        lost += found[t] == SIZE_MAX;
        if (found[t] >= summary->rep_count || truth->reps[t].missed) {
            continue;
        }
        struct bp_quantity q = summary->reps[found[t]].mean_velocity_m_s;
        out->records[out->count++] = (struct bench_record){.truth = truth->reps[t].mean_velocity_m_s,
                                                           .value = q.value,
                                                           .low = q.low,
                                                           .high = q.high,
                                                           .set = set};
    }
    out->lost += lost;
    out->invented += invented;
    out->perfect += lost == 0 && invented == 0;
}

static bool measure(const struct kind *kind, uint64_t seed, uint32_t set, struct bp_arena *arena,
                    struct sim_truth *truth, bool verbose, struct outcome *out)
{
    struct sim_scenario scenario;
    struct sim_layout layout = sim_layout_defaults;
    struct sim_log log;
    struct bp_text csv;
    struct bp_trace trace;
    struct bp_summary summary = {0};
    struct bp_error error = {0};
    sim_scenario_study(seed, &scenario);
    scenario.gyroscope = kind->gyroscope;
    scenario.turn_rate_hz = 0; /* one file */
    scenario.attitude = kind->attitude;
    scenario.attitude_lag_s = kind->lag_s;
    scenario.attitude_stuck_s = kind->stuck_s;
    layout.gravity = kind->gravity;
    layout.attitude = kind->columns;
    layout.minus = kind->minus;
    layout.in_g = kind->in_g;
    if (sim_run(&scenario, &log, truth) != SIM_OK) {
        return false;
    }
    bp_text_init(&csv);
    sim_write_csv(&log, &layout, &csv);
    sim_log_free(&log);
    bp_arena_reset(arena);
    enum bp_code code =
        csv.failed ? BP_ERR_MEMORY
                   : bp_import_csv_bytes("log.csv", csv.data, csv.length, NULL, arena, &trace, &error);
    struct bp_analyse_settings settings = bp_analyse_defaults;
    settings.lift = scenario.lift;
    settings.lift_given = true;
    settings.seed = seed;
    if (code == BP_OK) {
        code = bp_analyse_trace(&trace, &settings, arena, &summary, &error);
    }
    bp_text_free(&csv);
    out->refused += code != BP_OK;
    if (verbose && code != BP_OK) {
        printf("seed %llu, %s: %s\n", (unsigned long long)seed, kind->name, error.text);
    }
    size_t before = out->lost + out->invented;
    record(truth, &summary, set, out);
    if (verbose && out->lost + out->invented > before) {
        printf("seed %llu, %s: lost or invented reps\n", (unsigned long long)seed, kind->name);
    }
    return code != BP_ERR_MEMORY;
}

static void print(const struct kind *kind, size_t sets, const struct outcome *out, double *scratch)
{
    static const struct bench_scale plain = {.factor = 1};
    struct bench_statistics s;
    bench_statistics_of(out->records, out->count, &plain, scratch, &s);
    printf("%-39s %6zu %8.1f %5zu %9zu %7.4f %7.4f %7.4f %6.1f %7.4f\n", kind->name, out->refused,
           100 * (double)out->perfect / (double)sets, out->lost, out->invented, s.bias, s.rms, fabs(s.worst),
           100 * s.coverage, s.width);
}

int bench_attitude(size_t sets, uint64_t first_seed, bool verbose)
{
    size_t most = sets * (SIM_REPS_MAX + 1);
    struct bp_arena arena;
    struct outcome out = {.records = malloc(most * sizeof *out.records)};
    double *scratch = malloc(most * sizeof *scratch);
    struct sim_truth *truth = malloc(sizeof *truth);
    bool ok = out.records && scratch && truth;
    bp_arena_init(&arena);
    printf("%zu sets; mean velocity in m/s, its 95 %% interval\n"
           "%-39s %6s %8s %5s %9s %7s %7s %7s %6s %7s\n",
           sets, "columns", "refuse", "all reps", "lost", "invented", "bias", "rms", "worst", "cover",
           "width");
    for (size_t k = 0; k < KIND_COUNT && ok; k++) {
        out = (struct outcome){.records = out.records};
        for (size_t s = 0; s < sets && ok; s++) {
            ok = measure(&KINDS[k], first_seed + s, (uint32_t)s, &arena, truth, verbose, &out);
        }
        if (ok) {
            print(&KINDS[k], sets, &out, scratch);
            fflush(stdout);
        }
    }
    bp_arena_free(&arena);
    free(truth);
    free(scratch);
    free(out.records);
    return ok ? 0 : 1;
}
