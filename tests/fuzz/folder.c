/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A folder of one file a sensor. The bytes hold its files one behind another: a line with the name, the file,
 * and a byte 0x1e (the record separator of ASCII) before the next.
 */
#define _GNU_SOURCE
#include "fuzz/fuzz.h"

#include "barplumb/import.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FILES_MOST = 6, NAME_MOST = 40, SEPARATOR = 0x1e };

static char folder[256];

static void remove_folder(void)
{
    rmdir(folder);
}

/* One folder a process, empty between two runs. */
static int open_folder(void)
{
    if (folder[0] == '\0') {
        const char *place = getenv("TMPDIR");
        snprintf(folder, sizeof folder, "%s/barplumb-fuzz-XXXXXX", place != NULL ? place : "/tmp");
        fuzz_require(mkdtemp(folder) != NULL, "a folder can be made");
        atexit(remove_folder);
    }
    int at = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    fuzz_require(at >= 0, "the folder can be opened");
    return at;
}

/* A name that stays in the folder; *length bytes of it were read. */
static void take_name(const uint8_t *bytes, size_t count, char name[NAME_MOST], size_t *length)
{
    size_t n = 0, at = 0;
    for (; at < count && bytes[at] != '\n'; at++) {
        if (n + 1 < NAME_MOST && bytes[at] != '/' && bytes[at] != '\0') {
            name[n++] = (char)bytes[at];
        }
    }
    name[n] = '\0';
    *length = at < count ? at + 1 : at;
}

static void put_file(int at, const char *name, const uint8_t *bytes, size_t count)
{
    int file = openat(at, name, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (file < 0) {
        return; /* "", "." or ".." */
    }
    fuzz_require(write(file, bytes, count) == (ssize_t)count, "a file can be written");
    close(file);
}

/* names: of the files that were put there. */
static size_t fill_folder(int at, const uint8_t *bytes, size_t count, char names[FILES_MOST][NAME_MOST])
{
    size_t files = 0;
    while (count > 0 && files < FILES_MOST) {
        const uint8_t *end = memchr(bytes, SEPARATOR, count);
        size_t length = end != NULL ? (size_t)(end - bytes) : count, name_length = 0;
        take_name(bytes, length, names[files], &name_length);
        put_file(at, names[files], bytes + name_length, length - name_length);
        files++;
        length += end != NULL;
        bytes += length;
        count -= length;
    }
    return files;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    char names[FILES_MOST][NAME_MOST];
    struct bp_arena arena;
    struct bp_recordings recordings;
    struct bp_error error;
    int at = open_folder();
    size_t files = fill_folder(at, bytes, count, names);
    bp_arena_init(&arena);
    enum bp_code code = bp_import_recordings(folder, NULL, &arena, &recordings, &error);
    fuzz_recordings(code, &recordings, &error, &arena);
    bp_arena_free(&arena);
    for (size_t f = 0; f < files; f++) {
        unlinkat(at, names[f], 0);
    }
    close(at);
    return 0;
}
