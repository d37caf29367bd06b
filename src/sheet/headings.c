/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a column's heading means. A new word is a line in a table.
 */
#include "sheet/parts.h"

#include "barplumb/units.h"

#include <string.h>

enum { WORDS_BYTES = 64 };

/* Words in lower case, separated by one blank. */
static const struct {
    const char *words;
    enum bp_sheet_role role;
} meanings[] = {
    {"date", BP_SHEET_DATE},
    {"day", BP_SHEET_DATE},
    {"session date", BP_SHEET_DATE},
    {"training date", BP_SHEET_DATE},
    {"when", BP_SHEET_DATE},
    {"lifter", BP_SHEET_LIFTER},
    {"lifter name", BP_SHEET_LIFTER},
    {"athlete", BP_SHEET_LIFTER},
    {"name", BP_SHEET_LIFTER},
    {"who", BP_SHEET_LIFTER},
    {"lift", BP_SHEET_LIFT},
    {"exercise", BP_SHEET_LIFT},
    {"movement", BP_SHEET_LIFT},
    {"setup", BP_SHEET_SETUP},
    {"set up", BP_SHEET_SETUP},
    {"resistance", BP_SHEET_SETUP},
    {"bar", BP_SHEET_BAR},
    {"bar mass", BP_SHEET_BAR},
    {"bar weight", BP_SHEET_BAR},
    {"barbell", BP_SHEET_BAR},
    {"bar and collars", BP_SHEET_BAR},
    {"plates", BP_SHEET_PLATES},
    {"plate", BP_SHEET_PLATES},
    {"plate mass", BP_SHEET_PLATES},
    {"plates mass", BP_SHEET_PLATES},
    {"plate weight", BP_SHEET_PLATES},
    {"plates weight", BP_SHEET_PLATES},
    {"discs", BP_SHEET_PLATES},
    {"rig", BP_SHEET_RIG},
    {"rig file", BP_SHEET_RIG},
    {"log", BP_SHEET_LOG},
    {"log file", BP_SHEET_LOG},
    {"file", BP_SHEET_LOG},
    {"recording", BP_SHEET_LOG},
    {"path", BP_SHEET_LOG},
    {"part", BP_SHEET_PART},
    {"log part", BP_SHEET_PART},
    {"part of log", BP_SHEET_PART},
    {"set in log", BP_SHEET_PART},
    {"target", BP_SHEET_TARGET},
    {"target speed", BP_SHEET_TARGET},
    {"target velocity", BP_SHEET_TARGET},
    {"goal speed", BP_SHEET_TARGET},
    {"wanted speed", BP_SHEET_TARGET},
    {"notes", BP_SHEET_NOTES},
    {"note", BP_SHEET_NOTES},
    {"comment", BP_SHEET_NOTES},
    {"comments", BP_SHEET_NOTES},
    {"remarks", BP_SHEET_NOTES},
};

static const char *const role_names[BP_SHEET_ROLES] = {
    "date", "lifter",          "lift",         "setup", "bar mass", "plate mass", "rig",
    "log",  "part of the log", "target speed", "notes"};

const char *bp_sheet_role_name(enum bp_sheet_role role)
{
    return role < BP_SHEET_ROLES ? role_names[role] : "";
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* '/' belongs to units, "m/s"; a byte past ASCII to letters. */
static bool in_word(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '/' ||
           ((unsigned char)c & 0x80U) != 0;
}

/* The words of text, without what stands in brackets; that is left in inside. "BarMass" is two words. */
static void take_words(const struct bp_cell *cell, char *words, struct bp_cell *inside)
{
    size_t n = 0;
    bool bracket = false;
    const char *open = NULL;
    for (size_t i = 0; i < cell->count && n + 2 < WORDS_BYTES; i++) {
        char c = cell->at[i];
        bool opens = c == '(' || c == '[', closes = c == ')' || c == ']';
        if (opens || closes) {
            bracket = opens;
            if (closes && open != NULL) {
                *inside = (struct bp_cell){open, (size_t)(cell->at + i - open)};
            }
            open = opens ? cell->at + i + 1 : NULL;
        }
        bool word = !bracket && in_word(c);
        bool fresh =
            word && i > 0 && c >= 'A' && c <= 'Z' && cell->at[i - 1] >= 'a' && cell->at[i - 1] <= 'z';
        if ((fresh || !word) && n > 0 && words[n - 1] != ' ') {
            words[n++] = ' ';
        }
        if (word) {
            words[n++] = lower(c);
        }
    }
    n -= n > 0 && words[n - 1] == ' ';
    words[n] = '\0';
}

static enum bp_sheet_role meaning(const char *words)
{
    for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++) {
        if (strcmp(words, meanings[i].words) == 0) {
            return meanings[i].role;
        }
    }
    return BP_SHEET_EXTRA;
}

static double unit_for(enum bp_sheet_role role, const char *text, size_t count)
{
    return role == BP_SHEET_BAR || role == BP_SHEET_PLATES ? bp_sheet_mass_unit(text, count)
           : role == BP_SHEET_TARGET                       ? bp_sheet_speed_unit(text, count)
                                                           : 0.0;
}

struct bp_sheet_heading bp_sheet_read_heading(const struct bp_cell *cell)
{
    char words[WORDS_BYTES];
    struct bp_cell inside = {NULL, 0};
    take_words(cell, words, &inside);
    struct bp_sheet_heading heading = {meaning(words), 0.0};
    char *last = strrchr(words, ' ');
    if (heading.role == BP_SHEET_EXTRA && last != NULL) { /* "plates lb" */
        *last = '\0';
        enum bp_sheet_role role = meaning(words);
        heading.factor = unit_for(role, last + 1, strlen(last + 1));
        heading.role = heading.factor > 0.0 ? role : BP_SHEET_EXTRA;
    }
    if (inside.at != NULL && heading.role != BP_SHEET_EXTRA && heading.factor == 0.0) {
        heading.factor = unit_for(heading.role, inside.at, inside.count);
    }
    return heading;
}
