/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Workbooks (ECMA-376-1, 5th edition, part 18: SpreadsheetML), whose XML expat parses. A sheet is written
 * down as the text that a spreadsheet would export it to, but with a point in every number whatever the
 * country, and read from there on as any text log.
 */
#include "import/workbook.h"

#include "barplumb/text.h"

#include <expat.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* ECMA-376-1, 18.3.1: the last row and column there can be. */
enum { ROWS_MAX = 1048576, COLUMNS_MAX = 16384 };
enum { PATH_BYTES = 4096, ID_BYTES = 64 };

#define BOOK_PART "xl/workbook.xml"
#define LINKS_PART "xl/_rels/workbook.xml.rels"
#define STRINGS_PART "xl/sharedStrings.xml"
#define SHEETS_FOLDER "xl/worksheets/"

/* ---- parts ---- */

bool bp_import_is_workbook_part(const char *name)
{
    size_t length = strlen(name), folder = strlen(SHEETS_FOLDER);
    bool sheet = strncmp(name, SHEETS_FOLDER, folder) == 0 && length > folder + 4 &&
                 strchr(name + folder, '/') == NULL && strcmp(name + length - 4, ".xml") == 0;
    return sheet || strcmp(name, BOOK_PART) == 0 || strcmp(name, LINKS_PART) == 0 ||
           strcmp(name, STRINGS_PART) == 0;
}

enum bp_code bp_import_keep_part(struct bp_workbook *book, struct bp_importer *im, const char *name,
                                 char *bytes, size_t count)
{
    size_t length = strlen(name);
    struct bp_workbook_part *part = &book->part[book->count];
    if (book->count == BP_WORKBOOK_PARTS_MAX || length >= sizeof part->name || count > INT_MAX) {
        free(bytes);
        return bp_import_fail(im, BP_ERR_LIMIT, 0, 0,
                              "the workbook has more than %d sheets, or too large ones",
                              BP_WORKBOOK_PARTS_MAX - 3);
    }
    memcpy(part->name, name, length + 1);
    part->bytes = bytes;
    part->count = count;
    book->count++;
    return BP_OK;
}

void bp_import_free_workbook(struct bp_workbook *book)
{
    for (size_t i = 0; i < book->count; i++) {
        free(book->part[i].bytes);
    }
    book->count = 0;
}

static struct bp_workbook_part *find_part(struct bp_workbook *book, const char *name)
{
    for (size_t i = 0; i < book->count; i++) {
        if (strcmp(book->part[i].name, name) == 0) {
            return &book->part[i];
        }
    }
    return NULL;
}

/* ---- XML ---- */

struct reading {
    struct bp_members *members;
    XML_Parser parser;
    enum bp_code code; /* what stopped it… */
    bool said;         /* …of which the error tells already */
};

static enum bp_code refuse(struct bp_members *m, const char *part)
{
    return bp_import_fail(m->im, BP_ERR_FORMAT, 0, 0, "its part '%s' is no part of a workbook: not read",
                          part);
}

static void stop(struct reading *r, enum bp_code code)
{
    r->code = code;
    XML_StopParser(r->parser, XML_FALSE);
}

/* A workbook declares no document type; what does wants to make entities. */
static void XMLCALL on_doctype(void *data, const XML_Char *name, const XML_Char *system,
                               const XML_Char *public, int subset)
{
    (void)name, (void)system, (void)public, (void)subset;
    stop(data, BP_ERR_FORMAT);
}

/* "x:row": a name without its namespace's letters. */
static const char *local(const char *name)
{
    const char *colon = strchr(name, ':');
    return colon != NULL ? colon + 1 : name;
}

static bool is(const char *name, const char *wanted)
{
    return strcmp(local(name), wanted) == 0;
}

static const char *attribute(const char **attributes, const char *wanted)
{
    for (size_t i = 0; attributes[i] != NULL; i += 2) {
        if (is(attributes[i], wanted)) {
            return attributes[i + 1];
        }
    }
    return NULL;
}

