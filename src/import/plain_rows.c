/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rows as nearly all logs have them: plain numbers, no quotes. Read in one go from the first cell to the
 * line's end, without looking for that end first; whatever else a line may be is left to rows.c.
 */
#include "import/rows.h"

#include "import/decimal.h"

#include <math.h>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

_Static_assert(BP_BLOCK_PADDING >= BP_DECIMAL_PADDING + 16, "bytes that may be read behind a block");

/* What a block's rows need to hand. */
struct plain {
    double *cells[BP_IMPORT_COLUMNS_MAX]; /* where each column goes, NULL: not wanted */
    unsigned few[BP_IMPORT_COLUMNS_MAX];  /* for bp_import_read_plain */
    size_t columns;
    char separator, point, line_end;
};

/* The first a or b at or behind at; b stands behind the block. */
static const char *find_either(const char *at, char a, char b)
{
#if defined(__SSE2__)
    const __m128i all_a = _mm_set1_epi8(a), all_b = _mm_set1_epi8(b);
    for (;; at += 16) {
        __m128i bytes;
        memcpy(&bytes, at, sizeof bytes);
        int hits =
            _mm_movemask_epi8(_mm_or_si128(_mm_cmpeq_epi8(bytes, all_a), _mm_cmpeq_epi8(bytes, all_b)));
        if (hits != 0) {
            return at + __builtin_ctz((unsigned)hits);
        }
    }
#else
    while (*at != a && *at != b) {
        at++;
    }
    return at;
#endif
}

/* The end of the line at a cell's end, with a carriage return or an empty last cell before it; NULL: none. */
static const char *end_of_row(const struct plain *p, const char *at)
{
    at += *at == p->separator;
    at += *at == '\r' && p->line_end != '\r';
    return *at == p->line_end ? at : NULL;
}

/* A wanted cell that is no plain number at once: a blank before it, nothing, which is a hole, or something
 * for rows.c. */
static const char *read_other(const struct plain *p, int role, const char *at, double *value, unsigned *empty)
{
    if (*at == ' ') {
        return bp_import_read_plain_again(at + 1, p->point, value);
    }
    if (*at != p->separator || role == BP_ROLE_TIME) {
        return NULL;
    }
    *value = (double)NAN;
    *empty |= 1U << role;
    return at;
}

static const char *skip_cell(const struct plain *p, const char *at)
{
    at = find_either(at, p->separator, p->line_end);
    return at - (*at == '\n' && at[-1] == '\r'); /* the carriage return goes with the line's end */
}

/* One row into place `row` of the columns. Returns its line's end; NULL when it is no plain row, or not
 * whole. *empty gets a bit for each role without a number. */
static const char *read_row(struct plain *p, const int *role_of, const char *at, size_t row, unsigned *empty)
{
    const char separator = p->separator, point = p->point; /* no store to a column can change these */
    const size_t last = p->columns - 1;
    *empty = 0;
    for (size_t c = 0;; c++, at++) {
        double *cells = p->cells[c];
        if (cells != NULL) {
            const char *stop = bp_import_read_plain(at, point, &p->few[c], &cells[row]);
            at = stop != NULL ? stop : read_other(p, role_of[c], at, &cells[row], empty);
            if (at == NULL) {
                return NULL;
            }
        } else {
            at = skip_cell(p, at);
        }
        if (c == last) {
            return end_of_row(p, at);
        }
        if (*at != separator) {
            return NULL;
        }
    }
}

static void count_empty(struct bp_table *t, unsigned empty)
{
    for (int role = 0; role < BP_ROLE_COUNT; role++) {
        t->empty[role] += empty >> role & 1U;
    }
}

static void prepare(const struct bp_row_reader *r, struct plain *p)
{
    const struct bp_table *t = r->table;
    *p = (struct plain){.columns = t->layout.columns,
                        .separator = t->dialect.separator,
                        .point = t->dialect.point,
                        .line_end = t->dialect.line_end};
    for (size_t c = 0; c < p->columns; c++) {
        p->cells[c] = r->role_of[c] >= 0 ? t->column[r->role_of[c]] : NULL;
    }
}

bool bp_import_may_be_plain(const struct bp_row_reader *r)
{
    const struct bp_table *t = r->table;
    return !r->quotes && !t->layout.time_stamp && t->layout.selector.column < 0 && r->skip_rows == 0 &&
           r->short_column == 0 && !r->again && r->lost_line == 0;
}

const char *bp_import_read_plain_rows(struct bp_row_reader *r, const char *at, const char *end)
{
    struct bp_table *t = r->table;
    struct plain plain;
    unsigned empty;
    prepare(r, &plain);
    while (at < end && t->rows < t->capacity) {
        bool number = (unsigned char)(*at - '0') < 10 || *at == '-' || *at == '.'; /* else perhaps a remark */
        const char *stop = number ? read_row(&plain, r->role_of, at, t->rows, &empty) : NULL;
        if (stop == NULL || stop >= end || (size_t)(stop - at) > r->line_max) {
            break;
        }
        if (empty != 0) {
            count_empty(t, empty);
        }
        bp_import_note_line(r);
        r->line++;
        t->rows++;
        at = stop + 1;
    }
    return at;
}
