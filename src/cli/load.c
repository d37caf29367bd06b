/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * barplumb load RIG...: what the bar weighs on its way, and how much chain or band reaches a wanted load.
 */
#include "cli/cli.h"

#include "barplumb/load_table.h"
#include "barplumb/plan.h"

#include <argp.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char doc[] = "Says what the bar weighs at every height with the chains and bands of each RIG "
                          "file, and how much of them "
                          "to hang. - is standard input.\v"
                          "Examples: what did the lifter really press; how much to hang for 140 kg at "
                          "lockout, a quarter of it chain:\n"
                          "  barplumb load harbour/bench-chains.ini\n"
                          "  barplumb load --want-lockout 140kg --want-share 25% harbour/gym.ini\n\n"
                          "Heights are the rig file's, or --chest and --lockout, or come from a measured "
                          "set: --log. With several rigs "
                          "each is held against the first: at which height they are equally heavy.\n\n"
                          "Exit status: 0 done, 1 not written or out of memory, 2 usage, 3 a rig or log that "
                          "cannot be read or used.";

enum key {
    KEY_FORMAT = 1000,
    KEY_OUT,
    KEY_CHEST,
    KEY_LOCKOUT,
    KEY_LOG,
    KEY_LIFT,
    KEY_ROWS,
    KEY_SEED,
    KEY_WANT_LOCKOUT,
    KEY_WANT_SHARE,
    KEY_BAR_AT_CHEST
};
enum group { GROUP_OUTPUT = 1, GROUP_HEIGHTS, GROUP_PLAN };

static const struct argp_option option_list[] = {
    {NULL, 0, NULL, 0, "What comes out:", GROUP_OUTPUT},
    {"format", KEY_FORMAT, "FORMAT", 0, "text (the default), json, jsonl (one document a line) or csv",
     GROUP_OUTPUT},
    {"out", KEY_OUT, "FILE", 0, "write to FILE, whole or not at all; - is standard output", GROUP_OUTPUT},
    {"rows", KEY_ROWS, "N", 0, "heights in the table, 2 to 201 (default 11)", GROUP_OUTPUT},
    {"seed", KEY_SEED, "N", 0, "of the random draws behind the intervals (default 1)", GROUP_OUTPUT},
    {NULL, 0, NULL, 0, "Between which heights of the bar above the floor:", GROUP_HEIGHTS},
    {"chest", KEY_CHEST, "LENGTH", 0, "at the turnaround, e.g. 27cm (chest, hole, floor)", GROUP_HEIGHTS},
    {"lockout", KEY_LOCKOUT, "LENGTH", 0, "at lockout, e.g. 67cm", GROUP_HEIGHTS},
    {"log", KEY_LOG, "LOG", 0, "take how far the bar goes from this set, and one height from the rig",
     GROUP_HEIGHTS},
    {"lift", KEY_LIFT, "LIFT", 0, "of that set: bench, press, squat, deadlift or row", GROUP_HEIGHTS},
    {NULL, 0, NULL, 0, "How much to hang, of what the rig file says the gym owns:", GROUP_PLAN},
    {"want-lockout", KEY_WANT_LOCKOUT, "MASS", 0, "load at lockout, e.g. 140kg or 310lb", GROUP_PLAN},
    {"bar-at-chest", KEY_BAR_AT_CHEST, "MASS", 0, "load at the turnaround", GROUP_PLAN},
    {"want-share", KEY_WANT_SHARE, "PERCENT", 0, "of the load at lockout that is not there at the turnaround",
     GROUP_PLAN},
    {NULL, 0, NULL, 0, NULL, 0}};

struct load_options {
    struct cli_options common;  /* its logs are the rigs; first, so that a run's options lead back here */
    double bottom_m, lockout_m; /* NaN: not given */
    const char *log;
    size_t rows;
    uint64_t seed;
    struct bp_plan_settings wanted;
};

static const double ROWS_USUAL = 11, LENGTH_MOST_M = 4, MASS_MOST_KG = 2000, SHARE_MOST_PCT = 90;

static double amount(struct argp_state *state, const char *name, const char *text, enum bp_amount kind,
                     double most, const char *example)
{
    double value = 0;
    if (!bp_rig_amount(text, kind, &value) || !(value > 0 && value <= most)) {
        argp_error(state, "--%s takes an amount such as %s, not '%s'", name, example, text);
    }
    return value;
}

