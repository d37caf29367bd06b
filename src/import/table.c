/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A text log as a table: its first block settles how it is written and which columns are wanted, then the
 * rest is read.
 */
#include "import/table.h"

#include "import/json_log.h"
#include "import/rows.h"
#include "import/worded.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    ROWS_FIRST = 4096,            /* where the log's size is not known */
    PREAMBLE_BYTES_MAX = 1 << 24, /* past this much text without a row it is no log */
    WORDED_BYTES_MAX = 1 << 26    /* of a log with words in its rows, which is held whole */
};

/* Rows in the rest of a log of known size, from the length of its first rows, and a little over. */
static size_t expected_rows(const struct bp_source *source, const char *rows, size_t count, char line_end,
                            size_t rows_max)
{
    size_t lines = 0;
    const char *at = rows, *end = rows + count;
    while (at < end && (at = memchr(at, line_end, (size_t)(end - at))) != NULL) {
        lines++;
        at++;
    }
    if (source->size_hint == 0 || lines == 0) {
        return lines > ROWS_FIRST ? lines : ROWS_FIRST;
    }
    double rows_expected = (double)source->size_hint / ((double)count / (double)lines) * 1.02 + 64.0;
    return rows_expected < (double)rows_max ? (size_t)rows_expected : rows_max;
}

/* The text being read, in blocks. */
struct text {
    struct bp_source *source;
    char *buffer;
    size_t capacity, held;
    bool last;   /* nothing comes behind what is held */
    bool worded; /* no table as it stands, but one without the words in its rows */
};

/* The row that could not be read ends its recording, and not the log. Goes on in the same block. */
static bool look_for_header(struct bp_row_reader *r, enum bp_code code, bool follow, size_t line)
{
    if (!follow || r->lost_line > 0 || code == BP_ERR_MEMORY || r->header_count == 0) {
        return false;
    }
    r->lost_line = r->line;
    r->line = line;
    return true;
}

/* Rows to the end, or to the header that stands again: what is held from there on is kept. follow: a
 * recording behind this one is wanted whatever becomes of this one. */
static enum bp_code read_rest(struct bp_row_reader *r, struct text *text, bool follow)
{
    size_t at = r->table->dialect.data_at;
    enum bp_code failed = BP_OK;
    for (;;) {
        size_t used, got, line = r->line;
        text->buffer[text->held] =
            r->table->dialect.line_end; /* stops who runs on: there is always one byte more */
        enum bp_code code = bp_import_read_rows(r, text->buffer + at, text->held - at, text->last, &used);
        if (code != BP_OK && look_for_header(r, code, follow, line)) {
            failed = code;
            continue;
        }
        if (code != BP_OK) {
            text->held = 0;
            return failed != BP_OK ? failed : code;
        }
        size_t kept = r->done || !text->last ? text->held - at - used : 0;
        memmove(text->buffer, text->buffer + at + used, kept);
        text->held = kept;
        if (text->last || r->done) {
            return failed;
        }
        at = 0;
        code = bp_import_read(r->im, text->source, text->buffer + kept, text->capacity - kept, &got);
        if (code != BP_OK) {
            text->held = 0;
            return code;
        }
        if (got > 0 && memchr(text->buffer + kept, '\0', got) != NULL) {
            text->held = 0;
            return bp_import_fail(r->im, BP_ERR_FORMAT, r->line, 0, "a zero byte is in the text");
        }
        text->held = kept + got;
        text->last = text->held < text->capacity;
    }
}

static bool prepare(struct bp_row_reader *r)
{
    struct bp_table *t = r->table;
    const struct bp_import_settings *s = r->im->settings;
    for (size_t c = 0; c < BP_IMPORT_COLUMNS_MAX; c++) {
        r->role_of[c] = -1;
    }
    for (int role = BP_ROLE_COUNT; role-- > 0;) { /* the acceleration's last: it may share its columns */
        if (t->layout.column[role] >= 0) {
            r->role_of[t->layout.column[role]] = role;
        }
    }
    size_t rows_max = s->rows_max != 0 ? s->rows_max : BP_IMPORT_ROWS_MAX;
    r->rows_max = rows_max > r->im->rows_read ? rows_max - r->im->rows_read : 0;
    r->line_max = bp_import_line_limit(s);
    r->line = r->next_line = t->dialect.data_line;
    r->skip_rows = t->layout.skip_rows;
    t->steps[0].row = 0;
    t->steps[0].line = t->dialect.data_line + t->layout.skip_rows;
    t->step_count = 1;
    r->next_line = t->steps[0].line;
    if (t->dialect.header_count > 0) {
        r->header = bp_arena_take(&r->im->scratch, t->dialect.header_count, 1);
        if (r->header == NULL) {
            return false;
        }
        memcpy(r->header, t->dialect.header, t->dialect.header_count);
        r->header_count = t->dialect.header_count;
        if (r->header[r->header_count - 1] == '\r') {
            r->header_count--;
        }
    }
    return true;
}

