/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The program's parts: a thin shell on the library. One file a command, each a cli_<command>(argc, argv).
 */
#ifndef BARPLUMB_CLI_H
#define BARPLUMB_CLI_H

#include "barplumb/analyse.h"
#include "barplumb/report.h"
#include "barplumb/strength.h"

#include <argp.h>
#include <stdbool.h>
#include <stddef.h>

/* Exit statuses, also in docs/barplumb.1. */
enum { CLI_OK = 0, CLI_FAILED = 1, CLI_USAGE = 2, CLI_BAD_LOG = 3 };

enum cli_format { CLI_TEXT, CLI_JSON, CLI_JSONL, CLI_CSV, CLI_HTML };

struct cli_options {
    enum cli_format format;
    const char *out; /* NULL or "-": standard output */
    struct bp_analyse_settings analyse;
    const char *rig;      /* path of a rig file; NULL: none */
    const char *bar_mass; /* "60" or one a log, "60,80,100", kg; NULL: not said */
    size_t part;          /* only this set of each log, from 1; 0: all of them */
    bool one_set;         /* a log is one set, however long it rests */
    bool ask_strength;
    struct cli_strength *strength; /* what the sets say together; NULL: not asked for */
    struct bp_strength_settings strength_settings;
    char **logs;
    size_t log_count;
};

/* The options on how a log is read and measured, for every command that measures; its input is a struct
 * bp_analyse_settings. */
extern const struct argp cli_log_argp;
#define CLI_LOG_HEADER "How a log is read and measured:"

/* What the bar of one log is loaded with, from --rig and --bar-mass; a mass given there stands for the whole
 * bar with its plates, in place of what the file says. *known false: neither was given. Errors as
 * bp_rig_read. */
enum bp_code cli_rig_of(const struct cli_options *options, size_t log, struct bp_rig *rig, bool *known,
                        struct bp_error *error);

/* What --help says of a command. */
struct cli_command_help {
    const char *doc; /* before the options, '\v', after them */
    bool csv;        /* the command has a CSV report and a page */
};

/* Reads a command's arguments; argv[0] is what usage messages call the command. Exits with 0 after --help
 * and with CLI_USAGE, with a message, on arguments that make no sense. */
void cli_options_read(int argc, char **argv, const struct cli_command_help *help,
                      struct cli_options *options);

/* argp_parse; ends the program, with a message, where there is no memory for it. */
void cli_parse(const struct argp *argp, int argc, char **argv, unsigned flags, void *input);

/* Which of the words `text` is; ends the program, naming `all` of them, when it is none. */
size_t cli_word(struct argp_state *state, const char *name, const char *text, const char *const *words,
                size_t count, const char *all);
/* The whole number in `text`; ends the program when there is none in that range. */
uint64_t cli_whole(struct argp_state *state, const char *name, const char *text, uint64_t least,
                   uint64_t most);

/* ---- output: standard output as it comes, or a file that appears whole or not at all ---- */

struct cli_output {
    const char *path; /* NULL: standard output */
    struct bp_text held;
    bool failed;
};

void cli_output_init(struct cli_output *output, const char *path);
/* False, with a message on standard error, when it cannot be written. */
bool cli_output_put(struct cli_output *output, const char *bytes, size_t count);
/* Brings a file into its place. Nothing was put: an old file of that name stays as it is. */
bool cli_output_finish(struct cli_output *output);
void cli_output_free(struct cli_output *output);

/* ---- one call over several logs ---- */

/* Reads the log-th log and puts its report. *unfit: the report says that the log cannot be used. */
typedef enum bp_code cli_one_log(const struct cli_options *options, size_t log, struct bp_arena *arena,
                                 const struct bp_report_settings *report, struct bp_text *out, bool *unfit,
                                 struct bp_error *error);

struct cli_job {
    cli_one_log *one_log;
    void (*header)(struct bp_text *out); /* before the first report; NULL: none */
    /* after the last, of all logs together; NULL: nothing. Puts nothing where there is nothing to say. */
    void (*footer)(const struct cli_options *options, const struct bp_report_settings *report,
                   struct bp_text *out);
};

/* Runs job over every log. Returns the exit status: the worst of the logs', where a failure to write
 * outweighs a bad log. */
int cli_run(const struct cli_options *options, const struct cli_job *job);

/* Colour and width for a report that goes to out (NULL or "-": standard output). */
struct bp_report_settings cli_report_settings(const char *out);
/* json of several logs is an array of their reports, which cli_run puts together. */
bool cli_is_array(const struct cli_options *options);
/* What stands before the next report of one log, of which `before` stand in out already. own_array: they are
 * an array of their own. */
void cli_put_between(enum cli_format format, bool own_array, size_t before, struct bp_text *out);
/* Names the log's recordings that cannot be read, while others can. False where there are none. */
bool cli_complain_of_recordings(const char *path, const struct bp_recordings *recordings);
/* The exit status of an error. */
int cli_status_of(enum bp_code code);

/* "barplumb: " and the text, on standard error. */
void cli_complain(const char *text);
/* The line of an error, its place before it. */
void cli_complain_error(const struct bp_error *error);
/* The same for an error of the log at path. */
void cli_complain_of(const char *path, struct bp_error *error);

int cli_check(int argc, char **argv);
int cli_set(int argc, char **argv);
int cli_load(int argc, char **argv);
int cli_compare(int argc, char **argv);
int cli_cycle(int argc, char **argv);

#endif