static double share(struct argp_state *state, const char *text)
{
    double value = 0;
    size_t length = strlen(text), used = bp_number_read(text, length, '.', &value);
    bool whole = used > 0 && (used == length || strcmp(text + used, "%") == 0);
    if (!whole || !(value >= 0 && value <= SHARE_MOST_PCT)) {
        argp_error(state, "--want-share takes a percentage from 0 to 90, not '%s'", text);
    }
    return value;
}

static void parse_common(int key, char *argument, struct argp_state *state, struct load_options *options)
{
    static const char *const formats[] = {"text", "json", "jsonl", "csv"};
    switch (key) {
    case KEY_FORMAT:
        options->common.format =
            (enum cli_format)cli_word(state, "format", argument, formats, 4, "text, json, jsonl, csv");
        break;
    case KEY_OUT:
        options->common.out = argument;
        break;
    case KEY_ROWS:
        options->rows = (size_t)cli_whole(state, "rows", argument, 2, BP_LOAD_ROWS_MAX);
        break;
    case KEY_SEED:
        options->seed = cli_whole(state, "seed", argument, 0, UINT64_MAX);
        break;
    default:
        break;
    }
}

static void parse_heights(int key, char *argument, struct argp_state *state, struct load_options *options)
{
    switch (key) {
    case KEY_CHEST:
        options->bottom_m = amount(state, "chest", argument, BP_AMOUNT_LENGTH, LENGTH_MOST_M, "27cm");
        break;
    case KEY_LOCKOUT:
        options->lockout_m = amount(state, "lockout", argument, BP_AMOUNT_LENGTH, LENGTH_MOST_M, "67cm");
        break;
    case KEY_LOG:
        options->log = argument;
        break;
    case KEY_LIFT:
        if (!bp_lift_named(argument, &options->common.analyse.lift)) {
            argp_error(state, "--lift is one of bench, press, squat, deadlift, row, not '%s'", argument);
        }
        options->common.analyse.lift_given = true;
        break;
    default:
        break;
    }
}

static void parse_plan(int key, char *argument, struct argp_state *state, struct bp_plan_settings *wanted)
{
    switch (key) {
    case KEY_WANT_LOCKOUT:
        wanted->lockout_kg = amount(state, "want-lockout", argument, BP_AMOUNT_MASS, MASS_MOST_KG, "140kg");
        break;
    case KEY_BAR_AT_CHEST:
        wanted->bottom_kg = amount(state, "bar-at-chest", argument, BP_AMOUNT_MASS, MASS_MOST_KG, "100kg");
        break;
    case KEY_WANT_SHARE:
        wanted->share_pct = share(state, argument);
        break;
    default:
        break;
    }
}

static error_t parse(int key, char *argument, struct argp_state *state)
{
    struct load_options *options = state->input;
    if (key >= KEY_FORMAT && key <= KEY_BAR_AT_CHEST) {
        parse_common(key, argument, state, options);
        parse_heights(key, argument, state, options);
        parse_plan(key, argument, state, &options->wanted);
    } else if (key == ARGP_KEY_ARGS) {
        options->common.logs = state->argv + state->next;
        options->common.log_count = (size_t)(state->argc - state->next);
    } else if (key == ARGP_KEY_NO_ARGS) {
        argp_usage(state);
    } else {
        return ARGP_ERR_UNKNOWN;
    }
    return 0;
}

/* ---- heights ---- */

/* How far the bar goes in the set of --log: the completed reps' mean range. */
static enum bp_code measured_range(const struct load_options *options, struct bp_arena *arena,
                                   double *range_m, struct bp_error *error)
{
    struct bp_trace trace;
    struct bp_summary summary;
    struct bp_analyse_settings settings = options->common.analyse;
    settings.path = options->log;
    enum bp_code code = bp_import_log(options->log, &settings.import, arena, &trace, error);
    code = code == BP_OK ? bp_analyse_trace(&trace, &settings, arena, &summary, error) : code;
    double sum = 0, count = 0;
    for (size_t r = 0; code == BP_OK && r < summary.rep_count; r++) {
        if (!summary.reps[r].missed && bp_quantity_known(summary.reps[r].range_m)) {
            sum += summary.reps[r].range_m.value;
            count++;
        }
    }
    *range_m = sum / count;
    if (code == BP_OK && count == 0) {
        code = bp_error_set(error, BP_ERR_NO_REP, "no completed rep to take the heights from");
        bp_error_place(error, options->log, 0, 0, (double)NAN);
    }
    return code;
}

