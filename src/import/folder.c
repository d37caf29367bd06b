/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A folder with one file a sensor: which file is which is said by its name's words, where its header does
 * not; the gyroscope is put on the accelerometer's clock. Files for other sensors, empty files, and folders
 * in the folder are passed over.
 */
#include "import/readers.h"

#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { FILES_MAX = 256, PATH_BYTES = 4096 };

struct sensor_file {
    char *path;
    const char *name; /* in path */
    struct bp_heading hint;
};

struct folder {
    struct bp_importer *im;
    struct sensor_file *files;
    size_t count;
    const char *log_name; /* the folder's, for errors about all of it */
};

static bool is_text_name(const char *name)
{
    static const char *const endings[] = {".csv", ".txt", ".tsv", ".dat"};
    size_t length = strlen(name);
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        bool same = length > 4 && name[0] != '.';
        for (size_t k = 0; same && k < 4; k++) {
            char c = name[length - 4 + k];
            same = (c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c) == endings[i][k];
        }
        if (same) {
            return true;
        }
    }
    return false;
}

static enum bp_code add_file(struct folder *f, const char *folder_path, const char *name)
{
    char path[PATH_BYTES];
    struct stat status;
    int n = snprintf(path, sizeof path, "%s/%s", folder_path, name);
    if (n < 0 || (size_t)n >= sizeof path || stat(path, &status) != 0 || !S_ISREG(status.st_mode) ||
        status.st_size == 0) {
        return BP_OK;
    }
    if (f->count == FILES_MAX) {
        return bp_import_fail(f->im, BP_ERR_LIMIT, 0, 0, "more than %d files in the folder", FILES_MAX);
    }
    struct sensor_file *file = &f->files[f->count];
    file->path = bp_arena_take(&f->im->scratch, (size_t)n + 1, 1);
    if (file->path == NULL) {
        return bp_import_no_memory(f->im);
    }
    memcpy(file->path, path, (size_t)n + 1);
    file->name = file->path + strlen(folder_path) + 1;
    bp_import_read_file_name(file->path, &file->hint);
    f->count++;
    return BP_OK;
}

/* Plain names before decorated ones, gravity in before gravity out, then by name, so that the order in which
 * the folder lists them does not matter. */
static int by_preference(const void *a, const void *b)
{
    const struct sensor_file *x = a, *y = b;
    if (x->hint.linear != y->hint.linear) {
        return x->hint.linear ? 1 : -1;
    }
    if (x->hint.demerits != y->hint.demerits) {
        return x->hint.demerits < y->hint.demerits ? -1 : 1;
    }
    return strcmp(x->name, y->name);
}

static enum bp_code list_files(struct folder *f, const char *path)
{
    DIR *folder = opendir(path);
    enum bp_code code = BP_OK;
    f->files = bp_arena_take(&f->im->scratch, FILES_MAX, sizeof *f->files);
    if (folder == NULL) {
        return bp_import_fail(f->im, BP_ERR_OPEN, 0, 0, "the folder cannot be opened%s",
                              errno == EACCES ? ": no permission" : "");
    }
    if (f->files == NULL) {
        code = bp_import_no_memory(f->im);
    }
    for (struct dirent *entry; code == BP_OK && (entry = readdir(folder)) != NULL;) {
        if (is_text_name(entry->d_name)) {
            code = add_file(f, path, entry->d_name);
        }
    }
    closedir(folder);
    if (code == BP_OK && f->count > 0) {
        qsort(f->files, f->count, sizeof *f->files, by_preference);
    }
    return code;
}

/* Gravity's own file is read as if it were the acceleration. */
static void gravity_as_force(struct bp_table *t)
{
    for (int a = 0; a < 3; a++) {
        t->column[BP_ROLE_FORCE + a] = t->column[BP_ROLE_GRAVITY + a];
        t->layout.column[BP_ROLE_FORCE + a] = t->layout.column[BP_ROLE_GRAVITY + a];
        t->empty[BP_ROLE_FORCE + a] = t->empty[BP_ROLE_GRAVITY + a];
        t->column[BP_ROLE_GRAVITY + a] = NULL;
        t->layout.column[BP_ROLE_GRAVITY + a] = -1;
    }
    t->layout.force_unit = t->layout.gravity_unit;
    t->layout.linear = false;
}

