/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One record as a set.
 */
#include "sheet/parts.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* More than any bar has been loaded with, and than any bar has moved: sanity limits, from memory. */
#define MASS_MOST 1000.0
#define SPEED_MOST 10.0

struct reader {
    const struct bp_record *record;
    const struct bp_sheet_columns *columns;
    struct bp_arena *arena;
    struct bp_trouble *trouble;
    size_t column; /* being read */
    bool no_memory;
};

static enum bp_code trouble_in(struct bp_trouble *trouble, enum bp_code code, const char *text)
{
    trouble->code = code;
    snprintf(trouble->text, sizeof trouble->text, "%s", text);
    return code;
}

/* The role's cell; false when it is absent, empty or, but for the log, a dash. */
static bool cell_of(struct reader *r, enum bp_sheet_role role, struct bp_cell *cell)
{
    size_t at = r->columns->at[role];
    r->column = at + 1;
    if (at == SIZE_MAX || at >= r->record->count) {
        return false;
    }
    *cell = r->record->cells[at];
    bool dash = cell->count == 1 && cell->at[0] == '-' && role != BP_SHEET_LOG;
    return cell->count > 0 && !dash;
}

static const char *take_text(struct reader *r, enum bp_sheet_role role)
{
    struct bp_cell cell;
    if (!cell_of(r, role, &cell)) {
        return "";
    }
    const char *text = bp_sheet_text(&cell, r->arena);
    r->no_memory = r->no_memory || text == NULL;
    return text != NULL ? text : "";
}

/* For what has none. */
static double no_unit(const char *text, size_t count)
{
    (void)text;
    (void)count;
    return 0;
}

static bool take_number(struct reader *r, enum bp_sheet_role role, double (*unit)(const char *, size_t),
                        double most, double *value)
{
    struct bp_cell cell;
    *value = (double)NAN;
    if (!cell_of(r, role, &cell)) {
        return true;
    }
    double factor = r->columns->heading[r->columns->at[role]].factor;
    return bp_sheet_number(&cell, unit, factor, most, value, r->trouble);
}

/* Spreadsheets on other systems write '\': it is taken for '/'. A relative path starts from the sheet's
 * folder; absolute ones and ".." are the coach's business: reading is all that is done with them. */
static bool take_path(struct reader *r, enum bp_sheet_role role, const char **written, const char **path)
{
    *path = *written = take_text(r, role);
    size_t length = strlen(*written), folder = strlen(r->columns->folder);
    if (length == 0 || r->no_memory) {
        return true;
    }
    if (strcmp(*written, "-") == 0) {
        trouble_in(r->trouble, BP_ERR_COLUMNS, "\"-\" is not a file");
        return false;
    }
    if (length + folder >= BP_SHEET_PATH_MAX) {
        trouble_in(r->trouble, BP_ERR_LIMIT, "the path is too long");
        return false;
    }
    char *joined = bp_arena_take(r->arena, folder + length + 1, 1);
    if (joined == NULL) {
        r->no_memory = true;
        return true;
    }
    bool absolute = (*written)[0] == '/' || (*written)[0] == '\\';
    memcpy(joined, r->columns->folder, absolute ? 0 : folder);
    memcpy(joined + (absolute ? 0 : folder), *written, length + 1);
    for (char *c = joined + (absolute ? 0 : folder); *c != '\0'; c++) {
        *c = *c == '\\' ? '/' : *c;
    }
    *path = joined;
    return true;
}

static bool take_when_and_lift(struct reader *r, struct bp_sheet_row *row)
{
    struct bp_cell cell;
    if (cell_of(r, BP_SHEET_DATE, &cell)) {
        if (!bp_sheet_date(&cell, &row->day, row->date, r->trouble)) {
            return false;
        }
        row->dated = true;
    }
    if (cell_of(r, BP_SHEET_LIFT, &cell)) {
        row->lift_given = bp_sheet_lift(&cell, &row->lift);
        if (!row->lift_given) {
            trouble_in(r->trouble, BP_ERR_ARGUMENT,
                       "no lift of that name: write bench, press, squat, deadlift or row");
        }
        return row->lift_given;
    }
    return true;
}

