/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Archives in the making, by libarchive's writer, for the import tests.
 */
#ifndef BARPLUMB_TESTS_IMPORT_PACKED_H
#define BARPLUMB_TESTS_IMPORT_PACKED_H

#include "import/support.h"

#include <archive.h>
#include <stdbool.h>

enum pack { ZIP, TAR, TAR_GZ, GZ, ZIP_ENCRYPTED, ZIP_STORED };

/* An archive in the making. */
struct packed {
    struct archive *writer;
    char *bytes;
    size_t count;
    bool gzip_only;
};

void pack_begin(struct packed *p, enum pack pack);

/* mode: AE_IFREG and its like. link: of a symlink or, in a file, of a hard link, NULL: none. */
void pack_entry(struct packed *p, const char *name, unsigned mode, const char *link, const char *text,
                size_t count);
void pack_file(struct packed *p, const char *name, const char *text, size_t count);
void pack_end(struct packed *p);

/* Imports it; p->bytes stays the caller's to free. */
enum bp_code read_packed(struct imported *in, struct packed *p);

/* Asserts that it is refused so, and frees it. */
void refuse_packed(struct imported *in, struct packed *p, enum bp_code code, const char *part);

#endif
