/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a serial port prints ("X: 0.1 Y: 0.2"), what keeps the unit in the cell ("0.01 s"), lists and
 * dictionaries in a cell ("[0.1, 0.2, 9.8]"): rows that are all alike once their numbers are taken out. What
 * is left of a row is its mould: the gaps before, between and behind the numbers.
 */
#include "import/worded.h"

#include <string.h>

enum { NUMBERS_LEAST = 3, NUMBERS_MOST = 64, ROWS_ALIKE = 3, SEARCH_BYTES = 65536 };

struct piece {
    const char *at;
    size_t count;
};

/* A line taken apart: gap[0] number[0] gap[1] … number[n - 1] gap[n]. */
struct mould {
    size_t n;
    struct piece gap[NUMBERS_MOST + 1], number[NUMBERS_MOST];
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static bool is_separator(char c)
{
    return c == ',' || c == ';' || c == '\t' || c == '|';
}

static bool opens(char c)
{
    return c == '[' || c == '(' || c == '{' || c == '<';
}

static bool closes(char c)
{
    return c == ']' || c == ')' || c == '}' || c == '>';
}

/* ---- numbers ---- */

/* The digits of "m/s2", "s^2", "acc1" and "q_0" are part of a word. */
static bool may_begin(const char *line, const char *at)
{
    return at == line ||
           !(is_letter(at[-1]) || is_digit(at[-1]) || at[-1] == '_' || at[-1] == '^' || at[-1] == '.');
}

/* The end of the number or the time of day or date ("10:59:01.5", "2026-03-01T10:59:01.5Z") at `at`; `at`
 * where there is none. */
static const char *number_end(const char *at, const char *end)
{
    const char *c = at + (*at == '+' || *at == '-');
    bool digits = false, stamp = false;
    for (; c < end; c++) {
        bool more = c + 1 < end && is_digit(c[1]);
        bool power = digits && !stamp && (*c == 'e' || *c == 'E') &&
                     (more || (c + 2 < end && (c[1] == '-' || c[1] == '+') && is_digit(c[2])));
        if (is_digit(*c) || *c == '.') {
            digits = digits || is_digit(*c);
        } else if (power) {
            c++;
        } else if (digits && more && (*c == ':' || *c == '-' || *c == '/' || *c == 'T')) {
            stamp = true;
        } else {
            break;
        }
    }
    c += stamp && c < end && *c == 'Z';
    return digits ? c : at;
}

/* False where the line has too few numbers or too many. */
static bool take_apart(const char *line, size_t count, struct mould *m)
{
    const char *at = line, *end = line + count, *gap = line;
    for (m->n = 0; at < end;) {
        const char *stop = may_begin(line, at) ? number_end(at, end) : at;
        if (stop == at) {
            at++;
            continue;
        }
        if (m->n == NUMBERS_MOST) {
            return false;
        }
        m->gap[m->n] = (struct piece){gap, (size_t)(at - gap)};
        m->number[m->n++] = (struct piece){at, (size_t)(stop - at)};
        gap = at = stop;
    }
    m->gap[m->n] = (struct piece){gap, (size_t)(end - gap)};
    return m->n >= NUMBERS_LEAST;
}

/* ---- gaps ---- */

static size_t skip_blanks(const struct piece *gap, size_t i)
{
    while (i < gap->count && is_blank(gap->at[i])) {
        i++;
    }
    return i;
}

/* Runs of blanks, which columns of a fixed width have, count as one. */
static bool same_gap(const struct piece *a, const struct piece *b)
{
    size_t i = 0, k = 0;
    while (i < a->count && k < b->count) {
        if (is_blank(a->at[i]) && is_blank(b->at[k])) {
            i = skip_blanks(a, i);
            k = skip_blanks(b, k);
        } else if (a->at[i++] != b->at[k++]) {
            return false;
        }
    }
    return skip_blanks(a, i) == a->count && skip_blanks(b, k) == b->count;
}

static bool alike(const struct mould *a, const struct mould *b)
{
    bool same = a->n == b->n;
    for (size_t i = 0; same && i <= a->n; i++) {
        same = same_gap(&a->gap[i], &b->gap[i]);
    }
    return same;
}

static bool holds(const struct piece *gap, bool (*wanted)(char))
{
    for (size_t i = 0; i < gap->count; i++) {
        if (wanted(gap->at[i])) {
            return true;
        }
    }
    return false;
}

static bool is_plain(const struct piece *gap)
{
    return !holds(gap, is_letter) && !holds(gap, opens) && !holds(gap, closes);
}

static bool is_bare_comma(const struct piece *gap)
{
    return gap->count == 1 && gap->at[0] == ',';
}

/* What stands between two numbers of one bracket. */
struct bracket {
    int depth;
    bool commas, others; /* bare ones, and anything else */
};

static void pass_gap(struct bracket *b, const struct piece *gap)
{
    for (size_t k = 0; k < gap->count; k++) {
        char c = gap->at[k];
        b->depth += opens(c) - closes(c);
        if (opens(c) || closes(c)) {
            b->commas = b->others = false;
        } else if (b->depth > 0 && !is_bare_comma(gap)) {
            b->others = b->others || is_letter(c) || is_separator(c);
        }
    }
    b->commas = b->commas || (b->depth > 0 && is_bare_comma(gap));
}

/* A table has no words in it. Two numbers with a bare comma between them may be one with a decimal comma,
 * unless there is a point in the second, or in a bracket in which nothing else stands between numbers. */
static bool is_worded(const struct mould *m)
{
    struct bracket bracket = {0};
    size_t words = 0;
    for (size_t i = 0; i <= m->n; i++) {
        bool whole = i < m->n && memchr(m->number[i].at, '.', m->number[i].count) == NULL;
        bool comma = i > 0 && whole && is_bare_comma(&m->gap[i]);
        words += !is_plain(&m->gap[i]);
        pass_gap(&bracket, &m->gap[i]);
        if ((comma && bracket.depth <= 0) || (bracket.commas && bracket.others)) {
            return false;
        }
    }
    return words > 0;
}

/* ---- lines ---- */

static struct piece next_line(const char **at, const char *end)
{
    const char *stop = memchr(*at, '\n', (size_t)(end - *at));
    struct piece line = {*at, (size_t)((stop != NULL ? stop : end) - *at)};
    *at = stop != NULL ? stop + 1 : end;
    return line;
}

/* The first of ROWS_ALIKE rows in a row. NULL: there are none near the log's beginning. */
static const char *find_rows(const char *bytes, size_t count, struct mould *m)
{
    const char *end = bytes + count, *last = bytes + (count < SEARCH_BYTES ? count : SEARCH_BYTES);
    for (const char *at = bytes; at < last;) {
        const char *from = at;
        struct piece line = next_line(&at, end);
        struct mould other;
        size_t rows = take_apart(line.at, line.count, m) && is_worded(m);
        for (const char *then = at; rows > 0 && rows < ROWS_ALIKE && then < end; rows++) {
            line = next_line(&then, end);
            if (!take_apart(line.at, line.count, &other) || !alike(m, &other)) {
                break;
            }
        }
        if (rows == ROWS_ALIKE) {
            return from;
        }
    }
    return NULL;
}

/* ---- headings ---- */

/* Where a separator, or a run of blanks with words on either side, parts what belongs to the number before
 * from what belongs to the one behind; gap->count: nowhere. */
static size_t parted_at(const struct piece *gap)
{
    bool words = false;
    for (size_t i = 0; i < gap->count; i++) {
        size_t next = skip_blanks(gap, i);
        bool run = words && next >= i + 2 && next < gap->count;
        if (run || is_separator(gap->at[i]) || closes(gap->at[i])) {
            return i;
        }
        words = words || !is_blank(gap->at[i]);
    }
    return gap->count;
}

static bool is_quote(char c)
{
    return c == '"' || c == '\'';
}

static struct piece without_quotes(struct piece p)
{
    for (; p.count > 0 && is_quote(*p.at); p.count--) {
        p.at++;
    }
    while (p.count > 0 && is_quote(p.at[p.count - 1])) {
        p.count--;
    }
    return p;
}

/* What stands before a number is its name, what stands behind it its unit. Where nothing parts the two, words
 * that end in '=', ':' or a bracket, or have blanks about them, name the number behind, and the first of
 * these is a unit where it stands close to its number. A tag that is closed ("</t><x>") is neither. */
static void part_gap(const struct piece *whole, struct piece *unit, struct piece *name)
{
    const struct piece inner = without_quotes(*whole), *gap = &inner;
    bool tag = gap->count > 0 && gap->at[0] == '<';
    size_t cut = parted_at(gap);
    if (cut == gap->count && gap->count > 0) {
        char last = gap->at[gap->count - 1];
        bool names = last == '=' || last == ':' || opens(last) || (is_blank(gap->at[0]) && is_blank(last));
        const char *blank = memchr(gap->at, ' ', gap->count - 1);
        size_t close_unit = blank != NULL ? (size_t)(blank - gap->at) : 0;
        cut = names ? close_unit : gap->count;
    }
    *unit = (struct piece){gap->at, tag ? 0 : cut};
    *name = (struct piece){gap->at + cut, gap->count - cut};
}

/* Letters, digits, and what units are written with; the rest at the ends is marks. */
static struct piece trimmed(struct piece p)
{
    const char *inner = "_/^%";
    while (p.count > 0 && !is_letter(*p.at) && !is_digit(*p.at)) {
        p.at++;
        p.count--;
    }
    while (p.count > 0 && !is_letter(p.at[p.count - 1]) && !is_digit(p.at[p.count - 1]) &&
           strchr(inner, p.at[p.count - 1]) == NULL) {
        p.count--;
    }
    return p;
}

/* Of a tag the last word: "<sample t=". */
static struct piece in_tag(struct piece name)
{
    bool tag = holds(&name, opens) && memchr(name.at, '<', name.count) != NULL;
    for (size_t i = name.count; tag && i-- > 0;) {
        if (name.at[i] == '<' || (is_blank(name.at[i]) && i + 1 < name.count)) {
            return (struct piece){name.at + i, name.count - i};
        }
    }
    return name;
}

/* "Accel X": the word before the last, which goes for the axes behind it too. */
static struct piece word_before(struct piece name)
{
    size_t end = name.count;
    while (end > 0 && !is_blank(name.at[end - 1])) {
        end--;
    }
    return trimmed((struct piece){name.at, end});
}

/* Cell number `index` of the header. */
static struct piece cell_of(struct piece header, char separator, size_t index)
{
    const char *at = header.at, *end = header.at + header.count;
    for (; index > 0 && at < end; at++) {
        index -= *at == separator;
    }
    const char *stop = at < end ? memchr(at, separator, (size_t)(end - at)) : NULL;
    return trimmed((struct piece){at, (size_t)((stop != NULL ? stop : end) - at)});
}

/* Where the numbers lie among the header's cells. */
struct cells {
    char separator; /* '\0': there is no header */
    size_t of[NUMBERS_MOST];
};

/* A header has as many cells as a row has outside its brackets. */
static void find_cells(const struct mould *m, struct piece header, struct cells *cells)
{
    int depth = 0;
    size_t cell = 0, heads = 0;
    cells->separator = '\0';
    for (size_t i = 0; i <= m->n; i++) {
        for (size_t k = 0; k < m->gap[i].count; k++) {
            char c = m->gap[i].at[k];
            depth += opens(c) - closes(c);
            cells->separator =
                depth == 0 && is_separator(c) && cells->separator == '\0' ? c : cells->separator;
            cell += depth == 0 && c == cells->separator;
        }
        if (i < m->n) {
            cells->of[i] = cell;
        }
    }
    for (size_t i = 0; i < header.count; i++) {
        heads += header.at[i] == cells->separator;
    }
    cells->separator = heads == cell && holds(&header, is_letter) ? cells->separator : '\0';
}

static size_t numbers_in(const struct cells *cells, size_t n, size_t cell)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        count += cells->of[i] == cell;
    }
    return count;
}

