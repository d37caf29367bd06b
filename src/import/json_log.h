/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: logs in JSON (RFC 8259), made into the text of a table.
 */
#ifndef BARPLUMB_IMPORT_JSON_LOG_H
#define BARPLUMB_IMPORT_JSON_LOG_H

#include "import/source.h"

#include "barplumb/text.h"

/* The source, all of it, as lines of cells between commas below a line of headings; text is freed by the
 * caller whatever happens. Objects one a line or in an array, arrays in an array, or one object that holds
 * such arrays or an array for each column; names of objects in objects are joined by a point. *cut: the last
 * record was cut off and is left out. Errors: FORMAT, EMPTY, LIMIT, READ, MEMORY. */
enum bp_code bp_import_json_text(struct bp_importer *im, struct bp_source *source, struct bp_text *text,
                                 bool *cut);

#endif
