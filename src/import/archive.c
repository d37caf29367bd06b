/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Archives as folders in memory: zip, tar and gzip, unpacked by libarchive. Nothing is written to disk, and
 * nothing an archive claims is believed: sizes are counted as they come, and what a log has no use for
 * (links, devices, names that lead out of the archive) makes it suspect as a whole.
 */
#include "import/archive.h"

#include "base/spare.h"
#include "import/workbook.h"

#include <archive.h>
#include <archive_entry.h>
#include <errno.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>

enum { LIBARCHIVE_BYTES = 1 << 21 }; /* for its state and windows, many times what they take */
enum { PIECE_FIRST = 65536, PATH_BYTES = 4096, NAME_SHOWN = 80 };

/* One layer of packing. */
struct layer {
    struct bp_members *members;
    const char *path; /* of what is unpacked, for errors and as the folder of what is in it */
    const char *bytes;
    size_t count;
    size_t depth; /* 1: the outermost */
    bool gzip;    /* one stream without a name */
    struct bp_workbook book;
};

static enum bp_code unpack_layer(struct layer *layer);

static enum bp_code refuse(const struct layer *layer, enum bp_code code, const char *what, const char *name)
{
    struct bp_importer *im = layer->members->im;
    const char *outer = im->name;
    im->name = layer->path;
    if (name != NULL) {
        bp_import_fail(im, code, 0, 0, "the archive holds '%.*s', %s", NAME_SHOWN, name, what);
    } else {
        bp_import_fail(im, code, 0, 0, "%s", what);
    }
    im->name = outer;
    return code;
}

/* An archive there was no memory for looks to libarchive like a damaged one. */
static enum bp_code refuse_damaged(const struct layer *layer)
{
    if (errno == ENOMEM) {
        return bp_import_no_memory(layer->members->im);
    }
    return refuse(layer, BP_ERR_FORMAT, "the archive is damaged or cut off, and was not read", NULL);
}

static enum bp_code refuse_depth(const struct layer *layer)
{
    return refuse(layer, BP_ERR_LIMIT, "archives are packed in one another more deeply than the limit allows",
                  NULL);
}

/* ---- names ---- */

/* Absolute, with a drive letter, or with a step upward: harmless here, since nothing is written, but no phone
 * packs such a name. */
static bool leads_out(const char *name)
{
    if (name[0] == '/' || name[0] == '\\' || (name[0] != '\0' && name[1] == ':')) {
        return true;
    }
    for (const char *at = name; *at != '\0';) {
        size_t length = strcspn(at, "/\\");
        if (length == 2 && at[0] == '.' && at[1] == '.') {
            return true;
        }
        at += length + (at[length] != '\0');
    }
    return false;
}

static const char *last_part(const char *name)
{
    const char *slash = strrchr(name, '/');
    return slash != NULL ? slash + 1 : name;
}

/* What other spreadsheets' files, which are zips too, have in them. */
static bool is_other_spreadsheet_part(const char *name)
{
    return strcmp(name, "xl/workbook.bin") == 0 || strcmp(name, "content.xml") == 0;
}

/* Hidden files, the resource forks beside files from a Mac, and sensors that are not read are passed over. A
 * name without an ending may be a log's. */
static bool is_wanted(struct bp_members *m, const char *name)
{
    const char *last = last_part(name);
    if (strncmp(name, "__MACOSX/", 9) == 0 || last[0] == '.' || last[0] == '\0') {
        return false;
    }
    if (bp_import_is_archive_name(last)) {
        return true;
    }
    return bp_import_may_be_text_name(last) && !bp_import_is_other_sensor(m, last);
}

/* ---- contents ---- */

/* The data of the current entry. *bytes is the caller's to free, NULL after a failure. */
static enum bp_code read_entry(const struct layer *layer, struct archive *archive, char **bytes,
                               size_t *count)
{
    struct bp_members *m = layer->members;
    size_t capacity = PIECE_FIRST, got = 0;
    char *buffer = malloc(capacity);
    enum bp_code code = buffer == NULL ? bp_import_no_memory(m->im) : BP_OK;
    while (code == BP_OK) {
        la_ssize_t n = archive_read_data(archive, buffer + got, capacity - got);
        if (n == 0) {
            *bytes = buffer;
            *count = got;
            return BP_OK;
        }
        if (n < 0) {
            code = refuse_damaged(layer);
        } else if ((size_t)n > m->bytes_left) {
            code = refuse(layer, BP_ERR_LIMIT,
                          "unpacked, the archive is larger than the limit for archives allows", NULL);
        } else {
            got += (size_t)n;
            m->bytes_left -= (size_t)n;
            if (got == capacity) {
                char *larger = realloc(buffer, 2 * capacity);
                code = larger == NULL ? bp_import_no_memory(m->im) : BP_OK;
                buffer = larger != NULL ? larger : buffer;
                capacity *= 2;
            }
        }
    }
    free(buffer);
    *bytes = NULL;
    return code;
}