static bool is_stamp(const struct piece *number)
{
    return memchr(number->at, ':', number->count) != NULL;
}

static void put_piece(struct bp_text *text, struct piece p)
{
    bp_text_put_bytes(text, p.at, p.count);
}

/* What goes on from one heading to the next. */
struct naming {
    const struct mould *m;
    struct piece header;
    struct cells cells;
    struct piece sensor; /* "Accel" of "Accel X: … Y: …" */
    struct piece list;   /* "acc" of "acc: [", count 0: in none */
    size_t within;       /* numbers of the list or the header's cell before this one */
};

static void put_index(struct bp_text *text, size_t index)
{
    bp_text_put_char(text, '[');
    bp_text_put_count(text, index);
    bp_text_put_char(text, ']');
}

/* Behind the header's name of the cell. */
static void put_in_cell(struct bp_text *text, struct naming *n, size_t i, struct piece name)
{
    const struct cells *cells = &n->cells;
    n->within = i > 0 && cells->of[i] == cells->of[i - 1] ? n->within + 1 : 0;
    struct piece cell = cell_of(n->header, cells->separator, cells->of[i]);
    put_piece(text, cell);
    if (cell.count == 0) {
        bp_text_put(text, "unnamed"); /* a header of empty cells would be none */
    }
    if (name.count > 0) {
        bp_text_put_char(text, '.');
        put_piece(text, name);
    } else if (numbers_in(cells, n->m->n, cells->of[i]) > 1) {
        put_index(text, n->within);
    }
}

