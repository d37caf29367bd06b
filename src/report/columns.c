/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/columns.h"

#include "report/table.h"
#include "report/utf8.h"

#include <string.h>

enum {
    NUMBER_WIDTH = 3, /* of the row's name: reps up to 999 */
    BETWEEN = 2,      /* blanks before a column */
    NUMBER_BYTES = 40 /* always enough for bp_number_write */
};

/* How a column is written: "whole" up to the decimal point, "part" from it on, then " ±half". */
struct place {
    size_t column;
    size_t whole, part, half, width;
};

struct cell {
    char value[NUMBER_BYTES], half[NUMBER_BYTES];
    size_t whole, part, half_width; /* characters; half_width 0: no interval */
};

/* Blanks are held back until something follows them, so that no line ends in one. */
struct line {
    struct bp_text *out;
    size_t blanks;
};

/* Plain: a head may be the name of a range that a document gives. */
static void line_put(struct line *line, const char *text)
{
    bp_text_fill(line->out, ' ', line->blanks);
    line->blanks = 0;
    bp_table_put_plain(line->out, text);
}

static void line_end(struct line *line)
{
    line->blanks = 0;
    bp_text_put_char(line->out, '\n');
}

static struct bp_quantity scaled(const struct bp_table *table, size_t row, size_t column)
{
    struct bp_quantity q = table->cell(table->about, row, column);
    double scale = table->columns[column].scale;
    return (struct bp_quantity){q.value * scale, q.low * scale, q.high * scale};
}

static void write_cell(const struct bp_table *table, size_t row, size_t column, struct cell *cell)
{
    struct bp_shown shown = bp_table_shown(scaled(table, row, column), table->columns[column].decimals);
    *cell = (struct cell){.value = "-", .whole = 1};
    if (isfinite(shown.value)) {
        size_t length = bp_number_write(shown.value, shown.decimals, cell->value, sizeof cell->value);
        cell->whole = strcspn(cell->value, ".");
        cell->part = length - cell->whole;
    }
    if (isfinite(shown.half)) {
        cell->half_width = bp_number_write(shown.half, shown.decimals, cell->half, sizeof cell->half);
    }
}

static size_t larger(size_t a, size_t b)
{
    return a > b ? a : b;
}

/* The place column needs; false when nothing in it is known. */
static bool measure_place(const struct bp_table *table, size_t column, struct place *place)
{
    const struct bp_column *about = &table->columns[column];
    bool known = about->always;
    *place = (struct place){.column = column, .whole = 1};
    for (size_t row = 0; row < table->rows; row++) {
        struct cell cell;
        write_cell(table, row, column, &cell);
        place->whole = larger(place->whole, cell.whole);
        place->part = larger(place->part, cell.part);
        place->half = larger(place->half, cell.half_width);
        known = known || isfinite(scaled(table, row, column).value);
    }
    size_t half = place->half > 0 ? 2 + place->half : 0; /* a blank and the sign */
    place->width = place->whole + place->part + half;
    place->width = larger(place->width, larger(bp_utf8_width(about->head), bp_utf8_width(about->unit)));
    return known;
}

static void put_heads(struct line *line, const struct bp_table *table, const struct place *places,
                      size_t count, const struct bp_report_settings *settings)
{
    bp_table_bold(line->out, settings);
    line_put(line, table->named);
    for (size_t i = 0; i < count; i++) {
        const char *head = table->columns[places[i].column].head;
        line->blanks += BETWEEN + places[i].width - bp_utf8_width(head);
        line_put(line, head);
    }
    bp_table_normal(line->out, settings);
    line_end(line);
    bp_table_dim(line->out, settings);
    line->blanks = NUMBER_WIDTH;
    for (size_t i = 0; i < count; i++) {
        const char *unit = table->columns[places[i].column].unit;
        line->blanks += BETWEEN + places[i].width - bp_utf8_width(unit);
        if (unit[0] != '\0') {
            line_put(line, unit);
        }
    }
    bp_table_normal(line->out, settings);
    line_end(line);
}

