/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/plain.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

static bool is_continuation(char c)
{
    return ((unsigned char)c & 0xC0U) == 0x80U;
}

/* Bytes that the UTF-8 character beginning with lead should have. */
static size_t character_bytes(unsigned char lead)
{
    if (lead >= 0xF0U) {
        return 4;
    }
    if (lead >= 0xE0U) {
        return 3;
    }
    return lead >= 0xC0U ? 2 : 1;
}

/* A cut may have gone through the last character; half a character would make the whole line invalid. */
static void drop_half_character(char *text)
{
    size_t length = strlen(text);
    size_t start = length;
    while (start > 0 && length - start < 3 && is_continuation(text[start - 1])) {
        start--;
    }
    if (start > 0 && start - 1 + character_bytes((unsigned char)text[start - 1]) > length) {
        text[start - 1] = '\0';
    }
}

void bp_plain_clean(char *text)
{
    for (unsigned char *c = (unsigned char *)text; *c != 0; c++) {
        /* U+0080 to U+009F are control characters too: a terminal may take U+009B for ESC [. */
        bool c1 = c[0] == 0xC2U && c[1] >= 0x80U && c[1] <= 0x9FU;
        if (c1) {
            c[1] = '?';
        }
        if (c1 || *c < 0x20U || *c == 0x7FU) {
            *c = '?';
        }
    }
}

void bp_plain_format(char *out, size_t size, const char *format, va_list arguments)
{
    int wanted = vsnprintf(out, size, format, arguments);
    if (wanted < 0) {
        out[0] = '\0';
    } else if ((size_t)wanted >= size) {
        drop_half_character(out);
    }
    bp_plain_clean(out);
}
