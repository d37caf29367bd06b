/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Records are parsed one by one, so that a long log needs little memory, and twice: what stands in the first
 * need not name all columns that come later.
 */
#include "import/json_log.h"

#include "base/spare.h"
#include "import/columns.h"
#include "import/dialect.h"
#include "import/words.h"

#include <errno.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    BYTES_MAX = 1 << 26,    /* 64 MB: half an hour of six axes at 200 Hz */
    DEPTH_MAX = 4,          /* objects in objects, and what holds the log */
    SERIES_MAX = 32,        /* sensors with an array each */
    PARSER_BYTES = 1048576, /* more than jansson takes for one record of a log */
    PATH_BYTES = 160
};

/* An array of records, or an object of columns, and where it was found. */
struct series {
    char path[PATH_BYTES];
    json_t *at;    /* borrowed */
    json_t *names; /* of the cells of each record, where they stand apart; borrowed, NULL: they do not */
    size_t rows;
    bool records; /* false: columns */
};

struct converter {
    struct bp_importer *im;
    struct bp_text *out;
    const char *at, *end; /* the first record, the text's end */
    json_t *whole;        /* owned; NULL: records stand one after another */
    struct series series[SERIES_MAX];
    size_t series_count;
    bool naming; /* the first time through: headings are gathered, nothing is written */
    bool cut;
    bool heads; /* some record names its cells */
    char *keys[BP_IMPORT_COLUMNS_MAX];
    json_t *cells[BP_IMPORT_COLUMNS_MAX]; /* of the record at hand, borrowed; NULL: none */
    size_t count;
    enum bp_code code;
};

static bool fail(struct converter *c, enum bp_code code, const char *why)
{
    c->code =
        code == BP_ERR_MEMORY ? bp_import_no_memory(c->im) : bp_import_fail(c->im, code, 0, 0, "%s", why);
    return false;
}

/* ---- columns ---- */

/* Its place; a new one the first time through. NULL where there is none: the columns are too many. */
static json_t **cell_of(struct converter *c, const char *path)
{
    for (size_t i = 0; i < c->count; i++) {
        if (strcmp(c->keys[i], path) == 0) {
            return &c->cells[i];
        }
    }
    if (!c->naming) {
        return NULL;
    }
    if (c->count == bp_import_column_limit(c->im->settings)) {
        fail(c, BP_ERR_LIMIT, "its records have more different names than columns are read");
        return NULL;
    }
    size_t length = strlen(path) + 1;
    char *key = bp_arena_take(&c->im->scratch, length, 1);
    if (key == NULL) {
        fail(c, BP_ERR_MEMORY, NULL);
        return NULL;
    }
    memcpy(key, path, length);
    c->keys[c->count] = key;
    return &c->cells[c->count++];
}

/* path, mark and name. False when that is too long: no sensor's name is. */
static bool join(char out[PATH_BYTES], const char *path, char mark, const char *name)
{
    size_t before = strlen(path), length = strlen(name), n = 0;
    if (before + 1 + length + 1 > PATH_BYTES) {
        return false;
    }
    for (; n < before; n++) {
        out[n] = path[n];
    }
    if (before > 0) {
        out[n++] = mark;
    }
    memcpy(out + n, name, length + 1);
    return true;
}

/* Puts a value, or what it is made of, in its cells. */
static void put_value(struct converter *c, const char *path, json_t *value, int depth)
{
    char deeper[PATH_BYTES];
    const char *name;
    json_t *member;
    if (c->code != BP_OK || depth > DEPTH_MAX) {
        return;
    }
    if (json_is_object(value)) {
        json_object_foreach(value, name, member)
        {
            if (join(deeper, path, '.', name)) {
                put_value(c, deeper, member, depth + 1);
            }
        }
        return;
    }
    for (size_t i = 0; json_is_array(value) && i < json_array_size(value) && i < BP_IMPORT_COLUMNS_MAX; i++) {
        char number[24];
        snprintf(number, sizeof number, "%zu", i);
        if (join(deeper, path, '_', number)) {
            put_value(c, deeper, json_array_get(value, i), depth + 1);
        }
    }
    if (!json_is_array(value)) {
        json_t **cell = cell_of(c, path);
        if (cell != NULL) {
            *cell = value;
        }
    }
}

/* ---- text ---- */

