/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/dialect.h"

#include "import/words.h"

#include <string.h>

enum {
    LINES_MAX = 400,  /* looked at together; a longer preamble is passed window by window… */
    LINES_AGAIN = 50, /* …that overlap, so that the header stays with its rows */
    SCORED_MAX = 100, /* of them, the last: rows rather than preamble */
    CELLS_LEAST = 3,  /* three axes */
};

struct line {
    const char *at;
    size_t count, number;
};

struct sniffer {
    struct line lines[LINES_MAX];
    size_t count;
    struct bp_cell cells[BP_IMPORT_COLUMNS_MAX];
    size_t seen[BP_IMPORT_COLUMNS_MAX + 1]; /* lines with that many cells */
};

/* What is in the cells of one line. */
struct tally {
    size_t cells, numbers, texts;
};

bool bp_import_is_remark(const char *line, size_t count)
{
    size_t i = 0;
    while (i < count && (line[i] == ' ' || line[i] == '"')) {
        i++;
    }
    if (i == count) {
        return false;
    }
    return line[i] == '#' || line[i] == '@' || line[i] == '%' ||
           (line[i] == '/' && i + 1 < count && line[i + 1] == '/');
}

bool bp_import_is_blank(const char *line, size_t count, char separator)
{
    for (size_t i = 0; i < count; i++) {
        if (line[i] != ' ' && line[i] != '\t' && line[i] != '\r' && line[i] != separator) {
            return false;
        }
    }
    return true;
}

size_t bp_import_line_limit(const struct bp_import_settings *settings)
{
    return settings->line_bytes_max != 0 ? settings->line_bytes_max : BP_IMPORT_LINE_BYTES_MAX;
}

size_t bp_import_column_limit(const struct bp_import_settings *settings)
{
    const size_t most = BP_IMPORT_COLUMNS_MAX - 1;
    return settings->columns_max != 0 && settings->columns_max < most ? settings->columns_max : most;
}

/* The lines from first on. */
static enum bp_code collect_lines(struct bp_importer *im, const struct line *first, const char *end,
                                  bool whole, char line_end, struct sniffer *s)
{
    const char *at = first->at;
    size_t limit = bp_import_line_limit(im->settings);
    s->count = 0;
    for (size_t number = first->number; at < end && s->count < LINES_MAX; number++) {
        const char *stop = bp_import_line_end(at, end, line_end, true);
        if ((size_t)(stop - at) > limit) {
            return bp_import_fail(im, BP_ERR_LIMIT, number, 0, "the line is longer than %zu bytes", limit);
        }
        if (stop == end && !whole) {
            break; /* cut by the block's end */
        }
        if (!bp_import_is_blank(at, (size_t)(stop - at), ' ')) {
            s->lines[s->count++] = (struct line){at, (size_t)(stop - at), number};
        }
        /* Line ends inside quotes count as lines too, so that numbers agree with an editor's. */
        for (const char *c = at; c < stop; c++) {
            number += *c == line_end;
        }
        at = stop + 1;
    }
    return BP_OK;
}

static struct tally tally_line(struct sniffer *s, const char *line, size_t count, char separator, char point)
{
    struct tally t = {bp_import_split(line, count, separator, s->cells, BP_IMPORT_COLUMNS_MAX), 0, 0};
    t.cells = t.cells < BP_IMPORT_COLUMNS_MAX ? t.cells : BP_IMPORT_COLUMNS_MAX;
    for (size_t i = 0; i < t.cells; i++) {
        double value;
        struct bp_stamp stamp;
        enum bp_cell_kind kind = bp_import_cell_kind(&s->cells[i], point, &value);
        if (kind == BP_CELL_NUMBER || (kind == BP_CELL_TEXT && bp_import_cell_stamp(&s->cells[i], &stamp))) {
            t.numbers++;
        } else if (kind == BP_CELL_TEXT) {
            t.texts++;
        }
    }
    return t;
}

static struct tally tally_at(struct sniffer *s, size_t i, const struct bp_dialect *d)
{
    return tally_line(s, s->lines[i].at, s->lines[i].count, d->separator, d->point);
}

static size_t first_scored(const struct sniffer *s)
{
    return s->count > SCORED_MAX ? s->count - SCORED_MAX : 0;
}

