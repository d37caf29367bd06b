/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The row reader: one pass in blocks, no allocation a row, only the wanted cells turned into numbers.
 */
#include "import/decimal.h"
#include "import/table.h"

#include "barplumb/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    ROWS_FIRST = 4096, /* where the log's size is not known */
    BAD_HOPELESS = 100 /* bad cells after which a log with one in twenty is read no further */
};

struct reader {
    struct bp_importer *im;
    struct bp_table *table;
    int role_of[BP_IMPORT_COLUMNS_MAX]; /* -1: not wanted */
    size_t last_wanted;                 /* 1 + the last wanted column */
    size_t rows_max, line_max;
    size_t line;      /* of the next line */
    size_t next_line; /* the line that a row without anything skipped would have */
    size_t skip_rows;
    char *header; /* a copy: the block it was found in is gone */
    size_t header_count;
    size_t short_column; /* cells of the row that was too short, 0: none */
    bool quotes;         /* in this block */
    bool done;           /* the header again: another recording */
};

/* ---- room ---- */

static bool grow(struct reader *r, size_t capacity)
{
    struct bp_table *t = r->table;
    for (int role = 0; role < BP_ROLE_COUNT; role++) {
        if (t->layout.column[role] < 0) {
            continue;
        }
        double *larger = bp_arena_doubles(r->im->arena, capacity);
        if (larger == NULL) {
            return false;
        }
        if (t->rows > 0) {
            memcpy(larger, t->column[role], t->rows * sizeof *larger);
        }
        t->column[role] = larger;
    }
    t->capacity = capacity;
    return true;
}

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

/* ---- cells ---- */

static enum bp_code put_bad(struct reader *r, size_t column, enum bp_role role, const struct bp_cell *cell)
{
    struct bp_table *t = r->table;
    if (t->bad_count < BP_BAD_CELLS_KEPT) {
        struct bp_bad_cell *bad = &t->bad[t->bad_count];
        *bad = (struct bp_bad_cell){t->rows, r->line, column + 1, role, "", (double)NAN};
        snprintf(bad->text, sizeof bad->text, "%.*s", (int)(cell->count < 20 ? cell->count : 20), cell->at);
    }
    t->bad_count++;
    if (t->bad_count >= BAD_HOPELESS && t->bad_count > t->rows / 20) {
        return bp_import_fail(r->im, BP_ERR_NUMBER, t->bad[0].line, t->bad[0].column,
                              "'%s' is no number, and %zu more cells are none", t->bad[0].text,
                              t->bad_count - 1);
    }
    return BP_OK;
}

/* Everything but the plain number: quotes, blanks, times of day, nothing, NaN, text. */
static enum bp_code put_cell(struct reader *r, size_t column, const char *at, size_t count)
{
    struct bp_table *t = r->table;
    enum bp_role role = (enum bp_role)r->role_of[column];
    struct bp_cell cell;
    struct bp_stamp stamp;
    double value = (double)NAN;
    bp_import_split(at, count, '\0', &cell, 1);
    if (role == BP_ROLE_TIME && t->layout.time_stamp) {
        if (bp_import_cell_stamp(&cell, &stamp)) {
            t->column[role][t->rows] = stamp.seconds;
            return BP_OK;
        }
    } else if (bp_import_cell_number(&cell, t->dialect.point, &value)) {
        t->column[role][t->rows] = value;
        return BP_OK;
    }
    t->column[role][t->rows] = (double)NAN;
    if (cell.count == 0 && role != BP_ROLE_TIME) {
        t->empty[role]++;
        return BP_OK;
    }
    return put_bad(r, column, role, &cell);
}

/* The end of a cell that is not wanted, or not a plain number. */
static const char *skip_cell(const struct reader *r, const char *at, const char *end)
{
    char separator = r->table->dialect.separator;
    if (r->quotes && at < end && (*at == '"' || *at == ' ')) {
        bool inside = false;
        for (; at < end; at++) {
            if (*at == '"') {
                inside = !inside;
            } else if (*at == separator && !inside) {
                return at;
            }
        }
        return end;
    }
    const char *hit = memchr(at, separator, (size_t)(end - at));
    return hit != NULL ? hit : end;
}