/* "2": which set of the log. */
static bool take_part(struct reader *r, struct bp_sheet_row *row)
{
    double value = (double)NAN;
    if (!take_number(r, BP_SHEET_PART, no_unit, BP_SHEET_PARTS_MAX, &value)) {
        return false;
    }
    if (isfinite(value) && (value < 1 || floor(value) < value)) {
        trouble_in(r->trouble, BP_ERR_NUMBER, "the part is a whole number: 1 is the log's first set");
        return false;
    }
    row->part = isfinite(value) ? (size_t)value : 0;
    return true;
}

static bool take_log(struct reader *r, struct bp_sheet_row *row)
{
    if (!take_path(r, BP_SHEET_LOG, &row->log, &row->log_path)) {
        return false;
    }
    if (row->log[0] == '\0' && !r->no_memory) {
        trouble_in(r->trouble, BP_ERR_COLUMNS, "the log is missing");
        return false;
    }
    return true;
}

static void take_extra(struct reader *r, struct bp_sheet_row *row)
{
    size_t n = 0;
    const char **extra = bp_arena_take(r->arena, r->columns->count + 1, sizeof *extra);
    r->no_memory = r->no_memory || extra == NULL;
    for (size_t i = 0; i < r->columns->count && !r->no_memory; i++) {
        if (r->columns->heading[i].role == BP_SHEET_EXTRA) {
            bool there = i < r->record->count && r->record->cells[i].count > 0;
            const char *text = there ? bp_sheet_text(&r->record->cells[i], r->arena) : "";
            r->no_memory = text == NULL;
            extra[n++] = text;
        }
    }
    row->extra = extra;
}

/* Cells past the header's are an error unless they are empty. */
static bool fits(struct reader *r)
{
    for (size_t i = r->columns->count; i < r->record->count; i++) {
        r->column = i + 1;
        if (i >= BP_SHEET_COLUMNS_MAX || r->record->cells[i].count > 0) {
            trouble_in(
                r->trouble, BP_ERR_COLUMNS,
                "there are more cells than headings: a comma inside a cell needs quotes about the cell");
            return false;
        }
    }
    return true;
}

enum bp_code bp_sheet_read_row(const struct bp_record *record, const struct bp_sheet_columns *columns,
                               struct bp_arena *arena, struct bp_sheet_row *row, struct bp_trouble *trouble,
                               size_t *column)
{
    struct reader r = {record, columns, arena, trouble, 0, false};
    *row = (struct bp_sheet_row){.line = record->line, .lift = BP_BENCH};
    bool good = !record->unclosed;
    if (!good) {
        trouble_in(trouble, BP_ERR_FORMAT, "a quote is opened and never closed");
        r.column = record->count;
    }
    good = good && fits(&r) && take_when_and_lift(&r, row) &&
           take_number(&r, BP_SHEET_BAR, bp_sheet_mass_unit, MASS_MOST, &row->bar_kg) &&
           take_number(&r, BP_SHEET_PLATES, bp_sheet_mass_unit, MASS_MOST, &row->plates_kg) &&
           take_number(&r, BP_SHEET_TARGET, bp_sheet_speed_unit, SPEED_MOST, &row->target_m_s) &&
           take_path(&r, BP_SHEET_RIG, &row->rig, &row->rig_path) && take_part(&r, row) && take_log(&r, row);
    *column = r.column;
    if (good) {
        row->lifter = take_text(&r, BP_SHEET_LIFTER);
        row->setup = take_text(&r, BP_SHEET_SETUP);
        row->notes = take_text(&r, BP_SHEET_NOTES);
        take_extra(&r, row);
    }
    return r.no_memory ? BP_ERR_MEMORY : good ? BP_OK : trouble->code;
}
