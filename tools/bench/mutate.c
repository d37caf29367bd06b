/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench mutate: good logs spoilt in one way each, and whether a wrong number comes out without a word.
 * Everything of mutation S follows from S: the log is that of seed S / LOG_SHARE, the kind S modulo the
 * kinds.
 */
#include "bench/mutate.h"
#include "bench/bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* So many mutations share a log, which is simulated and measured once. */
enum { LOG_SHARE = 4, KINDS_MOST = 64, REPS_MOST = 5, CODES_MOST = 32, SEEDS_NAMED = 8 };
/* A figure is wrong when it is off by more than so many half-widths of its interval, and by more than
 * matters to anyone. */
static const double HALF_WIDTHS = 3, SPEED_MATTERS = 0.02, RANGE_MATTERS = 0.010; /* m/s, m */
/* In 1980 logs of development seeds 2.0 of 100 were silently wrong, more than half of them by a clock that
 * ran too fast or too slow throughout, which nothing in a log can show. --limits allows 3 in 120. */
static const double SILENT_SHARE_MOST = 0.025;

enum fate { REFUSED, REPORTED, REPORTED_OFF, MENDED, UNHARMED, SILENT, FATES };
static const char *const FATE_NAMES[FATES] = {"refused", "reported", "reported, off",
                                              "mended",  "unharmed", "silent wrong"};

struct base {
    uint64_t seed;
    bool made, good;
    struct sim_scenario scenario;
    struct sim_log log;
    struct sim_truth truth;
    size_t rep_count;
    size_t reservations, notes;
    const char *codes[CODES_MOST]; /* of the good log's own reservations, with repeats */
    const char *note_codes[CODES_MOST];
};

struct tally {
    size_t fates[FATES];
    uint64_t silent[SEEDS_NAMED];
};

struct work {
    struct base base;
    struct bp_arena arena;
    struct tally tallies[KINDS_MOST];
    size_t bases, bases_bad, skipped;
    bool verbose;
};

static size_t kinds(void)
{
    return mutations_of_rows_count + mutations_of_values_count + mutations_of_text_count;
}

static const struct mutation *kind_at(size_t k)
{
    if (k < mutations_of_rows_count) {
        return &mutations_of_rows[k];
    }
    k -= mutations_of_rows_count;
    return k < mutations_of_values_count ? &mutations_of_values[k]
                                         : &mutations_of_text[k - mutations_of_values_count];
}

/* ---- one log measured ---- */

static enum bp_code measure(struct work *w, const struct bp_text *text, struct bp_summary *summary,
                            struct bp_error *error)
{
    static struct bp_trace trace; /* large */
    struct bp_analyse_settings settings = bp_analyse_defaults;
    memset(summary, 0, sizeof *summary);
    bp_arena_reset(&w->arena);
    settings.lift = w->base.scenario.lift;
    settings.lift_given = true;
    enum bp_code code =
        bp_import_csv_bytes("mutant.csv", text->data, text->length, NULL, &w->arena, &trace, error);
    return code == BP_OK ? bp_analyse_trace(&trace, &settings, &w->arena, summary, error) : code;
}

/* ---- right or wrong ---- */

struct wrong {
    const char *name; /* NULL: nothing is */
    size_t rep;
    double value, truth, half;
};

static void judge(const char *name, struct bp_quantity q, double truth, double matters, size_t rep,
                  struct wrong *wrong)
{
    double half = isfinite(q.high - q.low) ? 0.5 * (q.high - q.low) : 0;
    double error = fabs(q.value - truth);
    if (isfinite(truth) && error > HALF_WIDTHS * half && error > matters && !wrong->name) {
        *wrong = (struct wrong){name, rep, q.value, truth, half};
    }
}

