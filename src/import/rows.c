/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The row reader: one pass in blocks, no allocation a row, only the wanted cells turned into numbers.
 */
#include "import/rows.h"

#include "import/decimal.h"

#include "barplumb/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Bad cells after which a log with one in twenty is read no further. */
enum { BAD_HOPELESS = 100 };

bool bp_import_grow_table(struct bp_row_reader *r, size_t capacity)
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

/* ---- cells ---- */

/* The role of a wanted column in this row. */
static enum bp_role role_here(const struct bp_row_reader *r, size_t column)
{
    int role = r->role_of[column];
    return (enum bp_role)(role >= BP_ROLE_FORCE ? role + r->shift : role);
}

static enum bp_code put_bad(struct bp_row_reader *r, size_t column, enum bp_role role,
                            const struct bp_cell *cell)
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
static enum bp_code put_cell(struct bp_row_reader *r, size_t column, const char *at, size_t count)
{
    struct bp_table *t = r->table;
    enum bp_role role = role_here(r, column);
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
    bool nothing =
        cell.count == 0 ||
        (t->layout.by_turns && bp_import_cell_kind(&cell, t->dialect.point, &value) == BP_CELL_NOT_A_NUMBER);
    if ((nothing && role != BP_ROLE_TIME) || role >= BP_ROLE_ATTITUDE) { /* nobody needs that one */
        t->empty[role]++;
        return BP_OK;
    }
    return put_bad(r, column, role, &cell);
}

