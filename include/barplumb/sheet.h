/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sheet: the coach's list of sets, one row a set, as a spreadsheet saves it. Columns are recognised by their
 * heading words in any order; a bad row is reported and the others are read.
 */
#ifndef BARPLUMB_SHEET_H
#define BARPLUMB_SHEET_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/lift.h"
#include "barplumb/text.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Limits: past any coach's sheet, and small enough for a hostile one to do no harm. */
#define BP_SHEET_BYTES_MAX ((size_t)16777216) /* of the file */
#define BP_SHEET_ROW_BYTES_MAX ((size_t)65536)
#define BP_SHEET_ROWS_MAX ((size_t)20000)
enum {
    BP_SHEET_COLUMNS_MAX = 128,
    BP_SHEET_ERRORS_KEPT = 200,
    BP_SHEET_PATH_MAX = 4096,
    BP_SHEET_PARTS_MAX = 1000
};

/* One set. No string is NULL: an empty or absent cell is "". */
struct bp_sheet_row {
    size_t line;   /* 1-based line its first cell stands in */
    bool dated;    /* false: no date given */
    long day;      /* since 1970-01-01; 0 if not dated */
    char date[16]; /* "2024-03-09", "" if not dated */
    const char *lifter;
    bool lift_given;
    enum bp_lift lift; /* BP_BENCH if not given */
    const char *setup;
    double bar_kg, plates_kg; /* NaN: not given */
    const char *rig, *log;    /* as written */
    const char *rig_path,
        *log_path;     /* to be opened: relative ones start from the sheet's folder; "" if none */
    size_t part;       /* which set of a log of several, from 1; 0: not given */
    double target_m_s; /* NaN: not given */
    const char *notes;
    const char *const *extra; /* [extra_count] cells of the columns that mean nothing here */
};

struct bp_sheet {
    size_t row_count;
    struct bp_sheet_row *rows; /* the good ones, in the sheet's order */
    size_t extra_count;
    const char *const *extra_names; /* headings as written */
    size_t error_count;             /* bad rows */
    struct bp_error *errors; /* the first BP_SHEET_ERRORS_KEPT of them, in order, each with line and column */
    char separator;          /* ',' ';' or TAB */
    size_t header_line;
};

/* Reads the sheet at path; "-" is standard input, whose paths are relative to the working folder. sheet's
 * arrays and strings live in arena. A row that cannot be read is an entry in sheet->errors: TIME (a date),
 * NUMBER, UNITS, COLUMNS (no log, too many cells), ARGUMENT (an unknown lift), FORMAT (a quote never closed),
 * LIMIT (a path too long). Errors of the whole: OPEN, READ, EMPTY (no row), FORMAT (not text), COLUMNS (no
 * log column, or two of the same meaning), LIMIT, MEMORY, ARGUMENT (path NULL); sheet is then all zero.
 * Thread-safe for different arenas. */
BP_API enum bp_code bp_sheet_read(const char *path, struct bp_arena *arena, struct bp_sheet *sheet,
                                  struct bp_error *error);

/* The same for a sheet in memory, bytes[0..count). path stands for it in errors and says which folder paths
 * are relative to; NULL: none. */
BP_API enum bp_code bp_sheet_parse(const char *bytes, size_t count, const char *path, struct bp_arena *arena,
                                   struct bp_sheet *sheet, struct bp_error *error);

/* Appends text as part of a file name that is safe anywhere: letters, digits, '-', '_' and inner '.' as they
 * are, every other byte as %XX, "%" alone for no text. Different texts give different names, and no name
 * leads out of a folder. Cut to 120 bytes. */
BP_API void bp_sheet_put_safe_name(struct bp_text *out, const char *text);

#ifdef __cplusplus
}
#endif
#endif
