/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig/unit.h"

#include "barplumb/text.h"
#include "barplumb/units.h"

#include <string.h>

enum { UNIT_BYTES = 24 };

struct named_unit {
    const char *name;
    struct bp_unit unit;
};

static const struct named_unit masses[] = {{"kg", {1.0, 1.0}},
                                           {"g", {1.0, 1000.0}},
                                           {"lb", {BP_POUND_KG, 1.0}},
                                           {"lbs", {BP_POUND_KG, 1.0}},
                                           {NULL, {0.0, 0.0}}};

static const struct named_unit lengths[] = {
    {"m", {1.0, 1.0}},           {"cm", {1.0, 100.0}},       {"mm", {1.0, 1000.0}},
    {"in", {254.0, 10000.0}},    {"inch", {254.0, 10000.0}}, {"inches", {254.0, 10000.0}},
    {"\"", {254.0, 10000.0}},    {"ft", {3048.0, 10000.0}},  {"foot", {3048.0, 10000.0}},
    {"feet", {3048.0, 10000.0}}, {"'", {3048.0, 10000.0}},   {NULL, {0.0, 0.0}}};

/* A luggage scale says kg or lb and means the weight of it, under standard gravity. */
static const struct named_unit pulls[] = {{"n", {1.0, 1.0}},
                                          {"kn", {1000.0, 1.0}},
                                          {"kg", {BP_STANDARD_GRAVITY, 1.0}},
                                          {"kgf", {BP_STANDARD_GRAVITY, 1.0}},
                                          {"g", {BP_STANDARD_GRAVITY, 1000.0}},
                                          {"gf", {BP_STANDARD_GRAVITY, 1000.0}},
                                          {"lb", {BP_POUND_FORCE_N, 1.0}},
                                          {"lbs", {BP_POUND_FORCE_N, 1.0}},
                                          {"lbf", {BP_POUND_FORCE_N, 1.0}},
                                          {NULL, {0.0, 0.0}}};

static bool find(const struct named_unit *list, const char *name, struct bp_unit *unit)
{
    for (; list->name != NULL; list++) {
        if (strcmp(list->name, name) == 0) {
            *unit = list->unit;
            return true;
        }
    }
    return false;
}

/* A mass by a length, which may have a number: "kg/m", "lb/100ft". */
static bool find_line(char *name, struct bp_unit *unit)
{
    struct bp_unit mass;
    struct bp_unit length;
    double by = 1.0;
    char *slash = strchr(name, '/');
    if (slash == NULL) {
        return false;
    }
    *slash++ = '\0';
    slash += bp_number_read(slash, strspn(slash, "0123456789"), '.', &by);
    if (!find(masses, name, &mass) || !find(lengths, slash, &length) || by < 1.0) {
        return false;
    }
    *unit = (struct bp_unit){mass.up * length.down, mass.down * length.up * by};
    return true;
}

bool bp_unit_find(enum bp_unit_kind kind, const char *text, size_t length, struct bp_unit *unit)
{
    char name[UNIT_BYTES];
    size_t n = 0;
    for (size_t i = 0; i < length; i++) {
        char c = text[i];
        if (c == ' ' || c == '\t') {
            continue;
        }
        if (n + 1 >= sizeof name) {
            return false;
        }
        name[n++] = c >= 'A' && c <= 'Z' ? (char)(c | 0x20) : c;
    }
    name[n] = '\0';
    switch (kind) {
    case BP_UNIT_MASS:
        return find(masses, name, unit);
    case BP_UNIT_LENGTH:
        return find(lengths, name, unit);
    case BP_UNIT_LINE:
        return find_line(name, unit);
    case BP_UNIT_PULL:
        return find(pulls, name, unit);
    case BP_UNIT_SHARE:
        break;
    }
    *unit = (struct bp_unit){1.0, 1.0};
    return strcmp(name, "%") == 0;
}

const char *bp_unit_names(enum bp_unit_kind kind)
{
    static const char *const names[] = {[BP_UNIT_MASS] = "kg, g or lb",
                                        [BP_UNIT_LENGTH] = "m, cm, mm, in or ft",
                                        [BP_UNIT_LINE] = "kg/m, g/cm, lb/ft or the like",
                                        [BP_UNIT_PULL] = "kg, lb, N, kgf or lbf",
                                        [BP_UNIT_SHARE] = "%"};
    return names[kind];
}
