/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/import: a workbook (ECMA-376, Office Open XML: .xlsx), which is a zip of XML, as a folder of
 * one text log a sheet.
 */
#ifndef BARPLUMB_IMPORT_WORKBOOK_H
#define BARPLUMB_IMPORT_WORKBOOK_H

#include "import/members.h"

enum { BP_WORKBOOK_PARTS_MAX = 64 };

/* The parts that are needed, which stand in the zip in any order. */
struct bp_workbook {
    size_t count;
    struct bp_workbook_part {
        char name[BP_FOLDER_BYTES]; /* "xl/worksheets/sheet1.xml" */
        char *bytes;                /* malloc'ed */
        size_t count;
    } part[BP_WORKBOOK_PARTS_MAX];
};

/* A name in the zip that only a workbook has and that is needed to read its sheets. */
bool bp_import_is_workbook_part(const char *name);

/* Takes bytes over (they are freed even when it fails). Errors: LIMIT. */
enum bp_code bp_import_keep_part(struct bp_workbook *book, struct bp_importer *im, const char *name,
                                 char *bytes, size_t count);

/* Adds each sheet to m as a member "path/its name", a line a row, cells parted by TABs; sheets without a cell
 * are passed over. What was kept is given back. Does nothing where nothing was kept. Errors: FORMAT, LIMIT,
 * MEMORY, each naming path. */
enum bp_code bp_import_add_workbook(struct bp_members *m, const char *path, struct bp_workbook *book);

void bp_import_free_workbook(struct bp_workbook *book);

#endif