/* The count of cells that most lines have; 0 when most lines have too few. */
static size_t usual_cells(struct sniffer *s, char separator)
{
    size_t best = 0;
    memset(s->seen, 0, sizeof s->seen);
    for (size_t i = first_scored(s); i < s->count; i++) {
        if (!bp_import_is_remark(s->lines[i].at, s->lines[i].count)) {
            size_t n = bp_import_split(s->lines[i].at, s->lines[i].count, separator, s->cells, 0);
            s->seen[n < BP_IMPORT_COLUMNS_MAX ? n : BP_IMPORT_COLUMNS_MAX]++;
        }
    }
    for (size_t n = CELLS_LEAST; n <= BP_IMPORT_COLUMNS_MAX; n++) {
        if (s->seen[n] > 0 && (best == 0 || s->seen[n] >= s->seen[best])) {
            best = n;
        }
    }
    return best;
}

/* How well a way of cutting fits: the share of cells that are numbers, times the share of lines cut alike. */
static double score(struct sniffer *s, struct bp_dialect *d)
{
    size_t numbers = 0, texts = 0, alike = 0, lines = 0;
    d->columns = usual_cells(s, d->separator);
    if (d->columns == 0) {
        return 0.0;
    }
    for (size_t i = first_scored(s); i < s->count; i++) {
        if (bp_import_is_remark(s->lines[i].at, s->lines[i].count)) {
            continue;
        }
        struct tally t = tally_at(s, i, d);
        lines++;
        if (t.cells == d->columns) {
            alike++;
            numbers += t.numbers;
            texts += t.texts;
        }
    }
    return numbers == 0 ? 0.0 : (double)numbers / (double)(numbers + texts) * ((double)alike / (double)lines);
}

static bool choose_cut(struct sniffer *s, struct bp_dialect *dialect)
{
    /* Of two that fit alike the first is taken: whole numbers have no decimal mark. */
    static const struct {
        char separator, point;
    } cuts[] = {{'\t', '.'}, {';', '.'}, {',', '.'}, {'|', '.'},
                {'\t', ','}, {';', ','}, {'|', ','}, {',', ','}};
    double best = 0.0;
    for (size_t i = 0; i < sizeof cuts / sizeof cuts[0]; i++) {
        struct bp_dialect trial = *dialect;
        trial.separator = cuts[i].separator;
        trial.point = cuts[i].point;
        double fit = score(s, &trial);
        if (fit > best + 1e-9) {
            best = fit;
            *dialect = trial;
        }
    }
    return best > 0.0;
}

static bool is_row(const struct tally *t, const struct bp_dialect *d)
{
    bool size = t->cells + 1 >= d->columns && t->cells <= d->columns + 1 && t->cells >= CELLS_LEAST;
    return size && t->numbers > 0 && (t->numbers > t->texts || t->numbers >= CELLS_LEAST);
}

static bool is_header(const struct tally *t)
{
    return t->numbers == 0 && t->texts >= 2 && t->cells >= CELLS_LEAST;
}

/* Every filled cell of the last tallied line is a unit. */
static bool is_units(const struct sniffer *s, const struct tally *t)
{
    for (size_t i = 0; i < t->cells; i++) {
        const struct bp_cell *c = &s->cells[i];
        if (c->count > 0 && bp_import_unit_named(c->at, c->count, BP_KIND_NONE) == NULL) {
            return false;
        }
    }
    return true;
}

/* The header as a remark: "#time,accel_x,…". */
static bool header_in_remark(struct sniffer *s, const struct line *l, struct bp_dialect *d)
{
    size_t skip = 0;
    while (skip < l->count && strchr(" #@%/\"", l->at[skip]) != NULL) {
        skip++;
    }
    struct tally t = tally_line(s, l->at + skip, l->count - skip, d->separator, d->point);
    if (!is_header(&t) || t.cells != d->columns) {
        return false;
    }
    d->header = l->at + skip;
    d->header_count = l->count - skip;
    return true;
}

/* The remark just taken for the header holds units alone, and the one above it is a header: "#t,ax,ay,az",
 * "#s,g,g,g". */
static void take_units_in_remark(struct sniffer *s, size_t at, struct bp_dialect *d)
{
    struct bp_dialect above = *d;
    struct tally t = tally_line(s, d->header, d->header_count, d->separator, d->point);
    if (d->units != NULL || at == 0 || !is_units(s, &t) ||
        !bp_import_is_remark(s->lines[at - 1].at, s->lines[at - 1].count) ||
        !header_in_remark(s, &s->lines[at - 1], &above)) {
        return;
    }
    d->units = d->header;
    d->units_count = d->header_count;
    d->header = above.header;
    d->header_count = above.header_count;
}

/* Headings may stand in two lines: "accelerometer" once above x, y and z, or the type of each column below
 * its name. */
static void find_above(struct sniffer *s, size_t header, struct bp_dialect *d)
{
    if (header == 0 || bp_import_is_remark(s->lines[header - 1].at, s->lines[header - 1].count)) {
        return;
    }
    struct tally t = tally_at(s, header - 1, d);
    if (t.numbers == 0 && t.texts > 0 && t.cells == d->columns) {
        d->above = s->lines[header - 1].at;
        d->above_count = s->lines[header - 1].count;
    }
}