/* One wanted cell from at; *stop is where it ends. */
static enum bp_code read_cell(struct reader *r, size_t column, const char *at, const char *end,
                              const char **stop)
{
    struct bp_table *t = r->table;
    int role = r->role_of[column];
    double value;
    if (!(role == BP_ROLE_TIME && t->layout.time_stamp)) {
        size_t used = bp_import_read_decimal(at, end, t->dialect.point, &value);
        used = used > 0 ? used : bp_number_read(at, (size_t)(end - at), t->dialect.point, &value);
        const char *behind = at + used;
        if (used > 0 && (behind == end || *behind == t->dialect.separator) && isfinite(value)) {
            t->column[role][t->rows] = value;
            *stop = behind;
            return BP_OK;
        }
    }
    *stop = skip_cell(r, at, end);
    return put_cell(r, column, at, (size_t)(*stop - at));
}

/* ---- rows ---- */

/* Cells behind the expected ones must be empty. */
static enum bp_code check_excess(struct reader *r, const char *at, const char *end)
{
    size_t expected = r->table->layout.columns;
    if (bp_import_is_blank(at, (size_t)(end - at), r->table->dialect.separator)) {
        return BP_OK;
    }
    return bp_import_fail(r->im, BP_ERR_COLUMNS, r->line, expected + 1,
                          "the row has more cells than the %zu columns", expected);
}

/* A row that ends too early is an error unless it is the last: then the recording was cut off. */
static enum bp_code check_short(struct reader *r)
{
    if (r->short_column == 0) {
        return BP_OK;
    }
    return bp_import_fail(r->im, BP_ERR_COLUMNS, r->table->short_line, r->short_column,
                          "the row has %zu cells instead of %zu", r->short_column, r->table->layout.columns);
}

static void note_line(struct reader *r)
{
    struct bp_table *t = r->table;
    if (r->line != r->next_line && t->step_count < BP_LINE_STEPS_MAX) {
        t->steps[t->step_count].row = t->rows;
        t->steps[t->step_count].line = r->line;
        t->step_count++;
    }
    r->next_line = r->line + 1;
}

static enum bp_code read_row(struct reader *r, const char *at, const char *end)
{
    struct bp_table *t = r->table;
    size_t columns = t->layout.columns, column = 0;
    if (t->rows == t->capacity) {
        size_t larger = t->capacity < r->rows_max / 2 ? 2 * t->capacity : r->rows_max;
        if (t->rows >= r->rows_max) {
            return bp_import_fail(r->im, BP_ERR_LIMIT, r->line, 0, "more than %zu rows", r->rows_max);
        }
        if (!grow(r, larger)) {
            return bp_import_no_memory(r->im);
        }
    }
    size_t bad_before = t->bad_count;
    for (;; column++) {
        const char *stop;
        if (column < columns && r->role_of[column] >= 0) {
            enum bp_code code = read_cell(r, column, at, end, &stop);
            if (code != BP_OK) {
                return code;
            }
        } else {
            stop = skip_cell(r, at, end);
        }
        if (stop == end) {
            break;
        }
        at = stop + 1;
        if (column + 1 == columns) {
            enum bp_code code = check_excess(r, at, end);
            if (code != BP_OK) {
                return code;
            }
            break;
        }
    }
    if (column + 1 < columns) {
        t->bad_count = bad_before;
        t->short_line = r->line;
        r->short_column = column + 1;
        return BP_OK;
    }
    note_line(r);
    t->rows++;
    return BP_OK;
}

static bool is_header_again(const struct reader *r, const char *at, size_t count)
{
    return r->header_count > 0 && count >= r->header_count && memcmp(at, r->header, r->header_count) == 0 &&
           count - r->header_count <= 1;
}

/* One line, whatever it is. */
static enum bp_code read_line(struct reader *r, const char *at, const char *end)
{
    struct bp_table *t = r->table;
    size_t count = (size_t)(end - at);
    if (count > r->line_max) {
        return bp_import_fail(r->im, BP_ERR_LIMIT, r->line, 0, "the line is longer than %zu bytes",
                              r->line_max);
    }
    if (count == 0 || *at <= '/' || *at == ';' || *at == '@') { /* the first bytes of blanks and remarks */
        if (bp_import_is_blank(at, count, t->dialect.separator) || bp_import_is_remark(at, count)) {
            return BP_OK;
        }
    }
    enum bp_code code = check_short(r);
    if (code != BP_OK) {
        return code;
    }
    if (*at > '9' || *at == '"' || *at == '#') {
        if (is_header_again(r, at, count)) {
            t->again_line = r->line;
            r->done = true;
            return BP_OK;
        }
    }
    if (r->skip_rows > 0) {
        r->skip_rows--;
        return BP_OK;
    }
    return read_row(r, at, end);
}

