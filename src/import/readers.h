/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: one reader a kind of log.
 */
#ifndef BARPLUMB_IMPORT_READERS_H
#define BARPLUMB_IMPORT_READERS_H

#include "import/stream.h"

/* Each puts what it reads on the importer's shelf and fails only where that ends the import. */

/* A text log of one or several recordings. The source is left open. */
enum bp_code bp_import_read_csv(struct bp_importer *im, struct bp_source *source);

/* A recording in a sound container. */
enum bp_code bp_import_read_sound(struct bp_importer *im, const char *path);

/* A folder with one text log a sensor, or with folders of such. (An archive: archive.h.) */
enum bp_code bp_import_read_folder(struct bp_importer *im, const char *path);

#endif
