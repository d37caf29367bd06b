/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How fast text becomes a trace, beside what else reads text: the same file, one core, CPU time, each the
 * best of several runs taken in turn, so that all meet the same machine.
 */
#include "barplumb/import.h"
#include "bench/bench.h"
#include "bench/rivals.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { RUNS = 5, BLOCK = 262144, COLUMNS = 7 };

static double cpu_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* What the file costs before anyone looks at it. */
static size_t read_only(const char *path, struct rival_columns *columns)
{
    static char block[BLOCK];
    size_t total = 0;
    int file = open(path, O_RDONLY);
    (void)columns;
    for (ssize_t n; file >= 0 && (n = read(file, block, sizeof block)) > 0;) {
        total += (size_t)n;
    }
    close(file);
    return total > 0;
}

/* The C library's way. */
static size_t read_getline_strtod(const char *path, struct rival_columns *columns)
{
    FILE *file = fopen(path, "r");
    char *line = NULL;
    size_t size = 0, rows = 0;
    if (file == NULL || getline(&line, &size, file) < 0) {
        return 0;
    }
    while (rows < columns->capacity && getline(&line, &size, file) > 0) {
        char *at = line, *end;
        for (size_t c = 0; c < COLUMNS; c++, at = end + 1) {
            columns->value[c][rows] = strtod(at, &end);
            if (end == at) {
                break;
            }
        }
        rows++;
    }
    free(line);
    fclose(file);
    return rows;
}

static struct bp_arena arena;

/* The importer: text to trace, with everything that is checked and mended on the way. */
static size_t read_import(const char *path, struct rival_columns *columns)
{
    struct bp_trace trace;
    struct bp_error error;
    (void)columns;
    bp_arena_reset(&arena);
    if (bp_import_log(path, NULL, &arena, &trace, &error) != BP_OK) {
        fprintf(stderr, "bench: %s\n", error.text);
        return 0;
    }
    return trace.count;
}

static const struct {
    const char *name;
    size_t (*read)(const char *path, struct rival_columns *columns);
} readers[] = {
    {"read() alone", read_only},
    {"getline and strtod, columns kept", read_getline_strtod},
#if defined(BENCH_FAST_FLOAT)
    {"C++ decimal parser (fast_float), columns kept", rival_fast_float},
#endif
    {"bp_import_log, to the trace", read_import},
};
enum { READERS = sizeof readers / sizeof readers[0] };

static int time_all(const char *path)
{
    struct stat status;
    struct rival_columns columns = {.capacity = 0};
    double best[READERS];
    size_t rows[READERS] = {0};
    if (stat(path, &status) != 0) {
        fprintf(stderr, "bench: %s cannot be read\n", path);
        return 1;
    }
    columns.capacity = (size_t)status.st_size / 14 + 1;
    double *values = malloc(COLUMNS * columns.capacity * sizeof *values);
    if (values == NULL) {
        return 1;
    }
    for (size_t c = 0; c < COLUMNS; c++) {
        columns.value[c] = values + c * columns.capacity;
    }
    bp_arena_init(&arena);
    for (size_t run = 0; run < RUNS; run++) {
        for (size_t k = 0; k < READERS; k++) {
            double start = cpu_s();
            rows[k] = readers[k].read(path, &columns);
            double seconds = cpu_s() - start;
            best[k] = run == 0 || seconds < best[k] ? seconds : best[k];
        }
    }
    double megabytes = (double)status.st_size / 1e6;
    printf("%.1f MB, best of %d\n%-48s %8s %10s %10s\n", megabytes, RUNS, "", "MB/s", "x strtod", "rows");
    for (size_t k = 0; k < READERS; k++) {
        printf("%-48s %8.0f %10.2f %10zu\n", readers[k].name, megabytes / best[k], best[1] / best[k],
               rows[k]);
    }
    free(values);
    bp_arena_free(&arena);
    return rows[READERS - 1] > 0 ? 0 : 1;
}

/* About 200 MB of simulated sets of a minute, each another: rows that come again are found by the importer,
 * which no log but a spoilt one has many of. False when it cannot be written. */
static bool write_long_log(char *path)
{
    static const size_t BYTES = 200000000;
    struct sim_scenario scenario = sim_scenario_defaults;
    struct sim_log log;
    struct bp_text csv;
    double start_s = 0.0;
    bool made = true;
    scenario.rate_hz = 200;
    scenario.reps = 12;
    bp_text_init(&csv);
    bench_write_header(&csv);
    while (made && !csv.failed && csv.length < BYTES) {
        scenario.seed++;
        made = sim_run(&scenario, &log, NULL) == SIM_OK;
        if (made) {
            start_s = bench_write_rows(&log, start_s, &csv);
            sim_log_free(&log);
        }
    }
    int file = mkstemp(path);
    FILE *out = file >= 0 ? fdopen(file, "wb") : NULL;
    bool written = made && out != NULL && !csv.failed && fwrite(csv.data, 1, csv.length, out) == csv.length;
    written = out != NULL && fclose(out) == 0 && written;
    bp_text_free(&csv);
    return written;
}

int bench_import(const char *path)
{
    char made[] = "/tmp/barplumb-bench-XXXXXX";
    if (path != NULL) {
        return time_all(path);
    }
    int status = 1;
    if (write_long_log(made)) {
        status = time_all(made);
    } else {
        fprintf(stderr, "bench: no log of 200 MB can be written to /tmp\n");
    }
    unlink(made);
    return status;
}
