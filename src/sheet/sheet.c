/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/sheet.h"

#include "import/source.h"
#include "sheet/parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHEET_GROWTH = 2, ROWS_FIRST = 64 };

struct parser {
    const char *path;
    struct bp_arena *arena;
    struct bp_sheet *sheet;
    struct bp_error *error;
    struct bp_sheet_columns columns;
    struct bp_records records;
    struct bp_record record;
    size_t capacity;
};

static enum bp_code fail(struct parser *p, enum bp_code code, size_t line, size_t column, const char *text)
{
    bp_error_set(p->error, code, "%s", text);
    bp_error_place(p->error, p->path != NULL ? p->path : "", line, column, (double)NAN);
    return code;
}

static enum bp_code no_memory(struct parser *p)
{
    fail(p, BP_ERR_MEMORY, 0, 0, "there is not enough memory to read the sheet");
    return BP_ERR_MEMORY;
}

static enum bp_code refuse_binary(struct parser *p, const char *bytes, size_t count)
{
    switch (bp_import_container(bytes, count)) {
    case BP_CONTAINER_TEXT:
        return BP_OK;
    case BP_CONTAINER_ARCHIVE: /* what spreadsheets keep by default is a zip */
        return fail(p, BP_ERR_FORMAT, 0, 0, "it is not text: save the sheet as CSV");
    case BP_CONTAINER_UTF16:
        return fail(p, BP_ERR_FORMAT, 0, 0, "it is UTF-16 text: save the sheet as CSV in UTF-8");
    default:
        return fail(p, BP_ERR_FORMAT, 0, 0, "it is not a sheet of text");
    }
}

/* ---- header ---- */

static size_t known_headings(const struct bp_record *record)
{
    size_t known = 0;
    for (size_t i = 0; i < record->count && i < BP_SHEET_COLUMNS_MAX; i++) {
        known += bp_sheet_read_heading(&record->cells[i]).role != BP_SHEET_EXTRA;
    }
    return known;
}

/* The separator with which the first filled line shows most headings; that line is then in p->record. */
static bool find_header(struct parser *p)
{
    static const char separators[] = {',', ';', '\t'};
    struct bp_records start = p->records, best = p->records;
    size_t most = 0;
    for (size_t s = 0; s < sizeof separators; s++) {
        struct bp_records trial = start, before = start;
        trial.separator = separators[s];
        bool found = false;
        while (!found) {
            before = trial;
            if (!bp_sheet_next(&trial, &p->record)) {
                return false;
            }
            found = !bp_sheet_is_blank(&p->record) && !bp_sheet_is_remark(&p->record);
        }
        size_t known = known_headings(&p->record);
        if (s == 0 || known > most) {
            most = known;
            best = before;
        }
    }
    p->records = best;
    return bp_sheet_next(&p->records, &p->record);
}

static enum bp_code take_heading(struct parser *p, size_t i, const char ***name)
{
    struct bp_sheet_columns *c = &p->columns;
    const struct bp_cell *cell = &p->record.cells[i];
    c->heading[i] = bp_sheet_read_heading(cell);
    enum bp_sheet_role role = c->heading[i].role;
    if (role == BP_SHEET_EXTRA) {
        *(*name)++ = bp_sheet_text(cell, p->arena);
        return (*name)[-1] != NULL ? BP_OK : no_memory(p);
    }
    if (c->at[role] != SIZE_MAX) {
        char text[BP_ERROR_TEXT];
        snprintf(text, sizeof text, "two columns mean the %s: rename one of them", bp_sheet_role_name(role));
        return fail(p, BP_ERR_COLUMNS, p->record.line, i + 1, text);
    }
    c->at[role] = i;
    return BP_OK;
}

