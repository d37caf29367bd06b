/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a run that was killed left half written: its files end in the number of a process that is no more.
 */
#define _XOPEN_SOURCE 700
#include "barplumb/block.h"
#include "block/store.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* NAME.PROCESS.part; 0 for every other name. */
static long process_of(const char *name)
{
    const char *end = strrchr(name, '.'), *dot = end;
    while (dot != NULL && dot > name && dot[-1] != '.') {
        dot--;
    }
    char *stop;
    if (dot == NULL || dot <= name + 1 || strcmp(end, BP_STORE_PART) != 0) {
        return 0;
    }
    long process = strtol(dot, &stop, 10);
    return stop == end && *dot >= '1' && *dot <= '9' ? process : 0;
}

void bp_block_sweep(const char *folder)
{
    DIR *names = opendir(folder);
    const struct dirent *entry;
    while (names != NULL && (entry = readdir(names)) != NULL) {
        long process = process_of(entry->d_name);
        if (process > 0 && kill((pid_t)process, 0) != 0 && errno == ESRCH) {
            (void)unlinkat(dirfd(names), entry->d_name, 0);
        }
    }
    if (names != NULL) {
        closedir(names);
    }
}