/* The line before the rows, and, if that holds nothing but units, the one before it. */
static void find_header(struct sniffer *s, size_t row, struct bp_dialect *d)
{
    for (size_t i = row; i-- > 0;) {
        const struct line *l = &s->lines[i];
        if (bp_import_is_remark(l->at, l->count)) {
            if (header_in_remark(s, l, d)) {
                take_units_in_remark(s, i, d);
                return;
            }
            continue;
        }
        struct tally t = tally_at(s, i, d);
        if (!is_header(&t)) {
            return;
        }
        if (d->units == NULL && i > 0 && is_units(s, &t)) {
            d->units = l->at;
            d->units_count = l->count;
            continue;
        }
        d->header = l->at;
        d->header_count = l->count;
        find_above(s, i, d);
        return;
    }
}

static bool begins_with(const struct line *l, const char *text)
{
    return l->count >= strlen(text) && memcmp(l->at, text, strlen(text)) == 0;
}

/* A header alone, markup, or no table at all. */
static enum bp_code no_rows(struct bp_importer *im, struct sniffer *s, struct bp_dialect *d)
{
    enum { HEADERS_MOST = 3 }; /* lines of words past which they are what the text consists of */
    static const char separators[] = {',', ';', '\t', '|'};
    if (s->count == 0) {
        return bp_import_fail(im, BP_ERR_EMPTY, 0, 0, "the log is empty");
    }
    for (size_t k = 0; k < sizeof separators; k++) {
        size_t headers = 0, last = 0;
        d->separator = separators[k];
        for (size_t i = 0; i < s->count; i++) {
            struct tally t = tally_at(s, i, d);
            headers += is_header(&t);
            last = is_header(&t) ? i : last;
        }
        if (headers > 0 && headers <= HEADERS_MOST) {
            return bp_import_fail(im, BP_ERR_EMPTY, s->lines[last].number, 0,
                                  "there is a header but no row of numbers below it");
        }
    }
    if (begins_with(&s->lines[0], "<")) {
        return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                              "it is XML or a web page, not a table of readings: export the log as CSV");
    }
    return bp_import_fail(im, BP_ERR_FORMAT, 0, 0,
                          "no rows of at least three numbers separated by comma, semicolon, TAB, pipe or "
                          "blanks were found");
}

/* found: whether rows begin among these lines. */
static enum bp_code settle(struct bp_importer *im, const char *block, struct sniffer *s, struct bp_dialect *d,
                           bool *found)
{
    d->point = '.';
    *found = false;
    if (!choose_cut(s, d)) {
        return BP_OK;
    }
    if (d->columns > bp_import_column_limit(im->settings)) {
        return bp_import_fail(im, BP_ERR_LIMIT, s->lines[s->count - 1].number, 0, "more than %zu columns",
                              bp_import_column_limit(im->settings));
    }
    for (size_t i = 0; i < s->count; i++) {
        if (bp_import_is_remark(s->lines[i].at, s->lines[i].count)) {
            continue;
        }
        struct tally t = tally_at(s, i, d);
        if (is_row(&t, d)) {
            d->data_at = (size_t)(s->lines[i].at - block);
            d->data_line = s->lines[i].number;
            find_header(s, i, d);
            *found = true;
            return BP_OK;
        }
    }
    return BP_OK;
}

enum bp_code bp_import_sniff(struct bp_importer *im, const char *block, size_t count, bool whole,
                             size_t first_line, struct bp_dialect *dialect)
{
    static const char mark[] = "\xef\xbb\xbf";
    struct sniffer *s = bp_arena_zero(&im->scratch, 1, sizeof *s);
    size_t skip = count >= 3 && memcmp(block, mark, 3) == 0 ? 3 : 0;
    if (s == NULL) {
        return bp_import_no_memory(im);
    }
    *dialect = (struct bp_dialect){.line_end = '\n', .separator = ',', .point = '.'};
    if (memchr(block, '\n', count) == NULL && memchr(block, '\r', count) != NULL) {
        dialect->line_end = '\r';
    }
    struct line first = {block + skip, 0, first_line};
    for (;;) {
        enum bp_code code = collect_lines(im, &first, block + count, whole, dialect->line_end, s);
        bool found = false;
        code = code == BP_OK ? settle(im, block, s, dialect, &found) : code;
        if (code != BP_OK || found) {
            return code;
        }
        if (s->count < LINES_MAX) {
            return no_rows(im, s, dialect);
        }
        first = s->lines[s->count - LINES_AGAIN];
    }
}