/* One file. Its own name stands in errors. */
static enum bp_code read_file(struct folder *f, const struct sensor_file *file, struct bp_table *table,
                              struct bp_part *part)
{
    struct bp_source source;
    struct bp_importer *im = f->im;
    im->name = file->path;
    enum bp_code code = bp_import_open(im, file->path, &source);
    if (code == BP_OK) {
        code = bp_import_table(im, &source, &file->hint, table);
        bp_import_close(&source);
    }
    if (code == BP_OK && file->hint.kind == BP_KIND_GRAVITY && table->column[BP_ROLE_GRAVITY] != NULL &&
        table->column[BP_ROLE_FORCE] == NULL) {
        gravity_as_force(table);
    }
    if (code == BP_OK) {
        code = bp_import_make_part(im, table, part);
    }
    im->name = f->log_name;
    return code;
}

struct chosen {
    struct bp_table *table;
    struct bp_part part;
    const struct sensor_file *file; /* NULL: none */
};

static bool holds(const struct bp_part *part, enum bp_kind kind)
{
    return kind == BP_KIND_TURN ? part->turn.width > 0 : part->force.width > 0;
}

/* The first file of a kind that holds what its kind should; files without a row are passed over. */
static enum bp_code choose_file(struct folder *f, enum bp_kind kind, struct chosen *chosen)
{
    struct bp_table *table = bp_arena_take(&f->im->scratch, 1, sizeof *table);
    struct bp_findings *before = bp_arena_take(&f->im->scratch, 1, sizeof *before);
    chosen->file = NULL;
    if (table == NULL || before == NULL) {
        return bp_import_no_memory(f->im);
    }
    for (size_t i = 0; i < f->count; i++) {
        if (f->files[i].hint.kind != kind) {
            continue;
        }
        *before = *f->im->findings;
        enum bp_code code = read_file(f, &f->files[i], table, &chosen->part);
        if (code == BP_OK && holds(&chosen->part, kind)) {
            chosen->file = &f->files[i];
            chosen->table = table;
            return BP_OK;
        }
        if (code != BP_OK && code != BP_ERR_EMPTY) {
            return code;
        }
        *f->im->findings = *before;
    }
    bp_error_clear(f->im->error);
    return BP_OK;
}

/* A folder with one text file of whatever name is that file. */
static bool name_only_file(struct folder *f)
{
    if (f->count != 1 || f->files[0].hint.kind != BP_KIND_NONE) {
        return false;
    }
    f->files[0].hint.kind = BP_KIND_FORCE;
    return true;
}

static double shift_between(const struct bp_part *from, const struct bp_part *to)
{
    double epoch = from->zero_epoch_s - to->zero_epoch_s, elapsed = from->zero_elapsed_s - to->zero_elapsed_s;
    if (isfinite(epoch) && from->epoch_zoned == to->epoch_zoned) {
        return epoch;
    }
    return isfinite(elapsed) ? elapsed : 0.0;
}

/* Linear acceleration in one file, gravity in another. */
static enum bp_code add_gravity(struct folder *f, struct bp_part *force, const struct bp_part *gravity)
{
    struct bp_importer *im = f->im;
    double *out[3], shift = shift_between(force, gravity);
    const struct bp_stream *g = &gravity->force;
    struct bp_stream *s = &force->force;
    /* A second beyond gravity's ends its direction is still what it was, near enough, only at rest. */
    if (g->time[0] - shift > s->time[0] + 1.0 ||
        g->time[g->count - 1] - shift < s->time[s->count - 1] - 1.0) {
        return bp_import_fail(im, BP_ERR_TIME, 0, 0,
                              "the gravity file does not cover the time of the acceleration file");
    }
    for (int a = 0; a < 3; a++) {
        out[a] = bp_arena_doubles(&im->scratch, s->count);
        if (out[a] == NULL) {
            return bp_import_no_memory(im);
        }
    }
    bp_import_resample(g, s->time, s->count, shift, out);
    for (int a = 0; a < 3; a++) {
        for (size_t i = 0; i < s->count; i++) {
            s->value[a][i] += out[a][i];
        }
    }
    force->linear = false;
    bp_findings_add(im->findings, "gravity-added", BP_NOTE, (double)NAN,
                    "acceleration without gravity and the gravity file were added up");
    return BP_OK;
}

