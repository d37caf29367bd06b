/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: archives as folders in memory.
 */
#ifndef BARPLUMB_IMPORT_ARCHIVE_H
#define BARPLUMB_IMPORT_ARCHIVE_H

#include "import/members.h"

/* Unpacks bytes[0..count) as the archive at path and adds its text files to m. Errors: FORMAT, LIMIT, MEMORY,
 * each naming path. */
enum bp_code bp_import_unpack(struct bp_members *m, const char *path, const char *bytes, size_t count);

/* A whole log that is an archive; the source is read to its end. */
enum bp_code bp_import_read_archive(struct bp_importer *im, struct bp_source *source);

#endif
