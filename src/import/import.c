/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/archive.h"
#include "import/readers.h"

#include "barplumb/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

const struct bp_import_settings bp_import_defaults = {0};

enum bp_code bp_import_fail(struct bp_importer *im, enum bp_code code, size_t line, size_t column,
                            const char *format, ...)
{
    char text[BP_ERROR_TEXT];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    bp_error_set(im->error, code, "%s", text);
    bp_error_place(im->error, im->name, line, column, (double)NAN);
    return code;
}

const char *bp_import_number(double value, char out[BP_NUMBER_TEXT])
{
    size_t n = bp_number_write(value,
                               fabs(value) < 1e-3  ? 6
                               : fabs(value) < 1.0 ? 4
                                                   : 2,
                               out, BP_NUMBER_TEXT);
    if (memchr(out, '.', n) != NULL && memchr(out, 'e', n) == NULL) {
        while (out[n - 1] == '0') {
            out[--n] = '\0';
        }
        if (out[n - 1] == '.') {
            out[--n] = '\0';
        }
    }
    return out;
}

static enum bp_code check_settings(struct bp_importer *im)
{
    const struct bp_import_settings *s = im->settings;
    if (!(s->full_scale_force >= 0.0) || !isfinite(s->full_scale_force) || !(s->full_scale_turn >= 0.0) ||
        !isfinite(s->full_scale_turn)) {
        return bp_import_fail(im, BP_ERR_ARGUMENT, 0, 0, "a full scale must be a positive number");
    }
    if (!(s->rate_hz >= 0.0) || !isfinite(s->rate_hz)) {
        return bp_import_fail(im, BP_ERR_ARGUMENT, 0, 0, "the rate must be a positive number of Hz");
    }
    return bp_import_check_choices(im);
}

static enum bp_code begin(struct bp_importer *im, const char *name, const struct bp_import_settings *settings,
                          struct bp_arena *arena, struct bp_shelf *shelf)
{
    *im = (struct bp_importer){.name = name != NULL ? name : "",
                               .settings = settings != NULL ? settings : &bp_import_defaults,
                               .arena = arena,
                               .shelf = shelf,
                               .error = shelf->error};
    bp_arena_init(&im->scratch);
    bp_error_clear(im->error);
    return check_settings(im);
}

static enum bp_code no_acceleration(struct bp_importer *im, const struct bp_table *table)
{
    if (table->layout.column[BP_ROLE_TURN] >= 0) {
        return bp_import_fail(
            im, BP_ERR_COLUMNS, 0, 0,
            "it holds a gyroscope but no acceleration: give the folder that holds both files");
    }
    if (table->layout.column[BP_ROLE_GRAVITY] >= 0) {
        return bp_import_fail(im, BP_ERR_COLUMNS, 0, 0,
                              "it holds gravity but no acceleration: give the folder that holds both files");
    }
    return bp_import_fail(im, BP_ERR_COLUMNS, 0, 0,
                          "no three columns of acceleration were recognised: name them with --columns "
                          "ax=…,ay=…,az=…");
}

static enum bp_code read_recording(struct bp_importer *im, struct bp_source *source, struct bp_rest *rest,
                                   struct bp_trace *trace)
{
    struct bp_table *table = bp_arena_take(&im->scratch, 1, sizeof *table);
    struct bp_part part;
    struct bp_heading hint;
    if (table == NULL) {
        return bp_import_no_memory(im);
    }
    bp_import_read_file_name(im->name, &hint);
    enum bp_code code = bp_import_table(im, source, &hint, rest, table);
    trace->recognised.rows = table->rows;
    if (code == BP_OK && table->layout.column[BP_ROLE_FORCE] < 0) {
        code = no_acceleration(im, table);
    }
    if (code != BP_OK) {
        return code;
    }
    if (table->layout.rate_hz > 0.0) {
        trace->recognised.declared_rate_hz = table->layout.rate_hz;
    }
    memcpy(trace->recognised.container, table->container, sizeof table->container);
    memcpy(trace->recognised.columns, table->description, sizeof table->description);
    if (rest->held > 0 && !bp_import_wants_more(im)) {
        bp_findings_add(im->findings, "more-recordings", BP_RESERVATION, (double)NAN,
                        "the header stands again in line %zu: only what is before it was read", rest->line);
    }
    code = bp_import_make_part(im, table, &part);
    return code == BP_OK ? bp_import_assemble(im, &part, &part, trace) : code;
}

enum bp_code bp_import_read_csv(struct bp_importer *im, struct bp_source *source)
{
    struct bp_rest rest = {.buffer = NULL};
    char place[32] = "";
    enum bp_code code = BP_OK;
    do {
        if (rest.held > 0) {
            snprintf(place, sizeof place, "line %zu", rest.line);
        }
        struct bp_trace *trace = bp_import_begin_recording(im, place);
        if (trace == NULL) {
            code = bp_import_no_memory(im);
            break;
        }
        bool first = rest.held == 0;
        rest.follow = bp_import_wants_more(im);
        code = read_recording(im, source, &rest, trace);
        if (first && rest.held > 0 && bp_import_wants_more(im)) {
            bp_import_place_recording(im, "line 1");
        }
        code = bp_import_end_recording(im, code);
        bp_arena_reset(&im->scratch);
    } while (code == BP_OK && rest.held > 0 && bp_import_wants_more(im));
    free(rest.buffer);
    return code;
}