/* The acceleration: a file with gravity in it before one without, and that one with gravity put back. */
static enum bp_code choose_force(struct folder *f, struct chosen *force)
{
    struct chosen gravity;
    struct bp_findings *before = bp_arena_take(&f->im->scratch, 1, sizeof *before);
    if (before == NULL) {
        return bp_import_no_memory(f->im);
    }
    *before = *f->im->findings;
    enum bp_code code = choose_file(f, BP_KIND_GRAVITY, &gravity);
    if (code == BP_ERR_MEMORY) {
        return code;
    }
    /* A gravity file that cannot be read is only missed where gravity is missing. */
    bp_error_clear(f->im->error);
    *f->im->findings = *before;
    f->im->companion_unit = gravity.file != NULL ? gravity.part.force_unit : NULL;
    code = choose_file(f, BP_KIND_FORCE, force);
    if (code != BP_OK || force->file == NULL || !force->part.linear || f->im->settings->gravity_removed) {
        return code;
    }
    /* Linear: is there another file that is not? */
    struct sensor_file *first = &f->files[force->file - f->files];
    enum bp_kind kind = first->hint.kind;
    struct chosen other;
    *before = *f->im->findings;
    first->hint.kind = BP_KIND_NONE;
    code = choose_file(f, BP_KIND_FORCE, &other);
    first->hint.kind = kind;
    if (code == BP_ERR_MEMORY) {
        return code;
    }
    if (code == BP_OK && other.file != NULL && !other.part.linear) {
        *force = other;
        return BP_OK;
    }
    *f->im->findings = *before;
    bp_error_clear(f->im->error);
    return gravity.file != NULL ? add_gravity(f, &force->part, &gravity.part) : BP_OK;
}

static void describe(struct bp_trace *trace, const struct chosen *force, const struct chosen *turn)
{
    struct bp_recognised *r = &trace->recognised;
    snprintf(r->container, sizeof r->container, "folder: %.24s%s%.24s", force->file->name,
             turn->file != NULL ? ", " : "", turn->file != NULL ? turn->file->name : "");
    r->rows = force->table->rows;
    snprintf(r->columns, sizeof r->columns, "%.160s%s%.160s", force->table->description,
             turn->file != NULL ? "; " : "", turn->file != NULL ? turn->table->description : "");
}

enum bp_code bp_import_read_folder(struct bp_importer *im, const char *path, struct bp_trace *trace)
{
    struct folder f = {.im = im, .log_name = im->name};
    struct chosen force = {0}, turn = {0};
    enum bp_code code = list_files(&f, path);
    if (code == BP_OK) {
        code = choose_force(&f, &force);
    }
    if (code == BP_OK && force.file == NULL && name_only_file(&f)) {
        code = choose_force(&f, &force);
    }
    if (code != BP_OK) {
        return code;
    }
    if (force.file == NULL) {
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                              "no file in the folder is an accelerometer's log by its name and content");
    }
    bool own = force.part.force.width == BP_STREAM_WIDTH || force.part.turn.width > 0;
    if (!own) {
        code = choose_file(&f, BP_KIND_TURN, &turn);
    }
    if (code != BP_OK) {
        return code;
    }
    describe(trace, &force, &turn);
    return bp_import_assemble(im, &force.part, turn.file != NULL ? &turn.part : &force.part, trace);
}
