/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/utf8.h"

/* Table 3-7 of the Unicode Standard: which second bytes may follow a first one. */
struct lead {
    unsigned char first, last;               /* of the lead byte */
    unsigned char second_least, second_most; /* overlong forms, surrogates and > U+10FFFF fall outside */
    size_t bytes;
};

static const struct lead leads[] = {
    {0x01, 0x7F, 0, 0, 1},       {0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3},
    {0xE1, 0xEC, 0x80, 0xBF, 3}, {0xED, 0xED, 0x80, 0x9F, 3}, {0xEE, 0xEF, 0x80, 0xBF, 3},
    {0xF0, 0xF0, 0x90, 0xBF, 4}, {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4},
};

size_t bp_utf8_step(const char *text, bool *valid)
{
    const unsigned char *byte = (const unsigned char *)text;
    *valid = false;
    for (size_t i = 0; i < sizeof leads / sizeof leads[0]; i++) {
        const struct lead *lead = &leads[i];
        if (byte[0] < lead->first || byte[0] > lead->last) {
            continue;
        }
        for (size_t n = 1; n < lead->bytes; n++) {
            unsigned char least = n == 1 ? lead->second_least : 0x80;
            unsigned char most = n == 1 ? lead->second_most : 0xBF;
            if (byte[n] < least || byte[n] > most) {
                return n;
            }
        }
        *valid = true;
        return lead->bytes;
    }
    return 1;
}

size_t bp_utf8_width(const char *text)
{
    size_t width = 0;
    bool valid;
    while (*text != '\0') {
        text += bp_utf8_step(text, &valid);
        width++;
    }
    return width;
}
