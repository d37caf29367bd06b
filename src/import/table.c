/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A text log as a table: its first block settles how it is written and which columns are wanted, then the
 * rest is read.
 */
#include "import/table.h"

#include "import/json_log.h"
#include "import/rows.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    ROWS_FIRST = 4096,           /* where the log's size is not known */
    PREAMBLE_BYTES_MAX = 1 << 24 /* past this much text without a row it is no log */
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

static enum bp_code read_rest(struct bp_row_reader *r, struct bp_source *source, char *buffer,
                              size_t capacity, size_t held, bool last)
{
    size_t at = r->table->dialect.data_at;
    for (;;) {
        size_t used, got;
        buffer[held] = r->table->dialect.line_end; /* stops who runs on: there is always one byte more */
        enum bp_code code = bp_import_read_rows(r, buffer + at, held - at, last, &used);
        if (code != BP_OK || last || r->done) {
            return code;
        }
        size_t kept = held - at - used;
        memmove(buffer, buffer + at + used, kept);
        at = 0;
        code = bp_import_read(r->im, source, buffer + kept, capacity - kept, &got);
        if (code != BP_OK) {
            return code;
        }
        if (got > 0 && memchr(buffer + kept, '\0', got) != NULL) {
            return bp_import_fail(r->im, BP_ERR_FORMAT, r->line, 0, "a zero byte is in the text");
        }
        held = kept + got;
        last = held < capacity;
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
    r->rows_max = s->rows_max != 0 ? s->rows_max : BP_IMPORT_ROWS_MAX;
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
static enum bp_code sniff_blanks(struct bp_importer *im, struct bp_source *source, char *buffer,
                                 size_t capacity, size_t *held, size_t line, struct bp_dialect *dialect)
{
    struct bp_blanks blanks = {0};
    char *before = malloc(*held + 1);
    size_t got;
    if (before == NULL) {
        return bp_import_no_memory(im);
    }
    memcpy(before, buffer, *held);
    size_t closed = bp_import_close_blanks(&blanks, buffer, *held);
    enum bp_code code = bp_import_sniff(im, buffer, closed, *held < capacity, line, dialect);
    if (code == BP_OK) {
        dialect->blanks = source->padded = true;
        source->blanks = blanks;
        code = bp_import_read(im, source, buffer + closed, capacity - closed, &got);
        *held = closed + got;
    } else {
        memcpy(buffer, before, *held);
    }
    free(before);
    return code;
}

/* How the block is written. Errors: those of bp_import_sniff for the block as it is. */
static enum bp_code sniff(struct bp_importer *im, struct bp_source *source, char *buffer, size_t capacity,
                          size_t *held, size_t line, struct bp_dialect *dialect)
{
    bool last = *held < capacity;
    enum bp_code code = bp_import_sniff(im, buffer, *held, last, line, dialect);
    if (code != BP_ERR_FORMAT && code != BP_ERR_EMPTY) {
        return code;
    }
    bp_error_clear(im->error);
    code = sniff_blanks(im, source, buffer, capacity, held, line, dialect);
    if (code == BP_OK || code == BP_ERR_MEMORY || code == BP_ERR_READ) {
        return code;
    }
    bp_error_clear(im->error);
    return bp_import_sniff(im, buffer, *held, last, line, dialect);
}

/* How the log is written, from the first block that has rows in it: before them there may be thousands of
 * lines of remarks. *held bytes are in the buffer. */
static enum bp_code find_rows(struct bp_importer *im, struct bp_source *source, char *buffer, size_t capacity,
                              size_t *held, struct bp_dialect *dialect)
{
    size_t line = 1, passed = 0;
    for (;;) {
        bool last = *held < capacity;
        enum bp_code code = sniff(im, source, buffer, capacity, held, line, dialect);
        if ((code != BP_ERR_FORMAT && code != BP_ERR_EMPTY) || last || passed > PREAMBLE_BYTES_MAX) {
            return code;
        }
        size_t drop = *held - bp_import_line_limit(im->settings), got;
        const char *end = memchr(buffer + drop, dialect->line_end, *held - drop);
        if (end == NULL) {
            return code;
        }
        bp_error_clear(im->error);
        drop = (size_t)(end + 1 - buffer);
        for (const char *c = buffer; c <= end; c++) {
            line += *c == dialect->line_end;
        }
        memmove(buffer, buffer + drop, *held - drop);
        passed += drop;
        code = bp_import_read(im, source, buffer + *held - drop, drop, &got);
        if (code != BP_OK) {
            return code;
        }
        *held += got - drop;
    }
}

static enum bp_code read_table(struct bp_importer *im, struct bp_source *source,
                               const struct bp_heading *hint, char *buffer, size_t capacity,
                               struct bp_table *t)
{
    struct bp_row_reader *r = bp_arena_zero(&im->scratch, 1, sizeof *r);
    size_t held;
    enum bp_code code = r == NULL ? bp_import_no_memory(im) : bp_import_widen(im, source);
    if (code == BP_OK) {
        code = bp_import_read(im, source, buffer, capacity, &held);
    }
    if (code == BP_OK) {
        code = bp_import_refuse_binary(im, buffer, held);
    }
    if (code == BP_OK) {
        code = find_rows(im, source, buffer, capacity, &held, &t->dialect);
    }
    if (code == BP_OK) {
        code = bp_import_choose_columns(im, buffer, held, &t->dialect, hint, &t->layout, t->description);
    }
    if (code == BP_OK) {
        code = check_twice(im, &t->layout);
    }
    if (code != BP_OK) {
        return code;
    }
    r->im = im;
    r->table = t;
    read_first_epoch(t, buffer, held);
    name_container(t);
    if (!prepare(r) ||
        !bp_import_grow_table(r, expected_rows(source, buffer + t->dialect.data_at, held - t->dialect.data_at,
                                               t->dialect.line_end, r->rows_max))) {
        return bp_import_no_memory(im);
    }
    code = read_rest(r, source, buffer, capacity, held, held < capacity);
    if (code == BP_OK && r->done && r->short_column != 0) {
        code = bp_import_check_short(r);
    }
    return code;
}

/* A text of any kind but JSON. */
static enum bp_code read_text(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                              struct bp_table *table)
{
    size_t capacity = BP_BLOCK_BYTES + bp_import_line_limit(im->settings);
    /* Not from an arena: this is the one large thing that is done with before the columns are worked on. */
    char *buffer = calloc(1, capacity + BP_BLOCK_PADDING);
    if (buffer == NULL) {
        return bp_import_no_memory(im);
    }
    enum bp_code code = read_table(im, source, hint, buffer, capacity, table);
    free(buffer);
    return code;
}

static enum bp_code read_json(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                              struct bp_table *table)
{
    struct bp_text text;
    struct bp_source lines;
    bool cut;
    enum bp_code code = bp_import_json_text(im, source, &text, &cut);
    if (code == BP_OK) {
        bp_import_open_bytes(text.data, text.length, &lines);
        code = read_text(im, &lines, hint, table);
        snprintf(table->container, sizeof table->container, "JSON%s", cut ? ", its last record cut off" : "");
    }
    bp_text_free(&text);
    return code;
}

enum bp_code bp_import_table(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                             struct bp_table *table)
{
    const char *head;
    size_t count;
    memset(table, 0, sizeof *table);
    enum bp_code code = bp_import_peek(im, source, &head, &count);
    if (code != BP_OK) {
        return code;
    }
    return bp_import_container(head, count) == BP_CONTAINER_JSON ? read_json(im, source, hint, table)
                                                                 : read_text(im, source, hint, table);
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
