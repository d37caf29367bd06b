/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A workbook. The bytes hold its parts one behind another, a byte 0x1e (the record separator of ASCII) before
 * the next: the book, its links, its shared texts, its sheets. They are packed with the checksums that bytes
 * made up at random never have.
 */
#include "fuzz/fuzz.h"

#include "barplumb/import.h"

#include <archive.h>
#include <archive_entry.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PARTS_MOST = 6, ZIP_MORE = 4096, SEPARATOR = 0x1e };

static void put_part(struct archive *zip, size_t number, const uint8_t *bytes, size_t count)
{
    static const char *const names[] = {"xl/workbook.xml", "xl/_rels/workbook.xml.rels",
                                        "xl/sharedStrings.xml"};
    char sheet[40];
    struct archive_entry *entry = archive_entry_new();
    snprintf(sheet, sizeof sheet, "xl/worksheets/sheet%zu.xml", number - 2);
    archive_entry_set_pathname(entry, number < 3 ? names[number] : sheet);
    archive_entry_set_filetype(entry, AE_IFREG);
    archive_entry_set_size(entry, (int64_t)count);
    fuzz_require(archive_write_header(zip, entry) == ARCHIVE_OK, "a part can be packed");
    if (count > 0) {
        fuzz_require(archive_write_data(zip, bytes, count) == (la_ssize_t)count, "a part can be packed");
    }
    archive_entry_free(entry);
}

/* The zip's bytes, the caller's to free. */
static char *pack(const uint8_t *bytes, size_t count, size_t *packed)
{
    size_t room = count + ZIP_MORE;
    char *out = malloc(room);
    struct archive *zip = archive_write_new();
    fuzz_require(out != NULL && zip != NULL, "there is memory for a zip");
    archive_write_set_format_zip(zip);
    archive_write_set_options(zip, "zip:compression=store");
    fuzz_require(archive_write_open_memory(zip, out, room, packed) == ARCHIVE_OK, "a zip can be made");
    for (size_t part = 0; part < PARTS_MOST && count > 0; part++) {
        const uint8_t *end = memchr(bytes, SEPARATOR, count);
        size_t length = end != NULL ? (size_t)(end - bytes) : count;
        put_part(zip, part, bytes, length);
        length += end != NULL;
        bytes += length;
        count -= length;
    }
    fuzz_require(archive_write_free(zip) == ARCHIVE_OK, "a zip can be ended");
    return out;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct bp_import_settings settings = bp_import_defaults;
    size_t packed = 0;
    char *zip = pack(bytes, count, &packed);
    settings.rows_max = 100000;
    settings.archive_bytes_max = 1 << 24;
    fuzz_log((const uint8_t *)zip, packed, &settings);
    free(zip);
    return 0;
}