static void judge_rep(const struct sim_rep_truth *truth, const struct bp_rep_figures *rep, size_t index,
                      struct wrong *wrong)
{
    static const char *const thirds[SIM_RANGES] = {"first third", "middle third", "last third"};
    judge("mean velocity", rep->mean_velocity_m_s, truth->mean_velocity_m_s, SPEED_MATTERS, index, wrong);
    judge("peak velocity", rep->peak_velocity_m_s, truth->peak_velocity_m_s, SPEED_MATTERS, index, wrong);
    judge("range", rep->range_m, truth->range_m, RANGE_MATTERS, index, wrong);
    for (size_t r = 0; r < SIM_RANGES; r++) {
        judge(thirds[r], rep->ranges[r].mean_velocity_m_s, truth->range_velocity_m_s[r], SPEED_MATTERS, index,
              wrong);
    }
}

/* The moments of a rep, one of which is enough to lie in a spell of which the findings say that reps in it
 * may be missing or too many. */
static bool doubted(const struct bp_summary *summary, double turnaround_s, double drive_start_s,
                    double drive_end_s)
{
    bool inside = false;
    for (size_t d = 0; d < summary->doubts.count; d++) {
        const struct bp_doubt *spell = &summary->doubts.list[d];
        double middle =
            isfinite(drive_start_s + drive_end_s) ? 0.5 * (drive_start_s + drive_end_s) : turnaround_s;
        inside = inside || (middle >= spell->from_s && middle <= spell->to_s);
    }
    return inside;
}

/* Are all reps there, and no more, but in spells that are said to be doubtful? */
static bool reps_right(const struct sim_truth *truth, const struct bp_summary *summary, const size_t *found)
{
    bool right = true;
    for (size_t t = 0; t < truth->rep_count; t++) {
        const struct sim_rep_truth *rep = &truth->reps[t];
        right = right && (found[t] != SIZE_MAX ||
                          doubted(summary, rep->turnaround_s, rep->drive_start_s, rep->drive_end_s));
    }
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        bool matched = doubted(summary, rep->turnaround_s, rep->drive_start_s, rep->drive_end_s);
        for (size_t t = 0; t < truth->rep_count; t++) {
            matched = matched || found[t] == r;
        }
        right = right && matched;
    }
    return right;
}

static struct wrong compare(const struct sim_truth *truth, const struct bp_summary *summary)
{
    struct wrong wrong = {0};
    size_t found[SIM_REPS_MAX + 1] = {0};
    bench_match(truth, summary, found);
    if (!reps_right(truth, summary, found)) {
        return (struct wrong){"reps", 0, (double)summary->rep_count, (double)truth->rep_count, 0};
    }
    for (size_t t = 0; t < truth->rep_count; t++) {
        if (found[t] != SIZE_MAX && !truth->reps[t].missed) {
            judge_rep(&truth->reps[t], &summary->reps[found[t]], t + 1, &wrong);
        }
    }
    return wrong;
}

/* ---- findings ---- */

static size_t take_codes(const struct bp_findings *findings, bool reservations, const char **codes)
{
    size_t n = 0;
    for (size_t i = 0; i < findings->count && n < CODES_MOST; i++) {
        if ((findings->list[i].severity >= BP_RESERVATION) == reservations) {
            codes[n++] = findings->list[i].code;
        }
    }
    return n;
}

static size_t count_code(const char *code, const char *const *codes, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        count += strcmp(code, codes[i]) == 0;
    }
    return count;
}

/* Does the spoilt log carry a finding of this kind that the good one did not? That the bar's axis was assumed
 * says nothing of speeds. */
static const char *new_finding(const struct base *base, const struct bp_findings *findings, bool reservations)
{
    const char *codes[CODES_MOST];
    size_t n = take_codes(findings, reservations, codes);
    const char *const *had = reservations ? base->codes : base->note_codes;
    size_t had_n = reservations ? base->reservations : base->notes;
    for (size_t i = 0; i < n; i++) {
        if (strcmp(codes[i], "axis-assumed") != 0 &&
            count_code(codes[i], codes, n) > count_code(codes[i], had, had_n)) {
            return codes[i];
        }
    }
    return NULL;
}

