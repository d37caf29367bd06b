/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is found in logs that nobody spoilt: the false alarms of every check, by code.
 */
#include "bench/mutate.h"

#include "barplumb/analyse.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FOUND_MOST = 64 };

struct found {
    const char *code;
    enum bp_severity severity;
    size_t logs;
    uint64_t seed; /* the first */
};

struct good {
    struct bp_arena arena;
    struct found list[FOUND_MOST];
    size_t count, refused;
};

/* Counts a code once a log. */
static void count_finding(struct good *g, const struct bp_findings *findings, size_t i, uint64_t seed)
{
    const struct bp_finding *finding = &findings->list[i];
    for (size_t k = 0; k < i; k++) {
        if (strcmp(findings->list[k].code, finding->code) == 0 &&
            findings->list[k].severity == finding->severity) {
            return;
        }
    }
    for (size_t k = 0; k < g->count; k++) {
        if (strcmp(g->list[k].code, finding->code) == 0 && g->list[k].severity == finding->severity) {
            g->list[k].logs++;
            return;
        }
    }
    if (g->count < FOUND_MOST) {
        g->list[g->count++] = (struct found){finding->code, finding->severity, 1, seed};
    }
}

static bool one_log(struct good *g, uint64_t seed, bool verbose)
{
    static struct bp_trace trace; /* large */
    struct sim_scenario scenario;
    struct sim_log log;
    struct bp_check check;
    struct bp_summary summary = {0};
    struct bp_error error = {0};
    struct bp_text text;
    (seed % 2 ? sim_scenario_study : sim_scenario_random)(seed, &scenario);
    scenario.turn_rate_hz = 0;
    if (sim_run(&scenario, &log, NULL) != SIM_OK) {
        return false;
    }
    bp_text_init(&text);
    sim_write_csv(&log, &sim_layout_defaults, &text);
    sim_log_free(&log);
    bp_arena_reset(&g->arena);
    struct bp_analyse_settings settings = bp_analyse_defaults;
    settings.lift = scenario.lift;
    settings.lift_given = true;
    enum bp_code code = text.failed ? BP_ERR_MEMORY
                                    : bp_import_csv_bytes("good.csv", text.data, text.length, NULL, &g->arena,
                                                          &trace, &error);
    bp_text_free(&text);
    if (code == BP_OK) {
        code = bp_analyse_trace(&trace, &settings, &g->arena, &summary, &error);
    }
    if (code != BP_OK) {
        g->refused++;
        printf("%llu refused: %s\n", (unsigned long long)seed, error.text);
        if (code == BP_ERR_MEMORY || bp_check_trace(&trace, NULL, &g->arena, &check, &error) != BP_OK) {
            return false;
        }
        summary.findings = check.findings;
    }
    for (size_t i = 0; i < summary.findings.count; i++) {
        count_finding(g, &summary.findings, i, seed);
        if (verbose && summary.findings.list[i].severity >= BP_RESERVATION) {
            printf("%llu %s %s\n", (unsigned long long)seed, summary.findings.list[i].code,
                   summary.findings.list[i].text);
        }
    }
    return true;
}

int bench_mutate_none(size_t count, uint64_t first_seed, bool verbose)
{
    struct good *g = calloc(1, sizeof *g);
    bool ok = g != NULL;
    if (g) {
        bp_arena_init(&g->arena);
    }
    for (size_t i = 0; ok && i < count; i++) {
        ok = one_log(g, first_seed + i, verbose);
    }
    if (ok) {
        printf("%zu logs as they were made, from seed %llu on; %zu refused\n", count,
               (unsigned long long)first_seed, g->refused);
    }
    for (int s = BP_REFUSAL; ok && s >= BP_NOTE; s--) {
        for (size_t k = 0; k < g->count; k++) {
            if ((int)g->list[k].severity == s) {
                printf("%-12s %-20s in %4zu logs, first seed %llu\n", bp_severity_name(g->list[k].severity),
                       g->list[k].code, g->list[k].logs, (unsigned long long)g->list[k].seed);
            }
        }
    }
    if (g) {
        bp_arena_free(&g->arena);
    }
    free(g);
    return !ok;
}