static void write_string(struct bp_text *out, const char *text)
{
    bp_text_put_char(out, '"');
    for (; *text != '\0'; text++) {
        bp_text_put_char(out, *text == '"' || (unsigned char)*text < ' ' ? ' ' : *text);
    }
    bp_text_put_char(out, '"');
}

static void write_cell(struct bp_text *out, const json_t *value)
{
    char whole[32];
    if (json_is_string(value)) {
        write_string(out, json_string_value(value));
    } else if (json_is_integer(value)) {
        snprintf(whole, sizeof whole, "%" JSON_INTEGER_FORMAT, json_integer_value(value));
        bp_text_put(out, whole);
    } else if (json_is_real(value)) {
        bp_text_put_number(out, json_real_value(value), 9);
    } else if (json_is_boolean(value)) {
        bp_text_put(out, json_is_true(value) ? "yes" : "no");
    }
}

/* Ends the record at hand. name: its series', where there are several. */
static bool end_record(struct converter *c, const char *name)
{
    if (c->code == BP_OK && !c->naming) {
        for (size_t i = 0; i < c->count; i++) {
            if (i > 0) {
                bp_text_put_char(c->out, ',');
            }
            write_cell(c->out, c->cells[i]);
        }
        if (c->series_count > 1) {
            bp_text_put_char(c->out, ',');
            write_string(c->out, name);
        }
        bp_text_put_char(c->out, '\n');
        if (c->out->failed) {
            fail(c, BP_ERR_MEMORY, NULL);
        }
    }
    memset(c->cells, 0, sizeof c->cells);
    return c->code == BP_OK;
}

static void write_headings(struct converter *c)
{
    for (size_t i = 0; i < c->count; i++) {
        if (i > 0) {
            bp_text_put_char(c->out, ',');
        }
        write_string(c->out, c->keys[i]);
    }
    bp_text_put(c->out, c->series_count > 1 ? ",\"sensor\"\n" : "\n");
}

/* ---- records one after another ---- */

static const char *skip_marks(const char *at, const char *end)
{
    while (at < end && strchr(" \t\r\n,", *at) != NULL && *at != '\0') {
        at++;
    }
    return at;
}

/* The value at *at, which goes behind it. NULL with c->code OK: there is no more. */
static json_t *next_value(struct converter *c, const char **at, size_t *number)
{
    json_error_t fault;
    *at = skip_marks(*at, c->end);
    if (*at == c->end || **at == ']') {
        return NULL;
    }
    ++*number;
    if (!bp_spare_memory(PARSER_BYTES)) { /* or jansson asserts on a long string with an escape */
        fail(c, BP_ERR_MEMORY, NULL);
        return NULL;
    }
    errno = 0;
    json_t *value = json_loadb(*at, (size_t)(c->end - *at), JSON_DISABLE_EOF_CHECK, &fault);
    if (value != NULL) {
        *at += fault.position;
        return value;
    }
    if (json_error_code(&fault) == json_error_out_of_memory || errno == ENOMEM) {
        fail(c, BP_ERR_MEMORY, NULL);
    } else if (json_error_code(&fault) == json_error_premature_end_of_input && *number > 2) {
        c->cut = true;
    } else {
        c->code = bp_import_fail(c->im, BP_ERR_FORMAT, 0, 0, "record %zu of it is no JSON: %.80s", *number,
                                 fault.text);
    }
    return NULL;
}

static void visit_records(struct converter *c)
{
    const char *at = c->at;
    size_t number = 0;
    json_t *value;
    while (c->code == BP_OK && (value = next_value(c, &at, &number)) != NULL) {
        c->heads = c->heads || json_is_object(value);
        put_value(c, "", value, 0);
        end_record(c, "");
        json_decref(value);
    }
}

/* ---- one object with all in it ---- */

/* Entries of a list: an array, or an object whose members are counted from "0" on. 0: it is none. */
static size_t list_size(const json_t *value)
{
    if (json_is_array(value)) {
        return json_array_size(value);
    }
    return json_object_get(value, "0") != NULL && json_object_get(value, "1") != NULL
               ? json_object_size(value)
               : 0;
}

/* NULL: there is none. */
static json_t *list_get(const json_t *value, size_t i)
{
    char number[24];
    if (json_is_array(value)) {
        return json_array_get(value, i);
    }
    snprintf(number, sizeof number, "%zu", i);
    return json_object_get(value, number);
}

static bool is_column(const json_t *value)
{
    const json_t *first = list_get(value, 0);
    return list_size(value) > 1 && !json_is_array(first) && !json_is_object(first);
}

