/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cells that hold no number: interpolated where they stand alone, refused where they do not.
 */
#include "import/stream.h"

#include <math.h>

enum {
    RUN_MAX = 3, /* bad samples in a row: at 100 Hz a straight line over 40 ms still follows a lift */
    PERCENT_MAX = 1,
    NAMED_MAX = 4 /* bad cells with a finding of their own */
};

enum bp_code bp_import_judge_bad(struct bp_importer *im, const struct bp_table *table)
{
    size_t count = table->bad_count;
    if (count == 0) {
        return BP_OK;
    }
    const struct bp_bad_cell *first = &table->bad[0];
    if (count * 100 > table->rows * PERCENT_MAX && count > 1) {
        return bp_import_fail(im, BP_ERR_NUMBER, first->line, first->column,
                              "'%s' is no number, and %zu more cells of %zu rows are none", first->text,
                              count - 1, table->rows);
    }
    for (size_t i = 0; i < count && i < NAMED_MAX; i++) {
        const struct bp_bad_cell *bad = &table->bad[i];
        bp_findings_add(im->findings, "mended", BP_RESERVATION, bad->at_s,
                        "'%s' in line %zu, column %zu is no number; the value was interpolated", bad->text,
                        bad->line, bad->column);
    }
    if (count > NAMED_MAX) {
        bp_findings_add(im->findings, "mended", BP_RESERVATION, (double)NAN,
                        "%zu more cells are no numbers; their values were interpolated", count - NAMED_MAX);
    }
    return BP_OK;
}

static bool incomplete(const struct bp_stream *s, size_t i)
{
    for (size_t a = 0; a < s->width; a++) {
        if (isnan(s->value[a][i])) {
            return true;
        }
    }
    return false;
}

/* Rows with a hole at either end have no neighbour to be mended from. */
static void cut_ends(struct bp_importer *im, struct bp_stream *s)
{
    size_t first = 0, end = s->count;
    while (first < end && first < RUN_MAX && incomplete(s, first)) {
        first++;
    }
    while (end > first && s->count - end < RUN_MAX && incomplete(s, end - 1)) {
        end--;
    }
    if (first > 0 || end < s->count) {
        bp_findings_add(im->findings, "ends-cut", BP_NOTE, (double)NAN,
                        "%zu incomplete rows at the ends were left out", first + s->count - end);
    }
    s->time += first;
    s->marks += first;
    for (size_t a = 0; a < s->width; a++) {
        s->value[a] += first;
    }
    s->count = end - first;
}

static enum bp_code refuse_run(struct bp_importer *im, const struct bp_stream *s, size_t i,
                               const struct bp_table *table)
{
    for (size_t k = 0; table != NULL && k < table->bad_count && k < BP_BAD_CELLS_KEPT; k++) {
        const struct bp_bad_cell *bad = &table->bad[k];
        if (bad->at_s >= s->time[i] - 1e-9) {
            return bp_import_fail(im, BP_ERR_NUMBER, bad->line, bad->column,
                                  "'%s' is no number, nor are those below it: more than %d in a row",
                                  bad->text, RUN_MAX);
        }
    }
    enum bp_code code = bp_import_fail(im, BP_ERR_NUMBER, 0, 0,
                                       "a column holds no number for more than %d samples in a row", RUN_MAX);
    bp_error_place(im->error, im->name, 0, 0, s->time[i]);
    return code;
}

static enum bp_code mend_axis(struct bp_importer *im, struct bp_stream *s, double *v,
                              const struct bp_table *table, size_t *mended)
{
    for (size_t i = 0; i < s->count; i++) {
        if (!isnan(v[i])) {
            continue;
        }
        size_t next = i;
        while (next < s->count && isnan(v[next])) {
            next++;
        }
        if (next - i > RUN_MAX || i == 0 || next == s->count) {
            return refuse_run(im, s, i, table);
        }
        double before = v[i - 1], t0 = s->time[i - 1];
        double slope = (v[next] - before) / (s->time[next] - t0);
        *mended += next - i;
        for (; i < next; i++) {
            v[i] = before + slope * (s->time[i] - t0);
            s->marks[i] |= BP_MARK_MENDED;
        }
    }
    return BP_OK;
}

enum bp_code bp_import_mend(struct bp_importer *im, struct bp_stream *stream, const struct bp_table *table)
{
    size_t mended = 0;
    if (!stream->complete) {
        cut_ends(im, stream);
    }
    if (stream->count < 2) {
        return bp_import_fail(im, BP_ERR_EMPTY, 0, 0, "fewer than two complete samples are in the log");
    }
    for (size_t a = 0; !stream->complete && a < stream->width; a++) {
        enum bp_code code = mend_axis(im, stream, stream->value[a], table, &mended);
        if (code != BP_OK) {
            return code;
        }
    }
    if (mended > 0 && (table == NULL || table->bad_count == 0)) {
        bp_findings_add(im->findings, "mended", BP_RESERVATION, (double)NAN,
                        "%zu cells are empty; their values were interpolated", mended);
    }
    return BP_OK;
}

void bp_import_resample(const struct bp_stream *from, const double *to, size_t count, double shift_s,
                        double *const out[3])
{
    size_t k = 0, last = from->count - 1;
    for (size_t i = 0; i < count; i++) {
        double t = to[i] + shift_s;
        while (k < last && from->time[k + 1] <= t) {
            k++;
        }
        double part = 0.0;
        if (k < last && t > from->time[k]) {
            part = (t - from->time[k]) / (from->time[k + 1] - from->time[k]);
        }
        size_t next = k < last ? k + 1 : k;
        for (int a = 0; a < 3; a++) {
            double v = from->value[a][k];
            out[a][i] = part == 0.0 ? v : v + part * (from->value[a][next] - v);
        }
    }
}

struct bp_line_error bp_import_line_error(const struct bp_stream *from)
{
    struct bp_line_error error = {0.0, 0.0};
    for (int a = 0; a < 3; a++) {
        double squares = 0.0;
        size_t n = 0;
        for (size_t i = 1; i + 1 < from->count; i++) {
            const double *t = from->time + i, *v = from->value[a] + i;
            double before = t[0] - t[-1], behind = t[1] - t[0];
            if (before > BP_GAP_STEPS * behind || behind > BP_GAP_STEPS * before) {
                continue;
            }
            /* f''/2 * before * behind; half-way between two samples a line is off by f''/8 * step^2 */
            double off = 0.25 * (v[0] - (v[-1] * behind + v[1] * before) / (before + behind));
            squares += off * off;
            error.most = fmax(error.most, fabs(off));
            n++;
        }
        error.usual = fmax(error.usual, n > 0 ? sqrt(squares / (double)n) : 0.0);
    }
    return error;
}