/* One pass through a part. *reading is the first member of what the handlers are given. */
static enum bp_code parse(struct reading *reading, const struct bp_workbook_part *part,
                          XML_StartElementHandler start, XML_EndElementHandler end,
                          XML_CharacterDataHandler text)
{
    static const XML_Memory_Handling_Suite memory = {malloc, realloc, free};
    struct bp_members *m = reading->members;
    reading->parser = XML_ParserCreate_MM(NULL, &memory, NULL);
    reading->code = BP_OK;
    reading->said = false;
    if (reading->parser == NULL) {
        return bp_import_no_memory(m->im);
    }
    XML_SetUserData(reading->parser, reading);
    XML_SetElementHandler(reading->parser, start, end);
    XML_SetCharacterDataHandler(reading->parser, text);
    XML_SetStartDoctypeDeclHandler(reading->parser, on_doctype);
    enum XML_Status status = XML_Parse(reading->parser, part->bytes, (int)part->count, XML_TRUE);
    enum XML_Error error = XML_GetErrorCode(reading->parser);
    XML_ParserFree(reading->parser);
    if (reading->said) {
        return reading->code;
    }
    if (reading->code == BP_ERR_MEMORY || error == XML_ERROR_NO_MEMORY) {
        return bp_import_no_memory(m->im);
    }
    if (reading->code == BP_ERR_LIMIT) {
        return bp_import_fail(m->im, BP_ERR_LIMIT, 0, 0,
                              "written down, the workbook is larger than the limit for archives allows");
    }
    return status == XML_STATUS_OK ? BP_OK : refuse(m, part->name);
}

/* ---- shared strings: 18.4.8, each text once, named by its number ---- */

struct strings {
    struct reading reading;
    struct bp_text text; /* one behind the other, a NUL behind each */
    size_t *at;          /* [count] where each begins; malloc'ed */
    size_t count;
    bool inside, aside; /* of a <t>; of a reading aid <rPh>, which is no part of the text */
};

static void XMLCALL string_start(void *data, const XML_Char *name, const XML_Char **attributes)
{
    struct strings *s = data;
    (void)attributes;
    s->aside = s->aside || is(name, "rPh");
    s->inside = is(name, "t") && !s->aside;
}

static void XMLCALL string_end(void *data, const XML_Char *name)
{
    struct strings *s = data;
    s->inside = false;
    s->aside = s->aside && !is(name, "rPh");
    if (is(name, "si")) {
        bp_text_put_char(&s->text, '\0');
        s->count++;
    }
}

static void XMLCALL string_text(void *data, const XML_Char *bytes, int count)
{
    struct strings *s = data;
    if (s->inside) {
        bp_text_put_bytes(&s->text, bytes, (size_t)count);
    }
}

static enum bp_code read_strings(struct strings *s, struct bp_workbook *book)
{
    const struct bp_workbook_part *part = find_part(book, STRINGS_PART);
    enum bp_code code =
        part != NULL ? parse(&s->reading, part, string_start, string_end, string_text) : BP_OK;
    if (code != BP_OK || s->count == 0) {
        return code;
    }
    s->at = s->text.failed ? NULL : malloc(s->count * sizeof *s->at);
    if (s->at == NULL) {
        return bp_import_no_memory(s->reading.members->im);
    }
    for (size_t i = 0, at = 0; i < s->count; i++) {
        s->at[i] = at;
        at += strlen(s->text.data + at) + 1;
    }
    return BP_OK;
}

/* ---- a sheet: 18.3.1.99 (worksheet), .73 (row), .4 (c), .96 (v) ---- */

/* 18.18.11: what stands in the cell is its content, the number of a shared text, or an error. */
enum cell_type { CELL_PLAIN, CELL_SHARED, CELL_ERROR };

struct sheet {
    struct reading reading;
    const struct strings *strings;
    struct bp_text text, cell;
    enum cell_type type;
    size_t row, column;     /* of the cell in hand, from 1; 0: none yet */
    size_t written, filled; /* rows of text; cells of this row */
    size_t width;           /* of the widest row */
    bool inside, aside, write;
};

/* The number of a row in its attribute, or the next. 0: no row there can be. */
static size_t row_number(const char **attributes, size_t before)
{
    const char *said = attribute(attributes, "r");
    size_t row = said != NULL ? strtoul(said, NULL, 10) : before + 1;
    return row > before && row <= ROWS_MAX ? row : 0;
}

/* "C12" is in column 3; without a name, the next. 0: no column there can be. */
static size_t column_number(const char **attributes, size_t before)
{
    const char *said = attribute(attributes, "r");
    size_t column = said != NULL ? 0 : before + 1;
    for (; said != NULL && *said >= 'A' && *said <= 'Z' && column <= COLUMNS_MAX; said++) {
        column = 26 * column + (size_t)(*said - 'A') + 1;
    }
    return column > before && column <= COLUMNS_MAX ? column : 0;
}

static enum cell_type cell_type(const char **attributes)
{
    const char *type = attribute(attributes, "t");
    bool shared = type != NULL && strcmp(type, "s") == 0, error = type != NULL && strcmp(type, "e") == 0;
    return shared ? CELL_SHARED : error ? CELL_ERROR : CELL_PLAIN;
}

