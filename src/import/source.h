/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: bytes from a file, a pipe or memory, in blocks.
 */
#ifndef BARPLUMB_IMPORT_SOURCE_H
#define BARPLUMB_IMPORT_SOURCE_H

#include "import/blanks.h"
#include "import/importer.h"

/* read() in blocks of this size beats mapping the file by a tenth, and works on pipes. */
#define BP_BLOCK_BYTES ((size_t)262144)
/* Behind a block of text: a line's end, and what may be looked at in one go with the last of the text. */
enum { BP_BLOCK_PADDING = 64 };

enum { BP_HEAD_BYTES = 512 }; /* a tar archive says what it is behind its first 256 bytes */

struct bp_source {
    int file;          /* -1: memory */
    bool owned;        /* to be closed */
    const char *bytes; /* memory */
    size_t count, at;
    size_t size_hint;         /* bytes in all, 0 if unknown */
    bool padded;              /* runs of blanks are made one TAB each… */
    struct bp_blanks blanks;  /* …and where the text stands */
    bool wide, big_endian;    /* UTF-16, handed on as UTF-8 */
    char character[4];        /* of it, what the buffer had no room for… */
    size_t held;              /* …its last bytes */
    char head[BP_HEAD_BYTES]; /* of a file: looked at before it is read */
    size_t head_count, head_at;
};

/* Opens a file, "-" for standard input. Errors: OPEN. */
enum bp_code bp_import_open(struct bp_importer *im, const char *path, struct bp_source *source);
void bp_import_open_bytes(const char *bytes, size_t count, struct bp_source *source);
void bp_import_close(struct bp_source *source);

/* Fills buffer[0..capacity) as far as the source has bytes; *got < capacity only at its end. Errors: READ. */
enum bp_code bp_import_read(struct bp_importer *im, struct bp_source *source, char *buffer, size_t capacity,
                            size_t *got);

/* The first bytes (fewer than BP_HEAD_BYTES: all there are) without taking them; before anything is read.
 * Errors: READ, OPEN. */
enum bp_code bp_import_peek(struct bp_importer *im, struct bp_source *source, const char **bytes,
                            size_t *count);

/* All that is left, in one malloc'ed piece that the caller frees; NULL after a failure. Errors: READ, LIMIT
 * (more than most bytes), MEMORY. */
enum bp_code bp_import_slurp(struct bp_importer *im, struct bp_source *source, size_t most, char **bytes,
                             size_t *count);

enum bp_container {
    BP_CONTAINER_TEXT,
    BP_CONTAINER_SOUND,   /* RIFF, RF64, W64, FLAC */
    BP_CONTAINER_ARCHIVE, /* zip, gzip and their like */
    BP_CONTAINER_UTF16,
    BP_CONTAINER_JSON,
    BP_CONTAINER_COMPOUND, /* .xls, and what is encrypted of its successors */
    BP_CONTAINER_BINARY
};

/* What the first bytes of a file say it is. */
enum bp_container bp_import_container(const char *bytes, size_t count);

/* Where the source's text is UTF-16, bp_import_read gives UTF-8 from here on. Errors: READ, OPEN. */
enum bp_code bp_import_widen(struct bp_importer *im, struct bp_source *source);

/* The archive is one that is unpacked: zip, tar, gzip. */
bool bp_import_is_our_archive(const char *bytes, size_t count);

/* Refuses everything but text, with the reason. Errors: FORMAT. */
enum bp_code bp_import_refuse_binary(struct bp_importer *im, const char *bytes, size_t count);

#endif
