/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/parts.h"

#include <string.h>

enum { NAME_BYTES_MAX = 120, LIFT_BYTES = 32 };

/* Digits of percent signs, as in RFC 3986, 2.1. */
static const char hex[] = "0123456789ABCDEF";

static bool is_plain(unsigned char c, bool first)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           (!first &&
            (c == '-' || c == '.')); /* no hidden file, no "..", nothing that looks like an option */
}

void bp_sheet_put_safe_name(struct bp_text *out, const char *text)
{
    size_t used = 0;
    if (text == NULL || text[0] == '\0') {
        bp_text_put_char(out, '%');
        return;
    }
    for (size_t i = 0; text[i] != '\0'; i++) {
        unsigned char c = (unsigned char)text[i];
        bool plain = is_plain(c, i == 0);
        used += plain ? 1 : 3;
        if (used > NAME_BYTES_MAX) {
            return;
        }
        if (plain) {
            bp_text_put_char(out, (char)c);
        } else {
            const char code[] = {'%', hex[c >> 4], hex[c & 15U]};
            bp_text_put_bytes(out, code, sizeof code);
        }
    }
}

bool bp_sheet_lift(const struct bp_cell *cell, enum bp_lift *lift)
{
    static const struct {
        const char *words;
        enum bp_lift lift;
    } names[] = {{"bench press", BP_BENCH},    {"benchpress", BP_BENCH},     {"overhead press", BP_PRESS},
                 {"shoulder press", BP_PRESS}, {"standing press", BP_PRESS}, {"back squat", BP_SQUAT},
                 {"front squat", BP_SQUAT},    {"squats", BP_SQUAT},         {"dead lift", BP_DEADLIFT},
                 {"deadlifts", BP_DEADLIFT},   {"bent over row", BP_ROW},    {"barbell row", BP_ROW}};
    char plain[LIFT_BYTES];
    size_t n = 0;
    for (size_t i = 0; i < cell->count && n + 1 < sizeof plain; i++) {
        char c = cell->at[i];
        c = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c == '_' || c == '-' ? ' ' : c;
        if (c != ' ' || (n > 0 && plain[n - 1] != ' ')) {
            plain[n++] = c;
        }
    }
    plain[n] = '\0';
    if (bp_lift_named(plain, lift)) {
        return true;
    }
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (strcmp(plain, names[i].words) == 0) {
            *lift = names[i].lift;
            return true;
        }
    }
    return false;
}