/* The end of a cell that is not wanted, or not a plain number. */
static const char *skip_cell(const struct bp_row_reader *r, const char *at, const char *end)
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
static enum bp_code read_cell(struct bp_row_reader *r, size_t column, const char *at, const char *end,
                              const char **stop)
{
    struct bp_table *t = r->table;
    enum bp_role role = role_here(r, column);
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
static enum bp_code check_excess(struct bp_row_reader *r, const char *at, const char *end)
{
    size_t expected = r->table->layout.columns;
    if (bp_import_is_blank(at, (size_t)(end - at), r->table->dialect.separator)) {
        return BP_OK;
    }
    return bp_import_fail(r->im, BP_ERR_COLUMNS, r->line, expected + 1,
                          "the row has more cells than the %zu columns", expected);
}

/* A row that ends too early is an error unless it is the last: then the recording was cut off. */
enum bp_code bp_import_check_short(struct bp_row_reader *r)
{
    if (r->short_column == 0) {
        return BP_OK;
    }
    return bp_import_fail(r->im, BP_ERR_COLUMNS, r->table->short_line, r->short_column,
                          "the row has %zu cells instead of %zu", r->short_column, r->table->layout.columns);
}

void bp_import_note_line(struct bp_row_reader *r)
{
    struct bp_table *t = r->table;
    if (r->line != r->next_line && t->step_count < BP_LINE_STEPS_MAX) {
        t->steps[t->step_count].row = t->rows;
        t->steps[t->step_count].line = r->line;
        t->step_count++;
    }
    r->next_line = r->line + 1;
}

/* Counts of the table before a row. */
struct tallies {
    size_t bad_count, empty[BP_ROLE_COUNT];
};

/* Whose row it is. False: of no sensor that is read. A row that ends before it can be said is the
 * acceleration's, and too short. */
static bool select_row(struct bp_row_reader *r, const char *at, const char *end)
{
    struct bp_cell cell;
    const char *stop = skip_cell(r, at, end);
    for (int column = 0; column < r->table->layout.selector.column; column++) {
        if (stop == end) {
            r->shift = 0;
            return true;
        }
        at = stop + 1;
        stop = skip_cell(r, at, end);
    }
    bp_import_split(at, (size_t)(stop - at), '\0', &cell, 1);
    enum bp_kind kind = bp_import_select(&r->table->layout.selector, &cell);
    int role = kind == BP_KIND_TURN      ? BP_ROLE_TURN
               : kind == BP_KIND_GRAVITY ? BP_ROLE_GRAVITY
                                         : BP_ROLE_FORCE;
    r->shift = role - BP_ROLE_FORCE;
    return kind != BP_KIND_NONE && r->table->column[role] != NULL;
}

/* The other sensors have nothing in this row. */
static void leave_others_empty(struct bp_row_reader *r)
{
    struct bp_table *t = r->table;
    for (int role = BP_ROLE_FORCE; role < BP_ROLE_COUNT; role++) {
        int first = BP_ROLE_FORCE + r->shift;
        if (t->column[role] != NULL && (role < first || role >= first + 3)) {
            t->column[role][t->rows] = (double)NAN;
            t->empty[role]++;
        }
    }
}

/* Room for one row more. */
static enum bp_code make_room(struct bp_row_reader *r)
{
    struct bp_table *t = r->table;
    if (t->rows < t->capacity) {
        return BP_OK;
    }
    if (t->rows >= r->rows_max) {
        return bp_import_fail(r->im, BP_ERR_LIMIT, r->line, 0, "more than %zu rows",
                              r->im->rows_read + r->rows_max);
    }
    size_t larger = t->capacity < r->rows_max / 2 ? 2 * t->capacity : r->rows_max;
    return bp_import_grow_table(r, larger) ? BP_OK : bp_import_no_memory(r->im);
}

/* A word: at least two letters, which no number cut short has. */
static bool is_word(const struct bp_cell *cell)
{
    size_t letters = 0;
    double value;
    struct bp_stamp stamp;
    for (size_t i = 0; i < cell->count; i++) {
        char c = (char)(cell->at[i] | 0x20);
        letters += (c >= 'a' && c <= 'z') || ((unsigned char)c & 0x80U) != 0;
    }
    return letters >= 2 && bp_import_cell_kind(cell, '.', &value) == BP_CELL_TEXT &&
           !bp_import_cell_stamp(cell, &stamp);
}

/* "EVENT,lap", "--- paused ---", "Total samples,6231": a line that is too short for a row and has words in
 * it, or words where the time belongs. */
static bool is_aside(const struct bp_row_reader *r, const char *at, const char *end)
{
    struct bp_cell cells[BP_IMPORT_COLUMNS_MAX];
    const struct bp_layout *l = &r->table->layout;
    size_t n =
        bp_import_split(at, (size_t)(end - at), r->table->dialect.separator, cells, BP_IMPORT_COLUMNS_MAX);
    int time = l->column[BP_ROLE_TIME];
    if (n >= l->columns) {
        return time >= 0 && (size_t)time < n && time < BP_IMPORT_COLUMNS_MAX && is_word(&cells[time]);
    }
    for (size_t i = 0; i < n; i++) {
        if (is_word(&cells[i])) {
            return true;
        }
    }
    return false;
}

/* Takes back what the cells of the unfinished row have left in the table, if the line was none. */
static bool pass_aside(struct bp_row_reader *r, const char *line, const char *end,
                       const struct tallies *before)
{
    struct bp_table *t = r->table;
    if (!is_aside(r, line, end)) {
        return false;
    }
    t->bad_count = before->bad_count;
    memcpy(t->empty, before->empty, sizeof t->empty);
    if (t->asides++ == 0) {
        t->aside_line = r->line;
        snprintf(t->aside, sizeof t->aside, "%.*s", (int)(end - line < 20 ? end - line : 20), line);
    }
    return true;
}

/* Reads the cells of a row; *cells is how many there were, at most the columns. */
static enum bp_code read_cells(struct bp_row_reader *r, const char *at, const char *end, size_t *cells)
{
    size_t columns = r->table->layout.columns;
    enum bp_code code = BP_OK;
    for (size_t column = 0; code == BP_OK; column++) {
        const char *stop;
        *cells = column + 1;
        if (r->role_of[column] >= 0) {
            code = read_cell(r, column, at, end, &stop);
        } else {
            stop = skip_cell(r, at, end);
        }
        if (code != BP_OK || stop == end) {
            break;
        }
        at = stop + 1;
        if (column + 1 == columns) {
            return check_excess(r, at, end);
        }
    }
    return code;
}

static enum bp_code read_row(struct bp_row_reader *r, const char *at, const char *end)
{
    struct bp_table *t = r->table;
    struct tallies before = {.bad_count = t->bad_count};
    size_t cells = 0;
    memcpy(before.empty, t->empty, sizeof before.empty);
    if (t->layout.selector.column >= 0 && !select_row(r, at, end)) {
        t->passed_over++;
        return BP_OK;
    }
    enum bp_code code = make_room(r);
    if (code == BP_OK) {
        code = read_cells(r, at, end, &cells);
    }
    bool odd = code == BP_OK && (cells < t->layout.columns || t->bad_count > before.bad_count);
    if (code != BP_OK || (odd && pass_aside(r, at, end, &before))) {
        return code;
    }
    if (cells < t->layout.columns) {
        t->bad_count = before.bad_count;
        t->short_line = r->line;
        r->short_column = cells;
        return BP_OK;
    }
    if (t->layout.selector.column >= 0) {
        leave_others_empty(r);
    }
    bp_import_note_line(r);
    t->rows++;
    return BP_OK;
}

/* After the header stood again: the row behind it goes on with the recording, or is another's first and is
 * given back. Some loggers write the header anew every so often. */
static void settle_again(struct bp_row_reader *r)
{
    enum { STEPS_MOST = 20 };
    struct bp_table *t = r->table;
    const double *time = t->column[BP_ROLE_TIME] + t->rows;
    double step = time[-1] - time[-2];
    double usual = (time[-2] - t->column[BP_ROLE_TIME][0]) / (double)(t->rows - 2);
    r->again = false;
    if (step > 0.0 && step <= STEPS_MOST * usual) {
        t->again_line = 0;
    } else {
        t->rows--;
        r->done = true;
    }
}

static bool is_header_again(const struct bp_row_reader *r, const char *at, size_t count)
{
    return r->header_count > 0 && count == r->header_count && memcmp(at, r->header, count) == 0;
}

/* One line, whatever it is. */
static enum bp_code read_line(struct bp_row_reader *r, const char *at, const char *end)
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
    enum bp_code code = r->lost_line > 0 ? BP_OK : bp_import_check_short(r);
    if (code != BP_OK) {
        return code;
    }
    if (*at > '9' || *at == '"' || *at == '#') {
        if (is_header_again(r, at, count) && r->line >= r->lost_line) {
            t->again_line = r->line;
            r->again = r->lost_line == 0 && t->rows > 2 && t->column[BP_ROLE_TIME] != NULL;
            r->done = !r->again;
            return BP_OK;
        }
    }
    if (r->lost_line > 0) {
        return BP_OK;
    }
    if (r->skip_rows > 0) {
        r->skip_rows--;
        return BP_OK;
    }
    size_t rows = t->rows;
    code = read_row(r, at, end);
    if (code == BP_OK && r->again && t->rows > rows) {
        settle_again(r);
    }
    return code;
}

