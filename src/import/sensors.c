/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One file a sensor, in a folder or an archive: which file is which is said by its name's words, where its
 * header does not; the gyroscope is put on the accelerometer's clock. Files for other sensors and empty files
 * are passed over.
 */
#include "import/members.h"

#include "import/readers.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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

/* Of an attitude's own file nothing else is wanted, whatever x, y and z may look like. */
static void leave_attitude(struct bp_table *t)
{
    for (int r = BP_ROLE_FORCE; r < BP_ROLE_ATTITUDE; r++) {
        t->column[r] = NULL;
        t->layout.column[r] = -1;
    }
}

/* One file. Its own name stands in errors. */
static enum bp_code read_file(const struct bp_members *m, const struct bp_member *file,
                              struct bp_table *table, struct bp_part *part)
{
    struct bp_source source;
    struct bp_importer *im = m->im;
    im->name = file->path;
    enum bp_code code = bp_import_open_member(im, file, &source);
    if (code == BP_OK) {
        code = bp_import_table(im, &source, &file->hint, NULL, table);
        bp_import_close(&source);
    }
    if (code == BP_OK && file->hint.kind == BP_KIND_GRAVITY && table->column[BP_ROLE_GRAVITY] != NULL &&
        table->column[BP_ROLE_FORCE] == NULL) {
        gravity_as_force(table);
    }
    if (code == BP_OK && file->hint.attitude) {
        leave_attitude(table);
    }
    if (code == BP_OK) {
        code = bp_import_make_part(im, table, part);
    }
    im->name = m->log_name;
    return code;
}

enum { NAME_SHOWN = 80 };

static const char *file_kind(const struct bp_members *m)
{
    return m->sheets ? "sheet" : "file";
}

struct chosen {
    struct bp_table *table;
    struct bp_part part;
    const struct bp_member *file; /* NULL: none */
};

static bool holds(const struct bp_part *part, enum bp_kind kind)
{
    return kind == BP_KIND_TURN ? part->turn.width > 0 : part->force.width > 0;
}

/* The first file of a kind that holds what its kind should; files without a row are passed over. */
static enum bp_code choose_file(const struct bp_members *m, enum bp_kind kind, struct chosen *chosen)
{
    struct bp_table *table = bp_arena_take(&m->im->scratch, 1, sizeof *table);
    struct bp_findings *before = bp_arena_take(&m->im->scratch, 1, sizeof *before);
    chosen->file = NULL;
    if (table == NULL || before == NULL) {
        return bp_import_no_memory(m->im);
    }
    for (size_t i = 0; i < m->count; i++) {
        if (m->list[i].hint.kind != kind) {
            continue;
        }
        *before = *m->im->findings;
        enum bp_code code = read_file(m, &m->list[i], table, &chosen->part);
        if (code == BP_OK && holds(&chosen->part, kind)) {
            chosen->file = &m->list[i];
            chosen->table = table;
            return BP_OK;
        }
        if (code != BP_OK && code != BP_ERR_EMPTY) {
            return code;
        }
        *m->im->findings = *before;
    }
    bp_error_clear(m->im->error);
    return BP_OK;
}

double bp_import_shift_between(const struct bp_part *from, const struct bp_part *to)
{
    double epoch = from->zero_epoch_s - to->zero_epoch_s, elapsed = from->zero_elapsed_s - to->zero_elapsed_s;
    if (isfinite(epoch) && from->epoch_zoned == to->epoch_zoned) {
        return epoch;
    }
    return isfinite(elapsed) ? elapsed : 0.0;
}

/* Linear acceleration in one file, gravity in another. */
static enum bp_code add_gravity(struct bp_members *m, struct bp_part *force, const struct bp_part *gravity)
{
    struct bp_importer *im = m->im;
    double *out[3], shift = bp_import_shift_between(force, gravity);
    const struct bp_stream *g = &gravity->force;
    struct bp_stream *s = &force->force;
    double sign = bp_import_sign_beside_gravity(im, force);
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
            s->value[a][i] = sign * s->value[a][i] + out[a][i];
        }
    }
    force->linear = false;
    char most[BP_NUMBER_TEXT];
    bp_findings_add(im->findings, "gravity-added", BP_NOTE, (double)NAN,
                    "acceleration without gravity and the gravity file were added up, gravity put on the "
                    "acceleration's clock by straight lines, off by %s m/s2 at most",
                    bp_import_number(bp_import_line_error(g).most, most));
    return BP_OK;
}

