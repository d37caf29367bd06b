/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/text.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum {
    FIRST_BYTES = 256,
    NUMBER_BYTES = 40 /* bp_number_write never needs more */
};

void bp_text_init(struct bp_text *text)
{
    *text = (struct bp_text){NULL, 0, 0, false};
}

void bp_text_free(struct bp_text *text)
{
    free(text->data);
    bp_text_init(text);
}

/* The one place that grows: room for `more` bytes and the NUL, or failed and nothing changed. */
static bool make_room(struct bp_text *text, size_t more)
{
    if (text->failed) {
        return false;
    }
    if (more < text->capacity - text->length) {
        return true;
    }
    if (more > SIZE_MAX / 4 || text->length > SIZE_MAX / 4) {
        text->failed = true;
        return false;
    }
    size_t capacity = text->capacity > 0 ? text->capacity : FIRST_BYTES;
    while (capacity <= text->length + more) {
        capacity *= 2;
    }
    char *data = realloc(text->data, capacity);
    if (data == NULL) {
        text->failed = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void bp_text_put_bytes(struct bp_text *text, const char *bytes, size_t count)
{
    if (!make_room(text, count)) {
        return;
    }
    if (count > 0) {
        memcpy(text->data + text->length, bytes, count);
    }
    text->length += count;
    text->data[text->length] = '\0';
}

void bp_text_put(struct bp_text *text, const char *string)
{
    bp_text_put_bytes(text, string, strlen(string));
}

void bp_text_put_char(struct bp_text *text, char c)
{
    bp_text_put_bytes(text, &c, 1);
}

void bp_text_fill(struct bp_text *text, char c, size_t count)
{
    if (!make_room(text, count)) {
        return;
    }
    memset(text->data + text->length, c, count);
    text->length += count;
    text->data[text->length] = '\0';
}

void bp_text_put_count(struct bp_text *text, size_t value)
{
    char digits[3 * sizeof value];
    size_t start = sizeof digits;
    do {
        digits[--start] = (char)('0' + value % 10);
        value /= 10;
    } while (value > 0);
    bp_text_put_bytes(text, digits + start, sizeof digits - start);
}

void bp_text_put_number(struct bp_text *text, double value, int decimals)
{
    bp_text_put_number_in(text, value, decimals, 0);
}

void bp_text_put_number_in(struct bp_text *text, double value, int decimals, size_t width)
{
    char digits[NUMBER_BYTES];
    size_t length = bp_number_write(value, decimals, digits, sizeof digits);
    if (length < width) {
        bp_text_fill(text, ' ', width - length);
    }
    bp_text_put_bytes(text, digits, length);
}
