/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Records of a sheet. Cells are cut by the importer's own cutter; only where a record ends is settled here,
 * since a quote opens a cell at its beginning alone: a band of 1/2" would otherwise swallow the rows behind
 * it.
 */
#include "sheet/parts.h"

#include <string.h>

static bool is_line_end(char c)
{
    return c == '\n' || c == '\r';
}

static const char *line_end(const char *at, const char *end)
{
    while (at < end && !is_line_end(*at)) {
        at++;
    }
    return at;
}

/* Past the cell that starts at at; *closed false when its quote is open to the end of the sheet, or for
 * longer than a row may be. */
static const char *cell_end(const char *at, const char *end, char separator, bool *closed)
{
    while (at < end && *at == ' ') {
        at++;
    }
    if (at < end && *at == '"') {
        const char *limit = (size_t)(end - at) > BP_SHEET_ROW_BYTES_MAX ? at + BP_SHEET_ROW_BYTES_MAX : end;
        bool inside = true;
        for (at++; at < limit; at++) {
            if (*at == '"') {
                inside = !inside; /* a doubled quote closes and opens */
            } else if (!inside && (*at == separator || is_line_end(*at))) {
                return at;
            }
        }
        *closed = !inside && limit == end;
        return at;
    }
    while (at < end && *at != separator && !is_line_end(*at)) {
        at++;
    }
    return at;
}

static const char *record_end(const char *at, const char *end, char separator, bool *unclosed)
{
    const char *start = at;
    for (;;) {
        bool closed = true;
        at = cell_end(at, end, separator, &closed);
        if (!closed) {
            *unclosed = true;
            return line_end(start, end);
        }
        /* A row that is too long is given up here: its caller stops at it, and a hostile sheet costs no more.
         */
        if (at == end || is_line_end(*at) || (size_t)(at - start) > BP_SHEET_ROW_BYTES_MAX) {
            return at;
        }
        at++;
    }
}

bool bp_sheet_next(struct bp_records *records, struct bp_record *record)
{
    if (records->at >= records->end) {
        return false;
    }
    record->unclosed = false;
    record->line = records->line;
    record->start = records->at;
    /* A remark is a line, whatever quotes are in it. */
    const char *stop = *records->at == '#'
                           ? line_end(records->at, records->end)
                           : record_end(records->at, records->end, records->separator, &record->unclosed);
    record->bytes = (size_t)(stop - records->at);
    record->count = bp_import_split(record->start, record->bytes, records->separator, record->cells,
                                    BP_SHEET_COLUMNS_MAX);
    if (stop < records->end) {
        stop += *stop == '\r' && stop + 1 < records->end && stop[1] == '\n' ? 2 : 1;
    }
    for (const char *c = records->at; c < stop; c++) {
        records->line += *c == '\n' || (*c == '\r' && !(c + 1 < records->end && c[1] == '\n'));
    }
    records->at = stop;
    return true;
}

bool bp_sheet_is_blank(const struct bp_record *record)
{
    for (size_t i = 0; i < record->count && i < BP_SHEET_COLUMNS_MAX; i++) {
        if (record->cells[i].count > 0) {
            return false;
        }
    }
    return record->count <= BP_SHEET_COLUMNS_MAX;
}

bool bp_sheet_is_remark(const struct bp_record *record)
{
    return (record->bytes > 0 && record->start[0] == '#') ||
           (record->bytes <= 5 && record->bytes >= 4 && memcmp(record->start, "sep=", 4) == 0);
}

const char *bp_sheet_text(const struct bp_cell *cell, struct bp_arena *arena)
{
    char *text = bp_arena_take(arena, cell->count + 1, 1);
    size_t n = 0;
    if (text == NULL) {
        return NULL;
    }
    for (size_t i = 0; i < cell->count; i++) {
        unsigned char c = (unsigned char)cell->at[i];
        text[n++] = c < 0x20 || c == 0x7f ? ' ' : (char)c;
        i += c == '"' && i + 1 < cell->count && cell->at[i + 1] == '"';
    }
    text[n] = '\0';
    return text;
}
