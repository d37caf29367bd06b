/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Block: a sheet of sets → every one of them measured, a log a worker, on as many cores as asked for.
 *
 * With a store, a folder, each set's document is kept there under a key of everything it came from: the bytes
 * of its log and its rig, its row, the settings and this version. A second run measures only what changed.
 * Figures always come out of the document, so that a first and a second run, and any number of workers, give
 * the same bytes.
 */
#ifndef BARPLUMB_BLOCK_H
#define BARPLUMB_BLOCK_H

#include "barplumb/analyse.h"
#include "barplumb/sheet.h"

#ifdef __cplusplus
extern "C" {
#endif

enum bp_block_state {
    BP_BLOCK_LEFT_OUT, /* another lifter, or too early */
    BP_BLOCK_WAITING,  /* not reached: the run was stopped */
    BP_BLOCK_MEASURED,
    BP_BLOCK_KEPT,  /* unchanged since an earlier run */
    BP_BLOCK_FAILED /* error says why */
};

enum { BP_BLOCK_ID = 112, BP_BLOCK_KEY = 33, BP_BLOCK_JOBS_MAX = 256 };

struct bp_block_set {
    const struct bp_sheet_row *row;
    enum bp_block_state state;
    char id[BP_BLOCK_ID]; /* safe as a file name, the same in every run: "2026-03-02-L1-bench-chains-1f0c9a2b"
                           */
    struct bp_error error;     /* of FAILED */
    struct bp_summary summary; /* of MEASURED and KEPT */
};

struct bp_block {
    size_t count; /* the sheet's good rows, in its order */
    struct bp_block_set *sets;
    size_t chosen; /* of them, not LEFT_OUT */
    size_t measured, kept, failed;
    bool stopped;           /* before all were done */
    size_t extra_count;     /* cells of each row that mean nothing here */
    char key[BP_BLOCK_KEY]; /* of all that reports of the block could hold: with a store, the same key, the
                               same reports */
    bool unchanged;         /* all of it was seen before (settings.seen): summaries are not filled */
};

/* How far a run has come. */
struct bp_block_progress {
    size_t chosen, done, failed;
    const struct bp_block_set *latest; /* the set just done; its summary is not filled yet */
};

struct bp_block_settings {
    struct bp_analyse_settings
        analyse;        /* lift, setup, rig and path come from the rows; the rest is for all */
    size_t jobs;        /* workers, 1 to BP_BLOCK_JOBS_MAX; 0: as many as there are cores */
    const char *lifter; /* only this one's sets; NULL: all */
    const char *since;  /* "2026-03-02": only sets of that day and later; NULL: all */
    const char *store;  /* an existing folder for documents; NULL: none is kept */
    const char *seen;   /* with a store: the key of the block as it was last reported; NULL: never */
    const char *pages;  /* with a store: an existing folder for a page a set, <id>.html; NULL: none */
    const char *assets; /* the pages' shared files, seen from them: "../assets/"; see report.h */
    const char *index;  /* the block's own page, seen from them: "../index.html"; NULL: none */
    /* Called after every set, by one worker at a time; false stops the run once the sets in hand are done.
     * NULL: nothing. */
    bool (*progress)(void *about, const struct bp_block_progress *progress);
    void *about;
};
extern BP_API const struct bp_block_settings bp_block_defaults;

/* Measures the sheet's sets. block's arrays live in arena; rows point into sheet, which must outlive it. A
 * log or rig that cannot be read or used is its set's error and no error of the call. Errors: ARGUMENT
 * (settings, a date that is none), WRITE (the store), MEMORY; sets done until then stay in the store. */
BP_API enum bp_code bp_block_measure(const struct bp_sheet *sheet, const struct bp_block_settings *settings,
                                     struct bp_arena *arena, struct bp_block *block, struct bp_error *error);

/* A file of those bytes under path, whole or not at all: written beside it and renamed, so that a reader, or
 * a run that was killed, leaves the old one or the new one. Not flushed to the disk: a power cut may lose it.
 * Errors: WRITE, with the path. */
BP_API enum bp_code bp_block_write(const char *path, const char *bytes, size_t count, struct bp_error *error);

/* Takes away what runs that were killed left half written in a folder, and nothing of a run that lives. A
 * folder that cannot be read, or a file that cannot be taken away, is left as it is. */
BP_API void bp_block_sweep(const char *folder);

#ifdef __cplusplus
}
#endif
#endif
