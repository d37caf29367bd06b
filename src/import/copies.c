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
enum {
    ROWS_LEAST = 8,
    AXES = 3,
    NAMED_MOST = 3,
    MISSED_MOST = 64,
    PLACES_BITS = 12,
    PLACES = 1 << PLACES_BITS
};
static const double moves_steps = 20;
static const double copy_most_s = 5;

/* Where a row was last seen, 1-based, by its hash: a table that stays in the cache, in which one row may push
 * another out, and rows beyond 2^32 are not found again. More of the hash stands beside it, so that rows long
 * gone from the cache are compared only where they are alike. A run of rows that are seen again is followed
 * by comparing them, so that it is enough to find one of them. */
struct place {
    uint32_t row, hash;
};
struct seen {
    struct place at[PLACES];
};

/* By the upper bits of a sum of products with odd numbers (multiply-shift hashing, Dietzfelbinger et al.
 * 1997). */
static uint64_t hash_of(const struct bp_stream *s, size_t i)
{
    static const uint64_t odd[AXES] = {UINT64_C(0x9E3779B97F4A7C15), UINT64_C(0xC2B2AE3D27D4EB4F),
                                       UINT64_C(0x165667B19E3779F9)};
    uint64_t hash = 0;
    for (size_t a = 0; a < AXES; a++) {
        uint64_t bits;
        memcpy(&bits, &s->value[a][i], sizeof bits);
        hash += (bits ^ bits >> 32) * odd[a]; /* decimals of few digits differ in their upper bits alone */
    }
    return hash;
}

static bool same(const struct bp_stream *s, size_t i, size_t k)
{
    bool equal = true;
    for (size_t a = 0; a < s->width; a++) {
        equal = equal && s->value[a][i] == s->value[a][k];
    }
    return equal;
}

/* A row before i that is like it; i when none is known. */
static size_t see(struct seen *seen, const struct bp_stream *s, size_t i)
{
    uint64_t hash = hash_of(s, i);
    struct place *at = &seen->at[hash >> (64 - PLACES_BITS)], before = *at;
    *at = (struct place){(uint32_t)(i + 1), (uint32_t)(hash >> 16)};
    bool alike = before.row > 0 && before.hash == at->hash;
    return alike && same(s, before.row - 1, i) ? before.row - 1 : i;
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

/* All rows about i that are those lag before them; no further back than `from`, where the last run ended. */
static struct run run_about(const struct bp_stream *s, size_t i, size_t lag, size_t from)
{
    struct run run = {i, i + 1, lag};
    size_t least = i > MISSED_MOST ? i - MISSED_MOST : 0;
    least = least > from ? least : from;
    while (run.first > least && run.first > lag && same(s, run.first - 1, run.first - 1 - lag)) {
        run.first--;
    }
    while (run.end < s->count && same(s, run.end, run.end - lag)) {
        run.end++;
    }
    return run;
}

/* Marks in *copied, which is made when there is one, the rows of every copy. *copies: how many there are.
 * False when memory is out. */
static bool find_copies(struct bp_importer *im, const struct bp_stream *s, double grid, struct seen *seen,
                        bool **copied, size_t *copies)
{
    for (size_t i = 0, end = 0; i < s->count; i++) {
        size_t before = see(seen, s, i);
        if (before == i || i < end) {
            continue;
        }
        struct run run = run_about(s, i, i - before, end);
        end = run.end;
        if (!is_copy(s, &run, grid)) {
            continue;
        }
        *copied = *copied != NULL ? *copied : bp_arena_zero(&im->scratch, s->count, sizeof **copied);
        if (*copied == NULL) {
            return false;
        }
        memset(*copied + run.first, true, (run.end - run.first) * sizeof **copied);
        if (++*copies <= NAMED_MOST) {
            report(im, s, &run);
        }
    }
    return true;
}

enum bp_code bp_import_drop_copies(struct bp_importer *im, struct bp_stream *s, double grid)
{
    struct seen *seen = bp_arena_zero(&im->scratch, 1, sizeof *seen);
    bool *copied = NULL;
    size_t copies = 0, kept = 0;
    if (seen == NULL || !find_copies(im, s, grid, seen, &copied, &copies)) {
        return bp_import_no_memory(im);
    }
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
