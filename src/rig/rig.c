/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A rig file into a rig.
 */
#include "barplumb/rig.h"

#include "base/open.h"
#include "rig/parts.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FILE_BYTES_MAX = 65536 /* the fullest rig takes some 20,000 */ };

static void rig_clear(struct bp_rig *rig)
{
    memset(rig, 0, sizeof *rig);
}

void bp_rig_straight(double mass_kg, double sd_kg, struct bp_rig *rig)
{
    rig_clear(rig);
    rig->bar_kg = (struct bp_measured){mass_kg, sd_kg};
    rig->bottom_m.value = (double)NAN;
    rig->lockout_m.value = (double)NAN;
}

/* Reads all sections of one kind. */
static enum bp_code take_kind(const struct bp_rig_file *file, enum bp_rig_kind kind, struct bp_rig *rig)
{
    static enum bp_code (*const takers[BP_KIND_COUNT])(const struct bp_rig_file *,
                                                       const struct bp_rig_section *, struct bp_rig *) = {
        [BP_KIND_RIG] = bp_rig_take_rig,     [BP_KIND_BAR] = bp_rig_take_bar,
        [BP_KIND_CHAIN] = bp_rig_take_chain, [BP_KIND_BAND] = bp_rig_take_band,
        [BP_KIND_STOCK] = bp_rig_take_stock,
    };
    enum bp_code code = BP_OK;
    for (size_t i = 0; code == BP_OK && i < file->section_count; i++) {
        if (file->sections[i].kind == kind) {
            code = takers[kind](file, &file->sections[i], rig);
        }
    }
    return code;
}

static const struct bp_rig_section *find_section(const struct bp_rig_file *file, enum bp_rig_kind kind)
{
    for (size_t i = 0; i < file->section_count; i++) {
        if (file->sections[i].kind == kind) {
            return &file->sections[i];
        }
    }
    return NULL;
}

/* Chains and bands weigh what the height makes them weigh. */
static enum bp_code check_heights(const struct bp_rig_file *file, const struct bp_rig *rig)
{
    const struct bp_rig_section *bar = find_section(file, BP_KIND_BAR);
    if (rig->chain_count + rig->band_count > 0 && isnan(rig->bottom_m.value) && isnan(rig->lockout_m.value)) {
        return bp_rig_fail_section(
            file, bar, BP_ERR_FORMAT,
            "with chains or bands the bar's height above the floor must be known: give "
            "bottom, lockout or both");
    }
    return BP_OK;
}

static enum bp_code fill_rig(const struct bp_rig_file *file, struct bp_rig *rig)
{
    bp_rig_straight(0.0, 0.0, rig);
    if (find_section(file, BP_KIND_BAR) == NULL) {
        bp_error_set(file->error, BP_ERR_FORMAT,
                     "there is no bar: a rig needs a section [bar] with its mass");
        bp_error_place(file->error, file->path, file->lines, 0, (double)NAN);
        return BP_ERR_FORMAT;
    }
    static const enum bp_rig_kind order[] = {BP_KIND_RIG, BP_KIND_BAR, BP_KIND_CHAIN, BP_KIND_BAND,
                                             BP_KIND_STOCK};
    enum bp_code code = BP_OK;
    for (size_t i = 0; code == BP_OK && i < sizeof order / sizeof order[0]; i++) {
        code = take_kind(file, order[i], rig);
    }
    return code != BP_OK ? code : check_heights(file, rig);
}

static enum bp_code fail_file(struct bp_error *error, const char *path, size_t line, enum bp_code code,
                              const char *text)
{
    bp_error_set(error, code, "%s", text);
    bp_error_place(error, path, line, 0, (double)NAN);
    return code;
}

enum bp_code bp_rig_parse(const char *bytes, size_t count, const char *name, struct bp_rig *rig,
                          struct bp_error *error)
{
    struct bp_rig_file file = {.path = name, .error = error};
    bp_error_clear(error);
    rig_clear(rig);
    if (bytes == NULL || name == NULL) {
        return fail_file(error, name, 0, BP_ERR_ARGUMENT, "no rig file is given");
    }
    if (count > FILE_BYTES_MAX) {
        return fail_file(error, name, 0, BP_ERR_LIMIT, "a rig file has at most 65,536 bytes: this is none");
    }
    char *pool = malloc(bp_rig_pool_size(count));
    if (pool == NULL) {
        return fail_file(error, name, 0, BP_ERR_MEMORY, "memory is out");
    }
    enum bp_code code = bp_rig_file_split(bytes, count, pool, &file);
    code = code != BP_OK ? code : fill_rig(&file, rig);
    free(pool);
    if (code != BP_OK) {
        rig_clear(rig);
    }
    return code;
}

static enum bp_code read_open(FILE *file, const char *path, struct bp_rig *rig, struct bp_error *error)
{
    char *bytes = malloc(FILE_BYTES_MAX + 1);
    if (bytes == NULL) {
        return fail_file(error, path, 0, BP_ERR_MEMORY, "memory is out");
    }
    errno = 0;
    size_t count = fread(bytes, 1, FILE_BYTES_MAX + 1, file);
    enum bp_code code = ferror(file) == 0 ? bp_rig_parse(bytes, count, path, rig, error)
                        : errno == EISDIR ? fail_file(error, path, 0, BP_ERR_OPEN, "it is a folder")
                                          : fail_file(error, path, 0, BP_ERR_READ, "reading it failed");
    free(bytes);
    return code;
}

enum bp_code bp_rig_read(const char *path, struct bp_rig *rig, struct bp_error *error)
{
    bp_error_clear(error);
    rig_clear(rig);
    if (path == NULL) {
        return fail_file(error, path, 0, BP_ERR_ARGUMENT, "no rig file is given");
    }
    int opened = bp_open_to_read(path);
    FILE *file = opened >= 0 ? fdopen(opened, "rb") : NULL;
    int why = errno;
    if (file == NULL && opened >= 0) {
        close(opened);
    }
    if (file == NULL && why == ENOMEM) {
        return fail_file(error, path, 0, BP_ERR_MEMORY, "memory is out");
    }
    if (file == NULL) {
        return fail_file(error, path, 0, BP_ERR_OPEN,
                         why == ENOENT      ? "there is no such file"
                         : why == EACCES    ? "you may not read it"
                         : why == ETIMEDOUT ? "it is a pipe that nobody writes to"
                                            : "it cannot be opened");
    }
    enum bp_code code = read_open(file, path, rig, error);
    (void)fclose(file); /* it was only read */
    return code;
}