/* The acceleration: a file with gravity in it before one without, and that one with gravity put back. */
static enum bp_code choose_force(struct bp_members *m, struct chosen *force)
{
    struct chosen gravity;
    struct bp_findings *before = bp_arena_take(&m->im->scratch, 1, sizeof *before);
    if (before == NULL) {
        return bp_import_no_memory(m->im);
    }
    *before = *m->im->findings;
    enum bp_code code = choose_file(m, BP_KIND_GRAVITY, &gravity);
    if (code == BP_ERR_MEMORY) {
        return code;
    }
    /* A gravity file that cannot be read is only missed where gravity is missing. */
    bp_error_clear(m->im->error);
    *m->im->findings = *before;
    m->im->companion_unit = gravity.file != NULL ? gravity.part.force_unit : NULL;
    code = choose_file(m, BP_KIND_FORCE, force);
    if (code != BP_OK || force->file == NULL || !force->part.linear || m->im->settings->gravity_removed) {
        return code;
    }
    /* Linear: is there another file that is not? */
    struct bp_member *first = &m->list[force->file - m->list];
    enum bp_kind kind = first->hint.kind;
    struct chosen other;
    *before = *m->im->findings;
    first->hint.kind = BP_KIND_NONE;
    code = choose_file(m, BP_KIND_FORCE, &other);
    first->hint.kind = kind;
    if (code == BP_ERR_MEMORY) {
        return code;
    }
    if (code == BP_OK && other.file != NULL && !other.part.linear) {
        *force = other;
        return BP_OK;
    }
    *m->im->findings = *before;
    bp_error_clear(m->im->error);
    return gravity.file != NULL ? add_gravity(m, &force->part, &gravity.part) : BP_OK;
}

/* The file of the phone's attitude, where the acceleration's has none. Nobody needs it: one that cannot be
 * read is said to be so. Errors: MEMORY. */
static enum bp_code choose_attitude(struct bp_members *m, struct bp_part *force)
{
    struct bp_importer *im = m->im;
    struct bp_table *table = bp_arena_take(&im->scratch, 1, sizeof *table);
    struct bp_findings *before = bp_arena_take(&im->scratch, 1, sizeof *before);
    struct bp_part part;
    if (table == NULL || before == NULL) {
        return bp_import_no_memory(im);
    }
    *before = *im->findings;
    for (size_t i = 0; i < m->count && force->attitude.form == BP_FORM_NONE; i++) {
        if (!m->list[i].hint.attitude) {
            continue;
        }
        enum bp_code code = read_file(m, &m->list[i], table, &part);
        *im->findings = *before;
        if (code == BP_ERR_MEMORY) {
            return code;
        }
        if (code == BP_OK && part.attitude.form != BP_FORM_NONE) {
            force->attitude = part.attitude;
            force->attitude.shift_s = bp_import_shift_between(force, &part);
        }
    }
    bp_error_clear(im->error);
    if (m->attitude && force->attitude.form == BP_FORM_NONE) {
        bp_import_ignore_attitude(im, "its file cannot be read");
    }
    return BP_OK;
}

static void describe(const struct bp_members *m, struct bp_trace *trace, const struct chosen *force,
                     const struct chosen *turn)
{
    struct bp_recognised *r = &trace->recognised;
    snprintf(r->container, sizeof r->container, "%s: %.24s%s%.24s", m->kind, force->file->name,
             turn->file != NULL ? ", " : "", turn->file != NULL ? turn->file->name : "");
    r->rows = force->table->rows;
    snprintf(r->columns, sizeof r->columns, "%.160s%s%.160s", force->table->description,
             turn->file != NULL ? "; " : "", turn->file != NULL ? turn->table->description : "");
}

/* Where no name says which file holds a kind, the headers of those whose names say nothing do. Files that
 * cannot be read are passed over. Errors: MEMORY, FORMAT (more than one acceleration). */
static enum bp_code look_into_files(struct bp_members *m, enum bp_kind kind)
{
    struct bp_importer *im = m->im;
    struct bp_table *table = bp_arena_take(&im->scratch, 1, sizeof *table);
    const struct bp_member *found = NULL;
    if (table == NULL) {
        return bp_import_no_memory(im);
    }
    for (size_t i = 0; i < m->count; i++) {
        struct bp_member *file = &m->list[i];
        struct bp_source source;
        if (file->hint.kind != BP_KIND_NONE || bp_import_open_member(im, file, &source) != BP_OK) {
            continue;
        }
        enum bp_code code = bp_import_table(im, &source, &file->hint, NULL, table);
        bp_import_close(&source);
        if (code == BP_ERR_MEMORY) {
            return code;
        }
        bool force = code == BP_OK && table->layout.column[BP_ROLE_FORCE] >= 0;
        bool turn = code == BP_OK && table->layout.column[BP_ROLE_TURN] >= 0;
        if (kind == BP_KIND_FORCE ? !force : force || !turn) {
            continue;
        }
        if (found != NULL && kind == BP_KIND_FORCE) {
            return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                                  "both '%.60s' and '%.60s' hold acceleration: give the one that is meant",
                                  found->name, file->name);
        }
        file->hint.kind = found == NULL ? kind : BP_KIND_NONE;
        found = found == NULL ? file : found;
    }
    bp_error_clear(im->error);
    return BP_OK;
}

