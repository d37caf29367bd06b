/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: the files of a folder, or of an archive, which is a folder in memory.
 */
#ifndef BARPLUMB_IMPORT_MEMBERS_H
#define BARPLUMB_IMPORT_MEMBERS_H

#include "import/source.h"
#include "import/words.h"

struct bp_member {
    char *path;       /* as errors name it */
    const char *name; /* its last part, in path */
    size_t home;      /* bytes of path up to the recording's folder: a sensor's own folder is inside it */
    char *bytes;      /* malloc'ed; NULL: on disk at path */
    size_t count;
    struct bp_heading hint; /* what the name says */
};

enum { BP_MEMBERS_MAX = 256, BP_FOLDER_BYTES = 128 };

struct bp_members {
    struct bp_importer *im;
    const char *log_name;   /* the folder's or the archive's, for errors about all of it */
    const char *kind;       /* "folder", "archive", "workbook" */
    bool sheets;            /* its files are a workbook's */
    struct bp_member *list; /* [BP_MEMBERS_MAX] */
    size_t count;
    bool attitude;                              /* there is a file of the phone's attitude */
    size_t bytes_left, entries_left, depth_max; /* of archives: what the limits still allow */
};

/* An empty list. Errors: MEMORY. */
enum bp_code bp_import_begin_members(struct bp_members *m, struct bp_importer *im, const char *kind);

/* Takes bytes over (they are freed even when it fails); NULL: the file is on disk. An empty file is passed
 * over. Errors: LIMIT, MEMORY. */
enum bp_code bp_import_add_member(struct bp_members *m, const char *path, char *bytes, size_t count);

/* Gives the members' bytes back. */
void bp_import_free_members(struct bp_members *m);

/* The name is of a sensor that is not read, which an attitude is not. */
bool bp_import_is_other_sensor(struct bp_members *m, const char *path);

/* A name that a text log may have: .csv, .txt, .tsv, .dat in any case, not hidden. */
bool bp_import_is_text_name(const char *name);

/* …or, where no file has such a name: .json, .jsonl, .ndjson, .log, .asc, or none at all. */
bool bp_import_may_be_text_name(const char *name);

/* The ending of an archive that can be unpacked: .gz, .tgz, .zip, .tar, .xlsx in any case. */
bool bp_import_is_archive_name(const char *name);

/* A member's bytes, from memory or disk. Errors: OPEN. */
enum bp_code bp_import_open_member(struct bp_importer *im, const struct bp_member *file,
                                   struct bp_source *source);

/* Puts the files of each folder together, the uppermost folders first. */
void bp_import_order_members(struct bp_members *m);

/* The files from *at on that are of one folder, those that are preferred first; *at moves on. Folders in
 * folders: the uppermost with a log in it is the recording, and what lies deeper ("meta/") goes with it;
 * several side by side are a recording each. False: there is none left. */
bool bp_import_next_folder(const struct bp_members *m, size_t *at, struct bp_members *folder);

/* Its path in the log, *length characters. It is not empty. */
const char *bp_import_folder_name(const struct bp_members *folder, int *length);

/* ---- sensors.c: chooses each folder's files of acceleration, gravity, gyroscope and attitude and makes a
 * recording of them. */
enum bp_code bp_import_read_members(struct bp_members *m);

#endif
