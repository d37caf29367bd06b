/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/sheet.
 */
#ifndef BARPLUMB_SHEET_PARTS_H
#define BARPLUMB_SHEET_PARTS_H

#include "barplumb/sheet.h"

#include "import/cells.h"

#include <stdint.h>

/* ---- records: RFC 4180, with any of three separators ---- */

struct bp_records {
    const char *at, *end;
    char separator;
    size_t line; /* of the next record */
};

struct bp_record {
    size_t line;
    size_t count; /* cells, of which BP_SHEET_COLUMNS_MAX at most are kept */
    const char *start;
    size_t bytes;
    bool unclosed; /* a quote that is never closed: the record is its first line */
    struct bp_cell cells[BP_SHEET_COLUMNS_MAX];
};

/* The next record; false past the last. Line ends inside quotes belong to their cell. */
bool bp_sheet_next(struct bp_records *records, struct bp_record *record);

/* Nothing but blanks and separators. */
bool bp_sheet_is_blank(const struct bp_record *record);
/* Its first character is '#', or it is what some spreadsheets write for each other ("sep=;"). */
bool bp_sheet_is_remark(const struct bp_record *record);

/* A cell as text in the arena: doubled quotes single, line ends and other control characters blanks. NULL: no
 * memory. */
const char *bp_sheet_text(const struct bp_cell *cell, struct bp_arena *arena);

/* ---- headings ---- */

enum bp_sheet_role {
    BP_SHEET_DATE,
    BP_SHEET_LIFTER,
    BP_SHEET_LIFT,
    BP_SHEET_SETUP,
    BP_SHEET_BAR,
    BP_SHEET_PLATES,
    BP_SHEET_RIG,
    BP_SHEET_LOG,
    BP_SHEET_PART,
    BP_SHEET_TARGET,
    BP_SHEET_NOTES,
    BP_SHEET_ROLES,
    BP_SHEET_EXTRA = BP_SHEET_ROLES
};

struct bp_sheet_heading {
    enum bp_sheet_role role; /* EXTRA: none of ours */
    double factor;           /* of the unit in the heading, to kg or m/s; 0: none stated */
};
struct bp_sheet_heading bp_sheet_read_heading(const struct bp_cell *cell);
const char *bp_sheet_role_name(enum bp_sheet_role role);

/* ---- cells ---- */

/* The factor of a unit of mass (to kg) or of speed (to m/s); 0: not one. */
double bp_sheet_mass_unit(const char *text, size_t count);
double bp_sheet_speed_unit(const char *text, size_t count);

/* Why a cell is no number or date: a code, and a sentence in text[0..size). */
struct bp_trouble {
    enum bp_code code;
    char text[BP_ERROR_TEXT];
};

/* "60", "60,5 kg", "135 lb": a number of at least 0 and at most `most` in SI, with point or comma as its
 * decimal mark. factor: the heading's unit, 0: SI. */
bool bp_sheet_number(const struct bp_cell *cell, double (*unit)(const char *, size_t), double factor,
                     double most, double *value, struct bp_trouble *trouble);

/* "2024-03-09" (also with a time behind it), "9.3.2024", "2024/3/9", "25/3/2024" and "3/25/2024": where day
 * and month cannot be told apart it is refused. */
bool bp_sheet_date(const struct bp_cell *cell, long *day, char iso[16], struct bp_trouble *trouble);

bool bp_sheet_lift(const struct bp_cell *cell, enum bp_lift *lift);

/* ---- rows ---- */

struct bp_sheet_columns {
    size_t count; /* of the header */
    struct bp_sheet_heading heading[BP_SHEET_COLUMNS_MAX];
    size_t at[BP_SHEET_ROLES]; /* SIZE_MAX: absent */
    const char *folder;        /* with its '/', "" for the working folder */
};

/* Reads one row. Errors: the row's own (trouble and column set), or MEMORY. */
enum bp_code bp_sheet_read_row(const struct bp_record *record, const struct bp_sheet_columns *columns,
                               struct bp_arena *arena, struct bp_sheet_row *row, struct bp_trouble *trouble,
                               size_t *column);

#endif
