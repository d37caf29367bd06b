/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Times of day, with or without date.
 */
#include "import/cells.h"

#include <string.h>

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

/* "1" to "12", or the English month's first three letters. */
static bool take_month(struct cursor *c, long *month)
{
    static const char names[] = "janfebmaraprmayjunjulaugsepoctnovdec";
    char letters[3];
    if (take_digits(c, 1, 2, month)) {
        return true;
    }
    for (size_t i = 0; i < sizeof letters; i++) {
        if (c->end - c->at < (ptrdiff_t)sizeof letters) {
            return false;
        }
        letters[i] = (char)(c->at[i] | 0x20);
    }
    for (long m = 0; m < 12; m++) {
        if (memcmp(letters, names + 3 * m, sizeof letters) == 0) {
            *month = m + 1;
            c->at += sizeof letters;
            return true;
        }
    }
    return false;
}

/* "-", "/", ".", or, as Hungarian writes, ". ". */
static bool take_separator(struct cursor *c, char *which)
{
    const char *before = c->at;
    if (!take_one_of(c, "-/.")) {
        return false;
    }
    *which = *before;
    if (*before == '.') {
        take_one_of(c, " ");
    }
    return true;
}

/* Day and month where neither comes first for sure ("03/04/2025") leave the day open: *dated is false, and
 * only the time of day counts. Points are never written month first. */
static void settle_day(long first, long second, long year, char separator, bool named, double *days,
                       bool *dated)
{
    bool day_first = separator == '.' || named || first > 12;
    long day = day_first ? first : second, month = day_first ? second : first;
    *dated = day_first || second > 12 || first == second;
    if (*dated && month >= 1 && month <= 12 && day >= 1 && day <= 31) {
        *days = (double)days_from_date(year, month, day);
    } else {
        *dated = false;
    }
}

/* "2025-02-01", "2025. 02. 01.", "01.02.2025", "01/02/2025", "01-Feb-2025". False: there is no date, and *c
 * is where it was. */
static bool take_date(struct cursor *c, double *days, bool *dated)
{
    long first, second, third;
    char separator, again;
    struct cursor start = *c;
    *dated = false;
    *days = 0.0;
    bool year_first = take_digits(c, 4, 4, &first);
    if (!year_first) {
        *c = start;
    }
    if (!(year_first || take_digits(c, 1, 2, &first)) || !take_separator(c, &separator)) {
        *c = start;
        return false;
    }
    bool named = c->at < c->end && (*c->at < '0' || *c->at > '9');
    if (!take_month(c, &second) || !take_separator(c, &again) || again != separator ||
        !take_digits(c, year_first ? 1 : 4, year_first ? 2 : 4, &third)) {
        *c = start;
        return false;
    }
    if (year_first) {
        *dated = second >= 1 && second <= 12 && third >= 1 && third <= 31;
        *days = *dated ? (double)days_from_date(first, second, third) : 0.0;
    } else {
        settle_day(first, second, third, separator, named, days, dated);
    }
    if (year_first && !*dated) { /* no such day */
        *c = start;
        return false;
    }
    take_one_of(c, ".");
    take_one_of(c, "T t_,");
    take_one_of(c, " ");
    return true;
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

/* " PM": 12 is the hour 0 of either half. */
static bool take_half(struct cursor *c, long *hour)
{
    struct cursor start = *c;
    take_one_of(c, " ");
    bool afternoon = c->at < c->end && (*c->at | 0x20) == 'p';
    if (!take_one_of(c, "AaPp") || !take_one_of(c, "Mm")) {
        *c = start;
        return true;
    }
    if (*hour < 1 || *hour > 12) {
        return false;
    }
    *hour = *hour % 12 + (afternoon ? 12 : 0);
    return true;
}

/* Hours, minutes and seconds; or minutes and seconds with decimals, as a spreadsheet shows the former. */
static bool take_clock(struct cursor *c, double *seconds)
{
    long hour, minute, second;
    double fraction = 0.0;
    if (!take_digits(c, 1, 2, &hour) || !take_one_of(c, ":-") || !take_digits(c, 2, 2, &minute)) {
        return false;
    }
    if (c->at < c->end && (*c->at == '.' || *c->at == ',') && hour <= 59 && minute <= 59) {
        *seconds = (double)(hour * 60 + minute);
        return take_fraction(c, seconds);
    }
    if (!take_one_of(c, ":-") || !take_digits(c, 2, 2, &second) || hour > 24 || minute > 59 || second > 60 ||
        !take_fraction(c, &fraction) || !take_half(c, &hour)) {
        return false;
    }
    *seconds = (double)(hour * 3600 + minute * 60 + second) + fraction;
    return true;
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
    take_date(&c, &days, &found.dated);
    if (!take_clock(&c, &seconds) || !take_zone(&c, &offset, &found.zoned)) {
        return false;
    }
    found.seconds = days * 86400.0 + (seconds - offset);
    *stamp = found;
    return true;
}
