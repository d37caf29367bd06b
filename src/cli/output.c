/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "cli/cli.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { NAME_BYTES = PATH_MAX + 32, MODE = 0666 };

void cli_complain(const char *text)
{
    fprintf(stderr, "barplumb: %s\n", text);
}

void cli_complain_error(const struct bp_error *error)
{
    char line[BP_ERROR_PATH + BP_ERROR_TEXT + 64];
    cli_complain(bp_error_line(error, line, sizeof line));
}

static bool complain_of(const char *path, const char *what)
{
    struct bp_error error;
    bp_error_set(&error, BP_ERR_WRITE, "%s", what);
    bp_error_place(&error, path, 0, 0, error.at_s);
    cli_complain_error(&error);
    return false;
}

static bool write_all(int file, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t written = write(file, bytes, count);
        if (written < 0 && errno != EINTR) {
            return false;
        }
        if (written > 0) {
            bytes += written;
            count -= (size_t)written;
        }
    }
    return true;
}

void cli_output_init(struct cli_output *output, const char *path)
{
    output->path = path != NULL && strcmp(path, "-") != 0 ? path : NULL;
    output->failed = false;
    bp_text_init(&output->held);
}

void cli_output_free(struct cli_output *output)
{
    bp_text_free(&output->held);
}

bool cli_output_put(struct cli_output *output, const char *bytes, size_t count)
{
    if (output->failed) {
        return false;
    }
    if (output->path == NULL) {
        output->failed = !write_all(STDOUT_FILENO, bytes, count);
        return output->failed ? complain_of("standard output", strerror(errno)) : true;
    }
    bp_text_put_bytes(&output->held, bytes, count);
    output->failed = output->held.failed;
    return output->failed ? complain_of(output->path, "out of memory") : true;
}

/* A named pipe without a reader would be waited for without end: five seconds must do. */
static int open_device(const char *path)
{
    enum { TRIES = 100 };
    const struct timespec pause = {0, 50000000L};
    int file = -1;
    for (int i = 0; i < TRIES && (file = open(path, O_WRONLY | O_NOCTTY | O_NONBLOCK)) < 0 && errno == ENXIO;
         i++) {
        nanosleep(&pause, NULL);
    }
    int flags = file >= 0 ? fcntl(file, F_GETFL) : -1;
    if (flags >= 0) {
        (void)fcntl(file, F_SETFL, flags & ~O_NONBLOCK);
    }
    return file;
}

/* A device or a pipe cannot be replaced by renaming; it is written to. */
static bool write_in_place(const struct cli_output *output)
{
    int file = open_device(output->path);
    bool good = file >= 0 && write_all(file, output->held.data, output->held.length);
    if (file >= 0 && close(file) != 0) {
        good = false;
    }
    return good ? true
                : complain_of(output->path, file < 0 && errno == ENXIO ? "it is a pipe that nobody reads"
                                                                       : strerror(errno));
}

/* Written under another name in the same folder and renamed: a reader sees the old file or the whole new
 * one, and a full disk leaves the old one. */
static bool write_and_rename(const struct cli_output *output, const char *target)
{
    char part[NAME_BYTES];
    snprintf(part, sizeof part, "%s.%ld.part", target, (long)getpid());
    int file = open(part, O_WRONLY | O_CREAT | O_EXCL, MODE);
    if (file < 0) {
        return complain_of(output->path, strerror(errno));
    }
    bool good = write_all(file, output->held.data, output->held.length) && fsync(file) == 0;
    int reason = errno;
    if (close(file) != 0 && good) {
        good = false;
        reason = errno;
    }
    if (good && rename(part, target) != 0) {
        good = false;
        reason = errno;
    }
    if (!good) {
        unlink(part);
        return complain_of(output->path, strerror(reason));
    }
    return true;
}

bool cli_output_finish(struct cli_output *output)
{
    if (output->failed || output->path == NULL || output->held.length == 0) {
        return !output->failed;
    }
    struct stat status;
    bool exists = stat(output->path, &status) == 0;
    if (exists && S_ISDIR(status.st_mode)) {
        output->failed = !complain_of(output->path, strerror(EISDIR));
    } else if (exists && !S_ISREG(status.st_mode)) {
        output->failed = !write_in_place(output);
    } else {
        char *target = exists ? realpath(output->path, NULL) : NULL; /* through a link, not over it */
        output->failed = !write_and_rename(output, target != NULL ? target : output->path);
        free(target);
    }
    return !output->failed;
}