/* ---- the good log ---- */

/* Any set of the studies in which nothing went wrong, and of no more reps than are needed. */
static void draw_scenario(uint64_t seed, struct sim_scenario *scenario)
{
    sim_scenario_study(seed, scenario);
    if (scenario->trouble != SIM_TROUBLE_NONE) {
        sim_scenario_random(seed, scenario);
    }
    scenario->reps = scenario->reps < REPS_MOST ? scenario->reps : REPS_MOST;
    scenario->turn_rate_hz = 0;
}

/* The simulator's text, measured: the good log's own findings, and whether its figures are right. */
static bool make_base(struct work *w, uint64_t seed)
{
    struct base *base = &w->base;
    struct bp_summary summary = {0};
    struct bp_error error = {0};
    struct bp_text text;
    if (base->made && base->seed == seed) {
        return true;
    }
    if (base->made) {
        sim_log_free(&base->log);
    }
    *base = (struct base){.seed = seed};
    draw_scenario(seed, &base->scenario);
    if (sim_run(&base->scenario, &base->log, &base->truth) != SIM_OK) {
        return false;
    }
    base->made = true;
    bp_text_init(&text);
    sim_write_csv(&base->log, &sim_layout_defaults, &text);
    base->good =
        !text.failed && measure(w, &text, &summary, &error) == BP_OK && !compare(&base->truth, &summary).name;
    if (base->good) { /* a log that is not measured rightly as it is is not spoilt */
        base->reservations = take_codes(&summary.findings, true, base->codes);
        base->notes = take_codes(&summary.findings, false, base->note_codes);
    }
    bp_text_free(&text);
    w->bases++;
    w->bases_bad += !base->good;
    if (!base->good && w->verbose) {
        printf("log %llu is not measured rightly as it is\n", (unsigned long long)seed);
    }
    return true;
}

/* ---- a spoilt one ---- */

static enum fate fate_of(const struct wrong *wrong, enum bp_code code, const char *reservation,
                         const char *note)
{
    if (code != BP_OK) {
        return REFUSED;
    }
    if (wrong->name) {
        return reservation ? REPORTED_OFF : SILENT;
    }
    return reservation ? REPORTED : note ? MENDED : UNHARMED;
}

static void describe(uint64_t seed, const struct base *base, const struct mutant *m, enum fate fate,
                     const struct wrong *wrong, const char *code, const char *text)
{
    printf("%llu %s %s %.0f Hz: %s: %s", (unsigned long long)seed, bp_lift_facts(base->scenario.lift)->name,
           base->scenario.gyroscope ? "gyro" : "acc", base->scenario.rate_hz, m->what, FATE_NAMES[fate]);
    if (wrong->name) {
        printf(", %s of rep %zu %.3f +-%.3f, truth %.3f", wrong->name, wrong->rep, wrong->value, wrong->half,
               wrong->truth);
    }
    printf(" %s %s\n", code ? code : "", text);
}

static bool one_mutant(struct work *w, uint64_t seed, const struct mutation *mutation, struct tally *tally)
{
    static struct sim_truth truth; /* large */
    struct mutant m;
    struct bp_summary summary = {0};
    struct bp_error error = {0};
    struct bp_text text;
    struct wrong wrong = {0};
    if (!mutant_init(&m, &w->base.log, &w->base.truth, seed)) {
        return false;
    }
    mutation->spoil(&m);
    bp_text_init(&text);
    mutant_write(&m, &text);
    mutant_truth(&m, &w->base.truth, &truth);
    enum bp_code code = text.failed ? BP_ERR_MEMORY : measure(w, &text, &summary, &error);
    bp_text_free(&text);
    if (code == BP_OK) {
        wrong = compare(&truth, &summary);
    }
    if (wrong.name && m.stretch == 1 && m.shift_s != 0) { /* or the clock was mended */
        struct wrong mended = compare(&w->base.truth, &summary);
        wrong = mended.name ? wrong : mended;
    }
    const char *reservation = code == BP_OK ? new_finding(&w->base, &summary.findings, true) : NULL;
    const char *note = code == BP_OK ? new_finding(&w->base, &summary.findings, false) : NULL;
    enum fate fate = fate_of(&wrong, code, reservation, note);
    if (fate == SILENT && tally->fates[SILENT] < SEEDS_NAMED) {
        tally->silent[tally->fates[SILENT]] = seed;
    }
    tally->fates[fate]++;
    if (w->verbose) {
        describe(seed, &w->base, &m, fate, &wrong, reservation ? reservation : note, error.text);
    }
    mutant_free(&m);
    return code != BP_ERR_MEMORY;
}

