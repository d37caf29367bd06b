/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Rows in the order of their times, and times that are told apart.
 */
#include "import/stream.h"

#include <math.h>
#include <string.h>

/* A row this much earlier than the one before it is no late sample but another recording. */
#define BACK_MOST_S 2.0
enum {
    COARSE_SHARE = 5,   /* one row in so many repeats the time before it: the clock is coarse */
    BACK_SHARE = 20,    /* at most one row in so many may be out of order */
    MOVES_A_ROW = 64,   /* work allowed for sorting: late samples come a few rows late */
    TWICE_PERCENT = 90, /* of repeated times that are repeated rows: then the log was written twice */
};
/* Rows of one time standing for more than this are too coarse a clock to be spread. */
#define SPREAD_MOST_S 2.5
#define GAP_TICKS 2.5 /* as between samples */

double bp_import_median(double *values, size_t count)
{
    return count > 0 ? bp_import_ranked(values, count, count / 2) : 0.0;
}

double bp_import_ranked(double *values, size_t count, size_t rank)
{
    /* Wirth's form of Hoare's FIND (Algorithms + Data Structures = Programs, 1976). */
    ptrdiff_t low = 0, high = (ptrdiff_t)count - 1, k = (ptrdiff_t)rank;
    while (low < high) {
        double pivot = values[k];
        ptrdiff_t i = low, j = high;
        do {
            while (values[i] < pivot) {
                i++;
            }
            while (values[j] > pivot) {
                j--;
            }
            if (i <= j) {
                double held = values[i];
                values[i++] = values[j];
                values[j--] = held;
            }
        } while (i <= j);
        low = j < k ? i : low;
        high = i > k ? j : high;
    }
    return values[k];
}

static void reverse(double *values, size_t count)
{
    for (size_t i = 0, j = count; i + 1 < j; i++) {
        j--;
        double held = values[i];
        values[i] = values[j];
        values[j] = held;
    }
}

/* Moves values[from] to values[to], to < from. */
static void move_back(double *values, size_t from, size_t to)
{
    double held = values[from];
    memmove(values + to + 1, values + to, (from - to) * sizeof *values);
    values[to] = held;
}

/* Stable: equal times stay as they were written. False when it would be too much work. */
static bool insert_late(struct bp_stream *s)
{
    size_t moves = 0;
    for (size_t i = 1; i < s->count; i++) {
        if (s->time[i] >= s->time[i - 1]) {
            continue;
        }
        size_t to = i;
        while (to > 0 && s->time[to - 1] > s->time[i]) {
            to--;
        }
        moves += i - to;
        if (moves > MOVES_A_ROW * s->count) {
            return false;
        }
        for (size_t c = 0; c < s->width; c++) {
            move_back(s->value[c], i, to);
        }
        move_back(s->time, i, to);
    }
    return true;
}

struct disorder {
    size_t back, forward, worst;
    double most; /* s back at row worst */
};

static struct disorder measure(const double *time, size_t rows)
{
    struct disorder d = {0};
    for (size_t i = 1; i < rows; i++) {
        double step = time[i] - time[i - 1];
        d.back += step < 0.0;
        d.forward += step > 0.0;
        if (-step > d.most) {
            d.most = -step;
            d.worst = i;
        }
    }
    return d;
}

bool bp_import_turn_round(struct bp_importer *im, double *time, double **columns, size_t width, size_t rows)
{
    struct disorder d = measure(time, rows);
    if (d.back <= 9 * d.forward) {
        return d.forward + 1 == rows;
    }
    reverse(time, rows);
    for (size_t c = 0; c < width; c++) {
        reverse(columns[c], rows);
    }
    bp_findings_add(im->findings, "time-reversed", BP_NOTE, (double)NAN,
                    "the rows run from last to first; they were turned round");
    return false;
}

enum bp_code bp_import_sort(struct bp_importer *im, struct bp_stream *stream, const struct bp_table *table)
{
    struct disorder d = measure(stream->time, stream->count);
    if (d.back == 0) {
        return BP_OK;
    }
    bool whole = table != NULL && stream->count == table->rows;
    size_t line = whole ? bp_import_row_line(table, d.worst) : 0;
    if (d.most > BACK_MOST_S) {
        char number[BP_NUMBER_TEXT];
        return bp_import_fail(im, BP_ERR_TIME, line, 0,
                              "time runs back by %s s: more than one recording in the log?",
                              bp_import_number(d.most, number));
    }
    if (d.back > stream->count / BACK_SHARE + 1) {
        return bp_import_fail(im, BP_ERR_TIME, line, 0, "time runs back in %zu of %zu rows", d.back,
                              stream->count);
    }
    double at = stream->time[d.worst];
    if (!insert_late(stream)) {
        return bp_import_fail(im, BP_ERR_TIME, line, 0, "the rows are too far out of time order");
    }
    bp_findings_add(im->findings, "time-order", BP_RESERVATION, at,
                    "%zu rows were out of time order; they were sorted", d.back);
    return BP_OK;
}

/* ---- repeated times ---- */

static bool same_row(const struct bp_stream *s, size_t i)
{
    for (size_t a = 0; a < s->width; a++) {
        if (!(s->value[a][i] == s->value[a][i - 1])) {
            return false;
        }
    }
    return true;
}

static void drop_twice(struct bp_stream *s)
{
    size_t kept = 1;
    for (size_t i = 1; i < s->count; i++) {
        if (s->time[i] == s->time[kept - 1] && same_row(s, i)) {
            continue;
        }
        s->time[kept] = s->time[i];
        for (size_t a = 0; a < s->width; a++) {
            s->value[a][kept] = s->value[a][i];
        }
        kept++;
    }
    s->count = kept;
}

