/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/cli.h"

#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

struct run {
    const struct cli_options *options;
    struct bp_report_settings report;
    struct bp_arena arena;
    struct bp_text text; /* one log's report */
    struct cli_output output;
    size_t reports; /* written */
    int status;
};

bool cli_is_array(const struct cli_options *options)
{
    return options->format == CLI_JSON && (options->log_count > 1 || options->strength != NULL);
}

void cli_put_between(enum cli_format format, bool own_array, size_t before, struct bp_text *out)
{
    if (format == CLI_JSON && before > 0) {
        out->length--; /* the newline follows the comma */
        bp_text_put(out, ",\n");
    } else if (own_array) {
        bp_text_put(out, "[\n");
    } else if (format == CLI_TEXT && before > 0) {
        bp_text_put_char(out, '\n');
    }
}

bool cli_complain_of_recordings(const char *path, const struct bp_recordings *recordings)
{
    bool any = false;
    for (size_t r = 0; r < recordings->count; r++) {
        if (recordings->list[r].code != BP_OK) {
            cli_complain_of(path, &recordings->list[r].error);
            any = true;
        }
    }
    return any;
}

/* NO_COLOR counts when it is there and not empty; a dumb terminal shows escapes as text. */
struct bp_report_settings cli_report_settings(const char *out)
{
    struct bp_report_settings settings = {false, 0};
    struct winsize size;
    const char *no_color = getenv("NO_COLOR"), *terminal = getenv("TERM");
    bool to_stdout = out == NULL || strcmp(out, "-") == 0;
    if (!to_stdout || !isatty(STDOUT_FILENO)) {
        return settings;
    }
    settings.colour =
        (no_color == NULL || no_color[0] == '\0') && terminal != NULL && strcmp(terminal, "dumb") != 0;
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0) {
        settings.columns = size.ws_col;
    }
    return settings;
}

/* Worse of the two: a report that could not be written outweighs a log that could not be read. */
static int worse(int one, int other)
{
    static const int order[] = {[CLI_OK] = 0, [CLI_FAILED] = 2, [CLI_USAGE] = 3, [CLI_BAD_LOG] = 1};
    return order[one] >= order[other] ? one : other;
}

int cli_status_of(enum bp_code code)
{
    switch (code) {
    case BP_OK:
        return CLI_OK;
    case BP_ERR_ARGUMENT:
        return CLI_USAGE;
    case BP_ERR_MEMORY:
    case BP_ERR_WRITE:
        return CLI_FAILED;
    default:
        return CLI_BAD_LOG;
    }
}

void cli_complain_of(const char *path, struct bp_error *error)
{
    if (error->path[0] == '\0') {
        bp_error_place(error, path, error->line, error->column, error->at_s);
    }
    if (strcmp(error->path, "-") == 0) {
        bp_error_place(error, "standard input", error->line, error->column, error->at_s);
    }
    cli_complain_error(error);
}

/* Puts the report in run->text out, with what joins it to the one before. */
static bool put_report(struct run *run)
{
    const struct bp_text *text = &run->text;
    bool array = cli_is_array(run->options), first = run->reports == 0;
    const char *before = array ? (first ? "[\n" : ",\n") : "";
    if (run->options->format == CLI_TEXT && !first) {
        before = "\n";
    }
    /* In an array the newline follows the comma. */
    size_t length = array ? text->length - 1 : text->length;
    run->reports++;
    return cli_output_put(&run->output, before, strlen(before)) &&
           cli_output_put(&run->output, text->data, length);
}

/* False: no other log need be tried. */
static bool run_log(struct run *run, size_t log, const struct cli_job *job)
{
    struct bp_error error;
    bool unfit = false;
    bp_error_clear(&error);
    bp_arena_reset(&run->arena);
    bp_text_free(&run->text);
    if (job->header != NULL && run->reports == 0) {
        job->header(&run->text);
    }
    enum bp_code code =
        job->one_log(run->options, log, &run->arena, &run->report, &run->text, &unfit, &error);
    if (code == BP_OK && run->text.failed) {
        code = bp_error_set(&error, BP_ERR_MEMORY, "out of memory for the report");
    }
    if (code != BP_OK) {
        cli_complain_of(run->options->logs[log], &error);
    } else if (!put_report(run)) {
        run->status = worse(run->status, CLI_FAILED);
        return false;
    }
    run->status = worse(run->status, unfit ? CLI_BAD_LOG : cli_status_of(code));
    return code != BP_ERR_ARGUMENT;
}

/* The report must not take the place of the log it is about. */
static bool out_is_a_log(const struct cli_options *options)
{
    struct stat out, log;
    if (options->out == NULL || strcmp(options->out, "-") == 0 || stat(options->out, &out) != 0 ||
        !S_ISREG(out.st_mode)) {
        return false;
    }
    for (size_t i = 0; i < options->log_count; i++) {
        if (stat(options->logs[i], &log) == 0 && log.st_dev == out.st_dev && log.st_ino == out.st_ino) {
            return true;
        }
    }
    return false;
}

/* What is said of all logs together. */
static void run_footer(struct run *run, const struct cli_job *job)
{
    bp_text_free(&run->text);
    job->footer(run->options, &run->report, &run->text);
    if (run->text.failed) {
        cli_complain("out of memory for the report");
        run->status = worse(run->status, CLI_FAILED);
    } else if (run->text.length > 0 && !put_report(run)) {
        run->status = worse(run->status, CLI_FAILED);
    }
}

int cli_run(const struct cli_options *options, const struct cli_job *job)
{
    if (out_is_a_log(options)) {
        cli_complain("--out names one of the logs, which it would overwrite");
        return CLI_USAGE;
    }
    struct run run = {.options = options, .report = cli_report_settings(options->out), .status = CLI_OK};
    bp_arena_init(&run.arena);
    bp_text_init(&run.text);
    cli_output_init(&run.output, options->out);
    bool go_on = true;
    for (size_t i = 0; i < options->log_count && go_on; i++) {
        go_on = run_log(&run, i, job);
    }
    if (go_on && job->footer != NULL && run.reports > 0) {
        run_footer(&run, job);
    }
    if (cli_is_array(options) && run.reports > 0) {
        cli_output_put(&run.output, "\n]\n", 3);
    }
    /* status 1 is "not written": a file that lacks what there was no memory for would look like a whole one
     */
    if (run.status != CLI_FAILED && !cli_output_finish(&run.output)) {
        run.status = worse(run.status, CLI_FAILED);
    }
    cli_output_free(&run.output);
    bp_text_free(&run.text);
    bp_arena_free(&run.arena);
    return run.status;
}