static bool mutate_seed(struct work *w, uint64_t seed)
{
    size_t k = (size_t)(seed % kinds());
    if (!make_base(w, seed / LOG_SHARE)) {
        return false;
    }
    if (!w->base.good) {
        w->skipped++;
        return true;
    }
    while (kind_at(k)->needs_gyroscope && !w->base.log.gyroscope) {
        k = (k + 1) % kinds();
    }
    return one_mutant(w, seed, kind_at(k), &w->tallies[k]);
}

/* ---- the table ---- */

static void print_row(const char *name, const struct tally *tally)
{
    size_t total = 0;
    for (int f = 0; f < FATES; f++) {
        total += tally->fates[f];
    }
    if (total == 0) {
        return;
    }
    printf("| %-36s | %4zu |", name, total);
    for (int f = 0; f < FATES; f++) {
        printf(" %*zu |", (int)strlen(FATE_NAMES[f]), tally->fates[f]);
    }
    for (size_t i = 0; i < tally->fates[SILENT] && i < SEEDS_NAMED; i++) {
        printf(" %llu", (unsigned long long)tally->silent[i]);
    }
    printf(" |\n");
}

static size_t print_table(const struct work *w, size_t count, uint64_t first_seed)
{
    struct tally all = {{0}, {0}};
    printf("%zu mutations from seed %llu on, of %zu logs; %zu left out, of %zu logs that were not measured "
           "rightly as they were\n\n",
           count, (unsigned long long)first_seed, w->bases, w->skipped, w->bases_bad);
    printf("| %-36s | logs |", "what was done to the log");
    for (int f = 0; f < FATES; f++) {
        printf(" %s |", FATE_NAMES[f]);
    }
    printf(" seeds of these |\n|---|--:|");
    for (int f = 0; f < FATES; f++) {
        printf("--:|");
    }
    printf("---|\n");
    for (size_t k = 0; k < kinds(); k++) {
        print_row(kind_at(k)->name, &w->tallies[k]);
        for (int f = 0; f < FATES; f++) {
            all.fates[f] += w->tallies[k].fates[f];
        }
    }
    size_t silent = all.fates[SILENT];
    printf("| %-36s | %4zu |", "all", count - w->skipped);
    for (int f = 0; f < FATES; f++) {
        printf(" %*zu |", (int)strlen(FATE_NAMES[f]), all.fates[f]);
    }
    printf(" |\n");
    return silent;
}

int bench_mutate(size_t count, uint64_t first_seed, bool verbose, bool limits)
{
    struct work *w = calloc(1, sizeof *w);
    bool ok = w != NULL && kinds() <= KINDS_MOST;
    if (w) {
        bp_arena_init(&w->arena);
        w->verbose = verbose;
    }
    for (size_t i = 0; ok && i < count; i++) {
        ok = mutate_seed(w, first_seed + i);
    }
    size_t silent = ok ? print_table(w, count, first_seed) : 0;
    if (!ok) {
        fprintf(stderr, "bench: out of memory, or a set could not be simulated\n");
    }
    if (w) {
        if (w->base.made) {
            sim_log_free(&w->base.log);
        }
        bp_arena_free(&w->arena);
    }
    free(w);
    return !ok || (limits && (double)silent > SILENT_SHARE_MOST * (double)count);
}
