/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/source.h"

#include "base/open.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static enum bp_code fail_open(struct bp_importer *im, int why)
{
    const char *reason = why == ENOENT || why == ENOTDIR  ? "there is no such file"
                         : why == EACCES || why == EPERM  ? "no permission to read it"
                         : why == EISDIR                  ? "it is a folder"
                         : why == EMFILE || why == ENFILE ? "too many files are open"
                         : why == ENAMETOOLONG            ? "the name is too long"
                         : why == ELOOP                   ? "its links go round in a circle"
                         : why == ETIMEDOUT               ? "it is a pipe that nobody writes to"
                                                          : "it cannot be opened";
    return bp_import_fail(im, BP_ERR_OPEN, 0, 0, "%s", reason);
}

enum bp_code bp_import_open(struct bp_importer *im, const char *path, struct bp_source *source)
{
    struct stat status;
    *source = (struct bp_source){.file = -1};
    if (strcmp(path, "-") == 0) {
        source->file = STDIN_FILENO;
    } else {
        source->file = bp_open_to_read(path);
        if (source->file < 0) {
            return fail_open(im, errno);
        }
        source->owned = true;
    }
    if (fstat(source->file, &status) == 0) {
        if (S_ISDIR(status.st_mode)) {
            bp_import_close(source);
            return fail_open(im, EISDIR);
        }
        if (S_ISREG(status.st_mode) && status.st_size > 0) {
            source->size_hint = (size_t)status.st_size;
        }
    }
    return BP_OK;
}

void bp_import_open_bytes(const char *bytes, size_t count, struct bp_source *source)
{
    *source = (struct bp_source){.file = -1, .bytes = bytes, .count = count, .size_hint = count};
}

void bp_import_close(struct bp_source *source)
{
    if (source->owned) {
        close(source->file);
    }
    source->file = -1;
    source->owned = false;
}

/* The bytes as they are. */
static enum bp_code read_bytes(struct bp_importer *im, struct bp_source *source, char *buffer,
                               size_t capacity, size_t *got)
{
    *got = 0;
    if (source->head_at < source->head_count) {
        size_t left = source->head_count - source->head_at;
        *got = left < capacity ? left : capacity;
        memcpy(buffer, source->head + source->head_at, *got);
        source->head_at += *got;
    }
    if (source->file < 0) {
        size_t left = source->count - source->at;
        *got = left < capacity ? left : capacity;
        if (*got > 0) {
            memcpy(buffer, source->bytes + source->at, *got);
        }
        source->at += *got;
        return BP_OK;
    }
    while (*got < capacity) {
        ssize_t n = read(source->file, buffer + *got, capacity - *got);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0) {
            return bp_import_fail(im, errno == EISDIR ? BP_ERR_OPEN : BP_ERR_READ, 0, 0, "%s",
                                  errno == EISDIR ? "it is a folder" : "reading it failed");
        }
        if (n == 0) {
            break;
        }
        *got += (size_t)n;
    }
    return BP_OK;
}

/* One unit of UTF-16; *got is 1 at the text's end, which half a unit is too. */
static enum bp_code read_unit(struct bp_importer *im, struct bp_source *source, unsigned *unit, bool *end)
{
    unsigned char two[2];
    size_t got;
    enum bp_code code = read_bytes(im, source, (char *)two, sizeof two, &got);
    *end = got < sizeof two;
    *unit = *end ? 0 : source->big_endian ? (unsigned)two[0] << 8 | two[1] : (unsigned)two[1] << 8 | two[0];
    return code;
}

/* UTF-16 (RFC 2781) to UTF-8 (RFC 3629). Signs beyond the first 65,536, which no log needs, become '?': their
 * halves stand for one each. */
static size_t put_character(unsigned unit, char out[4])
{
    if (unit < 0x80) {
        out[0] = (char)unit;
        return 1;
    }
    if (unit < 0x800) {
        out[0] = (char)(0xC0U | unit >> 6);
        out[1] = (char)(0x80U | (unit & 0x3FU));
        return 2;
    }
    if (unit >= 0xD800 && unit < 0xE000) {
        out[0] = '?';
        return 1;
    }
    out[0] = (char)(0xE0U | unit >> 12);
    out[1] = (char)(0x80U | (unit >> 6 & 0x3FU));
    out[2] = (char)(0x80U | (unit & 0x3FU));
    return 3;
}

