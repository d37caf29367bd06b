/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: what every step of one import needs to hand.
 */
#ifndef BARPLUMB_IMPORT_IMPORTER_H
#define BARPLUMB_IMPORT_IMPORTER_H

#include "barplumb/import.h"

struct bp_unit;

/* Where recordings go as they are read. */
struct bp_shelf {
    struct bp_recording *list;
    size_t count, most;
    struct bp_error *error; /* the call's own */
};

struct bp_importer {
    const char *name; /* of the log or, in a folder, of the file being read; for errors */
    const struct bp_import_settings *settings;
    struct bp_arena *arena;  /* the trace's own */
    struct bp_arena scratch; /* given back at the end of the import */
    struct bp_findings *findings;
    struct bp_error *error;
    struct bp_shelf *shelf;
    size_t rows_read;                     /* in the recordings before */
    const struct bp_unit *companion_unit; /* of a gravity file beside the acceleration; NULL: none */
};

/* ---- recordings.c */

/* An empty trace that is safe to look at: nothing in it is known yet. */
void bp_import_empty(struct bp_trace *trace);

/* True where one more recording is wanted. */
bool bp_import_wants_more(const struct bp_importer *im);

/* Begins a recording, which stands at `place`: findings and errors are its own from here on. NULL when memory
 * is out. */
struct bp_trace *bp_import_begin_recording(struct bp_importer *im, const char *place);

/* Says anew where it stands: of one recording nobody asks. */
void bp_import_place_recording(struct bp_importer *im, const char *place);

/* Counts them, and says of what could not be read, in it and in the others. Returns the first error where
 * none could. */
enum bp_code bp_import_number_recordings(struct bp_shelf *shelf);

/* Ends it with what became of it. Returns code where that ends the whole import: MEMORY; else OK. */
enum bp_code bp_import_end_recording(struct bp_importer *im, enum bp_code code);

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
