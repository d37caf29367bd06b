/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: what every step of one import needs to hand.
 */
#ifndef BARPLUMB_IMPORT_IMPORTER_H
#define BARPLUMB_IMPORT_IMPORTER_H

#include "barplumb/import.h"

struct bp_unit;

struct bp_importer {
    const char *name; /* of the log or, in a folder, of the file being read; for errors */
    const struct bp_import_settings *settings;
    struct bp_arena *arena;  /* the trace's own */
    struct bp_arena scratch; /* given back at the end of the import */
    struct bp_findings *findings;
    struct bp_error *error;
    const struct bp_unit *companion_unit; /* of a gravity file beside the acceleration; NULL: none */
};

/* Sets the error with its file, line and column (0: none). Returns code. */
#if defined(__GNUC__)
__attribute__((format(printf, 5, 6)))
#endif
enum bp_code
bp_import_fail(struct bp_importer *im, enum bp_code code, size_t line, size_t column, const char *format,
               ...);

/* MEMORY, with the file. Inline, so that compiler and analyser see that it is never OK. */
static inline enum bp_code bp_import_no_memory(struct bp_importer *im)
{
    bp_import_fail(im, BP_ERR_MEMORY, 0, 0, "there is not enough memory to read it");
    return BP_ERR_MEMORY;
}

/* A number as short text for messages: NUMBER_TEXT bytes, at most 4 decimals (6 below a thousandth), none
 * where they are zero. */
enum { BP_NUMBER_TEXT = 40 };
const char *bp_import_number(double value, char out[BP_NUMBER_TEXT]);

#endif