static enum bp_code read_wide(struct bp_importer *im, struct bp_source *source, char *buffer, size_t capacity,
                              size_t *got)
{
    enum bp_code code = BP_OK;
    bool end = false;
    for (*got = 0; code == BP_OK && !end;) {
        size_t room = capacity - *got, n = source->held < room ? source->held : room;
        unsigned unit;
        memcpy(buffer + *got, source->character, n);
        memmove(source->character, source->character + n, source->held - n);
        *got += n;
        source->held -= n;
        if (*got == capacity) {
            break;
        }
        code = read_unit(im, source, &unit, &end);
        source->held = end ? 0 : put_character(unit, source->character);
    }
    return code;
}

static enum bp_code read_text(struct bp_importer *im, struct bp_source *source, char *buffer, size_t capacity,
                              size_t *got)
{
    return source->wide ? read_wide(im, source, buffer, capacity, got)
                        : read_bytes(im, source, buffer, capacity, got);
}

enum bp_code bp_import_read(struct bp_importer *im, struct bp_source *source, char *buffer, size_t capacity,
                            size_t *got)
{
    enum bp_code code = read_text(im, source, buffer, capacity, got);
    size_t more = *got;
    *got = source->padded ? bp_import_close_blanks(&source->blanks, buffer, more) : more;
    while (code == BP_OK && source->padded && more > 0 && *got < capacity) {
        code = read_text(im, source, buffer + *got, capacity - *got, &more);
        *got += bp_import_close_blanks(&source->blanks, buffer + *got, more);
    }
    return code;
}

enum bp_code bp_import_widen(struct bp_importer *im, struct bp_source *source)
{
    const char *head;
    size_t count;
    enum bp_code code = bp_import_peek(im, source, &head, &count);
    if (code == BP_OK && bp_import_container(head, count) == BP_CONTAINER_UTF16) {
        source->wide = true;
        source->big_endian = head[0] == '\xfe' || head[0] == '\0';
        source->size_hint /= 2;
    }
    return code;
}

enum bp_code bp_import_peek(struct bp_importer *im, struct bp_source *source, const char **bytes,
                            size_t *count)
{
    if (source->file < 0) {
        *bytes = source->bytes + source->at;
        *count = source->count - source->at;
        return BP_OK;
    }
    enum bp_code code = source->head_count > 0
                            ? BP_OK
                            : read_bytes(im, source, source->head, sizeof source->head, &source->head_count);
    *bytes = source->head;
    *count = source->head_count;
    return code;
}

enum bp_code bp_import_slurp(struct bp_importer *im, struct bp_source *source, size_t most, char **bytes,
                             size_t *count)
{
    size_t capacity =
        source->size_hint > 0 && source->size_hint < most ? source->size_hint + 1 : BP_BLOCK_BYTES;
    char *buffer = malloc(capacity);
    enum bp_code code = buffer == NULL ? bp_import_no_memory(im) : BP_OK;
    *count = 0;
    *bytes = NULL;
    while (code == BP_OK) {
        size_t got;
        code = read_bytes(im, source, buffer + *count, capacity - *count, &got);
        if (code != BP_OK) {
            break;
        }
        *count += got;
        if (*count > most) {
            code = bp_import_fail(im, BP_ERR_LIMIT, 0, 0,
                                  "it is larger than the %zu bytes allowed for an archive", most);
        } else if (*count < capacity) {
            *bytes = buffer;
            return BP_OK;
        } else {
            char *larger = realloc(buffer, 2 * capacity);
            code = larger == NULL ? bp_import_no_memory(im) : BP_OK;
            buffer = larger != NULL ? larger : buffer;
            capacity *= 2;
        }
    }
    free(buffer);
    return code;
}

