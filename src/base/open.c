/* SPDX-License-Identifier: GPL-3.0-or-later */
#if defined(__linux__)
#define _GNU_SOURCE /* tee */
#endif
#include "base/open.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#if defined(__linux__)

enum { TRIES_A_SECOND = 20 };

/* tee shows what is in a pipe and takes nothing out: 0 means empty and nobody to fill it. */
static bool has_writer(int file, int spare)
{
    return tee(file, spare, 1, SPLICE_F_NONBLOCK) != 0;
}

static bool wait_for_writer(int file)
{
    const struct timespec pause = {0, 1000000000L / TRIES_A_SECOND};
    int spare[2];
    if (pipe(spare) != 0) {
        return true; /* then it is waited for the old way */
    }
    bool there = has_writer(file, spare[1]);
    for (int i = 0; !there && i < BP_OPEN_WAIT_S * TRIES_A_SECOND; i++) {
        nanosleep(&pause, NULL);
        there = has_writer(file, spare[1]);
    }
    close(spare[0]);
    close(spare[1]);
    return there;
}

int bp_open_to_read(const char *path)
{
    struct stat status;
    int file = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (file < 0) {
        return -1;
    }
    if (fstat(file, &status) == 0 && S_ISFIFO(status.st_mode) && !wait_for_writer(file)) {
        close(file);
        errno = ETIMEDOUT;
        return -1;
    }
    int flags = fcntl(file, F_GETFL);
    if (flags >= 0) {
        (void)fcntl(file, F_SETFL, flags & ~O_NONBLOCK);
    }
    return file;
}

#else

int bp_open_to_read(const char *path)
{
    return open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
}

#endif
