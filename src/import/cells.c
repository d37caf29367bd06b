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

/* ---- numbers as a locale writes them ---- */

enum { LOOSE_BYTES = 48 };

/* Bytes of a mark between thousands at at: blanks of all widths, apostrophes, or the comma or point that is
 * no decimal mark here. 0: none. */
static size_t group_mark(const char *at, const char *end, char other)
{
    static const char *const marks[] = {" ", "'", "\xc2\xa0", "\xe2\x80\xaf", "\xe2\x80\x89", "\xe2\x80\x99"};
    if (*at == other) {
        return 1;
    }
    for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
        size_t length = strlen(marks[i]);
        if ((size_t)(end - at) >= length && memcmp(at, marks[i], length) == 0) {
            return length;
        }
    }
    return 0;
}

static size_t digits_at(const char *at, const char *end)
{
    size_t n = 0;
    while (at + n < end && at[n] >= '0' && at[n] <= '9') {
        n++;
    }
    return n;
}

/* "-1,234.5" without its marks, "−1" with an ASCII sign: one mark throughout, three digits behind each. A
 * single "1,234" may as well be a decimal comma's and is left alone. Returns bytes in out, 0: not so written.
 */
static size_t loosen(const struct bp_cell *cell, char point, char out[LOOSE_BYTES])
{
    static const char minus[] = "\xe2\x88\x92";
    const char other = point == '.' ? ',' : '.';
    const char *at = cell->at, *end = at + cell->count, *mark = NULL;
    size_t n = 0, groups = 0, mark_bytes = 0;
    if (cell->count >= 3 && memcmp(at, minus, 3) == 0) {
        out[n++] = '-';
        at += 3;
    } else if (at < end && (*at == '-' || *at == '+')) {
        out[n++] = *at++;
    }
    for (size_t digits = digits_at(at, end); digits > 0; digits = digits_at(at, end)) {
        if (n + digits >= LOOSE_BYTES || (groups > 0 && digits != 3) ||
            (groups == 0 && mark == NULL && digits == 0)) {
            return 0;
        }
        memcpy(out + n, at, digits);
        n += digits;
        at += digits;
        size_t bytes = at < end ? group_mark(at, end, other) : 0;
        if (bytes == 0) {
            break;
        }
        if (digits > 3 || (mark != NULL && (bytes != mark_bytes || memcmp(at, mark, bytes) != 0))) {
            return 0;
        }
        mark = at;
        mark_bytes = bytes;
        groups++;
        at += bytes;
    }
    bool sure = mark == NULL || *mark != other || groups > 1 || (at < end && *at == point);
    if (!sure || n + (size_t)(end - at) >= LOOSE_BYTES) {
        return 0;
    }
    memcpy(out + n, at, (size_t)(end - at));
    return n + (size_t)(end - at);
}

bool bp_import_cell_number(const struct bp_cell *cell, char point, double *value)
{
    double v;
    char loose[LOOSE_BYTES];
    size_t used = bp_number_read(cell->at, cell->count, point, &v), count = cell->count;
    if (used == 0 || used != count) {
        count = loosen(cell, point, loose);
        used = count > 0 ? bp_number_read(loose, count, point, &v) : 0;
    }
    if (used == 0 || used != count || !isfinite(v)) {
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
    if (bp_import_cell_number(cell, point, value)) {
        return BP_CELL_NUMBER;
    }
    for (size_t i = 0; i < sizeof absent / sizeof absent[0]; i++) {
        if (same_word(cell, absent[i])) {
            return BP_CELL_NOT_A_NUMBER;
        }
    }
    return BP_CELL_TEXT;
}
