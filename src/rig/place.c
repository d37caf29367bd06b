/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig/place.h"

#include "base/plain.h"

#include <math.h>
#include <stdarg.h>

static enum bp_code fail_at(const struct bp_rig_file *file, const struct bp_rig_section *section,
                            const char *key, size_t line, enum bp_code code, const char *text)
{
    bp_error_set(file->error, code, "[%s%s%s]%s%s: %s", bp_rig_kind_name(section->kind),
                 section->name[0] != '\0' ? " " : "", section->name, key[0] != '\0' ? " " : "", key, text);
    bp_error_place(file->error, file->path, line, 0, (double)NAN);
    return code;
}

enum bp_code bp_rig_fail(const struct bp_rig_field *field, const char *at, enum bp_code code,
                         const char *format, ...)
{
    char text[BP_ERROR_TEXT];
    va_list arguments;
    va_start(arguments, format);
    bp_plain_format(text, sizeof text, format, arguments);
    va_end(arguments);
    const struct bp_rig_entry *entry = bp_rig_entry(field);
    size_t line = entry->value != NULL ? entry->line : field->section->line;
    for (const char *c = entry->value; at != NULL && c != NULL && c < at; c++) {
        line += *c == '\n';
    }
    return fail_at(field->file, field->section, entry->key != NULL ? entry->key : bp_rig_key_name(field->key),
                   line, code, text);
}

enum bp_code bp_rig_fail_section(const struct bp_rig_file *file, const struct bp_rig_section *section,
                                 enum bp_code code, const char *format, ...)
{
    char text[BP_ERROR_TEXT];
    va_list arguments;
    va_start(arguments, format);
    bp_plain_format(text, sizeof text, format, arguments);
    va_end(arguments);
    return fail_at(file, section, "", section->line, code, text);
}
