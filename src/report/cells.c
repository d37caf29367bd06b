/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/cells.h"

#include "report/utf8.h"

#include <string.h>

static void put_separator(struct bp_cells *row)
{
    if (row->begun) {
        bp_text_put_char(row->out, ',');
    }
    row->begun = true;
}

/* Quotes doubled. */
static void put_valid(struct bp_text *out, const char *text)
{
    while (*text != '\0') {
        bool valid;
        size_t bytes = bp_utf8_step(text, &valid);
        if (!valid) {
            bp_text_put(out, BP_REPLACEMENT);
        } else {
            bp_text_put_bytes(out, text, bytes);
            if (*text == '"') {
                bp_text_put_char(out, '"');
            }
        }
        text += bytes;
    }
}

void bp_cells_text(struct bp_cells *row, const char *text)
{
    /* A spreadsheet takes a cell that begins like this for a formula and runs it. */
    bool formula = text[0] != '\0' && strchr("=+-@\t\r", text[0]) != NULL;
    bool quoted = strpbrk(text, ",\"\r\n") != NULL;
    put_separator(row);
    if (quoted) {
        bp_text_put_char(row->out, '"');
    }
    if (formula) {
        bp_text_put_char(row->out, '\'');
    }
    put_valid(row->out, text);
    if (quoted) {
        bp_text_put_char(row->out, '"');
    }
}

void bp_cells_count(struct bp_cells *row, size_t value)
{
    put_separator(row);
    bp_text_put_count(row->out, value);
}

void bp_cells_number(struct bp_cells *row, double value, int decimals)
{
    put_separator(row);
    if (isfinite(value)) {
        bp_text_put_number(row->out, value, decimals);
    }
}

void bp_cells_quantity(struct bp_cells *row, struct bp_quantity value, int decimals)
{
    bool known = bp_quantity_known(value);
    bp_cells_number(row, value.value, decimals);
    bp_cells_number(row, known ? value.low : (double)NAN, decimals);
    bp_cells_number(row, known ? value.high : (double)NAN, decimals);
}

void bp_cells_name(struct bp_cells *row, const char *before, const char *name, const char *after)
{
    put_separator(row);
    bp_text_put(row->out, before);
    bp_text_put(row->out, name);
    bp_text_put(row->out, after);
}