/* First bytes ("magic numbers") from each format's own specification. */
static const struct magic {
    const char *bytes;
    size_t count;
    enum bp_container container;
} magics[] = {
    {"RIFF", 4, BP_CONTAINER_SOUND},
    {"RF64", 4, BP_CONTAINER_SOUND},
    {"riff\x2e\x91\xcf\x11", 8, BP_CONTAINER_SOUND}, /* W64: the RIFF GUID */
    {"fLaC", 4, BP_CONTAINER_SOUND},
    {"PK\x03\x04", 4, BP_CONTAINER_ARCHIVE},
    {"PK\x05\x06", 4, BP_CONTAINER_ARCHIVE}, /* an empty zip */
    {"PK\x07\x08", 4, BP_CONTAINER_ARCHIVE}, /* the first part of several */
    {"\x1f\x8b", 2, BP_CONTAINER_ARCHIVE},
    {"BZh", 3, BP_CONTAINER_ARCHIVE},
    {"\xfd"
     "7zXZ\x00",
     6, BP_CONTAINER_ARCHIVE},
    {"7z\xbc\xaf\x27\x1c", 6, BP_CONTAINER_ARCHIVE},
    {"\x28\xb5\x2f\xfd", 4, BP_CONTAINER_ARCHIVE}, /* zstd */
    {"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", 8, BP_CONTAINER_COMPOUND},
    {"\xff\xfe\0\0", 4, BP_CONTAINER_BINARY}, /* UTF-32 */
    {"\xff\xfe", 2, BP_CONTAINER_UTF16},
    {"\xfe\xff", 2, BP_CONTAINER_UTF16},
};

/* POSIX 1003.1: a header block with "ustar" at byte 257. */
static bool is_tar(const char *bytes, size_t count)
{
    return count >= BP_HEAD_BYTES && memcmp(bytes + 257, "ustar", 5) == 0;
}

bool bp_import_is_our_archive(const char *bytes, size_t count)
{
    return is_tar(bytes, count) || (count >= 2 && memcmp(bytes, "\x1f\x8b", 2) == 0) ||
           (count >= 4 && memcmp(bytes, "PK", 2) == 0);
}

/* Letters of ASCII with a zero byte before or behind each: UTF-16 without its mark. */
static bool is_wide(const char *bytes, size_t count)
{
    enum { UNITS = 8 };
    size_t before = 0, behind = 0;
    for (size_t i = 0; i < UNITS && 2 * i + 1 < count; i++) {
        before += bytes[2 * i] == '\0' && bytes[2 * i + 1] != '\0';
        behind += bytes[2 * i] != '\0' && bytes[2 * i + 1] == '\0';
    }
    return before == UNITS || behind == UNITS;
}

static size_t skip_blanks(const char *bytes, size_t count, size_t at)
{
    while (at < count && (bytes[at] == ' ' || bytes[at] == '\t' || bytes[at] == '\r' || bytes[at] == '\n')) {
        at++;
    }
    return at;
}

/* An object, or a list of objects or lists: a heading in brackets is none. */
static bool is_json(const char *bytes, size_t count)
{
    size_t mark = count >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
    size_t first = skip_blanks(bytes, count, mark), second = skip_blanks(bytes, count, first + 1);
    if (second >= count) {
        return false;
    }
    return (bytes[first] == '{' && bytes[second] == '"') ||
           (bytes[first] == '[' && (bytes[second] == '{' || bytes[second] == '['));
}

enum bp_container bp_import_container(const char *bytes, size_t count)
{
    for (size_t i = 0; i < sizeof magics / sizeof magics[0]; i++) {
        if (count >= magics[i].count && memcmp(bytes, magics[i].bytes, magics[i].count) == 0) {
            return magics[i].container;
        }
    }
    if (is_tar(bytes, count)) {
        return BP_CONTAINER_ARCHIVE;
    }
    if (is_wide(bytes, count)) {
        return BP_CONTAINER_UTF16;
    }
    if (count > 0 && memchr(bytes, '\0', count) != NULL) {
        return BP_CONTAINER_BINARY;
    }
    return is_json(bytes, count) ? BP_CONTAINER_JSON : BP_CONTAINER_TEXT;
}

enum bp_code bp_import_refuse_binary(struct bp_importer *im, const char *bytes, size_t count)
{
    switch (bp_import_container(bytes, count)) {
    case BP_CONTAINER_SOUND:
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                              "a WAV, W64, RF64 or FLAC recording is read from a file only, not from a pipe");
    case BP_CONTAINER_ARCHIVE:
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0, "it is an archive, not a text log");
    case BP_CONTAINER_COMPOUND:
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                              "it is a spreadsheet of an old kind or one with a password: save it as .xlsx "
                              "without one, or its sheet as CSV");
    case BP_CONTAINER_BINARY:
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0, "it is not text: a zero byte is in it");
    default:
        return BP_OK;
    }
}
