/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The list of a folder's or an archive's files, and which of them go together.
 */
#include "import/members.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum bp_code bp_import_begin_members(struct bp_members *m, struct bp_importer *im, const char *kind)
{
    const struct bp_import_settings *s = im->settings;
    *m = (struct bp_members){.im = im, .log_name = im->name, .kind = kind};
    m->bytes_left = s->archive_bytes_max != 0 ? s->archive_bytes_max : BP_IMPORT_ARCHIVE_BYTES_MAX;
    m->entries_left = s->archive_entries_max != 0 ? s->archive_entries_max : BP_IMPORT_ARCHIVE_ENTRIES_MAX;
    m->depth_max = s->archive_depth_max != 0 ? s->archive_depth_max : BP_IMPORT_ARCHIVE_DEPTH_MAX;
    m->list = bp_arena_take(im->arena, BP_MEMBERS_MAX, sizeof *m->list);
    return m->list != NULL ? BP_OK : bp_import_no_memory(im);
}

/* The folder a file lies in, where it is inside the log and named after a sensor alone
 * ("accelerometer/data.csv"). Returns the bytes of path in front of it, 0: there is none such. */
static size_t sensor_folder(const struct bp_members *m, const char *path, struct bp_heading *said)
{
    char name[BP_FOLDER_BYTES];
    const char *slash = strrchr(path, '/');
    size_t root = strlen(m->log_name), end = slash != NULL ? (size_t)(slash - path) : 0, first = end;
    while (first > 0 && path[first - 1] != '/') {
        first--;
    }
    if (first <= root || first == end || end - first >= sizeof name) {
        return 0;
    }
    memcpy(name, path + first, end - first);
    name[end - first] = '\0';
    bp_import_read_file_name(name, said);
    return said->kind != BP_KIND_NONE && said->demerits == 0 ? first : 0;
}

/* What a file's name says it holds, or else its folder's. Returns where the recording's folder ends. */
static size_t read_hint(const struct bp_members *m, const char *path, struct bp_heading *hint)
{
    struct bp_heading said;
    const char *slash = strrchr(path, '/');
    size_t home = sensor_folder(m, path, &said);
    bp_import_read_file_name(path, hint);
    if (home > 0 && hint->kind == BP_KIND_NONE) {
        said.demerits = hint->demerits;
        *hint = said;
    }
    return home > 0 ? home : slash != NULL ? (size_t)(slash - path) + 1 : 0;
}

static enum bp_code put_member(struct bp_members *m, const char *path, char *bytes, size_t count)
{
    size_t length = strlen(path);
    if (m->count == BP_MEMBERS_MAX) {
        return bp_import_fail(m->im, BP_ERR_LIMIT, 0, 0, "more than %d files in the %s", BP_MEMBERS_MAX,
                              m->kind);
    }
    struct bp_member *member = &m->list[m->count];
    member->path = bp_arena_take(m->im->arena, length + 1, 1);
    if (member->path == NULL) {
        return bp_import_no_memory(m->im);
    }
    memcpy(member->path, path, length + 1);
    const char *slash = strrchr(member->path, '/');
    member->name = slash != NULL ? slash + 1 : member->path;
    member->bytes = bytes;
    member->count = count;
    member->home = read_hint(m, member->path, &member->hint);
    m->count++;
    return BP_OK;
}

enum bp_code bp_import_add_member(struct bp_members *m, const char *path, char *bytes, size_t count)
{
    enum bp_code code = count > 0 ? put_member(m, path, bytes, count) : BP_OK;
    if (code != BP_OK || count == 0) {
        free(bytes);
    }
    return code;
}

void bp_import_free_members(struct bp_members *m)
{
    for (size_t i = 0; i < m->count; i++) {
        free(m->list[i].bytes);
    }
    m->count = 0;
}

bool bp_import_is_other_sensor(struct bp_members *m, const char *path)
{
    struct bp_heading hint;
    read_hint(m, path, &hint);
    m->attitude = m->attitude || hint.attitude;
    return hint.kind == BP_KIND_OTHER && !hint.attitude;
}

static bool ends_in(const char *name, const char *const *endings, size_t count)
{
    size_t length = strlen(name);
    for (size_t i = 0; i < count; i++) {
        size_t ending = strlen(endings[i]);
        bool same = length > ending && name[0] != '.';
        for (size_t k = 0; same && k < ending; k++) {
            char c = name[length - ending + k];
            same = (c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c) == endings[i][k];
        }
        if (same) {
            return true;
        }
    }
    return false;
}

