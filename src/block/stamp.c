/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* scandir's alphasort, d_name, st_mtim */
#include "block/stamp.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <xxhash.h>

enum { BLOCK_BYTES = 256 * 1024, NANO = 1000000000 };

static int not_hidden(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name); /* alphasort follows the locale */
}

static void free_names(struct dirent **names, int count)
{
    for (int i = 0; i < count; i++) {
        free(names[i]);
    }
    free(names);
}

/* "folder/name"; false when it does not fit. */
static bool join(const char *folder, const char *name, char path[PATH_MAX])
{
    int length = snprintf(path, PATH_MAX, "%s/%s", folder, name);
    return length > 0 && length < PATH_MAX;
}

static void add_stamp(struct bp_stamp *stamp, const struct stat *status)
{
    stamp->bytes += (uint64_t)status->st_size;
    stamp->changed_ns += (uint64_t)status->st_mtim.tv_sec * NANO + (uint64_t)status->st_mtim.tv_nsec;
}

bool bp_stamp_of(const char *path, struct bp_stamp *stamp)
{
    struct stat status;
    struct dirent **names = NULL;
    char inside[PATH_MAX];
    *stamp = (struct bp_stamp){0, 0};
    if (stat(path, &status) != 0) {
        return false;
    }
    add_stamp(stamp, &status);
    int count = S_ISDIR(status.st_mode) ? scandir(path, &names, not_hidden, by_name) : 0;
    for (int i = 0; i < count; i++) {
        if (join(path, names[i]->d_name, inside) && stat(inside, &status) == 0) {
            add_stamp(stamp, &status);
        }
    }
    free_names(names, count);
    return count >= 0;
}

static enum bp_code fail(struct bp_error *error, enum bp_code code, const char *path, const char *what)
{
    bp_error_set(error, code, "%s", what);
    bp_error_place(error, path, 0, 0, (double)NAN);
    return code;
}

/* A path that the system cannot open: for want of memory, or for what is the path's own. */
static enum bp_code fail_open(struct bp_error *error, const char *path)
{
    int reason = errno;
    return fail(error, reason == ENOMEM ? BP_ERR_MEMORY : BP_ERR_OPEN, path, strerror(reason));
}

static enum bp_code add_file(XXH3_state_t *state, const char *path, struct bp_error *error)
{
    FILE *file = fopen(path, "rb");
    char *bytes = file ? malloc(BLOCK_BYTES) : NULL;
    enum bp_code code = BP_OK;
    if (!file) {
        return fail_open(error, path);
    }
    if (!bytes) {
        code = fail(error, BP_ERR_MEMORY, path, "out of memory");
    }
    for (size_t got = 1; code == BP_OK && got > 0;) {
        got = fread(bytes, 1, BLOCK_BYTES, file);
        XXH3_128bits_update(state, bytes, got);
    }
    if (code == BP_OK && ferror(file)) {
        code = fail(error, BP_ERR_READ, path, "reading it failed");
    }
    free(bytes);
    (void)fclose(file); /* it was only read */
    return code;
}

static enum bp_code add_folder(XXH3_state_t *state, const char *path, struct bp_error *error)
{
    struct dirent **names = NULL;
    struct stat status;
    char inside[PATH_MAX];
    int count = scandir(path, &names, not_hidden, by_name);
    enum bp_code code = count < 0 ? fail_open(error, path) : BP_OK;
    for (int i = 0; i < count && code == BP_OK; i++) {
        XXH3_128bits_update(state, names[i]->d_name, strlen(names[i]->d_name) + 1);
        if (join(path, names[i]->d_name, inside) && stat(inside, &status) == 0 && S_ISREG(status.st_mode)) {
            code = add_file(state, inside, error);
        }
    }
    free_names(names, count);
    return code;
}

enum bp_code bp_digest_of_path(const char *path, struct bp_digest *digest, struct bp_error *error)
{
    struct stat status;
    if (stat(path, &status) != 0) {
        return fail_open(error, path);
    }
    XXH3_state_t *state = XXH3_createState();
    if (!state) {
        return fail(error, BP_ERR_MEMORY, path, "out of memory");
    }
    XXH3_128bits_reset(state);
    enum bp_code code =
        S_ISDIR(status.st_mode) ? add_folder(state, path, error) : add_file(state, path, error);
    XXH128_hash_t hash = XXH3_128bits_digest(state);
    *digest = (struct bp_digest){hash.high64, hash.low64};
    XXH3_freeState(state);
    return code;
}

struct bp_digest bp_digest_of(const void *bytes, size_t count)
{
    XXH128_hash_t hash = XXH3_128bits(bytes, count);
    return (struct bp_digest){hash.high64, hash.low64};
}
