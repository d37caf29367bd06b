/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The options of the commands on sheets, and the way from a sheet to its measured sets.
 */
#include "cli/sheet.h"

#include "cli/progress.h"

#include <argp.h>
#include <string.h>

enum key { KEY_FORMAT = 2000, KEY_OUT, KEY_BY, KEY_JOBS, KEY_LIFTER, KEY_SINCE };
enum group { GROUP_OUTPUT = 1, GROUP_SETS, GROUP_LOG };

static const struct argp_option compare_options[] = {
    {NULL, 0, NULL, 0, "What comes out:", GROUP_OUTPUT},
    {"format", KEY_FORMAT, "FORMAT", 0, "text (the default), json, jsonl (one line), csv or html",
     GROUP_OUTPUT},
    {"out", KEY_OUT, "FILE", 0, "write to FILE, whole or not at all; - is standard output", GROUP_OUTPUT},
    {NULL, 0, NULL, 0, "Which sets:", GROUP_SETS},
    {"by", KEY_BY, "WHAT", 0, "what is held against each other: setup (the default), lifter or session (day)",
     GROUP_SETS},
    {"lifter", KEY_LIFTER, "NAME", 0, "only this lifter's sets", GROUP_SETS},
    {"since", KEY_SINCE, "DAY", 0, "only sets of that day and later, as 2026-03-02", GROUP_SETS},
    {"jobs", KEY_JOBS, "N", 0, "logs measured at a time (default: as many as there are cores)", GROUP_SETS},
    {NULL, 0, NULL, 0, NULL, 0}};

static const struct argp_option cycle_options[] = {
    {NULL, 0, NULL, 0, "What comes out:", GROUP_OUTPUT},
    {"out", KEY_OUT, "DIR", 0, "the folder of the pages and tables (needed; made when it is not there)",
     GROUP_OUTPUT},
    {NULL, 0, NULL, 0, "Which sets:", GROUP_SETS},
    {"lifter", KEY_LIFTER, "NAME", 0, "only this lifter's sets", GROUP_SETS},
    {"since", KEY_SINCE, "DAY", 0, "only sets of that day and later, as 2026-03-02", GROUP_SETS},
    {"jobs", KEY_JOBS, "N", 0, "logs measured at a time (default: as many as there are cores)", GROUP_SETS},
    {NULL, 0, NULL, 0, NULL, 0}};

static error_t parse(int key, char *argument, struct argp_state *state)
{
    static const char *const formats[] = {"text", "json", "jsonl", "csv", "html"};
    static const char *const by[] = {"setup", "lifter", "session"};
    struct cli_sheet_options *options = state->input;
    switch (key) {
    case KEY_FORMAT:
        options->format =
            (enum cli_format)cli_word(state, "format", argument, formats, 5, "text, json, jsonl, csv, html");
        break;
    case KEY_OUT:
        options->out = argument;
        break;
    case KEY_BY:
        options->by = (enum cli_by)cli_word(state, "by", argument, by, 3, "setup, lifter, session");
        break;
    case KEY_LIFTER:
        options->block.lifter = argument;
        break;
    case KEY_SINCE:
        options->block.since = argument;
        break;
    case KEY_JOBS:
        options->block.jobs = (size_t)cli_whole(state, "jobs", argument, 1, BP_BLOCK_JOBS_MAX);
        break;
    case ARGP_KEY_INIT:
        state->child_inputs[0] = &options->block.analyse;
        break;
    case ARGP_KEY_ARG:
        if (options->sheet) {
            argp_error(state, "one sheet at a time, not also '%s'", argument);
        }
        options->sheet = argument;
        break;
    case ARGP_KEY_NO_ARGS:
        argp_usage(state);
        break;
    default:
        return ARGP_ERR_UNKNOWN;
    }
    return 0;
}

void cli_sheet_options_read(int argc, char **argv, bool folder, const char *doc,
                            struct cli_sheet_options *options)
{
    const struct argp_child children[] = {{&cli_log_argp, 0, CLI_LOG_HEADER, GROUP_LOG}, {NULL, 0, NULL, 0}};
    const struct argp argp = {.options = folder ? cycle_options : compare_options,
                              .parser = parse,
                              .args_doc = "SHEET",
                              .doc = doc,
                              .children = children};
    *options = (struct cli_sheet_options){.format = CLI_TEXT, .block = bp_block_defaults};
    options->block.analyse = bp_analyse_defaults;
    cli_parse(&argp, argc, argv, 0, options);
}

/* ---- measuring ---- */

static void complain_of_rows(const struct bp_sheet *sheet)
{
    for (size_t e = 0; e < sheet->error_count && e < BP_SHEET_ERRORS_KEPT; e++) {
        cli_complain_error(&sheet->errors[e]);
    }
    if (sheet->error_count > BP_SHEET_ERRORS_KEPT) {
        cli_complain("more rows of the sheet cannot be read");
    }
}

/* With the row it came from, since a coach looks in the sheet first. */
static void complain_of_sets(const char *sheet, const struct bp_block *block)
{
    for (size_t i = 0; i < block->count; i++) {
        const struct bp_block_set *set = &block->sets[i];
        if (set->state == BP_BLOCK_FAILED) {
            char line[BP_ERROR_PATH + BP_ERROR_TEXT + 64];
            struct bp_error error;
            bp_error_line(&set->error, line, sizeof line);
            bp_error_set(&error, set->error.code, "%s", line);
            bp_error_place(&error, sheet, set->row->line, 0, error.at_s);
            cli_complain_error(&error);
        }
    }
}

static enum bp_code measure(struct cli_sheet_options *options, struct cli_measured *measured,
                            struct bp_error *error)
{
    struct cli_progress progress;
    options->block.progress = cli_progress_tell;
    options->block.about = &progress;
    cli_progress_begin(&progress);
    enum bp_code code =
        bp_block_measure(&measured->sheet, &options->block, &measured->arena, &measured->block, error);
    cli_progress_end(&progress);
    return code;
}

int cli_sheet_measure(struct cli_sheet_options *options, struct cli_measured *measured)
{
    struct bp_error error;
    bp_arena_init(&measured->arena);
    enum bp_code code = bp_sheet_read(options->sheet, &measured->arena, &measured->sheet, &error);
    if (code == BP_OK) {
        complain_of_rows(&measured->sheet);
        code = measure(options, measured, &error);
    }
    if (code != BP_OK) {
        cli_complain_error(&error);
        return cli_status_of(code);
    }
    complain_of_sets(options->sheet, &measured->block);
    if (measured->block.stopped) {
        cli_complain("stopped; what was done is kept");
        return CLI_STOPPED;
    }
    return measured->block.failed + measured->sheet.error_count > 0 ? CLI_SOME_FAILED : CLI_OK;
}

void cli_sheet_free(struct cli_measured *measured)
{
    bp_arena_free(&measured->arena);
}
