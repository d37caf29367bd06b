/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set: simulated, measured, matched with its truth, and every figure recorded.
 */
#include "bench/bench.h"
#include "bench/study.h"
#include "simulate/write.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct study_bench *study_bench_new(void)
{
    size_t most = (SIM_REPS_MAX + 2) * study_figure_count; /* every rep, the missed one and the set itself */
    struct study_bench *bench = malloc(sizeof *bench + most * sizeof *bench->records);
    if (bench) {
        bp_arena_init(&bench->arena);
    }
    return bench;
}

void study_bench_free(struct study_bench *bench)
{
    if (bench) {
        bp_arena_free(&bench->arena);
        free(bench);
    }
}

static bool of_set(const struct study_figure *figure)
{
    return figure->scope >= STUDY_SET_MEAN;
}

static double double_at(const void *struct_at, size_t offset)
{
    double value;
    memcpy(&value, (const char *)struct_at + offset, sizeof value);
    return value;
}

static struct bp_quantity estimate_at(const void *figures, const struct study_figure *figure)
{
    struct bp_quantity q;
    if (figure->moment) {
        return bp_quantity_plain(double_at(figures, figure->estimate));
    }
    memcpy(&q, (const char *)figures + figure->estimate, sizeof q);
    return q;
}

/* True where a figure of the set means something, from the same of its reps as the library's totals. */
static double truth_of_set(const struct sim_truth *truth, const struct study_figure *figure)
{
    double sum = 0, best = -HUGE_VAL, last = (double)NAN;
    size_t count = 0;
    for (size_t t = 0; t < truth->rep_count; t++) {
        double value = double_at(&truth->reps[t], figure->truth);
        if (!truth->reps[t].missed && isfinite(value)) {
            sum += value;
            best = fmax(best, value);
            last = value;
            count++;
        }
    }
    if (count == 0) {
        return (double)NAN;
    }
    switch (figure->scope) {
    case STUDY_SET_BEST:
        return best;
    case STUDY_SET_LOSS:
        return count > 1 ? 100 * (best - last) / best : (double)NAN;
    default:
        return sum / (double)count;
    }
}

static void record(struct study_bench *bench, struct study_set *set, double truth, struct bp_quantity q,
                   const struct bench_record *key)
{
    if (isfinite(truth)) {
        struct bench_record *out = &bench->records[set->records++];
        *out = *key;
        out->truth = truth * study_figures[key->figure].factor;
        out->value = q.value;
        out->low = q.low;
        out->high = q.high;
    }
}

static void record_rep(struct study_bench *bench, struct study_set *set, const struct sim_rep_truth *truth,
                       const struct bp_rep_figures *rep, struct bench_record key)
{
    bool both_stick = truth->sticking.present && rep->sticking.present;
    for (size_t f = 0; f < study_figure_count; f++) {
        const struct study_figure *figure = &study_figures[f];
        if (of_set(figure) || (figure->scope == STUDY_STICKING && !both_stick) ||
            figure->reps_of == (truth->missed ? STUDY_COMPLETED : STUDY_MISSED)) {
            continue;
        }
        key.figure = (uint16_t)f;
        record(bench, set, double_at(truth, figure->truth), estimate_at(rep, figure), &key);
    }
    if (!truth->missed) {
        set->sticking_asked++;
        set->sticking_agree += truth->sticking.present == rep->sticking.present;
    }
}

static bool hung(const struct sim_rig *rig)
{
    return rig->chains > 0 || rig->bands > 0;
}

static void record_set(struct study_bench *bench, struct study_set *set, const struct bp_summary *summary,
                       struct bench_record key)
{
    for (size_t f = 0; f < study_figure_count; f++) {
        const struct study_figure *figure = &study_figures[f];
        if (!of_set(figure) || (figure->scope == STUDY_SET_HUNG && !hung(&set->scenario.rig))) {
            continue;
        }
        bool own = figure->scope >= STUDY_SET_OWN;
        double truth = own ? double_at(&bench->truth, figure->truth) : truth_of_set(&bench->truth, figure);
        key.figure = (uint16_t)f;
        record(bench, set, truth, estimate_at(&summary->set, figure), &key);
    }
}

static double mean_speed(const struct sim_truth *truth)
{
    static const struct study_figure figure = {.scope = STUDY_SET_MEAN,
                                               .truth = offsetof(struct sim_rep_truth, mean_velocity_m_s)};
    return truth_of_set(truth, &figure);
}

static void compare(struct study_bench *bench, uint32_t index, const struct bp_summary *summary,
                    struct study_set *set)
{
    size_t found[SIM_REPS_MAX + 1];
    set->reps = (uint32_t)bench->truth.rep_count;
    set->found = (uint32_t)summary->rep_count;
    set->invented = (uint32_t)bench_match(&bench->truth, summary, found);
    for (uint32_t t = 0; t < set->reps; t++) {
        struct bench_record key = {.set = index, .rep = (uint16_t)t};
        if (found[t] == SIZE_MAX) {
            set->lost++;
        } else {
            record_rep(bench, set, &bench->truth.reps[t], &summary->reps[found[t]], key);
        }
    }
    if (set->code == BP_OK) { /* who refuses a log says nothing of its set */
        record_set(bench, set, summary, (struct bench_record){.set = index});
    }
}

static void draw_scenario(const struct study_options *options, uint64_t seed, struct sim_scenario *scenario)
{
    (options->plain_scenarios ? sim_scenario_random : sim_scenario_study)(seed, scenario);
}

/* The rig as the estimator gets it: what its coach measured, through a rig file and its reader. */
static bool read_rig(const struct sim_scenario *scenario, struct bp_rig *rig)
{
    struct bp_text text;
    struct bp_error error = {0};
    bp_text_init(&text);
    sim_write_rig(scenario, &text);
    bool ok = !text.failed && bp_rig_parse(text.data, text.length, "simulated", rig, &error) == BP_OK;
    if (!text.failed && !ok) {
        fprintf(stderr, "bench: the rig of seed %llu: %s\n", (unsigned long long)scenario->seed, error.text);
    }
    bp_text_free(&text);
    return ok;
}

bool study_measure_set(const struct study_options *options, uint32_t index, struct study_bench *bench,
                       struct study_set *set)
{
    struct sim_log log;
    struct bp_trace trace;
    struct bp_summary summary = {0};
    struct bp_error error = {0};
    struct bp_analyse_settings settings = bp_analyse_defaults;
    memset(set, 0, sizeof *set); /* bytes between fields too: the set is written to a file */
    draw_scenario(options, options->first_seed + index, &set->scenario);
    if (!read_rig(&set->scenario, &bench->rig) || sim_run(&set->scenario, &log, &bench->truth) != SIM_OK) {
        return false;
    }
    bp_arena_reset(&bench->arena);
    bool ok = bench_trace(&log, &bench->arena, &trace);
    sim_log_free(&log);
    if (!ok) {
        return false;
    }
    settings.lift = set->scenario.lift;
    settings.lift_given = true;
    settings.seed = set->scenario.seed;
    settings.rig = &bench->rig;
    set->code = bp_analyse_trace(&trace, &settings, &bench->arena, &summary, &error);
    set->mean_speed_m_s = mean_speed(&bench->truth);
    compare(bench, index, &summary, set);
    return set->code != BP_ERR_MEMORY;
}