/* A member that has an entry for each of `rows` rows. */
static bool has_rows(const json_t *member, size_t rows)
{
    return list_size(member) == rows && rows > 1;
}

/* A column's name: a text, or what an object says it is called. NULL: neither. */
static const char *name_of(const json_t *value)
{
    return json_string_value(json_is_object(value) ? json_object_get(value, "name") : value);
}

static bool are_names(const json_t *value)
{
    for (size_t i = 0; i < json_array_size(value); i++) {
        if (name_of(json_array_get(value, i)) == NULL) {
            return false;
        }
    }
    return json_array_size(value) > 1;
}

/* Rows of the longest column; 0: there is none. */
static size_t longest_column(json_t *columns)
{
    size_t longest = 0;
    const char *name;
    json_t *member;
    json_object_foreach(columns, name, member)
    {
        longest = is_column(member) && list_size(member) > longest ? list_size(member) : longest;
    }
    return longest;
}

static void add_series(struct converter *c, const char *path, json_t *at, json_t *names)
{
    if (c->series_count < SERIES_MAX) {
        struct series *s = &c->series[c->series_count++];
        size_t longest = longest_column(at);
        memcpy(s->path, path, strlen(path) + 1);
        s->at = at;
        s->names = names;
        s->records = longest == 0;
        s->rows = s->records ? list_size(at) : longest;
    }
}

/* The member that holds rows of so many cells each; NULL: none. */
static json_t *rows_of(json_t *value, size_t cells)
{
    const char *name;
    json_t *member;
    json_object_foreach(value, name, member)
    {
        if (json_array_size(member) > 1 && json_array_size(json_array_get(member, 0)) == cells) {
            return member;
        }
    }
    return NULL;
}

/* A column of that many times: then the rows beside it are a column too, and no table of their own. */
static bool has_times(json_t *value, size_t rows)
{
    const char *name;
    json_t *member;
    struct bp_heading heading;
    json_object_foreach(value, name, member)
    {
        bp_import_read_heading(name, strlen(name), &heading);
        if (heading.kind == BP_KIND_TIME && is_column(member) && has_rows(member, rows)) {
            return true;
        }
    }
    return false;
}

/* {"columns": ["t", "ax", …], "data": [[…], …]}: takes the rows and their names. */
static bool take_named_rows(struct converter *c, const char *path, json_t *value)
{
    const char *name;
    json_t *member;
    json_object_foreach(value, name, member)
    {
        json_t *rows = are_names(member) ? rows_of(value, json_array_size(member)) : NULL;
        if (rows != NULL && !has_times(value, json_array_size(rows))) {
            add_series(c, path, rows, member);
            return true;
        }
    }
    return false;
}

static void find_series(struct converter *c, const char *path, json_t *value, int depth)
{
    char deeper[PATH_BYTES];
    const char *name;
    json_t *member;
    if (depth > DEPTH_MAX || take_named_rows(c, path, value)) {
        return;
    }
    bool records = list_size(value) > 1 && !is_column(value);
    if (records || longest_column(value) > 0) {
        add_series(c, path, value, NULL);
        return;
    }
    json_object_foreach(value, name, member)
    {
        if (join(deeper, path, '.', name)) {
            find_series(c, deeper, member, depth + 1);
        }
    }
}

/* Row i of an object of columns; rows: of the longest. A column's entries may be made of several numbers. */
static void put_columns_row(struct converter *c, const char *path, json_t *columns, size_t i, size_t rows,
                            int depth)
{
    char deeper[PATH_BYTES];
    const char *name;
    json_t *member;
    json_object_foreach(columns, name, member)
    {
        if (!join(deeper, path, '.', name)) {
            continue;
        }
        if (is_column(member) || has_rows(member, rows)) {
            put_value(c, deeper, list_get(member, i), depth + 1);
        } else if (json_is_object(member) && depth < DEPTH_MAX) {
            put_columns_row(c, deeper, member, i, rows, depth + 1);
        }
    }
}

/* "ax (m/s2)", where the name's object tells a unit. Returns name where it tells none. */
static const char *with_unit(const json_t *value, const char *name, char out[PATH_BYTES])
{
    const json_t *unit = json_object_get(value, "unit");
    const char *text = json_string_value(unit != NULL ? unit : json_object_get(value, "units"));
    int n = text != NULL ? snprintf(out, PATH_BYTES, "%s (%s)", name, text) : -1;
    return n > 0 && n < PATH_BYTES ? out : name;
}