/* One line of the block, without its end. *header is where the last header that stood again begins. A row
 * behind one that cannot be read is another recording's to complain of. */
static enum bp_code take_line(struct bp_row_reader *r, const char *at, const char *stop, const char **header)
{
    enum bp_code code = read_line(r, at, stop > at && stop[-1] == '\r' ? stop - 1 : stop);
    *header = r->table->again_line == r->line ? at : *header;
    if (code != BP_OK && code != BP_ERR_MEMORY && r->again) {
        bp_error_clear(r->im->error);
        r->again = false;
        r->done = true;
        r->short_column = 0;
        return BP_OK;
    }
    return code;
}

/* At the block's end it is not known yet whose the header is that stands again: it is read once more with
 * what comes behind it. Where that is a whole block of remarks, or nothing, another recording begins. */
static const char *give_header_back(struct bp_row_reader *r, const char *header, const char *block, bool last)
{
    r->again = false;
    r->done = last || header == block;
    r->line = r->table->again_line;
    r->table->again_line = r->done ? r->line : 0;
    return header;
}

/* The whole lines of a block; *used is where the unfinished line begins, or the header that stands again. */
enum bp_code bp_import_read_rows(struct bp_row_reader *r, const char *block, size_t count, bool last,
                                 size_t *used)
{
    const char *at = block, *end = block + count, *header = block;
    char line_end = r->table->dialect.line_end;
    r->quotes = memchr(block, '"', count) != NULL;
    while (at < end && !r->done) {
        if (bp_import_may_be_plain(r)) {
            at = bp_import_read_plain_rows(r, at, end);
            if (at == end) {
                break;
            }
        }
        const char *stop = bp_import_line_end(at, end, line_end, r->quotes);
        if (stop == end && !last) {
            break;
        }
        enum bp_code code = take_line(r, at, stop, &header);
        if (code != BP_OK) {
            return code;
        }
        r->line++;
        for (const char *c = r->quotes ? at : stop; c < stop; c++) {
            r->line += *c == line_end;
        }
        at = stop < end ? stop + 1 : end;
    }
    if (r->again) {
        at = give_header_back(r, header, block, last);
    }
    *used = (size_t)((r->done ? header : at) - block);
    if (!last && !r->done && count - *used > r->line_max) {
        return bp_import_fail(r->im, BP_ERR_LIMIT, r->line, 0, "the line is longer than %zu bytes",
                              r->line_max);
    }
    return BP_OK;
}