/* By what stands in the row alone. */
static void put_by_row(struct bp_text *text, struct naming *n, size_t i, struct piece name)
{
    const struct piece *gap = &n->m->gap[i];
    struct piece before = word_before(name);
    bool begins = name.count > 0 && holds(gap, opens) && is_plain(&gap[1]);
    n->sensor = before.count > 0 || name.count > 1 ? before : n->sensor;
    n->list = begins ? name : name.count > 0 || holds(gap, closes) ? (struct piece){NULL, 0} : n->list;
    n->within = begins ? 0 : n->within + 1;
    if (n->list.count > 0) {
        put_piece(text, n->list);
        put_index(text, n->within);
        return;
    }
    if (name.count == 1 && before.count == 0 && n->sensor.count > 0) {
        put_piece(text, n->sensor);
        bp_text_put_char(text, ' ');
    } else if (name.count == 0 && is_stamp(&n->m->number[i])) {
        bp_text_put(text, "time");
    }
    put_piece(text, name);
}

/* The heading of one number: "acc.x (m/s2)", "acc[1]", "Gyro Y". */
static void put_heading(struct bp_text *text, struct naming *n, size_t i)
{
    struct piece behind, name, unit, next;
    part_gap(&n->m->gap[i], &behind, &name);
    part_gap(&n->m->gap[i + 1], &unit, &next);
    name = trimmed(in_tag(i == 0 ? n->m->gap[0] : name));
    unit = trimmed(unit);
    if (n->cells.separator != '\0') {
        put_in_cell(text, n, i, name);
    } else {
        put_by_row(text, n, i, name);
    }
    if (unit.count > 0) {
        bp_text_put(text, " (");
        put_piece(text, unit);
        bp_text_put_char(text, ')');
    }
}