bool bp_import_is_text_name(const char *name)
{
    static const char *const endings[] = {".csv", ".txt", ".tsv", ".dat"};
    return ends_in(name, endings, sizeof endings / sizeof endings[0]);
}

bool bp_import_may_be_text_name(const char *name)
{
    static const char *const endings[] = {".json", ".jsonl", ".ndjson", ".log", ".asc"};
    return bp_import_is_text_name(name) || ends_in(name, endings, sizeof endings / sizeof endings[0]) ||
           strchr(name, '.') == NULL;
}

bool bp_import_is_archive_name(const char *name)
{
    static const char *const endings[] = {".gz", ".tgz", ".zip", ".tar", ".xlsx"};
    return ends_in(name, endings, sizeof endings / sizeof endings[0]);
}

enum bp_code bp_import_open_member(struct bp_importer *im, const struct bp_member *file,
                                   struct bp_source *source)
{
    if (file->bytes == NULL) {
        return bp_import_open(im, file->path, source);
    }
    bp_import_open_bytes(file->bytes, file->count, source);
    return BP_OK;
}

/* ---- order ---- */

static size_t level(const struct bp_member *file)
{
    size_t n = 0;
    for (size_t i = 0; i < file->home; i++) {
        n += file->path[i] == '/';
    }
    return n;
}

static bool same_folder(const struct bp_member *a, const struct bp_member *b)
{
    return a->home == b->home && memcmp(a->path, b->path, a->home) == 0;
}

static bool has_plain_name(const struct bp_member *file)
{
    return bp_import_is_text_name(file->name) || !bp_import_may_be_text_name(file->name);
}

/* Beside a .csv a .json tells about the recording, and is one only where it stands alone. */
static void keep_plain_names(struct bp_members *m)
{
    size_t plain = 0, kept = 0;
    for (size_t i = 0; i < m->count; i++) {
        plain += has_plain_name(&m->list[i]);
    }
    for (size_t i = 0; i < m->count && plain > 0; i++) {
        if (has_plain_name(&m->list[i])) {
            m->list[kept++] = m->list[i];
        } else {
            free(m->list[i].bytes);
        }
    }
    m->count = plain > 0 ? kept : m->count;
}

/* By how deep they lie, then by folder, so that what belongs together stands together. */
static int by_folder(const void *a, const void *b)
{
    const struct bp_member *x = a, *y = b;
    size_t one = level(x), other = level(y);
    if (one != other) {
        return one < other ? -1 : 1;
    }
    int order = memcmp(x->path, y->path, x->home < y->home ? x->home : y->home);
    return order != 0 ? order : x->home < y->home ? -1 : x->home > y->home;
}

/* Plain names before decorated ones, gravity in before gravity out, then by name, so that the order in which
 * the folder lists them does not matter. */
static int by_preference(const void *a, const void *b)
{
    const struct bp_member *x = a, *y = b;
    if (x->hint.linear != y->hint.linear) {
        return x->hint.linear ? 1 : -1;
    }
    if (x->hint.demerits != y->hint.demerits) {
        return x->hint.demerits < y->hint.demerits ? -1 : 1;
    }
    return strcmp(x->path, y->path);
}

void bp_import_order_members(struct bp_members *m)
{
    if (m->count > 0) {
        keep_plain_names(m);
        qsort(m->list, m->count, sizeof *m->list, by_folder);
    }
}

bool bp_import_next_folder(const struct bp_members *m, size_t *at, struct bp_members *folder)
{
    size_t end = *at;
    *folder = *m;
    folder->list = m->list + *at;
    folder->attitude = false;
    if (end == m->count || level(&m->list[end]) > level(&m->list[0])) {
        return false;
    }
    for (; end < m->count && same_folder(&m->list[end], folder->list); end++) {
        folder->attitude = folder->attitude || m->list[end].hint.attitude;
    }
    folder->count = end - *at;
    *at = end;
    qsort(folder->list, folder->count, sizeof *folder->list, by_preference);
    return true;
}

const char *bp_import_folder_name(const struct bp_members *folder, int *length)
{
    size_t whole = folder->list[0].home;
    size_t shown = strlen(folder->log_name); /* the log itself is known */
    const char *path = folder->list[0].path;
    bool inside = whole > shown + 1 && strncmp(path, folder->log_name, shown) == 0 && path[shown] == '/';
    size_t from = inside ? shown + 1 : 0;
    *length = whole > from ? (int)(whole - from - 1) : 0;
    return path + from;
}
