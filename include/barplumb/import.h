/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Import: log file → trace. CSV of any phone logger, recognised from header words and units, alone or
 * in folders and archives, and 3- or 6-channel recordings in the containers libsndfile reads.
 */
#ifndef BARPLUMB_IMPORT_H
#define BARPLUMB_IMPORT_H

#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/trace.h"

#ifdef __cplusplus
extern "C" {
#endif

struct bp_import_settings {
    /* "t=Time,ax=3,ay=4,az=5,gx=..,gy=..,gz=.." : which column (1-based number or header text) is what;
     * also gravx, gravy, gravz (a gravity column beside linear acceleration). NULL: recognise them. */
    const char *columns;
    /* "t=ms,a=g,w=deg/s": units that override what the header says. t: s ms us ns min d; a: m/s2 cm/s2
     * mm/s2 g mg, counts as 1/4096g; w: rad/s deg/s mrad/s mdps, counts as 1/131dps (docs/import.md); sign:
     * plus or minus, of acceleration that lacks gravity. NULL: recognise them. */
    const char *units;
    double full_scale_force; /* m/s^2 that integer full scale stands for in WAV and FLAC; 0: from the
                                file's comment tag ("full_scale_m_s2=78.4 full_scale_rad_s=34.9") */
    double full_scale_turn;  /* rad/s; 0: from the comment tag */
    bool gravity_removed;    /* the caller says that gravity has been taken out */
    double rate_hz;          /* for CSV logs with no time column; 0: none, such a log is refused */
    size_t rows_max;         /* 0: BP_IMPORT_ROWS_MAX */
    size_t line_bytes_max;   /* 0: BP_IMPORT_LINE_BYTES_MAX */
    size_t columns_max;      /* 0, or more than that: BP_IMPORT_COLUMNS_MAX - 1 */
    /* Archives are not to be trusted: what they may unpack to, and how many entries they may have, in all
     * layers together; how many layers may be packed in one another (a .tar.gz is two). */
    size_t archive_bytes_max;   /* 0: BP_IMPORT_ARCHIVE_BYTES_MAX; also of the packed file itself */
    size_t archive_entries_max; /* 0: BP_IMPORT_ARCHIVE_ENTRIES_MAX */
    size_t archive_depth_max;   /* 0: BP_IMPORT_ARCHIVE_DEPTH_MAX */
};

#define BP_IMPORT_ROWS_MAX ((size_t)50000000)    /* 13 h at 1 kHz: past any lifting session */
#define BP_IMPORT_LINE_BYTES_MAX ((size_t)65536) /* 500 columns of 130 characters */
enum { BP_IMPORT_COLUMNS_MAX = 256 };
#define BP_IMPORT_ARCHIVE_BYTES_MAX ((size_t)1 << 30) /* 3 h of six axes at 1 kHz; held in memory */
#define BP_IMPORT_ARCHIVE_ENTRIES_MAX ((size_t)1000)
#define BP_IMPORT_ARCHIVE_DEPTH_MAX ((size_t)3) /* a .tar.gz in a share's zip */

extern BP_API const struct bp_import_settings bp_import_defaults;

/* Reads the log at path into trace, of several recordings the first: a text log, a recording, a folder of one
 * text log a sensor, a zip, tar or gzip archive of either kind of text, or a workbook, .xlsx ("-" is standard
 * input: text, archive or workbook). The trace's arrays live in arena. Errors: OPEN, READ, EMPTY, FORMAT,
 * NUMBER, COLUMNS, UNITS, TIME, LIMIT, MEMORY, ARGUMENT, each with file, line and column where there is one;
 * trace is then unusable (count 0). Thread-safe for different arenas. */
BP_API enum bp_code bp_import_log(const char *path, const struct bp_import_settings *settings,
                                  struct bp_arena *arena, struct bp_trace *trace, struct bp_error *error);

/* One recording of a log. */
struct bp_recording {
    char place[48];         /* where it stands: "line 62", or its folder; "" where the log is one recording */
    enum bp_code code;      /* BP_OK: trace is whole; else error says why it could not be read */
    struct bp_trace *trace; /* with recording and recordings set where there are several */
    struct bp_error error;
};

enum { BP_IMPORT_RECORDINGS_MAX = 256 };

struct bp_recordings {
    size_t count;              /* at least 1 */
    struct bp_recording *list; /* [count] in the log's order */
};

/* The same for every recording in the log: a text log in which the header stands again, an archive or a
 * folder of several folders. All of them together keep to the limits of the settings; past
 * BP_IMPORT_RECORDINGS_MAX the last one says that there are more. Where none can be read, the first one's
 * error is the log's, and recordings is all zero, as after any error; where some cannot, each of the others
 * has a finding that says so. Lives in arena. */
BP_API enum bp_code bp_import_recordings(const char *path, const struct bp_import_settings *settings,
                                         struct bp_arena *arena, struct bp_recordings *recordings,
                                         struct bp_error *error);

/* The same for a text log or an archive already in memory. name is used in errors. */
BP_API enum bp_code bp_import_csv_bytes(const char *name, const char *bytes, size_t count,
                                        const struct bp_import_settings *settings, struct bp_arena *arena,
                                        struct bp_trace *trace, struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
