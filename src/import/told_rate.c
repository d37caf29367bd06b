/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The rate that the lines above the rows tell, for logs without a time column.
 */
#include "import/cells.h"
#include "import/columns.h"

#include <math.h>
#include <string.h>

#define SAME_RATE 1e-3 /* two tellings of one rate are rounded differently, at most by so much of it */
enum { LINE_BYTES = 512, UNIT_BYTES = 16 };

/* What stands before the number, in small letters without blanks and marks. */
static const struct {
    const char *text;
    bool interval;   /* the time from sample to sample, not the rate */
    bool needs_unit; /* "rate" may be a heart's, "fs" the full scale */
} keys[] = {
    {"samplingrate", false, false},
    {"samplerate", false, false},
    {"samplingfrequency", false, false},
    {"samplefrequency", false, false},
    {"samplingfreq", false, false},
    {"samplefreq", false, false},
    {"samplingspeed", false, true},
    {"samplespersecond", false, false},
    {"outputdatarate", false, false},
    {"samplinginterval", true, true},
    {"sampleinterval", true, true},
    {"samplingperiod", true, true},
    {"sampleperiod", true, true},
    {"interval", true, true},
    {"abtastrate", false, false},
    {"frequency", false, true},
    {"rate", false, true},
    {"fs", false, true},
};

static bool is_small_letter(char c)
{
    return c >= 'a' && c <= 'z';
}

/* Blanks, quotes, brackets, '_' and '-' out; between letters nothing is left of them. */
static size_t pack(const char *line, size_t count, char out[LINE_BYTES])
{
    size_t n = 0;
    for (size_t i = 0; i < count && n + 1 < LINE_BYTES; i++) {
        char c = line[i] >= 'A' && line[i] <= 'Z' ? (char)(line[i] | 0x20) : line[i];
        if (c != '\0' && strchr(" _-\"'()[]{}\r", c) == NULL) {
            out[n++] = c;
        }
    }
    out[n] = '\0';
    return n;
}

/* The letters at *at, which goes behind them. */
static void take_letters(const char **at, char out[UNIT_BYTES])
{
    size_t n = 0;
    while (is_small_letter(**at)) {
        if (n + 1 < UNIT_BYTES) {
            out[n++] = **at;
        }
        ++*at;
    }
    out[n] = '\0';
}

/* value in unit as a rate; 0: it is none. */
static double rate_of(double value, const char *unit, bool interval, bool needs_unit)
{
    if (strcmp(unit, "hz") == 0 || strcmp(unit, "hertz") == 0) {
        return interval ? 0.0 : value;
    }
    if (unit[0] == '\0') {
        return needs_unit ? 0.0 : value;
    }
    const struct bp_unit *time = bp_import_unit_named(unit, strlen(unit), BP_KIND_TIME);
    return time != NULL && value > 0.0 ? 1.0 / (value * time->factor) : 0.0;
}

/* What stands behind a key: its unit, if it is there, marks, the number, or its unit here. 0: no rate. */
static double read_value(const char *at, bool interval, bool needs_unit)
{
    char unit[UNIT_BYTES] = "", behind[UNIT_BYTES] = "";
    double value;
    take_letters(&at, unit);
    const char *stated = strncmp(unit, "in", 2) == 0 ? unit + 2 : unit; /* "in ms" */
    size_t marks = strspn(at, ":=,;\t");
    size_t digits = strspn(at + marks, "0123456789.");
    struct bp_cell cell = {.at = at + marks, .count = digits};
    if (marks == 0 || digits == 0 || !bp_import_cell_number(&cell, '.', &value)) {
        return 0.0;
    }
    at += marks + digits;
    take_letters(&at, behind);
    return rate_of(value, behind[0] != '\0' ? behind : stated, interval, needs_unit);
}

/* The rate a line tells; 0: none. */
static double read_line(const char *line, size_t count)
{
    char packed[LINE_BYTES];
    pack(line, count, packed);
    for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
        const char *found = strstr(packed, keys[k].text);
        if (found == NULL || (keys[k].needs_unit && found > packed && is_small_letter(found[-1]))) {
            continue;
        }
        double rate = read_value(found + strlen(keys[k].text), keys[k].interval, keys[k].needs_unit);
        if (rate >= BP_RATE_LEAST_HZ && rate <= BP_RATE_MOST_HZ) {
            return rate;
        }
    }
    return 0.0;
}

double bp_import_told_rate(const char *text, size_t count, char line_end)
{
    double told = 0.0;
    for (const char *at = text, *end = text + count; at < end;) {
        const char *stop = memchr(at, line_end, (size_t)(end - at));
        stop = stop != NULL ? stop : end;
        double rate = read_line(at, (size_t)(stop - at));
        if (rate > 0.0 && told > 0.0 && fabs(rate - told) > SAME_RATE * told) {
            return 0.0; /* of several sensors, and nothing says which */
        }
        told = told > 0.0 ? told : rate;
        at = stop + 1;
    }
    return told;
}
