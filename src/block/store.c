/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700
#include "block/store.h"

#include "barplumb/block.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The first line of a record: this word and RECORD_NUMBERS numbers; one of another shape is read as none. */
static const char record_word[] = "barplumb.record/2";
enum { LINE_BYTES = 512, RECORD_NUMBERS = 11, RECORD_BYTES_MAX = 64 * 1024 * 1024, MODE = 0666 };

static enum bp_code fail_write(const char *path, int reason, struct bp_error *error)
{
    bp_error_set(error, BP_ERR_WRITE, "%s", strerror(reason));
    bp_error_place(error, path, 0, 0, (double)NAN);
    return BP_ERR_WRITE;
}

static bool write_all(int file, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t written = write(file, bytes, count);
        if (written < 0 && errno != EINTR) {
            return false;
        }
        if (written > 0) {
            bytes += written;
            count -= (size_t)written;
        }
    }
    return true;
}

enum bp_code bp_block_write(const char *path, const char *bytes, size_t count, struct bp_error *error)
{
    char part[PATH_MAX];
    int length = snprintf(part, sizeof part, "%s.%ld" BP_STORE_PART, path, (long)getpid());
    if (length < 0 || length >= PATH_MAX) {
        return fail_write(path, ENAMETOOLONG, error);
    }
    int file = open(part, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW, MODE);
    if (file < 0) {
        return fail_write(path, errno, error);
    }
    bool good = write_all(file, bytes, count);
    int reason = errno;
    if (close(file) != 0 && good) {
        good = false;
        reason = errno;
    }
    if (good && rename(part, path) != 0) {
        good = false;
        reason = errno;
    }
    if (!good) {
        unlink(part);
        return fail_write(path, reason, error);
    }
    return BP_OK;
}

static bool record_path(const char *store, const char *id, char path[PATH_MAX])
{
    int length = snprintf(path, PATH_MAX, "%s/%s.json", store, id);
    return length > 0 && length < PATH_MAX;
}

/* The next number at *at, blanks before it; false when there is none. */
static bool take_number(char **at, uint64_t *number)
{
    char *end;
    errno = 0;
    *number = strtoull(*at, &end, 10);
    bool good = end != *at && errno == 0;
    *at = end;
    return good;
}

/* Leaves file at the document. */
static bool read_origin(FILE *file, struct bp_origin *o, size_t *bytes)
{
    uint64_t length = 0;
    uint64_t *const numbers[RECORD_NUMBERS] = {
        &o->how.high,       &o->how.low,       &o->log.bytes, &o->log.changed_ns,
        &o->log_bytes.high, &o->log_bytes.low, &o->rig.bytes, &o->rig.changed_ns,
        &o->rig_bytes.high, &o->rig_bytes.low, &length};
    char line[LINE_BYTES], *at = line + sizeof record_word - 1;
    bool good = fgets(line, sizeof line, file) != NULL && strchr(line, '\n') != NULL &&
                strncmp(line, record_word, sizeof record_word - 1) == 0;
    for (size_t n = 0; good && n < RECORD_NUMBERS; n++) {
        good = take_number(&at, numbers[n]);
    }
    *bytes = (size_t)length;
    return good && *at == '\n';
}

static FILE *open_record(const char *store, const char *id)
{
    char path[PATH_MAX];
    return record_path(store, id, path) ? fopen(path, "rb") : NULL;
}

bool bp_store_look(const char *store, const char *id, struct bp_origin *origin)
{
    FILE *file = open_record(store, id);
    struct stat status;
    size_t bytes = 0;
    bool good = file && read_origin(file, origin, &bytes) && fstat(fileno(file), &status) == 0 &&
                status.st_size == (off_t)(ftell(file) + (long)bytes) && bytes <= RECORD_BYTES_MAX;
    if (file) {
        (void)fclose(file); /* it was only read */
    }
    return good;
}

bool bp_store_read(const char *store, const char *id, struct bp_text *document)
{
    FILE *file = open_record(store, id);
    struct bp_origin origin;
    char bytes[16 * 1024];
    size_t got = 0, wanted = 0;
    bool good = file && read_origin(file, &origin, &wanted) && wanted <= RECORD_BYTES_MAX;
    while (good && (got = fread(bytes, 1, sizeof bytes, file)) > 0) {
        bp_text_put_bytes(document, bytes, got);
        good = document->length <= wanted;
    }
    good = good && !document->failed && document->length == wanted;
    if (!good) {
        bp_text_free(document);
    }
    if (file) {
        (void)fclose(file);
    }
    return good;
}

void bp_store_forget(const char *store, const char *id)
{
    char path[PATH_MAX];
    if (record_path(store, id, path)) {
        unlink(path);
    }
}

enum bp_code bp_store_write(const char *store, const char *id, const struct bp_origin *origin,
                            const struct bp_text *document, struct bp_error *error)
{
    char path[PATH_MAX], line[LINE_BYTES];
    const struct bp_origin *o = origin;
    struct bp_text record;
    if (!record_path(store, id, path)) {
        return fail_write(store, ENAMETOOLONG, error);
    }
    snprintf(line, sizeof line,
             "%s %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64 " %" PRIu64
             " %" PRIu64 " %" PRIu64 " %zu\n",
             record_word, o->how.high, o->how.low, o->log.bytes, o->log.changed_ns, o->log_bytes.high,
             o->log_bytes.low, o->rig.bytes, o->rig.changed_ns, o->rig_bytes.high, o->rig_bytes.low,
             document->length);
    bp_text_init(&record);
    bp_text_put(&record, line);
    bp_text_put_bytes(&record, document->data, document->length);
    enum bp_code code = record.failed ? bp_error_set(error, BP_ERR_MEMORY, "out of memory for a record")
                                      : bp_block_write(path, record.data, record.length, error);
    bp_text_free(&record);
    return code;
}