/* Options before the rig; a range from --log hangs from the lockout, or stands on the bottom. */
static enum bp_code settle_heights(const struct load_options *options, struct bp_arena *arena,
                                   struct bp_rig *rig, struct bp_error *error)
{
    double range = (double)NAN;
    enum bp_code code = options->log ? measured_range(options, arena, &range, error) : BP_OK;
    if (isfinite(options->lockout_m)) {
        rig->lockout_m = (struct bp_measured){options->lockout_m, 0};
    }
    if (isfinite(options->bottom_m)) {
        rig->bottom_m = (struct bp_measured){options->bottom_m, 0};
    }
    if (isfinite(range) && isfinite(rig->lockout_m.value)) {
        rig->bottom_m = (struct bp_measured){rig->lockout_m.value - range, rig->lockout_m.sd};
    } else if (isfinite(range)) {
        rig->lockout_m = (struct bp_measured){rig->bottom_m.value + range, rig->bottom_m.sd};
    }
    if (code == BP_OK && !(isfinite(rig->bottom_m.value) && isfinite(rig->lockout_m.value))) {
        code =
            bp_error_set(error, BP_ERR_FORMAT,
                         "the bar's heights at the turnaround and at lockout are not both known: write them "
                         "into the file, or say --chest and --lockout, or --log");
    }
    return code;
}

/* ---- one rig ---- */

struct weighed {
    struct bp_rig stock, rig; /* as the file has it; as weighed */
    struct bp_plan plan;
    struct bp_load_table table;
};

static bool is_planned(const struct load_options *options)
{
    return isfinite(options->wanted.lockout_kg) || isfinite(options->wanted.bottom_kg) ||
           isfinite(options->wanted.share_pct);
}

static enum bp_code weigh(const struct load_options *options, const char *path, struct bp_arena *arena,
                          struct weighed *w, struct bp_error *error)
{
    struct bp_load_model *model = NULL;
    enum bp_code code = bp_rig_read(path, &w->stock, error);
    code = code == BP_OK ? settle_heights(options, arena, &w->stock, error) : code;
    w->rig = w->stock;
    if (code == BP_OK && is_planned(options)) {
        code = bp_plan_find(&w->stock, &options->wanted, arena, &w->plan, error);
        w->rig = w->plan.rig;
    }
    code = code == BP_OK ? bp_load_prepare(&w->rig, &model, error) : code;
    if (code == BP_OK) {
        code = bp_load_tabulate(model, w->stock.bottom_m.value, w->stock.lockout_m.value, options->rows,
                                options->seed, arena, &w->table, error);
    }
    bp_load_free(model);
    /* what a rig file says is a fault of the file, not of the call */
    return code == BP_ERR_ARGUMENT ? (error->code = BP_ERR_FORMAT) : code;
}

static enum bp_code one_rig(const struct cli_options *common, size_t log, struct bp_arena *arena,
                            const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                            struct bp_error *error)
{
    const struct load_options *options = (const struct load_options *)(const void *)common;
    struct weighed *w = bp_arena_zero(arena, 2, sizeof *w);
    *unfit = false;
    if (w == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the rig");
    }
    struct weighed *first = w + 1;
    enum bp_code code = weigh(options, common->logs[log], arena, w, error);
    if (code != BP_OK) {
        return code;
    }
    const struct bp_load_report load = {.path = common->logs[log],
                                        .rig = &w->rig,
                                        .table = &w->table,
                                        .plan = is_planned(options) ? &w->plan : NULL,
                                        .wanted = &options->wanted,
                                        .stock = &w->stock};
    if (common->format == CLI_TEXT) {
        bp_report_load_text(&load, report, out);
        if (log > 0 && weigh(options, common->logs[0], arena, first, error) == BP_OK) {
            bp_report_load_against(&load, common->logs[0], &first->table, report, out);
        }
    } else if (common->format == CLI_CSV) {
        bp_report_load_csv(&load, out);
    } else {
        bp_report_load_json(&load, common->format == CLI_JSON, out);
    }
    bp_error_clear(error);
    return BP_OK;
}

int cli_load(int argc, char **argv)
{
    static const struct argp argp = {
        .options = option_list, .parser = parse, .args_doc = "RIG...", .doc = doc};
    struct load_options options = {.common = {.format = CLI_TEXT, .analyse = bp_analyse_defaults},
                                   .bottom_m = (double)NAN,
                                   .lockout_m = (double)NAN,
                                   .rows = (size_t)ROWS_USUAL,
                                   .seed = 1,
                                   .wanted = bp_plan_defaults};
    cli_parse(&argp, argc, argv, 0, &options);
    options.wanted.seed = options.seed;
    return cli_run(
        &options.common,
        &(struct cli_job){.one_log = one_rig,
                          .header = options.common.format == CLI_CSV ? bp_report_load_csv_header : NULL});
}
