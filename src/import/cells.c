/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/cells.h"

#include "barplumb/text.h"

#include <math.h>
#include <string.h>

/* A line with a quoted line break is looked for no further than this: a quote that is never closed would
 * otherwise make every line of a hostile file search the rest of its block. */
enum { QUOTED_BYTES_MAX = 4096 };

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static struct bp_cell trim(const char *at, const char *end)
{
    while (at < end && is_blank(*at)) {
        at++;
    }
    while (end > at && is_blank(end[-1])) {
        end--;
    }
    if (end - at >= 2 && *at == '"' && end[-1] == '"') {
        for (at++, end--; at < end && is_blank(*at); at++) {
        }
        for (; end > at && is_blank(end[-1]); end--) {
        }
    }
    return (struct bp_cell){at, (size_t)(end - at)};
}

/* Where the cell that starts at at ends: at the separator outside quotes. */
static const char *cell_end(const char *at, const char *end, char separator)
{
    const char *start = at;
    while (start < end && *start == ' ') {
        start++;
    }
    if (start == end || *start != '"') {
        const char *hit = memchr(at, separator, (size_t)(end - at));
        return hit != NULL ? hit : end;
    }
    bool inside = false;
    for (at = start; at < end; at++) {
        if (*at == '"') {
            inside = !inside;
        } else if (*at == separator && !inside) {
            return at;
        }
    }
    return end;
}

size_t bp_import_split(const char *line, size_t count, char separator, struct bp_cell *cells, size_t most)
{
    const char *at = line, *end = line + count;
    size_t n = 0;
    for (;;) {
        const char *stop = cell_end(at, end, separator);
        if (n < most) {
            cells[n] = trim(at, stop);
        }
        n++;
        if (stop == end) {
            return n;
        }
        at = stop + 1;
    }
}

const char *bp_import_line_end(const char *at, const char *end, char line_end, bool quotes)
{
    const char *hit = memchr(at, line_end, (size_t)(end - at));
    if (hit == NULL || !quotes || memchr(at, '"', (size_t)(hit - at)) == NULL) {
        return hit != NULL ? hit : end;
    }
    bool inside = false;
    const char *limit = end - at > QUOTED_BYTES_MAX ? at + QUOTED_BYTES_MAX : end;
    for (; at < limit; at++) {
        if (*at == '"') {
            inside = !inside;
        } else if (*at == line_end && !inside) {
            return at;
        }
    }
    /* A quote that is never closed: the line ends where it ends, and the cell is text. */
    return hit;
}

bool bp_import_cell_number(const struct bp_cell *cell, char point, double *value)
{
    double v;
    size_t used = bp_number_read(cell->at, cell->count, point, &v);
    if (used == 0 || used != cell->count || !isfinite(v)) {
        return false;
    }
    *value = v;
    return true;
}

static bool same_word(const struct bp_cell *cell, const char *word)
{
    size_t length = strlen(word);
    if (cell->count != length) {
        return false;
    }
    for (size_t i = 0; i < length; i++) {
        char c = cell->at[i];
        if ((c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c) != word[i]) {
            return false;
        }
    }
    return true;
}

enum bp_cell_kind bp_import_cell_kind(const struct bp_cell *cell, char point, double *value)
{
    static const char *const absent[] = {"null", "none", "na", "n/a", "-", "--", "#n/a", "#value!"};
    double v;
    if (cell->count == 0) {
        return BP_CELL_EMPTY;
    }
    size_t used = bp_number_read(cell->at, cell->count, point, &v);
    if (used == cell->count) {
        if (isfinite(v)) {
            *value = v;
            return BP_CELL_NUMBER;
        }
        return BP_CELL_NOT_A_NUMBER;
    }
    for (size_t i = 0; i < sizeof absent / sizeof absent[0]; i++) {
        if (same_word(cell, absent[i])) {
            return BP_CELL_NOT_A_NUMBER;
        }
    }
    return BP_CELL_TEXT;
}