static void put_cell(struct line *line, const struct place *place, const struct cell *cell,
                     const struct bp_report_settings *settings)
{
    size_t half = place->half > 0 ? 2 + place->half : 0;
    size_t body = place->whole + place->part + half;
    line->blanks += BETWEEN + place->width - body + place->whole - cell->whole;
    line_put(line, cell->value);
    line->blanks += place->part - cell->part;
    if (cell->half_width > 0) {
        line->blanks += 1;
        bp_table_dim(line->out, settings);
        line_put(line, "±");
        bp_text_put(line->out, cell->half);
        bp_table_normal(line->out, settings);
        half = place->half - cell->half_width;
    }
    line->blanks += half;
}

static bool has_remark(const struct bp_table *table, size_t row)
{
    return table->has_remark != NULL && table->has_remark(table->about, row);
}

static bool row_knows(const struct bp_table *table, size_t row, const struct place *places, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (isfinite(scaled(table, row, places[i].column).value)) {
            return true;
        }
    }
    return false;
}

static void put_row(struct line *line, const struct bp_table *table, size_t row, const struct place *places,
                    size_t count, const struct bp_report_settings *settings)
{
    bp_text_put_number_in(line->out, (double)table->number(table->about, row), 0, NUMBER_WIDTH);
    if (has_remark(table, row) && !row_knows(table, row, places, count)) {
        table->put_remark(table->about, row, line->out);
        line_end(line);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        struct cell cell;
        write_cell(table, row, places[i].column, &cell);
        put_cell(line, &places[i], &cell, settings);
    }
    line_end(line);
}

static bool group_ends(const struct bp_table *table, const struct place *places, size_t count, size_t at)
{
    return at == count ||
           table->columns[places[at].column].group != table->columns[places[at - 1].column].group;
}

/* Of the first line's places, how many whole groups no row with a remark knows anything of; all of them when
 * there is no such group. */
static size_t count_remarkable(const struct bp_table *table, const struct place *places, size_t count)
{
    size_t most = count;
    for (size_t row = 0; row < table->rows; row++) {
        size_t unknown = 0;
        for (size_t i = 1; has_remark(table, row) && i <= most; i++) {
            if (!row_knows(table, row, places, i) && group_ends(table, places, count, i)) {
                unknown = i;
            }
        }
        most = unknown > 0 ? unknown : most;
    }
    return most;
}

/* How many of the places fit one line: whole groups, unless the first alone is too wide. */
static size_t count_fitting(const struct bp_table *table, const struct place *places, size_t count,
                            size_t columns)
{
    size_t used = NUMBER_WIDTH, fits = 0, whole_groups = 0;
    while (fits < count && (fits == 0 || used + BETWEEN + places[fits].width <= columns)) {
        used += BETWEEN + places[fits].width;
        fits++;
        if (group_ends(table, places, count, fits)) {
            whole_groups = fits;
        }
    }
    return whole_groups > 0 ? whole_groups : fits;
}

void bp_table_put(struct bp_text *out, const struct bp_table *table,
                  const struct bp_report_settings *settings)
{
    struct place places[BP_COLUMNS_MOST];
    size_t count = 0, columns = bp_table_columns(settings);
    for (size_t c = 0; c < table->count && table->rows > 0; c++) {
        count += measure_place(table, c, &places[count]);
    }
    for (size_t at = 0; at < count;) {
        struct line line = {out, 0};
        if (at > 0) {
            bp_text_put_char(out, '\n');
        }
        size_t fits = count_fitting(table, places + at, count - at, columns);
        fits = at == 0 ? count_remarkable(table, places, fits) : fits;
        put_heads(&line, table, places + at, fits, settings);
        for (size_t row = 0; row < table->rows; row++) {
            put_row(&line, table, row, places + at, fits, settings);
        }
        at += fits;
    }
}