/* A folder with a single log is that log, whatever its name. */
static enum bp_code read_only_file(struct bp_members *m)
{
    struct bp_importer *im = m->im;
    struct bp_source source;
    size_t first = im->shelf->count;
    im->name = m->list[0].path;
    enum bp_code code = bp_import_open_member(im, &m->list[0], &source);
    if (code != BP_OK) {
        return code;
    }
    code = bp_import_read_csv(im, &source);
    bp_import_close(&source);
    for (size_t i = first; i < im->shelf->count; i++) {
        struct bp_recognised *r = &im->shelf->list[i].trace->recognised;
        char container[sizeof r->container];
        memcpy(container, r->container, sizeof container);
        snprintf(r->container, sizeof container, "%s: %.50s", m->kind,
                 m->sheets ? m->list[0].name : container);
    }
    return code;
}

/* "acc_left", "acc_right": names that say the same of what they hold. */
static void note_others(struct bp_members *m, const struct bp_member *chosen)
{
    size_t alike = 0;
    for (size_t i = 0; i < m->count; i++) {
        const struct bp_heading *a = &m->list[i].hint, *b = &chosen->hint;
        alike += a->kind == b->kind && a->linear == b->linear && a->demerits == b->demerits;
    }
    if (alike > 1) {
        bp_findings_add(
            m->im->findings, "more-recordings", BP_RESERVATION, (double)NAN,
            "the %s holds %zu %ss of acceleration whose names say the same: only '%.60s' was read", m->kind,
            alike, file_kind(m), chosen->name);
    }
}

static enum bp_code choose(struct bp_members *m, enum bp_kind kind, struct chosen *chosen)
{
    enum bp_code code = kind == BP_KIND_FORCE ? choose_force(m, chosen) : choose_file(m, kind, chosen);
    if (code != BP_OK || chosen->file != NULL) {
        return code;
    }
    code = look_into_files(m, kind);
    if (code == BP_OK) {
        code = kind == BP_KIND_FORCE ? choose_force(m, chosen) : choose_file(m, kind, chosen);
    }
    return code;
}

static enum bp_code no_log(const struct bp_members *m)
{
    return bp_import_fail(m->im, BP_ERR_FORMAT, 0, 0,
                          "no %s in the %s is an accelerometer's log by its name and content", file_kind(m),
                          m->kind);
}

static enum bp_code read_folder(struct bp_members *m, struct bp_trace *trace)
{
    struct bp_importer *im = m->im;
    struct chosen force = {0}, turn = {0};
    enum bp_code code = choose(m, BP_KIND_FORCE, &force);
    if (code != BP_OK) {
        return code;
    }
    if (force.file == NULL) {
        return no_log(m);
    }
    note_others(m, force.file);
    bool own = force.part.force.width == BP_STREAM_WIDTH || force.part.turn.width > 0;
    code = own ? BP_OK : choose(m, BP_KIND_TURN, &turn);
    if (code != BP_OK) {
        return code;
    }
    describe(m, trace, &force, &turn);
    code = choose_attitude(m, &force.part);
    if (code != BP_OK) {
        return code;
    }
    return bp_import_assemble(im, &force.part, turn.file != NULL ? &turn.part : &force.part, trace);
}

static bool is_one_log(const struct bp_members *folder)
{
    return folder->count == 1 && folder->list[0].hint.kind == BP_KIND_NONE;
}

static enum bp_code read_next(struct bp_members *folder)
{
    struct bp_importer *im = folder->im;
    char place[NAME_SHOWN];
    int length;
    if (is_one_log(folder)) {
        return read_only_file(folder);
    }
    const char *name = bp_import_folder_name(folder, &length);
    snprintf(place, sizeof place, "folder '%.*s'", length, name);
    struct bp_trace *trace = bp_import_begin_recording(im, place);
    return trace != NULL ? bp_import_end_recording(im, read_folder(folder, trace)) : bp_import_no_memory(im);
}

/* In the findings of the last that was read. */
static void tell_unread(struct bp_members *next)
{
    int length;
    const char *name = bp_import_folder_name(next, &length);
    bp_findings_add(next->im->findings, "more-recordings", BP_RESERVATION, (double)NAN,
                    "the %s holds more folders of logs: '%.*s' and what comes behind it was not read",
                    next->kind, length < NAME_SHOWN ? length : NAME_SHOWN, name);
}

enum bp_code bp_import_read_members(struct bp_members *m)
{
    struct bp_members folder;
    size_t at = 0;
    enum bp_code code = BP_OK;
    bp_import_order_members(m);
    if (m->count == 0) {
        return no_log(m);
    }
    while (code == BP_OK && bp_import_next_folder(m, &at, &folder)) {
        if (!bp_import_wants_more(m->im)) {
            tell_unread(&folder);
            break;
        }
        code = read_next(&folder);
        m->im->name = m->log_name;
        m->im->companion_unit = NULL;
        bp_arena_reset(&m->im->scratch);
    }
    return code;
}