/* Two wanted columns cannot be one: the table keeps a cell once. */
static enum bp_code check_twice(struct bp_importer *im, const struct bp_layout *layout)
{
    for (int a = 0; layout->selector.column < 0 && a < BP_ROLE_COUNT; a++) {
        for (int b = a + 1; b < BP_ROLE_COUNT; b++) {
            if (layout->column[a] >= 0 && layout->column[a] == layout->column[b]) {
                return bp_import_fail(im, BP_ERR_ARGUMENT, 0, (size_t)layout->column[a] + 1,
                                      "columns: the same column is named twice");
            }
        }
    }
    return BP_OK;
}

static void read_first_epoch(struct bp_table *t, const char *block, size_t count)
{
    const struct bp_layout *l = &t->layout;
    struct bp_cell cells[BP_IMPORT_COLUMNS_MAX];
    struct bp_stamp stamp;
    double value;
    t->epoch_first_s = l->start_epoch_s;
    if (l->epoch < 0) {
        return;
    }
    const char *at = block + t->dialect.data_at, *end = block + count;
    const char *stop = bp_import_line_end(at, end, t->dialect.line_end, true);
    size_t n = bp_import_split(at, (size_t)(stop - at), t->dialect.separator, cells, BP_IMPORT_COLUMNS_MAX);
    if ((size_t)l->epoch >= n) {
        return;
    }
    if (l->epoch_stamp && bp_import_cell_stamp(&cells[l->epoch], &stamp)) {
        t->epoch_first_s = stamp.seconds;
    } else if (!l->epoch_stamp && bp_import_cell_number(&cells[l->epoch], t->dialect.point, &value)) {
        double factor = bp_import_epoch_factor(value);
        t->epoch_first_s = factor > 0.0 ? value * factor : (double)NAN;
    }
}

static void name_container(struct bp_table *t)
{
    const struct bp_dialect *d = &t->dialect;
    if (d->blanks) {
        snprintf(t->container, sizeof t->container, "text, separated by blanks%s",
                 d->point == ',' ? ", decimal comma" : "");
    } else if (d->separator == '\t') {
        snprintf(t->container, sizeof t->container, "CSV, separator TAB%s",
                 d->point == ',' ? ", decimal comma" : "");
    } else {
        snprintf(t->container, sizeof t->container, "CSV, separator '%c'%s", d->separator,
                 d->point == ',' ? ", decimal comma" : "");
    }
}

/* The block once more with one TAB for each run of blanks. If that is a log, the source goes on so. */
static enum bp_code sniff_blanks(struct bp_importer *im, struct text *text, size_t line,
                                 struct bp_dialect *dialect)
{
    struct bp_blanks blanks = {0};
    char *before = malloc(text->held + 1);
    size_t got;
    if (before == NULL) {
        return bp_import_no_memory(im);
    }
    memcpy(before, text->buffer, text->held);
    size_t closed = bp_import_close_blanks(&blanks, text->buffer, text->held);
    enum bp_code code = bp_import_sniff(im, text->buffer, closed, text->last, line, dialect);
    if (code == BP_OK) {
        text->source->padded = true;
        text->source->blanks = blanks;
        code = bp_import_read(im, text->source, text->buffer + closed, text->capacity - closed, &got);
        text->held = closed + got;
        text->last = text->held < text->capacity;
    } else {
        memcpy(text->buffer, before, text->held);
    }
    free(before);
    return code;
}

/* How the block is written. Errors: those of bp_import_sniff for the block as it is. */
static enum bp_code sniff(struct bp_importer *im, struct text *text, size_t line, struct bp_dialect *dialect)
{
    enum bp_code code = bp_import_sniff(im, text->buffer, text->held, text->last, line, dialect);
    if ((code != BP_ERR_FORMAT && code != BP_ERR_EMPTY) || text->source->padded ||
        bp_import_is_worded(text->buffer, text->held, true)) {
        return code;
    }
    bp_error_clear(im->error);
    code = sniff_blanks(im, text, line, dialect);
    if (code == BP_OK || code == BP_ERR_MEMORY || code == BP_ERR_READ) {
        return code;
    }
    bp_error_clear(im->error);
    return bp_import_sniff(im, text->buffer, text->held, text->last, line, dialect);
}

/* How the log is written, from the first block that has rows in it: before them there may be thousands of
 * lines of remarks. */