static uint32_t little_endian(const char *at)
{
    uint32_t value = 0;
    for (int i = 3; i >= 0; i--) {
        value = value << 8 | (unsigned char)at[i];
    }
    return value;
}

/* CRC-32 as in RFC 1952, section 8. */
static uint32_t checksum(const char *bytes, size_t count)
{
    uint32_t table[256], crc = 0xffffffffU;
    for (uint32_t n = 0; n < 256; n++) {
        uint32_t c = n;
        for (int k = 0; k < 8; k++) {
            c = (c & 1U) != 0 ? 0xedb88320U ^ (c >> 1) : c >> 1;
        }
        table[n] = c;
    }
    for (size_t i = 0; i < count; i++) {
        crc = table[(crc ^ (unsigned char)bytes[i]) & 0xffU] ^ (crc >> 8);
    }
    return crc ^ 0xffffffffU;
}

/* A gzip stream ends in its text's checksum and length (RFC 1952), which libarchive does not look at. Where
 * the length is another, several streams may stand one behind the other; then only their last checksum is
 * there, and nothing can be said. */
static bool fits_trailer(const struct layer *layer, const char *bytes, size_t count)
{
    const char *trailer = layer->bytes + layer->count - 8;
    if (layer->count < 18 || little_endian(trailer + 4) != (uint32_t)count) {
        return layer->count >= 18;
    }
    return little_endian(trailer) == checksum(bytes, count);
}

/* Adds what was unpacked, or unpacks it further. Takes bytes over. */
static enum bp_code keep(const struct layer *layer, const char *path, char *bytes, size_t count)
{
    struct bp_members *m = layer->members;
    if (bp_import_container(bytes, count) != BP_CONTAINER_ARCHIVE) {
        return bp_import_add_member(m, path, bytes, count);
    }
    struct layer inner = {m, path, bytes, count, layer->depth + 1, false, {.count = 0}};
    enum bp_code code = inner.depth <= m->depth_max ? unpack_layer(&inner) : refuse_depth(layer);
    free(bytes);
    return code;
}

/* ---- entries ---- */

static enum bp_code check_entry(const struct layer *layer, struct archive_entry *entry, const char *name)
{
    unsigned type = (unsigned)archive_entry_filetype(entry);
    if (layer->members->entries_left == 0) {
        return refuse(layer, BP_ERR_LIMIT, "more files are in the archive than the limit for archives allows",
                      NULL);
    }
    layer->members->entries_left--;
    if (leads_out(name)) {
        return refuse(layer, BP_ERR_FORMAT, "a name that leads out of it: such an archive is not read", name);
    }
    if (archive_entry_hardlink(entry) != NULL || archive_entry_symlink(entry) != NULL ||
        (type != AE_IFREG && type != AE_IFDIR)) {
        return refuse(layer, BP_ERR_FORMAT, "a link or a device: such an archive is not read", name);
    }
    if (archive_entry_is_encrypted(entry)) {
        return refuse(layer, BP_ERR_FORMAT,
                      "which is encrypted: unpack it with its password and give the folder", name);
    }
    return BP_OK;
}

static enum bp_code take_entry(struct layer *layer, struct archive *archive, struct archive_entry *entry)
{
    char path[PATH_BYTES], *bytes = NULL;
    size_t count = 0;
    const char *name = archive_entry_pathname_utf8(entry);
    name = name != NULL ? name : archive_entry_pathname(entry);
    name = name != NULL ? name : "unnamed";
    enum bp_code code = check_entry(layer, entry, name);
    if (code == BP_OK && is_other_spreadsheet_part(name)) {
        return refuse(
            layer, BP_ERR_FORMAT,
            "so it is a spreadsheet of a kind that is not read: save it as .xlsx, or its sheet as CSV", name);
    }
    bool part = !layer->gzip && bp_import_is_workbook_part(name);
    if (code != BP_OK || archive_entry_filetype(entry) == AE_IFDIR ||
        (!layer->gzip && !part && !is_wanted(layer->members, name))) {
        return code;
    }
    code = read_entry(layer, archive, &bytes, &count);
    if (code != BP_OK) {
        return code;
    }
    if (layer->gzip && !fits_trailer(layer, bytes, count)) {
        free(bytes);
        return refuse_damaged(layer);
    }
    if (part) {
        return bp_import_keep_part(&layer->book, layer->members->im, name, bytes, count);
    }
    size_t folder = strlen(layer->path), length = strlen(name);
    if (layer->gzip || folder + length + 2 > sizeof path) {
        return keep(layer, layer->path, bytes, count);
    }
    memcpy(path, layer->path, folder);
    path[folder] = '/';
    memcpy(path + folder + 1, name, length + 1);
    return keep(layer, path, bytes, count);
}

