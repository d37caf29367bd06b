/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/selector.h"

#include <string.h>

enum { LETTERS_LEAST = 3, LETTERS_PLAIN = 5 };

static int find_word(const struct bp_selector *s, const struct bp_cell *cell)
{
    for (size_t i = 0; i < s->word_count; i++) {
        if (s->words[i].count == cell->count && memcmp(s->words[i].text, cell->at, cell->count) == 0) {
            return (int)i;
        }
    }
    return -1;
}

/* Numbers of sensors as the phones' system most loggers run on counts them (android.hardware.Sensor, TYPE_…).
 */
static const struct {
    const char *number, *name;
} codes[] = {{"1", "accelerometer"}, {"2", "magnetometer"}, {"3", "orientation"},         {"4", "gyroscope"},
             {"9", "gravity"},       {"11", "attitude"},    {"10", "linear acceleration"}};

static const char *code_name(const struct bp_cell *cell)
{
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        if (strlen(codes[i].number) == cell->count && memcmp(codes[i].number, cell->at, cell->count) == 0) {
            return codes[i].name;
        }
    }
    return NULL;
}

/* Such a number in a column that says it holds them. */
static bool take_code(struct bp_selector *s, const struct bp_cell *cell)
{
    const char *name = code_name(cell);
    if (find_word(s, cell) >= 0) {
        return true;
    }
    if (name == NULL || s->word_count == BP_SELECTOR_WORDS) {
        return false;
    }
    size_t i = s->word_count++;
    memcpy(s->words[i].text, cell->at, cell->count);
    s->words[i].text[cell->count] = '\0';
    s->words[i].count = cell->count;
    s->words[i].letters = strlen(name);
    bp_import_read_heading(name, strlen(name), &s->words[i].meaning);
    return true;
}

/* "sensor", "sensor_type", "type": its numbers are sensors'. */
static bool is_headed_sensor(const struct bp_dialect *d, size_t column)
{
    struct bp_cell cells[BP_IMPORT_COLUMNS_MAX];
    static const char *const names[] = {"sensor", "type", "sensortype", "sensorid"};
    char plain[16];
    size_t n = 0;
    if (d->header == NULL ||
        bp_import_split(d->header, d->header_count, d->separator, cells, BP_IMPORT_COLUMNS_MAX) <= column) {
        return false;
    }
    for (size_t i = 0; i < cells[column].count && n + 1 < sizeof plain; i++) {
        char c = (char)(cells[column].at[i] | 0x20);
        if (c >= 'a' && c <= 'z') {
            plain[n++] = c;
        }
    }
    plain[n] = '\0';
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (strcmp(plain, names[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* False when the cell is no word: then the column is none of words. */
static bool take_word(struct bp_selector *s, const struct bp_cell *cell)
{
    double value;
    struct bp_stamp stamp;
    if (find_word(s, cell) >= 0) {
        return true;
    }
    if (cell->count == 0 || cell->count >= BP_SELECTOR_BYTES || s->word_count == BP_SELECTOR_WORDS ||
        bp_import_cell_kind(cell, '.', &value) != BP_CELL_TEXT || bp_import_cell_stamp(cell, &stamp)) {
        return false;
    }
    size_t i = s->word_count++;
    memcpy(s->words[i].text, cell->at, cell->count);
    s->words[i].text[cell->count] = '\0';
    s->words[i].count = s->words[i].letters = cell->count;
    bp_import_read_heading(s->words[i].text, cell->count, &s->words[i].meaning);
    return true;
}

/* Of several words of one kind ("accelerometer", "linear acceleration") the one with gravity in it, then the
 * plainest. */
static bool is_better(const struct bp_heading *a, const struct bp_heading *b)
{
    return a->linear != b->linear ? !a->linear : a->demerits < b->demerits;
}

/* Words of sensors: a label such as "a" or "acc" alone says nothing, "accel" or two sensors' names do. */
static bool names_sensors(const struct bp_selector *s)
{
    size_t sensors = 0;
    bool plain = false;
    for (size_t i = 0; i < s->word_count; i++) {
        enum bp_kind kind = s->words[i].kind;
        bool other = s->words[i].meaning.kind == BP_KIND_OTHER;
        sensors += (kind != BP_KIND_NONE || other) && s->words[i].letters >= LETTERS_LEAST;
        plain = plain || (kind == BP_KIND_FORCE && s->words[i].letters >= LETTERS_PLAIN);
    }
    return s->word_count > 1 && s->has[BP_KIND_FORCE] && (plain || sensors > 1);
}

static void choose_words(struct bp_selector *s)
{
    static const enum bp_kind kinds[] = {BP_KIND_FORCE, BP_KIND_GRAVITY, BP_KIND_TURN};
    for (size_t k = 0; k < sizeof kinds / sizeof kinds[0]; k++) {
        int best = -1;
        for (size_t i = 0; i < s->word_count; i++) {
            if (s->words[i].meaning.kind == kinds[k] && s->words[i].letters >= LETTERS_LEAST &&
                (best < 0 || is_better(&s->words[i].meaning, &s->words[best].meaning))) {
                best = (int)i;
            }
        }
        if (best >= 0) {
            s->words[best].kind = kinds[k];
            s->has[kinds[k]] = true;
            s->linear = kinds[k] == BP_KIND_FORCE ? s->words[best].meaning.linear : s->linear;
        }
    }
}

static bool is_selector(const char *block, size_t count, const struct bp_dialect *d, size_t column,
                        struct bp_selector *s)
{
    struct bp_cell cells[BP_IMPORT_COLUMNS_MAX];
    const char *at = block + d->data_at, *end = block + count;
    memset(s, 0, sizeof *s);
    s->column = (int)column;
    bool coded = is_headed_sensor(d, column);
    while (at < end) {
        const char *stop = bp_import_line_end(at, end, d->line_end, true);
        size_t length = (size_t)(stop - at);
        if (stop == end) {
            break; /* may be cut off */
        }
        if (!bp_import_is_remark(at, length) && !bp_import_is_blank(at, length, d->separator)) {
            size_t n = bp_import_split(at, length, d->separator, cells, BP_IMPORT_COLUMNS_MAX);
            bool told =
                column >= n || (coded && take_code(s, &cells[column])) || take_word(s, &cells[column]);
            if (!told) { /* a row that is too short is judged with the rows */
                return false;
            }
        }
        at = stop + 1;
    }
    choose_words(s);
    return names_sensors(s);
}

void bp_import_find_selector(const char *block, size_t count, const struct bp_dialect *dialect,
                             size_t columns, struct bp_selector *selector)
{
    for (size_t c = 0; c < columns; c++) {
        if (is_selector(block, count, dialect, c, selector)) {
            return;
        }
    }
    memset(selector, 0, sizeof *selector);
    selector->column = -1;
}

enum bp_kind bp_import_select(const struct bp_selector *selector, const struct bp_cell *cell)
{
    int word = find_word(selector, cell);
    return word >= 0 ? selector->words[word].kind : BP_KIND_NONE;
}
