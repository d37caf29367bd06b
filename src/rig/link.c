/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rig/link.h"

#include "barplumb/text.h"
#include "barplumb/units.h"

#include <math.h>
#include <string.h>

enum { NEAREST = 3 };

/* lb per 100 ft in kg/m. */
#define LB_PER_100_FT(x) ((x)*BP_POUND_KG / (100.0 * BP_FOOT_M))

const struct bp_link bp_links[] = {
    /* DIN 766, short link: suppliers' tables of grade 30 chain that state the standard. */
    {BP_LINK_DIN766, 4, 16, 0.32},
    {BP_LINK_DIN766, 5, 18.5, 0.5},
    {BP_LINK_DIN766, 6, 18.5, 0.8},
    {BP_LINK_DIN766, 7, 22, 1.1},
    {BP_LINK_DIN766, 8, 24, 1.4},
    {BP_LINK_DIN766, 9, 27, 1.8},
    {BP_LINK_DIN766, 10, 28, 2.2},
    {BP_LINK_DIN766, 11, 31, 2.7},
    {BP_LINK_DIN766, 13, 36, 3.8},
    {BP_LINK_DIN766, 14, 41, 4.4},
    {BP_LINK_DIN766, 16, 45, 5.7},
    {BP_LINK_DIN766, 18, 50, 7.3},
    {BP_LINK_DIN766, 20, 56, 9.0},
    /* DIN 763, long link: a supplier's table; 6, 7, 10, 13 and 16 mm also in the standard's own Table 1. */
    {BP_LINK_DIN763, 4, 32, 0.26},
    {BP_LINK_DIN763, 5, 35, 0.43},
    {BP_LINK_DIN763, 6, 42, 0.63},
    {BP_LINK_DIN763, 7, 49, 0.86},
    {BP_LINK_DIN763, 8, 52, 1.1},
    {BP_LINK_DIN763, 10, 65, 1.75},
    {BP_LINK_DIN763, 13, 82, 2.95},
    {BP_LINK_DIN763, 16, 100, 4.45},
    /* DIN 764: a supplier's table. */
    {BP_LINK_DIN764, 10, 35, 2.1},
    {BP_LINK_DIN764, 13, 45, 3.5},
    {BP_LINK_DIN764, 16, 56, 5.3},
    {BP_LINK_DIN764, 18, 63, 6.7},
    {BP_LINK_DIN764, 20, 70, 8.3},
    /* EN 818-2 and ASTM A391, grade 80: a supplier's table, in lb per 100 ft. */
    {BP_LINK_EN818_2, 7, 21, LB_PER_100_FT(70)},
    {BP_LINK_EN818_2, 8, 24, LB_PER_100_FT(92)},
    {BP_LINK_EN818_2, 10, 30, LB_PER_100_FT(142)},
    {BP_LINK_EN818_2, 13, 39, LB_PER_100_FT(244)},
    {BP_LINK_EN818_2, 16, 48, LB_PER_100_FT(356)},
    {BP_LINK_EN818_2, 20, 60, LB_PER_100_FT(562)},
    {BP_LINK_EN818_2, 22, 66, LB_PER_100_FT(720)},
    {BP_LINK_EN818_2, 26, 78, LB_PER_100_FT(990)},
    {BP_LINK_EN818_2, 32, 96, LB_PER_100_FT(1580)},
};
const size_t bp_link_count = sizeof bp_links / sizeof bp_links[0];

static const char *const standard_names[BP_LINK_STANDARDS] = {"din766", "din763", "din764", "en818-2"};

enum bp_link_standard bp_link_standard_find(const char *text, size_t length)
{
    static const char *const plain_names[BP_LINK_STANDARDS] = {"din766", "din763", "din764", "en8182"};
    char plain[16];
    size_t n = 0;
    for (size_t i = 0; i < length; i++) {
        char c = text[i];
        if (c == ' ' || c == '-' || c == '.') {
            continue;
        }
        if (n + 1 >= sizeof plain) {
            return BP_LINK_STANDARDS;
        }
        plain[n++] = c >= 'A' && c <= 'Z' ? (char)(c | 0x20) : c;
    }
    plain[n] = '\0';
    size_t standard = 0;
    while (standard < BP_LINK_STANDARDS && strcmp(plain, plain_names[standard]) != 0) {
        standard++;
    }
    return (enum bp_link_standard)standard;
}

const char *bp_link_standard_name(enum bp_link_standard standard)
{
    return standard_names[standard];
}

static void put_link(const struct bp_link *link, struct bp_text *text)
{
    bp_text_put(text, text->length > 0 ? ", " : "");
    bp_text_put_number(text, link->wire_mm, 0);
    bp_text_put_char(text, 'x');
    bp_text_put_number(text, link->pitch_mm, fmod(link->pitch_mm, 1.0) > 0.0 ? 1 : 0);
    bp_text_put_char(text, ' ');
    bp_text_put(text, standard_names[link->standard]);
}

void bp_link_nearest(enum bp_link_standard standard, double wire_mm, double pitch_mm, char *out, size_t size)
{
    bool taken[sizeof bp_links / sizeof bp_links[0]] = {false};
    struct bp_text text;
    bp_text_init(&text);
    for (size_t turn = 0; turn < NEAREST; turn++) {
        size_t best = bp_link_count;
        double least = (double)INFINITY;
        for (size_t i = 0; i < bp_link_count; i++) {
            const struct bp_link *link = &bp_links[i];
            /* As shares, so that 1 mm more counts for more in a thin chain. */
            double far = hypot(log(link->wire_mm / wire_mm), log(link->pitch_mm / pitch_mm));
            if (!taken[i] && far < least && (standard == BP_LINK_STANDARDS || link->standard == standard)) {
                least = far;
                best = i;
            }
        }
        if (best < bp_link_count) {
            taken[best] = true;
            put_link(&bp_links[best], &text);
        }
    }
    size_t n = text.data == NULL ? 0 : text.length < size ? text.length : size - 1;
    memcpy(out, n > 0 ? text.data : "", n);
    out[n] = '\0';
    bp_text_free(&text);
}