static void XMLCALL sheet_start(void *data, const XML_Char *name, const XML_Char **attributes)
{
    struct sheet *s = data;
    bool ours = true;
    if (is(name, "row")) {
        s->row = row_number(attributes, s->row);
        s->column = s->filled = 0;
        ours = s->row > 0;
    } else if (is(name, "c")) {
        s->column = column_number(attributes, s->column);
        s->type = cell_type(attributes);
        s->cell.length = 0;
        ours = s->row > 0 && s->column > 0;
    }
    s->aside = s->aside || is(name, "rPh");
    s->inside = (is(name, "v") || is(name, "t")) && !s->aside && s->column > 0;
    if (!ours) {
        stop(&s->reading, BP_ERR_FORMAT);
    }
}

static void XMLCALL sheet_text(void *data, const XML_Char *bytes, int count)
{
    struct sheet *s = data;
    if (s->inside) {
        bp_text_put_bytes(&s->cell, bytes, (size_t)count);
    }
}

/* What the cell says; false where it names a text there is none of. */
static bool cell_content(const struct sheet *s, const char **bytes, size_t *count)
{
    *bytes = s->cell.data;
    *count = s->type == CELL_ERROR ? 0 : s->cell.length;
    if (s->type == CELL_SHARED && *count > 0) {
        size_t index = strtoul(s->cell.data, NULL, 10);
        if (index >= s->strings->count) {
            return false;
        }
        *bytes = s->strings->text.data + s->strings->at[index];
        *count = strlen(*bytes);
    }
    return true;
}

/* Rows and cells that were left out stand empty, so that a line's number is its row's. */
static void put_cell(struct sheet *s, const char *bytes, size_t count)
{
    if (s->filled == 0) {
        bp_text_fill(&s->text, '\n', s->row - 1 - s->written);
        s->written = s->row - 1;
    }
    bp_text_fill(&s->text, '\t', s->column - (s->filled > 0 ? s->filled : 1));
    s->filled = s->column;
    size_t from = s->text.length;
    bp_text_put_bytes(&s->text, bytes, count);
    for (size_t i = from; i < s->text.length; i++) {
        if (s->text.data[i] == '\t' || s->text.data[i] == '\n' || s->text.data[i] == '\r') {
            s->text.data[i] = ' ';
        }
    }
}

static bool has_room(const struct sheet *s, size_t more)
{
    size_t most = s->reading.members->bytes_left;
    return s->text.length <= most && more <= most - s->text.length;
}

static void end_cell(struct sheet *s)
{
    const char *bytes;
    size_t count;
    if (s->cell.failed) {
        stop(&s->reading, BP_ERR_MEMORY);
    } else if (!cell_content(s, &bytes, &count)) {
        stop(&s->reading, BP_ERR_FORMAT);
    } else if (!has_room(s, count)) {
        stop(&s->reading, BP_ERR_LIMIT);
    } else if (count > 0 && s->write) {
        put_cell(s, bytes, count);
    } else if (count > 0 && s->column > s->width) {
        s->width = s->column;
    }
}

static void end_row(struct sheet *s)
{
    if (s->filled > 0) {
        bp_text_fill(&s->text, '\t', s->width - s->filled);
        bp_text_put_char(&s->text, '\n');
        s->written = s->row;
    }
    if (s->text.failed || !has_room(s, 0)) {
        stop(&s->reading, s->text.failed ? BP_ERR_MEMORY : BP_ERR_LIMIT);
    }
}

static void XMLCALL sheet_end(void *data, const XML_Char *name)
{
    struct sheet *s = data;
    s->inside = false;
    s->aside = s->aside && !is(name, "rPh");
    if (is(name, "c") && s->column > 0) {
        end_cell(s);
    } else if (is(name, "row")) {
        end_row(s);
        s->column = 0;
    }
}

/* Once for the width, so that every row has as many cells, and once for what is in it. */
static enum bp_code write_sheet(struct sheet *s, const struct bp_workbook_part *part)
{
    enum bp_code code = BP_OK;
    for (int pass = 0; code == BP_OK && pass < 2; pass++) {
        s->write = pass == 1;
        s->row = s->column = 0;
        s->inside = s->aside = false;
        code = parse(&s->reading, part, sheet_start, sheet_end, sheet_text);
    }
    return code;
}

/* ---- links: 9.3 of part 2; which part a sheet is ---- */

struct links {
    struct reading reading;
    size_t count;
    struct link {
        char id[ID_BYTES], part[BP_FOLDER_BYTES];
    } list[BP_WORKBOOK_PARTS_MAX];
};