/* A record that is an array, under names that stand apart. */
static void put_named_row(struct converter *c, const json_t *names, const json_t *record)
{
    char named[PATH_BYTES];
    for (size_t i = 0; i < json_array_size(names); i++) {
        const json_t *name = json_array_get(names, i);
        put_value(c, with_unit(name, name_of(name), named), json_array_get(record, i), 1);
    }
}

/* Record i of a series, if it has so many. */
static void visit_record(struct converter *c, const struct series *s, size_t i)
{
    if (i >= s->rows || c->code != BP_OK) {
        return;
    }
    json_t *record = s->records ? list_get(s->at, i) : NULL;
    c->heads = c->heads || !s->records || s->names != NULL || json_is_object(record);
    if (!s->records) {
        put_columns_row(c, "", s->at, i, s->rows, 0);
    } else if (s->names != NULL) {
        put_named_row(c, s->names, record);
    } else if (record != NULL) { /* of numbered entries one may be missing */
        put_value(c, "", record, 0);
    }
    end_record(c, s->path);
}

/* Several series by turns: the table's first rows show whose rows there are. */
static void visit(struct converter *c)
{
    size_t longest = 0;
    if (c->whole == NULL) {
        visit_records(c);
    }
    for (size_t k = 0; k < c->series_count; k++) {
        longest = c->series[k].rows > longest ? c->series[k].rows : longest;
    }
    for (size_t i = 0; i < longest && c->code == BP_OK; i++) {
        for (size_t k = 0; k < c->series_count; k++) {
            visit_record(c, &c->series[k], i);
        }
    }
}

/* What stands beside the readings and may tell their rate ("sample_rate": 100, "interval_ms": 10), as remarks
 * above the table. */
static void write_rates(struct converter *c, json_t *value, int depth)
{
    const char *name;
    json_t *member;
    json_object_foreach(value, name, member)
    {
        if (json_is_object(member) && depth < DEPTH_MAX) {
            write_rates(c, member, depth + 1);
        } else if (json_is_number(member) && strlen(name) < PATH_BYTES && strpbrk(name, "\r\n") == NULL) {
            char number[40], line[PATH_BYTES + sizeof number + 8];
            bp_number_write(json_number_value(member), 9, number, sizeof number);
            snprintf(line, sizeof line, "# %s: %s\n", name, number);
            if (bp_import_told_rate(line, strlen(line), '\n') > 0.0) {
                bp_text_put(c->out, line);
            }
        }
    }
}

/* A single object is looked into; more are records. */
static void settle_form(struct converter *c)
{
    static const char mark[] = "\xef\xbb\xbf";
    size_t number = 0;
    if (c->end - c->at >= 3 && memcmp(c->at, mark, 3) == 0) {
        c->at += 3;
    }
    c->at = skip_marks(c->at, c->end);
    c->at += c->at < c->end && *c->at == '[';
    const char *at = c->at;
    json_t *first = next_value(c, &at, &number);
    at = skip_marks(at, c->end);
    if (first != NULL && (at == c->end || *at == ']')) {
        c->whole = first;
        find_series(c, "", first, 0);
        if (c->series_count == 0) {
            fail(c, BP_ERR_EMPTY, "it is JSON, but no list of readings is in it");
        }
    } else {
        json_decref(first);
    }
}

enum bp_code bp_import_json_text(struct bp_importer *im, struct bp_source *source, struct bp_text *text,
                                 bool *cut)
{
    char *bytes;
    size_t count;
    struct converter *c = bp_arena_zero(&im->scratch, 1, sizeof *c);
    bp_text_init(text);
    *cut = false;
    if (c == NULL) {
        return bp_import_no_memory(im);
    }
    enum bp_code code = bp_import_slurp(im, source, BYTES_MAX, &bytes, &count);
    if (code != BP_OK) {
        return code;
    }
    c->im = im;
    c->out = text;
    c->at = bytes;
    c->end = bytes + count;
    c->naming = true;
    settle_form(c);
    if (c->code == BP_OK) {
        visit(c);
        c->naming = false;
    }
    if (c->code == BP_OK) {
        write_rates(c, c->whole, 0);
    }
    if (c->code == BP_OK && c->heads) {
        write_headings(c);
    }
    if (c->code == BP_OK) {
        visit(c);
    }
    *cut = c->cut;
    json_decref(c->whole);
    free(bytes);
    return c->code;
}