/* Where the runs of equal times begin: row and time, and the row behind the last. */
struct runs {
    size_t *first;
    double *time;
    size_t count;
    double tick; /* usual time from one to the next */
    bool coarse; /* repeated times are the rule; else all other times are as true as any */
};

static bool find_runs(struct bp_importer *im, const struct bp_stream *s, size_t count, struct runs *r)
{
    double *ticks = bp_arena_doubles(&im->scratch, count);
    r->first = bp_arena_take(&im->scratch, count + 1, sizeof *r->first);
    r->time = bp_arena_doubles(&im->scratch, count);
    r->count = 0;
    if (ticks == NULL || r->first == NULL || r->time == NULL) {
        return false;
    }
    for (size_t i = 0; i < s->count; i++) {
        if (i == 0 || s->time[i] != s->time[i - 1]) {
            r->first[r->count] = i;
            r->time[r->count++] = s->time[i];
        }
    }
    r->first[r->count] = s->count;
    for (size_t k = 1; k < r->count; k++) {
        ticks[k - 1] = r->time[k] - r->time[k - 1];
    }
    r->tick = bp_import_median(ticks, r->count - 1);
    return true;
}

/* Runs [from, to) are samples at an even rate, no gap between them. The first sample of a run is the one the
 * clock's tick came just before: a straight line through those (but the stretch's first, cut by its start)
 * gives the rate. Where the line strays from them by more than a sample, the samples of each run are spread
 * evenly up to the next instead. */
static void spread_stretch(struct bp_stream *s, const struct runs *r, size_t from, size_t to)
{
    size_t begin = r->first[from], end = r->first[to], known = to - from > 2 ? from + 1 : from;
    double n = (double)(to - known), mean_i = 0.0, mean_t = 0.0, ii = 0.0, it = 0.0, worst = 0.0;
    for (size_t k = known; k < to; k++) {
        mean_i += (double)(r->first[k] - begin) / n;
        mean_t += (r->time[k] - r->time[from]) / n;
    }
    for (size_t k = known; k < to; k++) {
        double i = (double)(r->first[k] - begin) - mean_i;
        ii += i * i;
        it += i * (r->time[k] - r->time[from] - mean_t);
    }
    double period = ii > 0.0 ? it / ii : r->tick / (double)(end - begin);
    for (size_t k = known; k < to; k++) {
        double i = (double)(r->first[k] - begin) - mean_i;
        worst = fmax(worst, fabs(r->time[k] - r->time[from] - mean_t - i * period));
    }
    double start = r->time[from] + mean_t - mean_i * period;
    if (r->coarse && worst <= 1.01 * period) {
        for (size_t i = begin; i < end; i++) {
            s->time[i] = start + (double)(i - begin) * period;
        }
        return;
    }
    for (size_t k = from; k < to; k++) {
        double samples = (double)(r->first[k + 1] - r->first[k]);
        double step = k + 1 < to ? (r->time[k + 1] - r->time[k]) / samples : fmin(period, r->tick / samples);
        for (size_t i = r->first[k]; i < r->first[k + 1]; i++) {
            s->time[i] = r->time[k] + (double)(i - r->first[k]) * step;
        }
    }
}

static void spread_runs(struct bp_stream *s, const struct runs *r)
{
    for (size_t from = 0, to; from < r->count; from = to) {
        to = from + 1;
        while (to < r->count && r->time[to] - r->time[to - 1] <= GAP_TICKS * r->tick) {
            to++;
        }
        spread_stretch(s, r, from, to);
    }
}

/* A stretch may start a little before its first tick or end a little behind its last: where that would reach
 * into the stretch beside it, or where times still repeat, the log cannot be used. */
static bool increases(const struct bp_stream *s)
{
    for (size_t i = 1; i < s->count; i++) {
        if (!(s->time[i] > s->time[i - 1])) {
            return false;
        }
    }
    return true;
}

enum bp_code bp_import_spread(struct bp_importer *im, struct bp_stream *stream)
{
    size_t repeated = 0, twice = 0;
    for (size_t i = 1; i < stream->count; i++) {
        if (stream->time[i] == stream->time[i - 1]) {
            repeated++;
            twice += same_row(stream, i);
        }
    }
    if (repeated == 0) {
        return BP_OK;
    }
    if (twice * 100 >= repeated * TWICE_PERCENT && repeated * 2 <= stream->count) {
        drop_twice(stream);
        bp_findings_add(im->findings, "rows-repeated", BP_NOTE, (double)NAN,
                        "%zu rows are written twice; each was taken once", twice);
        return twice == repeated ? BP_OK : bp_import_spread(im, stream);
    }
    size_t runs = stream->count - repeated;
    if (runs < 2) {
        return bp_import_fail(im, BP_ERR_TIME, 0, 0, "every row has the same time");
    }
    struct runs r;
    char coarse[BP_NUMBER_TEXT];
    if (!find_runs(im, stream, runs, &r)) {
        return bp_import_no_memory(im);
    }
    r.coarse = repeated >= stream->count / COARSE_SHARE;
    if (r.tick > SPREAD_MOST_S) {
        return bp_import_fail(im, BP_ERR_TIME, 0, 0, "the clock only shows steps of %s s, too coarse to use",
                              bp_import_number(r.tick, coarse));
    }
    spread_runs(stream, &r);
    if (!increases(stream)) {
        return bp_import_fail(im, BP_ERR_TIME, 0, 0,
                              "%zu rows repeat the time before them, too unevenly to mend", repeated);
    }
    bp_findings_add(im->findings, "time-repeated", BP_RESERVATION, (double)NAN,
                    "%zu rows repeat the time before them (the clock shows steps of %s s); they were spread "
                    "evenly",
                    repeated, bp_import_number(r.tick, coarse));
    return BP_OK;
}