/* The whole lines of a block; *used is where the unfinished line begins. */
static enum bp_code read_lines(struct reader *r, const char *block, size_t count, bool last, size_t *used)
{
    const char *at = block, *end = block + count;
    char line_end = r->table->dialect.line_end;
    r->quotes = memchr(block, '"', count) != NULL;
    while (at < end && !r->done) {
        const char *stop = bp_import_line_end(at, end, line_end, r->quotes);
        if (stop == end && !last) {
            break;
        }
        const char *text_end = stop > at && stop[-1] == '\r' ? stop - 1 : stop;
        enum bp_code code = read_line(r, at, text_end);
        if (code != BP_OK) {
            return code;
        }
        r->line++;
        for (const char *c = r->quotes ? at : stop; c < stop; c++) {
            r->line += *c == line_end;
        }
        at = stop < end ? stop + 1 : end;
    }
    *used = (size_t)(at - block);
    if (!last && !r->done && count - *used > r->line_max) {
        return bp_import_fail(r->im, BP_ERR_LIMIT, r->line, 0, "the line is longer than %zu bytes",
                              r->line_max);
    }
    return BP_OK;
}

static enum bp_code read_rest(struct reader *r, struct bp_source *source, char *buffer, size_t capacity,
                              size_t held, bool last)
{
    size_t at = r->table->dialect.data_at;
    for (;;) {
        size_t used, got;
        enum bp_code code = read_lines(r, buffer + at, held - at, last, &used);
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

/* ---- the whole ---- */

static bool prepare(struct reader *r)
{
    struct bp_table *t = r->table;
    const struct bp_import_settings *s = r->im->settings;
    for (size_t c = 0; c < BP_IMPORT_COLUMNS_MAX; c++) {
        r->role_of[c] = -1;
    }
    for (int role = 0; role < BP_ROLE_COUNT; role++) {
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
    for (int a = 0; a < BP_ROLE_COUNT; a++) {
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
    if (d->separator == '\t') {
        snprintf(t->container, sizeof t->container, "CSV, separator TAB%s",
                 d->point == ',' ? ", decimal comma" : "");
    } else {
        snprintf(t->container, sizeof t->container, "CSV, separator '%c'%s", d->separator,
                 d->point == ',' ? ", decimal comma" : "");
    }
}

static enum bp_code read_table(struct bp_importer *im, struct bp_source *source,
                               const struct bp_heading *hint, char *buffer, size_t capacity,
                               struct bp_table *t)
{
    struct reader *r = bp_arena_zero(&im->scratch, 1, sizeof *r);
    size_t held;
    enum bp_code code =
        r == NULL ? bp_import_no_memory(im) : bp_import_read(im, source, buffer, capacity, &held);
    if (code == BP_OK) {
        code = bp_import_refuse_binary(im, buffer, held);
    }
    if (code == BP_OK) {
        code = bp_import_sniff(im, buffer, held, held < capacity, &t->dialect);
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
    if (!prepare(r) || !grow(r, expected_rows(source, buffer + t->dialect.data_at, held - t->dialect.data_at,
                                              t->dialect.line_end, r->rows_max))) {
        return bp_import_no_memory(im);
    }
    code = read_rest(r, source, buffer, capacity, held, held < capacity);
    if (code == BP_OK && r->done && r->short_column != 0) {
        code = check_short(r);
    }
    return code;
}

enum bp_code bp_import_table(struct bp_importer *im, struct bp_source *source, const struct bp_heading *hint,
                             struct bp_table *table)
{
    size_t capacity = BP_BLOCK_BYTES + bp_import_line_limit(im->settings);
    memset(table, 0, sizeof *table);
    /* Not from an arena: this is the one large thing that is done with before the columns are worked on. */
    char *buffer = malloc(capacity);
    if (buffer == NULL) {
        return bp_import_no_memory(im);
    }
    enum bp_code code = read_table(im, source, hint, buffer, capacity, table);
    free(buffer);
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
