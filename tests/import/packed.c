/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/packed.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <archive_entry.h>
#include <stdlib.h>
#include <string.h>

enum { PACKED_MAX = 1 << 21 };

void pack_begin(struct packed *p, enum pack pack)
{
    p->bytes = malloc(PACKED_MAX);
    p->writer = archive_write_new();
    p->count = 0;
    assert_non_null(p->bytes);
    assert_non_null(p->writer);
    if (pack == ZIP || pack == ZIP_ENCRYPTED || pack == ZIP_STORED) {
        archive_write_set_format_zip(p->writer);
    } else if (pack == GZ) {
        archive_write_set_format_raw(p->writer);
    } else {
        archive_write_set_format_ustar(p->writer);
    }
    if (pack == TAR_GZ || pack == GZ) {
        archive_write_add_filter_gzip(p->writer);
    }
    if (pack == ZIP_STORED) {
        assert_int_equal(archive_write_set_options(p->writer, "zip:compression=store"), ARCHIVE_OK);
    }
    if (pack == ZIP_ENCRYPTED) {
        assert_int_equal(archive_write_set_options(p->writer, "zip:encryption=traditional"), ARCHIVE_OK);
        assert_int_equal(archive_write_set_passphrase(p->writer, "secret"), ARCHIVE_OK);
    }
    assert_int_equal(archive_write_open_memory(p->writer, p->bytes, PACKED_MAX, &p->count), ARCHIVE_OK);
}

/* mode: AE_IFREG and its like. link: of a symlink, NULL: none. */
void pack_entry(struct packed *p, const char *name, unsigned mode, const char *link, const char *text,
                size_t count)
{
    struct archive_entry *entry = archive_entry_new();
    assert_non_null(entry);
    archive_entry_set_pathname(entry, name);
    archive_entry_set_filetype(entry, mode);
    archive_entry_set_perm(entry, 0644);
    archive_entry_set_size(entry, (int64_t)count);
    if (mode == AE_IFLNK) {
        archive_entry_set_symlink(entry, link);
    } else if (link != NULL) {
        archive_entry_set_hardlink(entry, link);
    }
    assert_int_equal(archive_write_header(p->writer, entry), ARCHIVE_OK);
    if (count > 0) {
        assert_int_equal(archive_write_data(p->writer, text, count), (la_ssize_t)count);
    }
    archive_entry_free(entry);
}

void pack_file(struct packed *p, const char *name, const char *text, size_t count)
{
    pack_entry(p, name, AE_IFREG, NULL, text, count);
}

void pack_end(struct packed *p)
{
    assert_int_equal(archive_write_close(p->writer), ARCHIVE_OK);
    assert_int_equal(archive_write_free(p->writer), ARCHIVE_OK);
}

enum bp_code read_packed(struct imported *in, struct packed *p)
{
    /* exactly as long as it is, so that a read past its end is caught */
    char *exact = malloc(p->count > 0 ? p->count : 1);
    assert_non_null(exact);
    memcpy(exact, p->bytes, p->count);
    enum bp_code code = support_bytes(in, exact, p->count);
    free(exact);
    return code;
}

void refuse_packed(struct imported *in, struct packed *p, enum bp_code code, const char *part)
{
    read_packed(in, p);
    support_refused(in, code, 0, 0, part);
    free(p->bytes);
}