/* Targets count from the folder of the book, or, behind a '/', from the zip's top. */
static void XMLCALL link_start(void *data, const XML_Char *name, const XML_Char **attributes)
{
    struct links *links = data;
    const char *id = attribute(attributes, "Id"), *target = attribute(attributes, "Target");
    if (!is(name, "Relationship") || id == NULL || target == NULL || links->count == BP_WORKBOOK_PARTS_MAX) {
        return;
    }
    struct link *link = &links->list[links->count];
    const char *folder = target[0] == '/' ? "" : "xl/";
    size_t first = strlen(folder), length = strlen(target += target[0] == '/'), named = strlen(id);
    if (first + length < sizeof link->part && named < sizeof link->id) {
        memcpy(link->part, folder, first);
        memcpy(link->part + first, target, length + 1);
        memcpy(link->id, id, named + 1);
        links->count++;
    }
}

/* ---- the book: 18.2.19 (sheet) ---- */

struct book {
    struct reading reading;
    struct bp_workbook *parts;
    const struct strings *strings;
    const struct links *links;
    const char *path;
};

static enum bp_code add_sheet(struct book *b, const struct bp_workbook_part *part, const char *name)
{
    struct bp_members *m = b->reading.members;
    struct sheet s = {.reading = {.members = m}, .strings = b->strings};
    char path[PATH_BYTES];
    size_t folder = strlen(b->path), length = strlen(name);
    bp_text_init(&s.text);
    bp_text_init(&s.cell);
    enum bp_code code = folder + length + 2 <= sizeof path ? write_sheet(&s, part) : refuse(m, part->name);
    bp_text_free(&s.cell);
    if (code != BP_OK) {
        bp_text_free(&s.text);
        return code;
    }
    memcpy(path, b->path, folder);
    path[folder] = '/';
    for (size_t i = 0; i <= length; i++) { /* what would look like a folder, or a file of another kind */
        path[folder + 1 + i] = name[i] == '/' || name[i] == '.' ? '_' : name[i];
    }
    m->bytes_left -= s.text.length;
    return bp_import_add_member(m, path, s.text.data, s.text.length);
}

static struct bp_workbook_part *linked_part(const struct book *b, const char *id)
{
    for (size_t i = 0; i < b->links->count; i++) {
        if (strcmp(b->links->list[i].id, id) == 0) {
            return find_part(b->parts, b->links->list[i].part);
        }
    }
    return NULL;
}

/* Charts stand among the sheets too, with parts of their own kind, which were not kept. A part is given back
 * as soon as it is read: one that is named twice reads as damaged. */
static void XMLCALL book_start(void *data, const XML_Char *name, const XML_Char **attributes)
{
    struct book *b = data;
    const char *title = attribute(attributes, "name"), *id = attribute(attributes, "id");
    struct bp_workbook_part *part =
        is(name, "sheet") && title != NULL && id != NULL ? linked_part(b, id) : NULL;
    if (part == NULL) {
        return;
    }
    enum bp_code code = add_sheet(b, part, title);
    free(part->bytes);
    part->bytes = NULL;
    part->count = 0;
    if (code != BP_OK) {
        b->reading.said = true;
        stop(&b->reading, code);
    }
}

static enum bp_code add_sheets(struct bp_members *m, const char *path, struct bp_workbook *parts)
{
    struct strings strings = {.reading = {.members = m}};
    struct links links = {.reading = {.members = m}};
    struct book book = {{.members = m}, parts, &strings, &links, path};
    const struct bp_workbook_part *part = find_part(parts, BOOK_PART), *link = find_part(parts, LINKS_PART);
    bp_text_init(&strings.text);
    enum bp_code code = link != NULL ? parse(&links.reading, link, link_start, NULL, NULL) : BP_OK;
    code = code == BP_OK ? read_strings(&strings, parts) : code;
    code = code == BP_OK ? parse(&book.reading, part, book_start, NULL, NULL) : code;
    bp_text_free(&strings.text);
    free(strings.at);
    return code;
}

enum bp_code bp_import_add_workbook(struct bp_members *m, const char *path, struct bp_workbook *book)
{
    struct bp_importer *im = m->im;
    const char *outer = im->name;
    enum bp_code code = BP_OK;
    if (find_part(book, BOOK_PART) != NULL) { /* else a folder called as a workbook's are */
        im->name = path;
        m->kind = "workbook";
        m->sheets = true;
        code = add_sheets(m, path, book);
        im->name = outer;
    }
    bp_import_free_workbook(book);
    return code;
}
