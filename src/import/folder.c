/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A folder on disk as members. Empty files and names that are no text log's are passed over, folders in it
 * too where it holds a log itself; a packed file ("Accelerometer.csv.gz", or a zip whose name ends in .csv)
 * is unpacked.
 */
#include "import/archive.h"
#include "import/readers.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_BYTES = 4096, FOLDERS_DEEP = 3 };

/* ".csv.gz": the name without what says how it is packed is a text log's. */
static bool is_packed_text_name(const char *name)
{
    char inner[PATH_BYTES];
    size_t length = strlen(name);
    if (!bp_import_is_archive_name(name) || length >= sizeof inner || strcmp(name + length - 3, ".gz") != 0) {
        return false;
    }
    memcpy(inner, name, length - 3);
    inner[length - 3] = '\0';
    return bp_import_is_text_name(inner);
}

/* The whole file in memory where it is an archive; *bytes NULL where it is not. */
static enum bp_code slurp_archive(struct bp_members *m, const char *path, char **bytes, size_t *count)
{
    struct bp_source source;
    const char *head;
    size_t held;
    enum bp_code code = bp_import_open(m->im, path, &source);
    *bytes = NULL;
    if (code != BP_OK) {
        return code;
    }
    code = bp_import_peek(m->im, &source, &head, &held);
    if (code == BP_OK && bp_import_container(head, held) == BP_CONTAINER_ARCHIVE) {
        code = bp_import_slurp(m->im, &source, m->bytes_left, bytes, count);
    }
    bp_import_close(&source);
    return code;
}

static enum bp_code add_file(struct bp_members *m, const char *folder_path, const char *name)
{
    char path[PATH_BYTES], *bytes;
    struct stat status;
    size_t count;
    int n = snprintf(path, sizeof path, "%s/%s", folder_path, name);
    if (n < 0 || (size_t)n >= sizeof path || stat(path, &status) != 0 || !S_ISREG(status.st_mode) ||
        status.st_size == 0) {
        return BP_OK;
    }
    if (bp_import_is_other_sensor(m, path)) {
        return BP_OK;
    }
    m->im->name = path;
    enum bp_code code = slurp_archive(m, path, &bytes, &count);
    if (code == BP_OK && bytes != NULL) {
        code = bp_import_unpack(m, path, bytes, count);
        free(bytes);
    } else if (code == BP_OK) {
        code = bp_import_add_member(m, path, NULL, (size_t)status.st_size);
    }
    m->im->name = m->log_name;
    return code;
}

static enum bp_code list_files(struct bp_members *m, const char *path, int depth);

/* True where the entry is a folder, and no link to one, which might lead round in a circle. */
static bool is_folder(const char *path, const char *name, char inner[PATH_BYTES])
{
    struct stat status;
    int n = snprintf(inner, PATH_BYTES, "%s/%s", path, name);
    return name[0] != '.' && n > 0 && n < PATH_BYTES && lstat(inner, &status) == 0 && S_ISDIR(status.st_mode);
}

/* One pass through a folder: its files, or its folders. */
static enum bp_code list_entries(struct bp_members *m, DIR *folder, const char *path, bool folders, int depth)
{
    char inner[PATH_BYTES];
    enum bp_code code = BP_OK;
    for (struct dirent *entry; code == BP_OK && (entry = readdir(folder)) != NULL;) {
        if (folders && is_folder(path, entry->d_name, inner)) {
            code = list_files(m, inner, depth + 1);
        } else if (!folders &&
                   (bp_import_may_be_text_name(entry->d_name) || is_packed_text_name(entry->d_name))) {
            code = add_file(m, path, entry->d_name);
        }
    }
    return code;
}

static enum bp_code list_files(struct bp_members *m, const char *path, int depth)
{
    DIR *folder = opendir(path);
    int why = errno;
    size_t before = m->count;
    if (folder == NULL && why == ENOMEM) {
        return bp_import_no_memory(m->im);
    }
    if (folder == NULL && depth > 0) {
        return BP_OK;
    }
    if (folder == NULL) {
        return bp_import_fail(m->im, BP_ERR_OPEN, 0, 0, "the folder cannot be opened%s",
                              why == EACCES ? ": no permission" : "");
    }
    enum bp_code code = list_entries(m, folder, path, false, depth);
    if (code == BP_OK && m->count == before && depth < FOLDERS_DEEP) {
        rewinddir(folder);
        code = list_entries(m, folder, path, true, depth);
    }
    closedir(folder);
    return code;
}

enum bp_code bp_import_read_folder(struct bp_importer *im, const char *path)
{
    struct bp_members members;
    enum bp_code code = bp_import_begin_members(&members, im, "folder");
    if (code == BP_OK) {
        code = list_files(&members, path, 0);
    }
    if (code == BP_OK) {
        code = bp_import_read_members(&members);
    }
    bp_import_free_members(&members);
    return code;
}
