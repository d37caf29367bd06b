/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/progress.h"

#include "cli/cli.h"

#include <signal.h>
#include <stdio.h>
#include <unistd.h>

enum { BAR_WIDTH = 30, TENTHS = 10, MINUTE_S = 60 };

static volatile sig_atomic_t stopped; /* the one thing a signal handler may touch */

static void stop(int signal_number)
{
    (void)signal_number;
    stopped = 1;
}

void cli_progress_begin(struct cli_progress *progress)
{
    struct sigaction action = {.sa_handler = stop, .sa_flags = (int)SA_RESETHAND | SA_RESTART};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    *progress = (struct cli_progress){.terminal = isatty(STDERR_FILENO) != 0};
    clock_gettime(CLOCK_MONOTONIC, &progress->started);
}

static double seconds_since(const struct timespec *then)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - then->tv_sec) + 1e-9 * (double)(now.tv_nsec - then->tv_nsec);
}

/* "[#######...........]  123 of 500 sets, 2 failed, 0:12 left" */
static void put_bar(const struct cli_progress *progress, const struct bp_block_progress *now)
{
    size_t filled = BAR_WIDTH * now->done / now->chosen;
    double left = seconds_since(&progress->started) * (double)(now->chosen - now->done) / (double)now->done;
    long s = (long)(left + 0.5);
    fputs("\r[", stderr);
    for (size_t i = 0; i < BAR_WIDTH; i++) {
        fputc(i < filled ? '#' : '.', stderr);
    }
    fprintf(stderr, "] %zu of %zu sets", now->done, now->chosen);
    if (now->failed > 0) {
        fprintf(stderr, ", %zu failed", now->failed);
    }
    fprintf(stderr, ", %ld:%02ld left \033[K", s / MINUTE_S, s % MINUTE_S);
    fflush(stderr);
}

bool cli_progress_tell(void *about, const struct bp_block_progress *now)
{
    struct cli_progress *progress = about;
    size_t tenth = TENTHS * now->done / now->chosen;
    if (progress->terminal) {
        put_bar(progress, now);
    } else if (tenth > progress->told) {
        progress->told = tenth;
        fprintf(stderr, "barplumb: %zu of %zu sets done, %zu failed\n", now->done, now->chosen, now->failed);
    }
    return !stopped;
}

void cli_progress_end(struct cli_progress *progress)
{
    if (progress->terminal) {
        fputs("\r\033[K", stderr);
        fflush(stderr);
    }
}

bool cli_progress_stopped(void)
{
    return stopped != 0;
}
