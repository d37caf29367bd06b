/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench study: what is asked for, and the way from there to what is printed.
 */
#include "bench/study.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SETS_DEFAULT = 200, SETS_MAX = 1000000, JOBS_MAX = 256 };

static bool read_count(const char *word, unsigned long long least, unsigned long long most,
                       unsigned long long *value)
{
    char *end = NULL;
    if (*word < '0' || *word > '9') {
        return false;
    }
    errno = 0;
    *value = strtoull(word, &end, 10);
    return errno == 0 && *end == '\0' && *value >= least && *value <= most;
}

static bool read_switch(const char *word, struct study_options *options)
{
    struct {
        const char *name;
        bool *on;
    } switches[] = {{"--markdown", &options->markdown},
                    {"--plain-scenarios", &options->plain_scenarios},
                    {"--verbose", &options->verbose}};
    for (size_t i = 0; i < sizeof switches / sizeof *switches; i++) {
        if (strcmp(word, switches[i].name) == 0) {
            return *switches[i].on = true;
        }
    }
    return false;
}

static bool read_options(int argc, char **argv, struct study_options *options)
{
    unsigned long long number = 0;
    size_t given = 0;
    for (int a = 0; a < argc; a++) {
        if (read_switch(argv[a], options)) {
            continue;
        }
        if (strcmp(argv[a], "--jobs") == 0 && a + 1 < argc && read_count(argv[a + 1], 1, JOBS_MAX, &number)) {
            options->jobs = (size_t)number;
            a++;
        } else if (strcmp(argv[a], "--figure") == 0 && a + 1 < argc) {
            options->figure = argv[++a];
        } else if (given == 0 && read_count(argv[a], 1, SETS_MAX, &number)) {
            options->sets = (size_t)number;
            given++;
        } else if (given == 1 && read_count(argv[a], 0, UINT64_MAX / 2, &number)) {
            options->first_seed = number;
            given++;
        } else {
            return false;
        }
    }
    return true;
}

static bool known_figure(const char *name)
{
    if (!name || study_figure_named(name) < study_figure_count) {
        return true;
    }
    fprintf(stderr, "bench: no figure is named '%s'; there are:\n", name);
    for (size_t f = 0; f < study_figure_count; f++) {
        fprintf(stderr, "  %s\n", study_figures[f].name);
    }
    return false;
}

static int print(struct study *study, const struct study_options *options)
{
    struct bp_text text;
    bp_text_init(&text);
    if (options->verbose) {
        study_put_sets(study, options, &text);
    }
    if (options->markdown) {
        study_put_markdown(study, options, &text);
    } else {
        study_put_console(study, options, &text);
    }
    bool ok = !text.failed && fwrite(text.data, 1, text.length, stdout) == text.length && fflush(stdout) == 0;
    if (!ok) {
        fprintf(stderr, "bench: the study could not be printed\n");
    }
    bp_text_free(&text);
    return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}

int study_main(int argc, char **argv)
{
    struct study_options options = {.sets = SETS_DEFAULT, .first_seed = 1, .jobs = 1};
    struct study study;
    if (!read_options(argc, argv, &options)) {
        return -1;
    }
    if (!known_figure(options.figure)) {
        return 2;
    }
    options.jobs = options.jobs < options.sets ? options.jobs : options.sets;
    if (!study_run(&options, &study)) {
        return EXIT_FAILURE;
    }
    int status = print(&study, &options);
    study_free(&study);
    return status;
}
