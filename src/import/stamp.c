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

/* "-", "/", ".", a blank beside a month's name, or, as Hungarian writes, ". ". */
static bool take_separator(struct cursor *c, char *which)
{
    const char *before = c->at;
    if (!take_one_of(c, "-/. ")) {
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

/* "Feb 1, 2025". */
static bool take_named_date(struct cursor *c, double *days)
{
    long month, day, year;
    struct cursor start = *c;
    bool named = c->at < c->end && (*c->at < '0' || *c->at > '9');
    if (named && take_month(c, &month) && take_one_of(c, " ") && take_digits(c, 1, 2, &day) &&
        (take_one_of(c, ","), take_one_of(c, " ")) && take_digits(c, 4, 4, &year) && day >= 1 && day <= 31) {
        *days = (double)days_from_date(year, month, day);
        return true;
    }
    *c = start;
    return false;
}

/* "20250201": this century's, or digits would be taken for a date that are none. */
static bool take_compact_date(struct cursor *c, double *days)
{
    long year, month, day;
    struct cursor start = *c;
    if (take_digits(c, 4, 4, &year) && take_digits(c, 2, 2, &month) && take_digits(c, 2, 2, &day) &&
        year >= 2000 && year < 2100 && month >= 1 && month <= 12 && day >= 1 && day <= 31) {
        *days = (double)days_from_date(year, month, day);
        return true;
    }
    *c = start;
    return false;
}

/* "2025-02-01", "2025. 02. 01.", "01.02.2025", "01.02.25", "01/02/2025", "01-Feb-2025". False: there is no
 * date, and *c is where it was. */
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
    if (!take_month(c, &second) || (separator == ' ' && !named) || !take_separator(c, &again) ||
        again != separator || !take_digits(c, year_first ? 1 : 2, year_first ? 2 : 4, &third)) {
        *c = start;
        return false;
    }
    if (year_first) {
        *dated = second >= 1 && second <= 12 && third >= 1 && third <= 31;
        *days = *dated ? (double)days_from_date(first, second, third) : 0.0;
    } else if (third >= 1000) {
        settle_day(first, second, third, separator, named, days, dated);
    } else if (third < 100 && separator == '.') { /* with "/" and "-" the year may stand first as well */
        settle_day(first, second, 2000 + third, separator, named, days, dated);
    }
    if (year_first && !*dated) { /* no such day */
        *c = start;
        return false;
    }
    take_one_of(c, ".");
    return true;
}

/* "2 days ", in front of an elapsed time. */
static bool take_days(struct cursor *c, double *days)
{
    long count;
    struct cursor start = *c;
    if (take_digits(c, 1, 5, &count) && c->end - c->at > 4 && memcmp(c->at, " day", 4) == 0) {
        c->at += 4;
        take_one_of(c, "s");
        *days = (double)count;
        return true;
    }
    *c = start;
    return false;
}

/* The date in front of the time of day, if there is one, and what stands between them. */
static void take_front(struct cursor *c, double *days, bool *dated, bool *compact)
{
    *compact = take_compact_date(c, days);
    *dated = *compact || take_named_date(c, days);
    if (*dated || take_date(c, days, dated) || take_days(c, days)) {
        take_one_of(c, *compact ? "T t_-" : "T t_,");
        take_one_of(c, " ");
    }
}

/* Behind the seconds: ".702" or ",702" is a decimal fraction; ":3" or "_003" counts milliseconds,
 * and six digits there are microseconds. */
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
        const char *first = c->at;
        if (!take_digits(c, 1, 6, &value) || (c->at - first > 3 && c->at - first < 6)) {
            return false;
        }
        *seconds += (double)value * (c->at - first == 6 ? 1e-6 : 1e-3);
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

/* "120000.123", "120000123", "120000_123". */
static bool take_compact_clock(struct cursor *c, double *seconds)
{
    long hour, minute, second, ms = 0;
    double fraction = 0.0;
    if (!take_digits(c, 2, 2, &hour) || !take_digits(c, 2, 2, &minute) || !take_digits(c, 2, 2, &second) ||
        hour > 24 || minute > 59 || second > 60) {
        return false;
    }
    if (!take_digits(c, 3, 3, &ms) && !take_fraction(c, &fraction)) {
        return false;
    }
    *seconds = (double)(hour * 3600 + minute * 60 + second) + 1e-3 * (double)ms + fraction;
    return true;
}

/* " UTC", " GMT", which say where the clock stands; other zones' letters ("CEST") and names in brackets,
 * which do not. */
static void take_zone_name(struct cursor *c, bool *utc)
{
    size_t n = 0;
    while (c->at + n < c->end && (c->at[n] | 0x20) >= 'a' && (c->at[n] | 0x20) <= 'z') {
        n++;
    }
    if (n >= 3 && n <= 5) {
        *utc = n == 3 && (memcmp(c->at, "UTC", 3) == 0 || memcmp(c->at, "GMT", 3) == 0);
        c->at += n;
    }
}

static void take_bracket(struct cursor *c)
{
    if (c->end > c->at && c->end[-1] == ']') {
        const char *open = memchr(c->at, '[', (size_t)(c->end - c->at));
        c->end = open != NULL ? open : c->end;
    }
}

static bool take_zone(struct cursor *c, double *offset_s, bool *zoned)
{
    long hour, minute = 0;
    *offset_s = 0.0;
    *zoned = false;
    take_bracket(c);
    take_one_of(c, " ");
    take_zone_name(c, zoned);
    if (c->at == c->end) {
        return true;
    }
    *zoned = true;
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
    bool compact;
    take_front(&c, &days, &found.dated, &compact);
    if (!(compact ? take_compact_clock(&c, &seconds) : take_clock(&c, &seconds)) ||
        !take_zone(&c, &offset, &found.zoned)) {
        return false;
    }
    found.seconds = days * 86400.0 + (seconds - offset);
    *stamp = found;
    return true;
}