/* A text log or an archive, whichever the source's first bytes say. */
static enum bp_code read_source(struct bp_importer *im, struct bp_source *source)
{
    const char *head;
    size_t count;
    enum bp_code code = bp_import_peek(im, source, &head, &count);
    if (code != BP_OK) {
        return code;
    }
    return bp_import_container(head, count) == BP_CONTAINER_ARCHIVE ? bp_import_read_archive(im, source)
                                                                    : bp_import_read_csv(im, source);
}

/* True when the open file is a recording, which libsndfile opens by itself. */
static bool is_sound(const struct bp_source *source)
{
    char magic[16];
    struct stat status;
    if (fstat(source->file, &status) != 0 || !S_ISREG(status.st_mode)) {
        return false;
    }
    ssize_t n = pread(source->file, magic, sizeof magic, 0);
    return n > 0 && bp_import_container(magic, (size_t)n) == BP_CONTAINER_SOUND;
}

static enum bp_code read_log(struct bp_importer *im, const char *path)
{
    struct stat status;
    struct bp_source source;
    bool piped = strcmp(path, "-") == 0;
    if (!piped && stat(path, &status) == 0 && S_ISDIR(status.st_mode)) {
        return bp_import_read_folder(im, path);
    }
    enum bp_code code = bp_import_open(im, path, &source);
    if (code != BP_OK) {
        return code;
    }
    if (!piped && is_sound(&source)) {
        bp_import_close(&source);
        return bp_import_read_sound(im, path);
    }
    code = read_source(im, &source);
    bp_import_close(&source);
    return code;
}

static enum bp_code read_path(const char *path, const struct bp_import_settings *settings,
                              struct bp_arena *arena, struct bp_shelf *shelf)
{
    struct bp_importer im;
    enum bp_code code = begin(&im, path, settings, arena, shelf);
    if (code == BP_OK && path == NULL) {
        code = bp_import_fail(&im, BP_ERR_ARGUMENT, 0, 0, "no log was named");
    }
    if (code == BP_OK) {
        code = read_log(&im, path);
    }
    bp_arena_free(&im.scratch);
    return code;
}

/* A shelf of one: what went wrong with its recording went wrong with the log. */
static enum bp_code settle_one(enum bp_code code, struct bp_shelf *shelf)
{
    struct bp_recording *only = &shelf->list[0];
    if (code == BP_OK && only->code != BP_OK) {
        code = only->code;
        if (shelf->error != NULL) {
            *shelf->error = only->error;
        }
    }
    return code;
}

/* The trace is empty but safe to look at whatever happens. */
static struct bp_shelf shelf_of_one(struct bp_recording *only, struct bp_trace *trace, struct bp_error *error)
{
    bp_import_empty(trace);
    *only = (struct bp_recording){.trace = trace};
    return (struct bp_shelf){.list = only, .most = 1, .error = error};
}

enum bp_code bp_import_log(const char *path, const struct bp_import_settings *settings,
                           struct bp_arena *arena, struct bp_trace *trace, struct bp_error *error)
{
    struct bp_recording only;
    struct bp_shelf shelf = shelf_of_one(&only, trace, error);
    return settle_one(read_path(path, settings, arena, &shelf), &shelf);
}

enum bp_code bp_import_csv_bytes(const char *name, const char *bytes, size_t count,
                                 const struct bp_import_settings *settings, struct bp_arena *arena,
                                 struct bp_trace *trace, struct bp_error *error)
{
    struct bp_recording only;
    struct bp_shelf shelf = shelf_of_one(&only, trace, error);
    struct bp_importer im;
    struct bp_source source;
    enum bp_code code = begin(&im, name, settings, arena, &shelf);
    if (code == BP_OK) {
        bp_import_open_bytes(bytes, count, &source);
        code = read_source(&im, &source);
    }
    bp_arena_free(&im.scratch);
    return settle_one(code, &shelf);
}

enum bp_code bp_import_recordings(const char *path, const struct bp_import_settings *settings,
                                  struct bp_arena *arena, struct bp_recordings *recordings,
                                  struct bp_error *error)
{
    struct bp_shelf shelf = {.most = BP_IMPORT_RECORDINGS_MAX, .error = error};
    *recordings = (struct bp_recordings){0, NULL};
    bp_error_clear(error);
    shelf.list = bp_arena_zero(arena, shelf.most, sizeof *shelf.list);
    if (shelf.list == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "there is not enough memory to read it");
    }
    enum bp_code code = read_path(path, settings, arena, &shelf);
    code = code == BP_OK ? bp_import_number_recordings(&shelf) : code;
    if (code == BP_OK) {
        *recordings = (struct bp_recordings){shelf.count, shelf.list};
    }
    return code;
}
