/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/table.h"

#include "report/utf8.h"

#include <string.h>

enum { COLUMNS_USUAL = 80, COLUMNS_LEAST = 40, PATH_MOST = 60 };

static void put_step(struct bp_text *out, const char *text, size_t bytes, bool valid)
{
    unsigned char c = (unsigned char)text[0];
    /* U+0080 to U+009F, in UTF-8 C2 80 to C2 9F, are control characters too. */
    bool c1 = valid && bytes == 2 && c == 0xC2 && (unsigned char)text[1] < 0xA0;
    if (!valid) {
        bp_text_put(out, BP_REPLACEMENT);
    } else if (c < 0x20 || c == 0x7F || c1) {
        bp_text_put_char(out, '?');
    } else {
        bp_text_put_bytes(out, text, bytes);
    }
}

void bp_table_put_plain(struct bp_text *out, const char *text)
{
    while (*text != '\0') {
        bool valid;
        size_t bytes = bp_utf8_step(text, &valid);
        put_step(out, text, bytes, valid);
        text += bytes;
    }
}

void bp_table_put_plain_end(struct bp_text *out, const char *text, size_t most)
{
    size_t width = bp_utf8_width(text);
    if (width > most) {
        bool valid;
        bp_text_put(out, "…");
        for (; width > most - 1; width--) {
            text += bp_utf8_step(text, &valid);
        }
    }
    bp_table_put_plain(out, text);
}

void bp_table_put_path(struct bp_text *out, const char *path)
{
    bp_table_put_plain_end(out, strcmp(path, "-") == 0 ? "standard input" : path, PATH_MOST);
}

void bp_table_put_text(struct bp_text *out, const char *text, size_t width)
{
    size_t own = bp_utf8_width(text);
    bp_text_fill(out, ' ', own < width ? width - own : 0);
    bp_text_put(out, text);
}

void bp_table_put_number(struct bp_text *out, double value, int decimals, size_t width)
{
    if (isfinite(value)) {
        bp_text_put_number_in(out, value, decimals, width);
    } else {
        bp_table_put_text(out, "-", width);
    }
}

void bp_table_put_head(struct bp_text *out, const struct bp_column *columns, size_t count,
                       const struct bp_report_settings *settings)
{
    bp_table_bold(out, settings);
    for (size_t i = 0; i < count; i++) {
        bp_table_put_text(out, columns[i].head, columns[i].width);
    }
    bp_table_normal(out, settings);
    bp_text_put_char(out, '\n');
    bp_table_dim(out, settings);
    while (count > 0 && columns[count - 1].unit[0] == '\0') {
        count--; /* no blanks at the end of a line */
    }
    for (size_t i = 0; i < count; i++) {
        bp_table_put_text(out, columns[i].unit, columns[i].width);
    }
    bp_table_normal(out, settings);
    bp_text_put_char(out, '\n');
}

void bp_table_put_values(struct bp_text *out, const struct bp_column *columns,
                         const struct bp_quantity *cells, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        bp_table_put_number(out, cells[i].value * columns[i].scale, columns[i].decimals, columns[i].width);
    }
}

double bp_table_half_width(struct bp_quantity value)
{
    return bp_quantity_known(value) ? (value.high - value.low) / 2.0 : (double)NAN;
}

void bp_table_put_half_widths(struct bp_text *out, const struct bp_column *columns,
                              const struct bp_quantity *cells, size_t count,
                              const struct bp_report_settings *settings)
{
    size_t last = 0; /* no spaces after the last half-width */
    for (size_t i = 0; i < count; i++) {
        last = isfinite(bp_table_half_width(cells[i])) ? i + 1 : last;
    }
    if (last == 0) {
        return;
    }
    bp_table_dim(out, settings);
    bp_text_put(out, "  ±");
    for (size_t i = 0; i < last; i++) {
        double half = bp_table_half_width(cells[i]);
        if (isfinite(half)) {
            bp_text_put_number_in(out, half * columns[i].scale, columns[i].decimals, columns[i].width);
        } else {
            bp_text_fill(out, ' ', columns[i].width);
        }
    }
    bp_table_normal(out, settings);
    bp_text_put_char(out, '\n');
}

void bp_table_put_figure(struct bp_text *out, struct bp_quantity value, int decimals, const char *unit)
{
    if (!bp_quantity_known(value)) {
        bp_text_put(out, "unknown");
        return;
    }
    bp_text_put_number(out, value.value, decimals);
    if (isfinite(bp_table_half_width(value))) {
        bp_text_put(out, " ±");
        bp_text_put_number(out, bp_table_half_width(value), decimals);
    }
    if (unit[0] != '\0') {
        bp_text_put_char(out, ' ');
        bp_text_put(out, unit);
    }
}

/* The word at text: its bytes, and its characters in *width. */
static size_t next_word(const char *text, size_t *width)
{
    size_t bytes = 0;
    *width = 0;
    while (text[bytes] != '\0' && text[bytes] != ' ') {
        bool valid;
        bytes += bp_utf8_step(text + bytes, &valid);
        ++*width;
    }
    return bytes;
}

static void put_word(struct bp_text *out, const char *text, size_t count)
{
    for (size_t i = 0; i < count;) {
        bool valid;
        size_t bytes = bp_utf8_step(text + i, &valid);
        put_step(out, text + i, bytes, valid);
        i += bytes;
    }
}

void bp_table_put_wrapped(struct bp_text *out, const char *text, size_t at, size_t indent,
                          const struct bp_report_settings *settings)
{
    size_t columns = settings->columns == 0 ? (size_t)COLUMNS_USUAL : settings->columns;
    columns = columns < COLUMNS_LEAST ? (size_t)COLUMNS_LEAST : columns;
    bool line_begun = false;
    while (*text != '\0') {
        size_t width;
        size_t bytes = next_word(text, &width);
        if (line_begun && at + 1 + width > columns) {
            bp_text_put_char(out, '\n');
            bp_text_fill(out, ' ', indent);
            at = indent;
            line_begun = false;
        }
        if (line_begun) {
            bp_text_put_char(out, ' ');
            at++;
        }
        put_word(out, text, bytes);
        at += width;
        line_begun = true;
        text += bytes;
        text += strspn(text, " ");
    }
    bp_text_put_char(out, '\n');
}

static void put_escape(struct bp_text *out, const struct bp_report_settings *settings, const char *escape)
{
    if (settings->colour) {
        bp_text_put(out, escape);
    }
}

void bp_table_bold(struct bp_text *out, const struct bp_report_settings *settings)
{
    put_escape(out, settings, "\033[1m");
}

void bp_table_dim(struct bp_text *out, const struct bp_report_settings *settings)
{
    put_escape(out, settings, "\033[2m");
}

void bp_table_normal(struct bp_text *out, const struct bp_report_settings *settings)
{
    put_escape(out, settings, "\033[0m");
}