static enum bp_code read_header(struct parser *p)
{
    if (!find_header(p)) {
        return fail(p, BP_ERR_EMPTY, 0, 0, "the sheet is empty");
    }
    if (p->record.unclosed) {
        return fail(p, BP_ERR_FORMAT, p->record.line, p->record.count, "a quote is opened and never closed");
    }
    if (p->record.bytes > BP_SHEET_ROW_BYTES_MAX) {
        return fail(p, BP_ERR_LIMIT, p->record.line, 0, "the row is too long");
    }
    if (p->record.count > BP_SHEET_COLUMNS_MAX) {
        return fail(p, BP_ERR_LIMIT, p->record.line, BP_SHEET_COLUMNS_MAX + 1,
                    "the sheet has too many columns");
    }
    p->columns.count = p->record.count;
    for (size_t r = 0; r < BP_SHEET_ROLES; r++) {
        p->columns.at[r] = SIZE_MAX;
    }
    const char **names = bp_arena_take(p->arena, p->columns.count, sizeof *names), **name = names;
    if (names == NULL) {
        return no_memory(p);
    }
    for (size_t i = 0; i < p->columns.count; i++) {
        enum bp_code code = take_heading(p, i, &name);
        if (code != BP_OK) {
            return code;
        }
    }
    if (p->columns.at[BP_SHEET_LOG] == SIZE_MAX) {
        return fail(p, BP_ERR_COLUMNS, p->record.line, 0,
                    "no column is headed \"log\": each row must name the recording of its set");
    }
    p->sheet->extra_names = names;
    p->sheet->extra_count = (size_t)(name - names);
    p->sheet->separator = p->records.separator;
    p->sheet->header_line = p->record.line;
    return BP_OK;
}

/* ---- rows ---- */

static bool room_for_row(struct parser *p)
{
    struct bp_sheet *s = p->sheet;
    if (s->row_count < p->capacity) {
        return true;
    }
    size_t wanted = p->capacity > 0 ? SHEET_GROWTH * p->capacity : ROWS_FIRST;
    struct bp_sheet_row *rows = bp_arena_take(p->arena, wanted, sizeof *rows);
    if (rows == NULL) {
        return false;
    }
    if (s->row_count > 0) {
        memcpy(rows, s->rows, s->row_count * sizeof *rows);
    }
    s->rows = rows;
    p->capacity = wanted;
    return true;
}

static void keep_error(struct parser *p, const struct bp_trouble *trouble, size_t column)
{
    struct bp_sheet *s = p->sheet;
    if (s->error_count < BP_SHEET_ERRORS_KEPT) {
        struct bp_error *e = &s->errors[s->error_count];
        bp_error_set(e, trouble->code, "%s", trouble->text);
        bp_error_place(e, p->path != NULL ? p->path : "", p->record.line, column, (double)NAN);
    }
    s->error_count++;
}

static enum bp_code read_row(struct parser *p)
{
    struct bp_sheet *s = p->sheet;
    struct bp_trouble trouble;
    size_t column;
    if (s->row_count + s->error_count == BP_SHEET_ROWS_MAX) {
        return fail(p, BP_ERR_LIMIT, p->record.line, 0, "the sheet has too many rows");
    }
    if (p->record.bytes > BP_SHEET_ROW_BYTES_MAX) {
        return fail(p, BP_ERR_LIMIT, p->record.line, 0, "the row is too long");
    }
    if (!room_for_row(p)) {
        return no_memory(p);
    }
    enum bp_code code =
        bp_sheet_read_row(&p->record, &p->columns, p->arena, &s->rows[s->row_count], &trouble, &column);
    if (code == BP_ERR_MEMORY) {
        return no_memory(p);
    }
    if (code == BP_OK) {
        s->row_count++;
    } else {
        keep_error(p, &trouble, column);
    }
    return BP_OK;
}

static enum bp_code read_rows(struct parser *p)
{
    p->sheet->errors = bp_arena_zero(p->arena, BP_SHEET_ERRORS_KEPT, sizeof *p->sheet->errors);
    if (p->sheet->errors == NULL) {
        return no_memory(p);
    }
    while (bp_sheet_next(&p->records, &p->record)) {
        if (bp_sheet_is_blank(&p->record) || bp_sheet_is_remark(&p->record)) {
            continue;
        }
        enum bp_code code = read_row(p);
        if (code != BP_OK) {
            return code;
        }
    }
    if (p->sheet->row_count + p->sheet->error_count == 0) {
        return fail(p, BP_ERR_EMPTY, p->sheet->header_line, 0, "there is a header but no row below it");
    }
    return BP_OK;
}