/* libarchive goes through gzip inside gzip by itself; each counts as a layer ("none" is a filter too). */
static enum bp_code check_depth(struct layer *layer, struct archive *archive)
{
    int filters = archive_filter_count(archive) - 1;
    size_t depth = layer->depth + (filters > 1 ? (size_t)(filters - 1) : 0);
    return depth <= layer->members->depth_max ? BP_OK : refuse_depth(layer);
}

static struct archive *open_layer(const struct layer *layer)
{
    struct archive *archive = archive_read_new();
    if (archive == NULL) {
        return NULL;
    }
    if (layer->gzip) {
        archive_read_support_filter_gzip(archive);
        archive_read_support_format_raw(archive);
    } else {
        archive_read_support_format_zip(archive);
        archive_read_support_format_tar(archive);
    }
    return archive;
}

static bool is_gzip(const char *bytes, size_t count)
{
    return count >= 2 && memcmp(bytes, "\x1f\x8b", 2) == 0;
}

static enum bp_code unpack_layer(struct layer *layer)
{
    if (!bp_import_is_our_archive(layer->bytes, layer->count)) {
        return refuse(layer, BP_ERR_FORMAT,
                      "of archives only zip, tar and gzip are read: unpack it and give the folder", NULL);
    }
    layer->gzip = is_gzip(layer->bytes, layer->count);
    /* libarchive 3.6.2 crashes where some of its own allocations fail: so see first that there is memory. */
    struct archive *archive = bp_spare_memory(LIBARCHIVE_BYTES) ? open_layer(layer) : NULL;
    struct archive_entry *entry;
    enum bp_code code = BP_OK;
    if (archive == NULL) {
        return bp_import_no_memory(layer->members->im);
    }
    errno = 0;
    int status = archive_read_open_memory(archive, layer->bytes, layer->count);
    while (code == BP_OK && status >= ARCHIVE_WARN &&
           (status = archive_read_next_header(archive, &entry)) != ARCHIVE_EOF) {
        if (status >= ARCHIVE_WARN) { /* a warning is a name that this locale cannot write */
            code = check_depth(layer, archive);
            code = code == BP_OK ? take_entry(layer, archive, entry) : code;
        }
    }
    if (code == BP_OK && status != ARCHIVE_EOF) {
        code = refuse_damaged(layer);
    }
    archive_read_free(archive);
    code = code == BP_OK ? bp_import_add_workbook(layer->members, layer->path, &layer->book) : code;
    bp_import_free_workbook(&layer->book);
    return code;
}

/* libarchive writes names in the locale's characters and gives up where that has too few; this thread's is
 * UTF-8 for as long as it takes. */
enum bp_code bp_import_unpack(struct bp_members *m, const char *path, const char *bytes, size_t count)
{
    struct layer layer = {m, path, bytes, count, 1, false, {.count = 0}};
    locale_t utf8 = newlocale(LC_CTYPE_MASK, "C.UTF-8", (locale_t)0);
    locale_t before = utf8 != (locale_t)0 ? uselocale(utf8) : (locale_t)0;
    enum bp_code code = unpack_layer(&layer);
    if (utf8 != (locale_t)0) {
        uselocale(before);
        freelocale(utf8);
    }
    return code;
}

enum bp_code bp_import_read_archive(struct bp_importer *im, struct bp_source *source)
{
    struct bp_members members;
    char *bytes = NULL;
    size_t count;
    enum bp_code code = bp_import_begin_members(&members, im, "archive");
    if (code == BP_OK) {
        code = bp_import_slurp(im, source, members.bytes_left, &bytes, &count);
    }
    if (code == BP_OK) {
        code = bp_import_unpack(&members, im->name, bytes, count);
    }
    free(bytes);
    if (code == BP_OK) {
        code = bp_import_read_members(&members);
    }
    bp_import_free_members(&members);
    return code;
}
