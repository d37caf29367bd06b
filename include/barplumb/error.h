/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Errors as values. A function that can fail returns an enum bp_code and, where it takes a struct
 * bp_error, fills it with one sentence and the place at fault. The library never prints or exits.
 */
#ifndef BARPLUMB_ERROR_H
#define BARPLUMB_ERROR_H

#include "barplumb/export.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum bp_code {
    BP_OK = 0,
    BP_ERR_ARGUMENT, /* a setting or argument is outside its range (the caller's fault: usage) */
    BP_ERR_MEMORY,   /* an allocation failed */
    BP_ERR_OPEN,     /* the file cannot be opened: absent, no permission, a directory */
    BP_ERR_READ,     /* reading failed half-way */
    BP_ERR_WRITE,    /* writing failed; nothing half-written is left behind */
    BP_ERR_EMPTY,    /* the log holds no sample, or too few to use */
    BP_ERR_FORMAT,   /* not a log: binary, truncated, or a layout that cannot be recognised */
    BP_ERR_NUMBER,   /* a cell that should hold a number does not, or holds NaN or infinity */
    BP_ERR_COLUMNS,  /* a row with the wrong number of columns, or a needed column is missing */
    BP_ERR_UNITS,    /* units that cannot be settled, or that the numbers contradict */
    BP_ERR_TIME,     /* timestamps that cannot be mended */
    BP_ERR_RATE,     /* too few samples a second for any figure */
    BP_ERR_LIMIT,    /* a documented limit (rows, columns, line length) is passed */
    BP_ERR_MOTION,   /* the motion cannot be reconstructed from this log */
    BP_ERR_NO_REP,   /* no rep in the log */
    BP_CODE_COUNT
};

enum { BP_ERROR_TEXT = 256, BP_ERROR_PATH = 256 };

struct bp_error {
    enum bp_code code;
    char path[BP_ERROR_PATH]; /* the log at fault, "" if none; cut at the front if too long */
    size_t line;              /* 1-based line at fault, 0 if none */
    size_t column;            /* 1-based column (cell) at fault, 0 if none */
    double at_s;              /* time at fault in the log, s; NaN if none */
    char text[BP_ERROR_TEXT]; /* one sentence in plain words, no newline */
};

/* The short constant name of a code ("empty", "number", …); "unknown" outside the enum. */
BP_API const char *bp_code_name(enum bp_code code);

/* Clears error: BP_OK, no place, no text. error may be NULL. */
BP_API void bp_error_clear(struct bp_error *error);

/* Fills error with a code and a printf-formatted text (cut to fit, control characters made '?') and clears
 * its place. Returns code, so that a caller can write `return bp_error_set(…)`. error may be NULL. */
#if defined(__GNUC__)
__attribute__((format(printf, 3, 4)))
#endif
BP_API enum bp_code
bp_error_set(struct bp_error *error, enum bp_code code, const char *format, ...);

/* Adds the place to an error already set. line or column 0 and at_s NaN mean "none". NULL path keeps the
 * path as it is; error may be NULL. */
BP_API void bp_error_place(struct bp_error *error, const char *path, size_t line, size_t column, double at_s);

/* Writes "path:line:column: text" (parts that are absent are left out) into out, always terminated.
 * Returns out. size at least 1. */
BP_API char *bp_error_line(const struct bp_error *error, char *out, size_t size);

#ifdef __cplusplus
}
#endif
#endif