/* The folder of path with its '/', "" if there is none. NULL: no memory. */
static const char *folder_of(const char *path, struct bp_arena *arena)
{
    const char *slash = path != NULL && strcmp(path, "-") != 0 ? strrchr(path, '/') : NULL;
    size_t count = slash != NULL ? (size_t)(slash - path) + 1 : 0;
    char *folder = bp_arena_take(arena, count + 1, 1);
    if (folder != NULL) {
        memcpy(folder, count > 0 ? path : "", count);
        folder[count] = '\0';
    }
    return folder;
}

static enum bp_code parse(struct parser *p, const char *bytes, size_t count)
{
    static const char mark[] = "\xef\xbb\xbf";
    if (count > BP_SHEET_BYTES_MAX) {
        return fail(p, BP_ERR_LIMIT, 0, 0, "the sheet is larger than 16 MiB");
    }
    enum bp_code code = refuse_binary(p, bytes, count);
    p->columns.folder = folder_of(p->path, p->arena);
    if (code == BP_OK && p->columns.folder == NULL) {
        return no_memory(p);
    }
    size_t skip = count >= 3 && memcmp(bytes, mark, 3) == 0 ? 3 : 0;
    p->records = (struct bp_records){bytes + skip, bytes + count, ',', 1};
    code = code == BP_OK ? read_header(p) : code;
    return code == BP_OK ? read_rows(p) : code;
}

enum bp_code bp_sheet_parse(const char *bytes, size_t count, const char *path, struct bp_arena *arena,
                            struct bp_sheet *sheet, struct bp_error *error)
{
    bp_error_clear(error);
    memset(sheet, 0, sizeof *sheet);
    struct parser *p = bp_arena_zero(arena, 1, sizeof *p);
    if (p == NULL) {
        return bp_error_set(error, BP_ERR_MEMORY, "there is not enough memory to read the sheet");
    }
    p->path = path;
    p->arena = arena;
    p->sheet = sheet;
    p->error = error;
    enum bp_code code = parse(p, bytes, count);
    if (code != BP_OK) {
        memset(sheet, 0, sizeof *sheet);
    }
    return code;
}

/* The whole file, its cells pointing nowhere into it afterwards. *bytes is the caller's to free. */
static enum bp_code read_file(struct bp_importer *im, const char *path, char **bytes, size_t *count)
{
    struct bp_source source;
    enum bp_code code = bp_import_open(im, path, &source);
    if (code != BP_OK) {
        return code;
    }
    size_t capacity = source.size_hint > 0 && source.size_hint < BP_SHEET_BYTES_MAX ? source.size_hint + 1
                                                                                    : BP_SHEET_BYTES_MAX + 1;
    *bytes = malloc(capacity);
    code = *bytes == NULL ? bp_import_no_memory(im) : bp_import_read(im, &source, *bytes, capacity, count);
    bp_import_close(&source);
    if (code == BP_OK && *count == capacity && capacity <= BP_SHEET_BYTES_MAX) {
        return bp_import_fail(im, BP_ERR_READ, 0, 0, "it grew while it was read");
    }
    return code;
}

enum bp_code bp_sheet_read(const char *path, struct bp_arena *arena, struct bp_sheet *sheet,
                           struct bp_error *error)
{
    char *bytes = NULL;
    size_t count = 0;
    bp_error_clear(error);
    memset(sheet, 0, sizeof *sheet);
    if (path == NULL) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "no sheet is named");
    }
    struct bp_importer im = {.name = path, .error = error};
    enum bp_code code = read_file(&im, path, &bytes, &count);
    if (code == BP_OK) {
        code = bp_sheet_parse(bytes, count, path, arena, sheet, error);
    }
    free(bytes);
    return code;
}
