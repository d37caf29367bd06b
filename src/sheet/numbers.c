/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/parts.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { UNIT_BYTES = 16, SHOWN_BYTES = 40 };

struct unit {
    const char *text;
    double factor;
};

static double find(const struct unit *units, size_t units_count, const char *text, size_t count)
{
    char plain[UNIT_BYTES];
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        char c = text[i];
        if (c == ' ' || c == '.') {
            continue;
        }
        if (n + 1 >= sizeof plain) {
            return 0.0;
        }
        plain[n++] = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
    }
    plain[n] = '\0';
    for (size_t i = 0; i < units_count; i++) {
        if (strcmp(plain, units[i].text) == 0) {
            return units[i].factor;
        }
    }
    return 0.0;
}

double bp_sheet_mass_unit(const char *text, size_t count)
{
    static const struct unit units[] = {
        {"kg", 1.0},
        {"kgs", 1.0},
        {"kilo", 1.0},
        {"kilos", 1.0},
        {"kilogram", 1.0},
        {"kilograms", 1.0},
        {"lb", BP_POUND_KG},
        {"lbs", BP_POUND_KG},
        {"pound", BP_POUND_KG},
        {"pounds", BP_POUND_KG},
    };
    return find(units, sizeof units / sizeof units[0], text, count);
}

double bp_sheet_speed_unit(const char *text, size_t count)
{
    static const struct unit units[] = {
        {"m/s", 1.0},  {"mps", 1.0},   {"m/sec", 1.0},  {"ms", 1.0},
        {"ms-1", 1.0}, {"cm/s", 0.01}, {"mm/s", 0.001}, {"ft/s", BP_FOOT_M},
    };
    return find(units, sizeof units / sizeof units[0], text, count);
}

/* The text at fault, in quotes, and what is wrong with it. */
static bool refuse(struct bp_trouble *trouble, enum bp_code code, const char *at, size_t count,
                   const char *why)
{
    int length = (int)(count < SHOWN_BYTES ? count : SHOWN_BYTES);
    snprintf(trouble->text, sizeof trouble->text, "\"%.*s\" %s", length, at, why);
    trouble->code = code;
    return false;
}

/* Where the number ends: what it may be written with, and nothing of a unit. */
static size_t number_length(const struct bp_cell *cell)
{
    size_t n = 0;
    while (n < cell->count && cell->at[n] != '\0' && strchr("+-0123456789.,'", cell->at[n]) != NULL) {
        n++;
    }
    return n;
}

bool bp_sheet_number(const struct bp_cell *cell, double (*unit)(const char *, size_t), double factor,
                     double most, double *value, struct bp_trouble *trouble)
{
    size_t n = number_length(cell), rest = n;
    bool comma = memchr(cell->at, ',', n) != NULL, point = memchr(cell->at, '.', n) != NULL;
    while (rest < cell->count && cell->at[rest] == ' ') {
        rest++;
    }
    if (comma && point) {
        return refuse(trouble, BP_ERR_NUMBER, cell->at, cell->count,
                      "has a point and a comma: write it without thousands marks");
    }
    double v;
    if (n == 0 || bp_number_read(cell->at, n, comma ? ',' : '.', &v) != n || !isfinite(v)) {
        return refuse(trouble, BP_ERR_NUMBER, cell->at, cell->count, "is not a number");
    }
    double stated = rest < cell->count ? unit(cell->at + rest, cell->count - rest) : 0.0;
    if (rest < cell->count && stated == 0.0) {
        return refuse(trouble, BP_ERR_UNITS, cell->at + rest, cell->count - rest, "is not a unit known here");
    }
    v *= stated > 0.0 ? stated : factor > 0.0 ? factor : 1.0;
    if (!(v >= 0.0 && v <= most)) {
        return refuse(trouble, BP_ERR_NUMBER, cell->at, cell->count, "cannot be");
    }
    *value = v;
    return true;
}
