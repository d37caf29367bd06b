/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page_put.h"

#include "report/page_bundle.h"
#include "report/utf8.h"

#include <string.h>

static const char *reference(unsigned char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    default:
        return (c < 0x20 && c != '\n') || c == 0x7F ? "?" : NULL;
    }
}

void bp_page_put_text(struct bp_text *out, const char *text)
{
    while (*text != '\0') {
        bool valid;
        size_t bytes = bp_utf8_step(text, &valid);
        const char *instead = valid ? reference((unsigned char)*text) : BP_REPLACEMENT;
        if (instead != NULL) {
            bp_text_put(out, instead);
        } else {
            bp_text_put_bytes(out, text, bytes);
        }
        text += bytes;
    }
}

/* The \u escape of what must not stand at text, and the bytes it stands for; NULL: nothing is wrong. */
static const char *json_escape(const char *text, size_t left, size_t *bytes)
{
    *bytes = 1;
    switch (text[0]) {
    case '<':
        return "\\u003c";
    case '>':
        return "\\u003e";
    case '&':
        return "\\u0026";
    default:
        break;
    }
    *bytes = 3;
    if (left >= 3 && memcmp(text, "\xE2\x80\xA8", 3) == 0) {
        return "\\u2028";
    }
    return left >= 3 && memcmp(text, "\xE2\x80\xA9", 3) == 0 ? "\\u2029" : NULL;
}

void bp_page_put_json(struct bp_text *out, const struct bp_text *json)
{
    size_t from = 0;
    for (size_t at = 0; at < json->length;) {
        size_t bytes;
        const char *escape = json_escape(json->data + at, json->length - at, &bytes);
        if (escape == NULL) {
            at++;
            continue;
        }
        bp_text_put_bytes(out, json->data + from, at - from);
        bp_text_put(out, escape);
        at += bytes;
        from = at;
    }
    if (from < json->length) {
        bp_text_put_bytes(out, json->data + from, json->length - from);
    }
}

static const char *find(const char *from, const char *end, const char *mark)
{
    for (; from + 1 < end; from++) {
        if (from[0] == mark[0] && from[1] == mark[1]) {
            return from;
        }
    }
    return NULL;
}

void bp_page_put_shape(struct bp_text *out, bp_page_part *part, const void *about)
{
    const char *at = (const char *)bp_page_shape, *end = at + bp_page_shape_count;
    while (at < end) {
        const char *open = find(at, end, "{{"), *close = open ? find(open, end, "}}") : NULL;
        if (close == NULL) {
            break;
        }
        bp_text_put_bytes(out, at, (size_t)(open - at));
        part(open + 2, (size_t)(close - open - 2), about, out);
        at = close + 2;
    }
    bp_text_put_bytes(out, at, (size_t)(end - at));
}
