/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A stretch of rows that is written over again, with times of its own: a buffer that was sent twice. What
 * stood in its place is lost, or nothing did and the clock was pushed on: either way what follows is out of
 * step. The copy is taken out, which leaves a hole, and the hole is marked.
 */
#include "import/stream.h"

#include <math.h>
#include <string.h>

/* So many rows in a row, alike in every axis, while one axis moves by so many steps of its grid: the chance
 * of a step is then under 1 in 20 an axis. Rests repeat each other by chance, movements never. */
enum { ROWS_LEAST = 8, AXES = 3, NAMED_MOST = 3, TABLE_SHARE = 2 };
static const double moves_steps = 20;
static const double copy_most_s = 5;

/* Where a row was last seen: open addressing, 1-based, 0 is free. */
struct seen {
    size_t *row, mask;
};

static size_t place_of(const struct bp_stream *s, size_t i, size_t mask)
{
    uint64_t hash = UINT64_C(1469598103934665603); /* FNV-1a, by words */
    for (size_t a = 0; a < AXES; a++) {
        uint64_t bits;
        memcpy(&bits, &s->value[a][i], sizeof bits);
        hash = (hash ^ bits) * UINT64_C(1099511628211);
        hash ^= hash >> 29;
    }
    return (size_t)hash & mask;
}

static bool same(const struct bp_stream *s, size_t i, size_t k)
{
    bool equal = true;
    for (size_t a = 0; a < s->width; a++) {
        equal = equal && s->value[a][i] == s->value[a][k];
    }
    return equal;
}

/* The row before i that is like it, the last one; i when there is none. */
static size_t see(const struct seen *seen, const struct bp_stream *s, size_t i)
{
    size_t at = place_of(s, i, seen->mask);
    while (seen->row[at] != 0 && !same(s, seen->row[at] - 1, i)) {
        at = (at + 1) & seen->mask;
    }
    size_t before = seen->row[at] == 0 ? i : seen->row[at] - 1;
    seen->row[at] = i + 1;
    return before;
}

/* Do rows [first, end) move on one axis at least? */
static bool moves(const struct bp_stream *s, size_t first, size_t end, double grid)
{
    bool moving = false;
    for (size_t a = 0; a < AXES; a++) {
        double low = s->value[a][first], high = low;
        for (size_t i = first; i < end; i++) {
            low = fmin(low, s->value[a][i]);
            high = fmax(high, s->value[a][i]);
        }
        moving = moving || high - low > moves_steps * grid;
    }
    return moving;
}

static void keep(struct bp_stream *s, size_t from, size_t to)
{
    s->time[to] = s->time[from];
    s->marks[to] = s->marks[from];
    for (size_t a = 0; a < s->width; a++) {
        s->value[a][to] = s->value[a][from];
    }
}

/* Rows [first, end) are those `lag` before them. */
struct run {
    size_t first, end, lag;
};

/* Right behind what it is a copy of, whole, and no longer than a buffer. Movements that come again and again
 * without any noise, and sets recorded twice, are none. */
static bool is_copy(const struct bp_stream *s, const struct run *run, double grid)
{
    size_t rows = run->end - run->first;
    return rows >= ROWS_LEAST && rows == run->lag &&
           s->time[run->end - 1] - s->time[run->first] < copy_most_s && moves(s, run->first, run->end, grid);
}

static void report(struct bp_importer *im, const struct bp_stream *s, const struct run *run)
{
    char number[BP_NUMBER_TEXT];
    bp_findings_add(im->findings, "block-repeated", BP_RESERVATION, s->time[run->first],
                    "%s s of readings are those from %zu rows before over again; they were left out",
                    bp_import_number(s->time[run->end - 1] - s->time[run->first], number), run->lag);
}

/* Marks in `copied` the rows of every copy. Returns how many copies there are. */
static size_t find_copies(struct bp_importer *im, const struct bp_stream *s, double grid, struct seen *seen,
                          bool *copied)
{
    struct run run = {0, 0, 0};
    size_t copies = 0;
    for (size_t i = 0; i <= s->count; i++) {
        size_t lag = i < s->count ? i - see(seen, s, i) : 0;
        if (lag == run.lag && lag > 0) {
            continue;
        }
        run.end = i;
        if (is_copy(s, &run, grid)) {
            for (size_t k = run.first; k < run.end; k++) {
                copied[k] = true;
            }
            if (++copies <= NAMED_MOST) {
                report(im, s, &run);
            }
        }
        run = (struct run){i, i, lag};
    }
    return copies;
}

enum bp_code bp_import_drop_copies(struct bp_importer *im, struct bp_stream *s, double grid)
{
    size_t size = 1, kept = 0;
    while (size < TABLE_SHARE * s->count) {
        size *= 2;
    }
    struct seen seen = {bp_arena_zero(&im->scratch, size, sizeof *seen.row), size - 1};
    bool *copied = bp_arena_zero(&im->scratch, s->count, sizeof *copied);
    if (seen.row == NULL || copied == NULL) {
        return bp_import_no_memory(im);
    }
    size_t copies = find_copies(im, s, grid, &seen, copied);
    for (size_t i = 0; copies > 0 && i < s->count; i++) {
        if (!copied[i]) {
            keep(s, i, kept);
            s->marks[kept++] |= i > 0 && copied[i - 1] ? BP_MARK_SPOILT : 0;
        }
    }
    s->count = copies > 0 ? kept : s->count;
    if (copies > NAMED_MOST) {
        bp_findings_add(im->findings, "block-repeated", BP_RESERVATION, (double)NAN,
                        "%zu more such stretches were left out", copies - NAMED_MOST);
    }
    return BP_OK;
}
