/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/parts.h"

#include <stdio.h>
#include <string.h>

enum { SHOWN_BYTES = 40, YEAR_LEAST = 1970, YEAR_MOST = 2199 };

/* Three whole numbers with the marks between them, and what stands behind. */
struct parts {
    unsigned number[3];
    size_t digits[3];
    char mark;
    const char *rest;
    size_t rest_count;
};

static bool split(const struct bp_cell *cell, struct parts *p)
{
    const char *at = cell->at, *end = at + cell->count;
    *p = (struct parts){{0, 0, 0}, {0, 0, 0}, '\0', NULL, 0};
    for (size_t i = 0; i < 3; i++) {
        for (; at < end && *at >= '0' && *at <= '9' && p->digits[i] < 5; at++, p->digits[i]++) {
            p->number[i] = 10 * p->number[i] + (unsigned)(*at - '0');
        }
        if (p->digits[i] == 0 || (i < 2 && at == end)) {
            return false;
        }
        if (i < 2) {
            if (strchr("-/.", *at) == NULL || *at == '\0' || (i == 1 && *at != p->mark)) {
                return false;
            }
            p->mark = *at++;
            at += p->mark == '.' && at < end && *at == ' '; /* "9. 3. 2024" */
        }
    }
    p->rest = at;
    p->rest_count = (size_t)(end - at);
    return true;
}

/* A time of day may follow; what it says is not needed. */
static bool is_time(const char *at, size_t count)
{
    if (count == 0) {
        return true;
    }
    if (*at != 'T' && *at != 't' && *at != ' ') {
        return false;
    }
    for (size_t i = 1; i < count; i++) {
        if (at[i] == '\0' || strchr("0123456789:.,+-Zz ", at[i]) == NULL) {
            return false;
        }
    }
    return count > 1;
}

static bool is_leap(unsigned year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static unsigned month_days(unsigned year, unsigned month)
{
    static const unsigned char days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && is_leap(year) ? 29 : days[month - 1];
}

static bool exists(unsigned year, unsigned month, unsigned day)
{
    return year >= YEAR_LEAST && year <= YEAR_MOST && month >= 1 && month <= 12 && day >= 1 &&
           day <= month_days(year, month);
}

static long days_since_1970(unsigned year, unsigned month, unsigned day)
{
    long days = (long)day - 1;
    for (unsigned y = YEAR_LEAST; y < year; y++) {
        days += is_leap(y) ? 366 : 365;
    }
    for (unsigned m = 1; m < month; m++) {
        days += (long)month_days(year, m);
    }
    return days;
}

static bool refuse(struct bp_trouble *trouble, const struct bp_cell *cell, const char *why)
{
    int count = (int)(cell->count < SHOWN_BYTES ? cell->count : SHOWN_BYTES);
    trouble->code = BP_ERR_TIME;
    snprintf(trouble->text, sizeof trouble->text, "\"%.*s\" %s", count, cell->at, why);
    return false;
}

static bool ambiguous(struct bp_trouble *trouble, const struct bp_cell *cell, unsigned year,
                      const unsigned number[2])
{
    char why[128];
    snprintf(why, sizeof why, "can be read as two days: write %u-%02u-%02u or %u-%02u-%02u", year, number[0],
             number[1], year, number[1], number[0]);
    return refuse(trouble, cell, why);
}

/* Day and month of "9.3.2024" (never another order with points) or of "25/3/2024" and "3/25/2024". */
static bool settle_order(const struct parts *p, unsigned year, unsigned *month, unsigned *day)
{
    unsigned a = p->number[0], b = p->number[1];
    bool day_first = p->mark == '.' || a == b || exists(year, b, a);
    bool month_first = p->mark != '.' && exists(year, a, b);
    *day = day_first ? a : b;
    *month = day_first ? b : a;
    return a == b || !(day_first && month_first);
}

bool bp_sheet_date(const struct bp_cell *cell, long *day, char iso[16], struct bp_trouble *trouble)
{
    struct parts p;
    unsigned y, m, d;
    if (!split(cell, &p) || !is_time(p.rest, p.rest_count)) {
        return refuse(trouble, cell, "is not a date: write it as 2024-03-09");
    }
    if (p.digits[0] == 4) {
        y = p.number[0];
        m = p.number[1];
        d = p.number[2];
    } else if (p.digits[2] == 4 || p.digits[2] == 2) {
        y = p.digits[2] == 4 ? p.number[2] : 2000 + p.number[2];
        if (!settle_order(&p, y, &m, &d)) {
            return ambiguous(trouble, cell, y, p.number);
        }
    } else {
        return refuse(trouble, cell, "is not a date: write it as 2024-03-09");
    }
    if (!exists(y, m, d)) {
        return refuse(trouble, cell, "is not a day of the calendar: write it as 2024-03-09");
    }
    *day = days_since_1970(y, m, d);
    snprintf(iso, 16, "%04u-%02u-%02u", y, m, d);
    return true;
}
