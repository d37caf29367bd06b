/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the open recordings lie that nobody here made: the folder that BARPLUMB_OPEN_DATA names, or
 * ../shared/data beside the sources. A program that has nothing else to do ends with OPEN_DATA_ABSENT where
 * they are not, and CTest then reports it as skipped (bp_reads_open_data in CMake).
 */
#ifndef BARPLUMB_TESTS_OPEN_DATA_H
#define BARPLUMB_TESTS_OPEN_DATA_H

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

enum { OPEN_DATA_ABSENT = 77 };

/* The path of `name` among the open recordings to path; false when it is not there. */
static inline bool open_data_find(const char *name, char *path, size_t size)
{
    struct stat status;
    const char *named = getenv("BARPLUMB_OPEN_DATA");
    if (named && *named) {
        snprintf(path, size, "%s/%s", named, name);
    } else {
        snprintf(path, size, "%s/../shared/data/%s", BARPLUMB_SOURCE_DIR, name);
    }
    return stat(path, &status) == 0;
}

/* OPEN_DATA_ABSENT, after a word about it. */
static inline int open_data_absent(void)
{
    puts("no open recordings here: set BARPLUMB_OPEN_DATA to their folder");
    return OPEN_DATA_ABSENT;
}

#endif
