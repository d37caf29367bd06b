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

/* ---- times ---- */

struct cursor {
    const char *at, *end;
};

/* 1 to most digits. */
static bool take_digits(struct cursor *c, size_t least, size_t most, long *value)
{
    size_t n = 0;
    *value = 0;
    while (c->at < c->end && *c->at >= '0' && *c->at <= '9' && n < most) {
        *value = 10 * *value + (*c->at++ - '0');
        n++;
    }
    return n >= least;
}

static bool take_one_of(struct cursor *c, const char *wanted)
{
    if (c->at < c->end && *c->at != '\0' && strchr(wanted, *c->at) != NULL) {
        c->at++;
        return true;
    }
    return false;
}

/* Days since 1970-01-01 in the proleptic Gregorian calendar, counted in years that begin in March so that
 * the leap day comes last. */
static long days_from_date(long year, long month, long day)
{
    long y = month <= 2 ? year - 1 : year;
    long era = (y >= 0 ? y : y - 399) / 400;
    long year_of_era = y - era * 400;
    long day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    long day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

static bool take_date(struct cursor *c, double *days)
{
    long year, month, day;
    struct cursor start = *c;
    if (take_digits(c, 4, 4, &year) && take_one_of(c, "-/.") && take_digits(c, 1, 2, &month) &&
        take_one_of(c, "-/.") && take_digits(c, 1, 2, &day) && month >= 1 && month <= 12 && day >= 1 &&
        day <= 31) {
        *days = (double)days_from_date(year, month, day);
        take_one_of(c, "T t_,");
        return true;
    }
    *c = start;
    return false;
}

/* Behind the seconds: ".702" or ",702" is a decimal fraction; ":3" or "_003" counts milliseconds. */
static bool take_fraction(struct cursor *c, double *seconds)
{
    long value;
    if (take_one_of(c, ".,")) {
        double scale = 1.0;
        const char *first = c->at;
        double sum = 0.0;
        for (; c->at < c->end && *c->at >= '0' && *c->at <= '9'; c->at++) {
            scale *= 10.0;
            sum = 10.0 * sum + (*c->at - '0');
        }
        if (c->at == first || c->at - first > 18) {
            return false;
        }
        *seconds += sum / scale;
    } else if (take_one_of(c, ":_")) {
        if (!take_digits(c, 1, 3, &value)) {
            return false;
        }
        *seconds += (double)value / 1000.0;
    }
    return true;
}

static bool take_clock(struct cursor *c, double *seconds)
{
    long hour, minute, second;
    if (!take_digits(c, 1, 2, &hour) || !take_one_of(c, ":-") || !take_digits(c, 2, 2, &minute) ||
        !take_one_of(c, ":-") || !take_digits(c, 2, 2, &second) || hour > 24 || minute > 59 || second > 60) {
        return false;
    }
    *seconds = (double)(hour * 3600 + minute * 60 + second);
    return take_fraction(c, seconds);
}

static bool take_zone(struct cursor *c, double *offset_s, bool *zoned)
{
    long hour, minute = 0;
    *offset_s = 0.0;
    *zoned = true;
    take_one_of(c, " ");
    if (c->at == c->end) {
        *zoned = false;
        return true;
    }
    if (take_one_of(c, "Zz")) {
        return c->at == c->end;
    }
    bool west = *c->at == '-';
    if (!take_one_of(c, "+-") || !take_digits(c, 2, 2, &hour)) {
        return false;
    }
    take_one_of(c, ":");
    if (c->at < c->end && !take_digits(c, 2, 2, &minute)) {
        return false;
    }
    *offset_s = (west ? -1.0 : 1.0) * (double)(hour * 3600 + minute * 60);
    return c->at == c->end && hour <= 15 && minute <= 59;
}

bool bp_import_cell_stamp(const struct bp_cell *cell, struct bp_stamp *stamp)
{
    struct cursor c = {cell->at, cell->at + cell->count};
    double days = 0.0, seconds, offset;
    struct bp_stamp found = {0};
    found.dated = take_date(&c, &days);
    if (!take_clock(&c, &seconds) || !take_zone(&c, &offset, &found.zoned)) {
        return false;
    }
    found.seconds = days * 86400.0 + (seconds - offset);
    *stamp = found;
    return true;
}