static void put_line(struct bp_text *text, struct piece line)
{
    if (line.at != NULL) {
        put_piece(text, line);
        bp_text_put_char(text, '\n');
    }
}

/* In the header's own place, so that lines keep their numbers. */
static void put_headings(struct bp_text *text, const struct mould *m, struct piece header)
{
    struct naming n = {.m = m, .header = header};
    find_cells(m, header, &n.cells);
    if (n.cells.separator == '\0') {
        put_line(text, header);
    }
    for (size_t i = 0; i < m->n; i++) {
        if (i > 0) {
            bp_text_put_char(text, '\t');
        }
        put_heading(text, &n, i);
    }
    bp_text_put_char(text, '\n');
}

/* ---- the table ---- */

static void put_row(struct bp_text *text, const struct mould *m, struct piece line)
{
    struct mould row;
    if (!take_apart(line.at, line.count, &row) || !alike(m, &row)) {
        put_piece(text, line); /* a remark, or words to be told of */
    } else {
        for (size_t i = 0; i < row.n; i++) {
            if (i > 0) {
                bp_text_put_char(text, '\t');
            }
            put_piece(text, row.number[i]);
        }
    }
    bp_text_put_char(text, '\n');
}

static bool is_marked(const struct mould *m)
{
    for (size_t i = 0; i < m->n; i++) {
        size_t last = m->gap[i].count;
        while (last > 0 && (is_blank(m->gap[i].at[last - 1]) || is_quote(m->gap[i].at[last - 1]))) {
            last--;
        }
        char mark = last > 0 ? m->gap[i].at[last - 1] : '\0';
        if (mark == '=' || mark == ':' || opens(mark)) {
            return true;
        }
    }
    return false;
}

bool bp_import_is_worded(const char *bytes, size_t count, bool marked)
{
    struct mould m;
    return find_rows(bytes, count, &m) != NULL && (!marked || is_marked(&m));
}

enum bp_code bp_import_worded_text(struct bp_importer *im, const char *bytes, size_t count,
                                   struct bp_text *text)
{
    struct mould m;
    struct piece header = {NULL, 0};
    const char *end = bytes + count, *rows = find_rows(bytes, count, &m);
    bp_text_init(text);
    for (const char *at = bytes; at < (rows != NULL ? rows : end);) {
        put_line(text, header);
        header = next_line(&at, end);
    }
    if (rows != NULL) {
        put_headings(text, &m, header);
        for (const char *at = rows; at < end;) {
            put_row(text, &m, next_line(&at, end));
        }
    }
    return text->failed ? bp_import_no_memory(im) : BP_OK;
}
