/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* SIGXFSZ */
#include "cli/cli.h"

#include <argp.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct command {
    const char *name, *title; /* title: what usage messages call it */
    int (*run)(int argc, char **argv);
};

static const struct command commands[] = {
    {"check", "barplumb check", cli_check},       {"set", "barplumb set", cli_set},
    {"compare", "barplumb compare", cli_compare}, {"cycle", "barplumb cycle", cli_cycle},
    {"load", "barplumb load", cli_load},
};

struct request {
    const struct command *command;
    int first; /* of argv: the command's name */
};

static error_t parse(int key, char *argument, struct argp_state *state)
{
    struct request *request = state->input;
    if (key == ARGP_KEY_NO_ARGS) {
        argp_usage(state);
    }
    if (key != ARGP_KEY_ARG) {
        return ARGP_ERR_UNKNOWN;
    }
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        if (strcmp(commands[i].name, argument) == 0) {
            request->command = &commands[i];
        }
    }
    if (request->command == NULL) {
        argp_error(state, "there is no command '%s'", argument);
    }
    /* The rest of the line is the command's own. */
    request->first = state->next - 1;
    state->next = state->argc;
    return 0;
}

static const char doc[] =
    "How a barbell moved, from the accelerometer and gyroscope log of a phone strapped to it.\n\n"
    "Commands:\n"
    "  check LOG...   what was recognised, and whether it is fit to use\n"
    "  set LOG...     one set, measured: how fast and how steady each rep was\n"
    "  compare SHEET  setups against each other: which is faster, which steadier, and how sure that is\n"
    "  cycle SHEET    the whole block as pages and tables\n"
    "  load RIG...    what the bar weighs through the range, and how much chain or band to hang\v"
    "'barplumb COMMAND --help' tells more of a command.\n\n"
    "It measures the bar; it clears nobody to lift.";

/* What argp printed (--help, --version) may still be on its way when the program ends. */
static void flush_or_fail(void)
{
    if (fflush(stdout) != 0 || ferror(stdout)) {
        cli_complain("standard output: cannot be written");
        _exit(CLI_FAILED);
    }
}

static void print_version(FILE *stream, struct argp_state *state)
{
    (void)state;
    fputs("barplumb " BARPLUMB_VERSION "\n", stream);
}

/* A standard file that is closed would be given to the next file opened, a log or a report, and messages
 * would go into it. Opened the wrong way round it stays as unusable as it was (as in gnulib's stdopen). */
static void fill_standard_files(void)
{
    for (int file = STDIN_FILENO; file <= STDERR_FILENO; file++) {
        if (fcntl(file, F_GETFD) < 0 && errno == EBADF) {
            (void)open("/dev/null", file == STDIN_FILENO ? O_WRONLY : O_RDONLY);
        }
    }
}

int main(int argc, char **argv)
{
    static const struct argp argp = {.parser = parse, .args_doc = "COMMAND [OPTION...] LOG...", .doc = doc};
    struct request request = {NULL, 0};
    char name[] = "barplumb";
    fill_standard_files();
    signal(SIGPIPE, SIG_IGN); /* a reader that went away is an error to report, not a silent death */
    signal(SIGXFSZ, SIG_IGN); /* and so is a file that may not grow: death would leave it half-written */
    atexit(flush_or_fail);
    argp_err_exit_status = CLI_USAGE;
    argp_program_version_hook = print_version;
    if (argc > 0) {
        argv[0] = name;
    }
    cli_parse(&argp, argc, argv, ARGP_IN_ORDER, &request);
    char title[32];
    snprintf(title, sizeof title, "%s", request.command->title);
    argv[request.first] = title;
    return request.command->run(argc - request.first, argv + request.first);
}
