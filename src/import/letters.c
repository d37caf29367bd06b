/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/vocabulary.h"

#include <stdbool.h>
#include <string.h>

/* Signs that stand for ASCII in headings, in UTF-8 and, one byte long, in Latin-1. */
static const struct sign {
    const char *bytes, *plain;
} signs[] = {
    {"\xc8\x98", "S"},     {"\xc8\x99", "s"},
    {"\xc8\x9a", "T"},     {"\xc8\x9b", "t"},
    {"\xc2\xb2", "2"},     {"\xc2\xb5", "u"},
    {"\xce\xbc", "u"},     {"\xc2\xb0", "deg"},
    {"\xe2\x88\x92", "-"}, {"\xc2\xb7", " "},
    {"\xe2\x8b\x85", " "}, {"\xe2\x81\xbb", "-"},
    {"\xc2\xb9", "1"},     {"\xc2\xa0", " "},
    {"\xe2\x80\x99", "'"}, {"\xc8\x98", "S"},
    {"\xc8\x99", "s"},     {"\xc8\x9a", "T"},
    {"\xc8\x9b", "t"},     {"\xb2", "2"},
    {"\xa0", " "},         {"\xb5", "u"},
    {"\xb0", "deg"},       {"\xc2\xba", "deg"}, /* the ordinal's sign, often taken for it */
};

/* U+00C0 to U+00FF and U+0100 to U+017F without their accents; '*' is no letter. */
static const char latin_1[] = "AAAAAAACEEEEIIIIDNOOOOO*OUUUUYTsaaaaaaaceeeeiiiidnooooo*ouuuuyty";
static const char latin_extended[] =
    "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlLlLlNnNnNnnNnOoOoOoOo"
    "RrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";
_Static_assert(sizeof latin_1 == 64 + 1 && sizeof latin_extended == 128 + 1, "one letter each");

static bool goes_on(const char *text, size_t i, size_t count)
{
    return i < count && ((unsigned char)text[i] & 0xC0U) == 0x80U;
}

/* Bytes of the character at text[i] in UTF-8; 1 where it is none. */
static size_t character_bytes(const char *text, size_t i, size_t count)
{
    unsigned char c = (unsigned char)text[i];
    size_t wanted = c >= 0xF0 ? 4 : c >= 0xE0 ? 3 : c >= 0xC2 ? 2 : 1;
    for (size_t k = 1; k < wanted; k++) {
        if (!goes_on(text, i + k, count)) {
            return 1;
        }
    }
    return wanted;
}

/* The plain letter for the character, 0: it has none. */
static char plain_letter(const char *text, size_t bytes)
{
    unsigned char c = (unsigned char)text[0];
    if (bytes == 2 && c >= 0xC3 && c <= 0xC5) {
        unsigned code = (c & 0x1FU) << 6 | ((unsigned char)text[1] & 0x3FU);
        return code < 0x100 ? latin_1[code - 0xC0] : latin_extended[code - 0x100];
    }
    return bytes == 1 && c >= 0xC0 ? latin_1[c - 0xC0] : '\0';
}

/* Greek and Cyrillic letters small and without accents, as two bytes of UTF-8: bp_import_plain_letters leaves
 * capitals of ASCII as they are, for they tell words apart ("AccX"), but of these no word is glued together.
 */
static bool small_letter(const char *text, size_t bytes, char out[3])
{
    static const struct {
        unsigned first, last, small; /* small: of the first */
    } ranges[] = {{0x0391, 0x03A9, 0x03B1}, {0x0410, 0x042F, 0x0430}, {0x0401, 0x0401, 0x0435},
                  {0x0451, 0x0451, 0x0435}, {0x0404, 0x0407, 0x0454}, {0x0386, 0x0386, 0x03B1},
                  {0x03AC, 0x03AC, 0x03B1}, {0x0388, 0x0388, 0x03B5}, {0x03AD, 0x03AD, 0x03B5},
                  {0x0389, 0x0389, 0x03B7}, {0x03AE, 0x03AE, 0x03B7}, {0x038A, 0x038A, 0x03B9},
                  {0x03AF, 0x03AF, 0x03B9}, {0x038C, 0x038C, 0x03BF}, {0x03CC, 0x03CC, 0x03BF},
                  {0x038E, 0x038E, 0x03C5}, {0x03CD, 0x03CD, 0x03C5}, {0x038F, 0x038F, 0x03C9},
                  {0x03CE, 0x03CE, 0x03C9}};
    unsigned code = bytes == 2 ? ((unsigned char)text[0] & 0x1FU) << 6 | ((unsigned char)text[1] & 0x3FU) : 0;
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        if (code >= ranges[i].first && code <= ranges[i].last) {
            code = ranges[i].small + (code - ranges[i].first);
            out[0] = (char)(0xC0U | code >> 6);
            out[1] = (char)(0x80U | (code & 0x3FU));
            out[2] = '\0';
            return true;
        }
    }
    return false;
}

static const struct sign *find_sign(const char *text, size_t bytes)
{
    for (size_t k = 0; k < sizeof signs / sizeof signs[0]; k++) {
        if (strlen(signs[k].bytes) == bytes && memcmp(text, signs[k].bytes, bytes) == 0) {
            return &signs[k];
        }
    }
    return NULL;
}

size_t bp_import_plain_letters(const char *text, size_t count, char *out, size_t size)
{
    size_t n = 0;
    for (size_t i = 0; i < count;) {
        size_t used = character_bytes(text, i, count);
        const struct sign *sign = find_sign(text + i, used);
        char letter = plain_letter(text + i, used), small[3];
        const char *plain = sign != NULL                          ? sign->plain
                            : letter != '\0'                      ? &letter
                            : small_letter(text + i, used, small) ? small
                                                                  : text + i;
        size_t length = sign != NULL ? strlen(sign->plain) : letter != '\0' ? 1 : used;
        if (n + length >= size) {
            break;
        }
        memcpy(out + n, plain, length);
        n += length;
        i += used;
    }
    out[n] = '\0';
    return n;
}