static enum bp_code find_rows(struct bp_importer *im, struct text *text, size_t line,
                              struct bp_dialect *dialect)
{
    size_t passed = 0;
    char *buffer = text->buffer;
    for (;;) {
        enum bp_code code = sniff(im, text, line, dialect);
        if ((code != BP_ERR_FORMAT && code != BP_ERR_EMPTY) || text->last || passed > PREAMBLE_BYTES_MAX ||
            (passed == 0 && bp_import_is_worded(buffer, text->held, false))) {
            dialect->blanks = text->source->padded;
            return code;
        }
        size_t drop = text->held - bp_import_line_limit(im->settings), got;
        const char *end = memchr(buffer + drop, dialect->line_end, text->held - drop);
        if (end == NULL) {
            return code;
        }
        bp_error_clear(im->error);
        drop = (size_t)(end + 1 - buffer);
        for (const char *c = buffer; c <= end; c++) {
            line += *c == dialect->line_end;
        }
        memmove(buffer, buffer + drop, text->held - drop);
        passed += drop;
        code = bp_import_read(im, text->source, buffer + text->held - drop, drop, &got);
        if (code != BP_OK) {
            return code;
        }
        text->held += got - drop;
        text->last = text->held < text->capacity;
    }
}

/* How the log is written, and which columns are wanted. */
static enum bp_code begin_table(struct bp_importer *im, struct text *text, size_t line,
                                const struct bp_heading *hint, struct bp_table *t)
{
    size_t got = 0;
    enum bp_code code = text->held == 0 ? bp_import_widen(im, text->source) : BP_OK;
    if (code == BP_OK) {
        code = bp_import_read(im, text->source, text->buffer + text->held, text->capacity - text->held, &got);
    }
    text->held += got;
    text->last = text->held < text->capacity;
    if (code == BP_OK) {
        code = bp_import_refuse_binary(im, text->buffer, text->held);
    }
    if (code == BP_OK) {
        code = find_rows(im, text, line, &t->dialect);
    }
    if (code == BP_OK) {
        code = bp_import_choose_columns(im, text->buffer, text->held, &t->dialect, hint, &t->layout,
                                        t->description);
    }
    return code == BP_OK ? check_twice(im, &t->layout) : code;
}

/* Rows to make room for at first. Behind the first recording the log's size says nothing. */
static size_t rows_at_first(const struct bp_row_reader *r, const struct text *text, bool first)
{
    const struct bp_dialect *d = &r->table->dialect;
    const struct bp_source unknown = {.size_hint = 0}, *source = first ? text->source : &unknown;
    size_t rows =
        expected_rows(source, text->buffer + d->data_at, text->held - d->data_at, d->line_end, r->rows_max);
    size_t most = r->rows_max > 0 ? r->rows_max : 1;
    return rows < most ? rows : most;
}

/* It begins a log that is no table of a sensor as it stands, and is one without the words in its rows. */
static bool is_worded(const struct text *text, enum bp_code code, const struct bp_layout *layout)
{
    bool table = code == BP_OK,
         none = code == BP_ERR_FORMAT || code == BP_ERR_EMPTY || code == BP_ERR_COLUMNS;
    size_t found = 0;
    for (int role = BP_ROLE_FORCE; table && role < BP_ROLE_COUNT; role++) {
        found += layout->column[role] >= 0;
    }
    return (none || (table && found == 0)) && bp_import_is_worded(text->buffer, text->held, table);
}

static enum bp_code read_table(struct bp_importer *im, struct text *text, size_t line,
                               const struct bp_heading *hint, bool follow, struct bp_table *t)
{
    struct bp_row_reader *r = bp_arena_zero(&im->scratch, 1, sizeof *r);
    enum bp_code code = r == NULL ? bp_import_no_memory(im) : begin_table(im, text, line, hint, t);
    text->worded = r != NULL && line == 1 && is_worded(text, code, &t->layout);
    if (code != BP_OK || text->worded) {
        text->held = text->worded ? text->held : 0;
        return code;
    }
    r->im = im;
    r->table = t;
    read_first_epoch(t, text->buffer, text->held);
    name_container(t);
    if (!prepare(r) || !bp_import_grow_table(r, rows_at_first(r, text, line == 1))) {
        text->held = 0;
        return bp_import_no_memory(im);
    }
    code = read_rest(r, text, follow);
    if (code == BP_OK && r->done && r->short_column != 0) {
        code = bp_import_check_short(r);
    }
    return code;
}

