/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/table.h"

#include "report/utf8.h"

#include <string.h>

enum { COLUMNS_USUAL = 80, COLUMNS_LEAST = 40, PATH_MOST = 60 };
enum { SIGNIFICANT = 2, TWO_DIGITS_END = 100 };
/* One side of an interval so many times as wide as the other is told as it is. */
static const double LOPSIDED = 2;

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

bool bp_table_has_interval(struct bp_quantity value)
{
    return bp_quantity_known(value) && isfinite(value.low) && isfinite(value.high);
}

/* The power of ten of the second significant digit of half, as it is after rounding: 0.0996 is 0.10. */
static int last_power(double half)
{
    int power = (int)floor(log10(half)) - (SIGNIFICANT - 1);
    double digits = round(half / pow(10, power));
    return digits >= TWO_DIGITS_END ? power + 1 : power;
}

struct bp_shown bp_table_shown(struct bp_quantity value, int decimals)
{
    struct bp_shown shown = {value.value, (double)NAN, decimals};
    if (!bp_table_has_interval(value)) {
        return shown;
    }
    double half = fmax(value.value - value.low, value.high - value.value);
    int power = half > 0 ? last_power(half) : -decimals;
    power = power > -decimals ? power : -decimals;
    double step = pow(10, power);
    shown.half = fmax(round(half / step) * step, step);
    shown.value = power > 0 ? round(value.value / step) * step : value.value;
    shown.decimals = power < 0 ? -power : 0;
    return shown;
}

/* Whether "±" would mislead, by more than rounding does. */
static bool lopsided(struct bp_quantity value, double step)
{
    double below = value.value - value.low, above = value.high - value.value;
    double wide = fmax(below, above), narrow = fmin(below, above);
    return wide > LOPSIDED * narrow && wide - narrow > step;
}

static void put_interval(struct bp_text *out, struct bp_quantity value, struct bp_shown shown)
{
    if (!lopsided(value, pow(10, -shown.decimals))) {
        bp_text_put(out, " ±");
        bp_text_put_number(out, shown.half, shown.decimals);
        return;
    }
    bp_text_put(out, " (");
    bp_text_put_number(out, value.low, shown.decimals);
    bp_text_put(out, " to ");
    bp_text_put_number(out, value.high, shown.decimals);
    bp_text_put(out, ")");
}

void bp_table_put_figure(struct bp_text *out, struct bp_quantity value, int decimals, const char *unit)
{
    if (!bp_quantity_known(value)) {
        bp_text_put(out, "unknown");
        return;
    }
    struct bp_shown shown = bp_table_shown(value, decimals);
    bp_text_put_number(out, shown.value, shown.decimals);
    if (isfinite(shown.half)) {
        put_interval(out, value, shown);
    }
    if (unit[0] != '\0') {
        bp_text_put_char(out, ' ');
        bp_text_put(out, unit);
    }
}

size_t bp_table_columns(const struct bp_report_settings *settings)
{
    size_t columns = settings->columns == 0 ? (size_t)COLUMNS_USUAL : settings->columns;
    return columns < COLUMNS_LEAST ? (size_t)COLUMNS_LEAST : columns;
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
    size_t columns = bp_table_columns(settings);
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

void bp_table_put_title(struct bp_text *out, const char *title, const struct bp_report_settings *settings)
{
    bp_text_put_char(out, '\n');
    bp_table_bold(out, settings);
    bp_text_put(out, title);
    bp_table_normal(out, settings);
}

void bp_table_put_note(struct bp_text *out, const char *text, const struct bp_report_settings *settings)
{
    bp_table_dim(out, settings);
    bp_table_put_wrapped(out, text, 0, 0, settings);
    bp_table_normal(out, settings);
}
