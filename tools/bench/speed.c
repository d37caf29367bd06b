/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/import.h"
#include "barplumb/text.h"
#include "bench/bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static double cpu_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void bench_write_header(struct bp_text *csv)
{
    bp_text_put(csv, "Time (s),X (m/s^2),Y (m/s^2),Z (m/s^2),GX (rad/s),GY (rad/s),GZ (rad/s)\n");
}

double bench_write_rows(const struct sim_log *log, double start_s, struct bp_text *csv)
{
    for (size_t i = 0; i < log->count; i++) {
        bp_text_put_number(csv, start_s + log->time_s[i], 6);
        for (int a = 0; a < 6; a++) {
            bp_text_put_char(csv, ',');
            bp_text_put_number(csv, a < 3 ? log->force[a][i] : log->turn[a - 3][i], 8);
        }
        bp_text_put_char(csv, '\n');
    }
    return start_s + log->time_s[log->count - 1] + 1 / log->nominal_rate_hz;
}

struct timing {
    double import_ms, analyse_ms;
    size_t rows, reps;
    enum bp_code code;
};

static struct timing time_one(const struct bp_text *csv, struct bp_arena *arena)
{
    struct timing timing = {0};
    struct bp_trace trace;
    struct bp_summary summary;
    struct bp_error error;
    struct bp_analyse_settings settings = bp_analyse_defaults;
    bp_arena_reset(arena);
    double start = cpu_s();
    timing.code =
        bp_import_csv_bytes("bench", csv->data, csv->length, &bp_import_defaults, arena, &trace, &error);
    double read = cpu_s();
    timing.import_ms = 1e3 * (read - start);
    if (timing.code == BP_OK) {
        timing.rows = trace.count;
        timing.code = bp_analyse_trace(&trace, &settings, arena, &summary, &error);
        timing.analyse_ms = 1e3 * (cpu_s() - read);
        timing.reps = summary.rep_count;
    }
    if (timing.code != BP_OK) {
        fprintf(stderr, "bench: %s\n", error.text);
    }
    return timing;
}

/* Best of several: what the machine can do, not what else it was doing. */
static struct timing time_best(const struct bp_text *csv, int runs)
{
    struct bp_arena arena;
    bp_arena_init(&arena);
    struct timing best = time_one(csv, &arena);
    for (int r = 1; r < runs; r++) {
        struct timing again = time_one(csv, &arena);
        if (again.import_ms + again.analyse_ms < best.import_ms + best.analyse_ms) {
            best = again;
        }
    }
    bp_arena_free(&arena);
    return best;
}

int bench_speed(void)
{
    static const size_t REPEATS[] = {1, 2, 6, 60};
    struct sim_scenario scenario = sim_scenario_defaults;
    struct sim_log log;
    scenario.rate_hz = 200;
    scenario.reps = 12;
    int status = sim_run(&scenario, &log, NULL) == SIM_OK ? 0 : 1;
    printf("%10s %10s %9s %6s %12s %12s %12s %14s\n", "log", "rows", "MB", "reps", "import", "analyse",
           "together", "per 1000 rows");
    for (size_t k = 0; k < sizeof REPEATS / sizeof *REPEATS && status == 0; k++) {
        struct bp_text csv;
        bp_text_init(&csv);
        double start_s = 0.0;
        bench_write_header(&csv);
        for (size_t r = 0; r < REPEATS[k]; r++) {
            start_s = bench_write_rows(&log, start_s, &csv);
        }
        struct timing t =
            csv.failed ? (struct timing){.code = BP_ERR_MEMORY} : time_best(&csv, k < 3 ? 9 : 2);
        double all = t.import_ms + t.analyse_ms;
        printf("%8.0f s %10zu %9.2f %6zu %9.2f ms %9.2f ms %9.2f ms %11.3f ms\n", (double)t.rows / 200,
               t.rows, (double)csv.length / 1e6, t.reps, t.import_ms, t.analyse_ms, all,
               1e3 * all / (double)t.rows);
        status = t.code == BP_OK ? 0 : 1;
        bp_text_free(&csv);
    }
    sim_log_free(&log);
    return status;
}
