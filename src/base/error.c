/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/error.h"

#include "base/plain.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *const code_names[BP_CODE_COUNT] = {
    [BP_OK] = "ok",
    [BP_ERR_ARGUMENT] = "argument",
    [BP_ERR_MEMORY] = "memory",
    [BP_ERR_OPEN] = "open",
    [BP_ERR_READ] = "read",
    [BP_ERR_WRITE] = "write",
    [BP_ERR_EMPTY] = "empty",
    [BP_ERR_FORMAT] = "format",
    [BP_ERR_NUMBER] = "number",
    [BP_ERR_COLUMNS] = "columns",
    [BP_ERR_UNITS] = "units",
    [BP_ERR_TIME] = "time",
    [BP_ERR_RATE] = "rate",
    [BP_ERR_LIMIT] = "limit",
    [BP_ERR_MOTION] = "motion",
    [BP_ERR_NO_REP] = "no-rep",
};

const char *bp_code_name(enum bp_code code)
{
    int index = (int)code;
    return index >= 0 && index < BP_CODE_COUNT ? code_names[index] : "unknown";
}

void bp_error_clear(struct bp_error *error)
{
    if (error == NULL) {
        return;
    }
    *error = (struct bp_error){.code = BP_OK, .at_s = (double)NAN};
}

enum bp_code bp_error_set(struct bp_error *error, enum bp_code code, const char *format, ...)
{
    if (error == NULL) {
        return code;
    }
    /* Formatted aside first: an argument may point into error itself. */
    char text[BP_ERROR_TEXT];
    va_list arguments;
    va_start(arguments, format);
    bp_plain_format(text, sizeof text, format, arguments);
    va_end(arguments);
    bp_error_clear(error);
    error->code = code;
    memcpy(error->text, text, sizeof text);
    return code;
}

/* The end of a path says more than its beginning: too long a one loses its front. */
static void keep_path_end(const char *path, char *out, size_t size)
{
    static const char mark[] = "...";
    size_t length = strlen(path);
    if (length < size) {
        memmove(out, path, length + 1);
        return;
    }
    const char *end = path + length - (size - sizeof mark);
    while (((unsigned char)*end & 0xC0U) == 0x80U) {
        end++; /* not in the middle of a UTF-8 character */
    }
    memcpy(out, mark, sizeof mark - 1);
    memcpy(out + sizeof mark - 1, end, strlen(end) + 1);
}

void bp_error_place(struct bp_error *error, const char *path, size_t line, size_t column, double at_s)
{
    if (error == NULL) {
        return;
    }
    if (path != NULL) {
        keep_path_end(path, error->path, sizeof error->path);
        bp_plain_clean(error->path);
    }
    error->line = line;
    error->column = column;
    error->at_s = at_s;
}

char *bp_error_line(const struct bp_error *error, char *out, size_t size)
{
    const char *text = error->text[0] != '\0' ? error->text : bp_code_name(error->code);
    const char *path = error->path;
    const char *colon = path[0] != '\0' ? ":" : "";
    if (error->line > 0 && error->column > 0) {
        snprintf(out, size, "%s%s%zu:%zu: %s", path, colon, error->line, error->column, text);
    } else if (error->line > 0) {
        snprintf(out, size, "%s%s%zu: %s", path, colon, error->line, text);
    } else {
        snprintf(out, size, "%s%s%s", path, path[0] != '\0' ? ": " : "", text);
    }
    return out;
}