/* The whole log behind what is held. */
static enum bp_code take_rest(struct bp_importer *im, struct text *text, struct bp_text *whole)
{
    enum bp_code code = BP_OK;
    bp_text_put_bytes(whole, text->buffer, text->held);
    for (size_t got = text->capacity; code == BP_OK && !text->last && got == text->capacity;) {
        code = bp_import_read(im, text->source, text->buffer, text->capacity, &got);
        bp_text_put_bytes(whole, text->buffer, got);
        if (code == BP_OK && whole->length > WORDED_BYTES_MAX) {
            code = bp_import_fail(im, BP_ERR_LIMIT, 0, 0,
                                  "words stand in its rows, and of such a log at most %d MB are read",
                                  WORDED_BYTES_MAX >> 20);
        }
    }
    return code == BP_OK && whole->failed ? bp_import_no_memory(im) : code;
}

static enum bp_code read_lines(struct bp_importer *im, struct text *text, const struct bp_heading *hint,
                               struct bp_rest *rest, struct bp_table *table);

/* The log as a table without the words in its rows. */
static enum bp_code read_worded(struct bp_importer *im, struct text *text, const struct bp_heading *hint,
                                struct bp_table *table)
{
    struct bp_text whole, rows;
    struct bp_rest rest = {.buffer = NULL};
    struct bp_source source;
    bp_error_clear(im->error);
    bp_text_init(&whole);
    enum bp_code code = take_rest(im, text, &whole);
    if (code == BP_OK) {
        code = bp_import_worded_text(im, whole.data, whole.length, &rows);
        bp_import_open_bytes(rows.data, rows.length, &source);
        struct text lines = {.source = &source, .capacity = text->capacity};
        memset(table, 0, sizeof *table);
        code = code == BP_OK ? read_lines(im, &lines, hint, &rest, table) : code;
        snprintf(table->container, sizeof table->container, "text, with words in its rows");
        bp_text_free(&rows);
        free(rest.buffer);
    }
    bp_text_free(&whole);
    return code;
}

/* Lines from the source's place on, or from where the recording before ended. */
static enum bp_code read_lines(struct bp_importer *im, struct text *text, const struct bp_heading *hint,
                               struct bp_rest *rest, struct bp_table *table)
{
    text->held = rest->held;
    /* Not from an arena: this is the one large thing that is done with before the columns are worked on. */
    rest->buffer = rest->buffer != NULL ? rest->buffer : calloc(1, text->capacity + BP_BLOCK_PADDING);
    if (rest->buffer == NULL) {
        return bp_import_no_memory(im);
    }
    text->buffer = rest->buffer;
    enum bp_code code = read_table(im, text, rest->held > 0 ? rest->line : 1, hint, rest->follow, table);
    rest->held = table->again_line > 0 ? text->held : 0;
    rest->line = table->again_line;
    return code;
}

/* A text of any kind but JSON. */
static enum bp_code read_text(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                              struct bp_rest *rest, struct bp_table *table)
{
    struct text text = {.source = source, .capacity = BP_BLOCK_BYTES + bp_import_line_limit(im->settings)};
    enum bp_code code = read_lines(im, &text, hint, rest, table);
    return text.worded ? read_worded(im, &text, hint, table) : code;
}

static enum bp_code read_json(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                              struct bp_rest *rest, struct bp_table *table)
{
    struct bp_text text;
    struct bp_source lines;
    bool cut;
    enum bp_code code = bp_import_json_text(im, source, &text, &cut);
    if (code == BP_OK) {
        bp_import_open_bytes(text.data, text.length, &lines);
        code = read_text(im, &lines, hint, rest, table);
        snprintf(table->container, sizeof table->container, "JSON%s", cut ? ", its last record cut off" : "");
    }
    bp_text_free(&text);
    rest->held = 0; /* headings stand in it once */
    return code;
}

static enum bp_code read_any(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                             struct bp_rest *rest, struct bp_table *table)
{
    const char *head;
    size_t count;
    if (rest->held > 0) {
        return read_text(im, source, hint, rest, table);
    }
    enum bp_code code = bp_import_peek(im, source, &head, &count);
    if (code != BP_OK) {
        return code;
    }
    return bp_import_container(head, count) == BP_CONTAINER_JSON ? read_json(im, source, hint, rest, table)
                                                                 : read_text(im, source, hint, rest, table);
}

enum bp_code bp_import_table(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                             struct bp_rest *rest, struct bp_table *table)
{
    struct bp_rest alone = {.buffer = NULL};
    memset(table, 0, sizeof *table);
    enum bp_code code = read_any(im, source, hint, rest != NULL ? rest : &alone, table);
    free(alone.buffer);
    return code;
}

size_t bp_import_row_line(const struct bp_table *table, size_t row)
{
    size_t i = table->step_count;
    if (i == 0 || i == BP_LINE_STEPS_MAX) {
        return 0;
    }
    while (i > 1 && table->steps[i - 1].row > row) {
        i--;
    }
    return table->steps[i - 1].line + (row - table->steps[i - 1].row);
}
