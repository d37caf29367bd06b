/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Table to streams. In most logs every row holds every sensor; in sparse ones each sensor, or even each
 * axis, has rows of its own and the rest of the row is empty.
 */
#include "import/stream.h"

#include <math.h>

enum { PARTIAL_PERCENT = 1 /* rows with an axis missing, past which the axes have rows of their own */ };

static bool filled(const struct bp_table *t, enum bp_role role, size_t row, bool all)
{
    int n = 0;
    for (int a = 0; a < 3; a++) {
        n += !isnan(t->column[(int)role + a][row]);
    }
    return all ? n == 3 : n > 0;
}

static bool present(const struct bp_table *t, enum bp_role role)
{
    return t->column[role] != NULL;
}

static size_t empties(const struct bp_table *t, enum bp_role role)
{
    return t->empty[role] + t->empty[(int)role + 1] + t->empty[(int)role + 2];
}

static bool take_marks(struct bp_importer *im, struct bp_stream *s)
{
    s->marks = bp_arena_zero(im->arena, s->count, 1);
    return s->marks != NULL;
}

/* The columns as they are, no row left out. */
static enum bp_code whole_stream(struct bp_importer *im, struct bp_table *t, const enum bp_role *roles,
                                 size_t groups, struct bp_stream *s)
{
    *s = (struct bp_stream){.count = t->rows, .width = 3 * groups, .time = t->column[BP_ROLE_TIME]};
    s->ordered = t->ordered;
    s->complete = t->bad_count == 0 && !present(t, BP_ROLE_GRAVITY);
    for (size_t g = 0; g < groups; g++) {
        s->complete = s->complete && empties(t, roles[g]) == 0;
        for (size_t a = 0; a < 3; a++) {
            s->value[3 * g + a] = t->column[(size_t)roles[g] + a];
        }
    }
    return take_marks(im, s) ? BP_OK : bp_import_no_memory(im);
}

/* The rows in which any of the groups' cells is filled. The columns are packed in place; the time, which
 * other streams need too, is copied. */
static enum bp_code packed_stream(struct bp_importer *im, struct bp_table *t, const enum bp_role *roles,
                                  size_t groups, struct bp_stream *s)
{
    enum bp_code code = whole_stream(im, t, roles, groups, s);
    double *time = bp_arena_doubles(im->arena, t->rows);
    size_t kept = 0;
    if (code != BP_OK || time == NULL) {
        return bp_import_no_memory(im);
    }
    for (size_t i = 0; i < t->rows; i++) {
        bool any = false;
        for (size_t a = 0; a < s->width; a++) {
            any = any || !isnan(s->value[a][i]);
        }
        if (any) {
            time[kept] = s->time[i];
            for (size_t a = 0; a < s->width; a++) {
                s->value[a][kept] = s->value[a][i];
            }
            kept++;
        }
    }
    s->time = time;
    s->count = kept;
    return BP_OK;
}

static size_t partial_rows(const struct bp_stream *s)
{
    size_t n = 0;
    for (size_t i = 0; i < s->count; i++) {
        n += isnan(s->value[0][i]) || isnan(s->value[1][i]) || isnan(s->value[2][i]);
    }
    return n;
}

/* One axis as a stream of its own (in value[0]). */
static enum bp_code axis_stream(struct bp_importer *im, const struct bp_stream *s, int axis,
                                struct bp_stream *out)
{
    double *time = bp_arena_doubles(&im->scratch, s->count);
    double *value = bp_arena_doubles(&im->scratch, s->count);
    size_t n = 0;
    if (time == NULL || value == NULL) {
        return bp_import_no_memory(im);
    }
    for (size_t i = 0; i < s->count; i++) {
        double v = s->value[axis][i];
        if (!isnan(v) && (n == 0 || s->time[i] > time[n - 1])) {
            time[n] = s->time[i];
            value[n++] = v;
        }
    }
    *out = (struct bp_stream){.count = n, .width = 3, .time = time, .value = {value, value, value}};
    return BP_OK;
}

/* Each axis has its rows: all three are put on the clock of the axis that has most, where all overlap. */
static enum bp_code join_axes(struct bp_importer *im, struct bp_stream *s)
{
    struct bp_stream axes[3];
    double from = -(double)INFINITY, to = (double)INFINITY;
    int most = 0;
    for (int a = 0; a < 3; a++) {
        enum bp_code code = axis_stream(im, s, a, &axes[a]);
        if (code != BP_OK) {
            return code;
        }
        if (axes[a].count < 2) {
            return bp_import_fail(im, BP_ERR_EMPTY, 0, 0, "one axis has fewer than two samples");
        }
        from = fmax(from, axes[a].time[0]);
        to = fmin(to, axes[a].time[axes[a].count - 1]);
        most = axes[a].count > axes[most].count ? a : most;
    }
    size_t n = 0;
    for (size_t i = 0; i < axes[most].count; i++) {
        if (axes[most].time[i] >= from && axes[most].time[i] <= to) {
            s->time[n++] = axes[most].time[i];
        }
    }
    double *spare = bp_arena_doubles(&im->scratch, n);
    if (spare == NULL) {
        return bp_import_no_memory(im);
    }
    for (int a = 0; a < 3; a++) {
        double *const out[3] = {s->value[a], spare, spare};
        bp_import_resample(&axes[a], s->time, n, 0.0, out);
    }
    s->count = n;
    bp_findings_add(im->findings, "sparse", BP_NOTE, (double)NAN,
                    "the axes stand in rows of their own; they were put on one clock of %zu samples", n);
    return BP_OK;
}

/* One sensor's stream. */
static enum bp_code sensor_stream(struct bp_importer *im, struct bp_table *t, enum bp_role role,
                                  struct bp_stream *s)
{
    if (empties(t, role) == 0) {
        return whole_stream(im, t, &role, 1, s);
    }
    enum bp_code code = packed_stream(im, t, &role, 1, s);
    if (code == BP_OK && partial_rows(s) * 100 > s->count * PARTIAL_PERCENT) {
        code = join_axes(im, s);
    }
    return code;
}

/* True when acceleration and gyroscope are in the same rows throughout, complete but for isolated cells. */
static bool share_rows(const struct bp_table *t)
{
    size_t partial = 0;
    if (empties(t, BP_ROLE_FORCE) == 0 && empties(t, BP_ROLE_TURN) == 0) {
        return true;
    }
    for (size_t i = 0; i < t->rows; i++) {
        bool force = filled(t, BP_ROLE_FORCE, i, false), turn = filled(t, BP_ROLE_TURN, i, false);
        if (force != turn) {
            return false;
        }
        partial += force && !(filled(t, BP_ROLE_FORCE, i, true) && filled(t, BP_ROLE_TURN, i, true));
    }
    return partial * 100 <= t->rows * PARTIAL_PERCENT;
}

enum bp_code bp_import_split_table(struct bp_importer *im, struct bp_table *table, struct bp_part *part)
{
    static const enum bp_role both[] = {BP_ROLE_FORCE, BP_ROLE_TURN};
    bool force = present(table, BP_ROLE_FORCE), turn = present(table, BP_ROLE_TURN);
    enum bp_code code = BP_OK;
    if (force && turn && share_rows(table)) {
        bool sparse = empties(table, BP_ROLE_FORCE) + empties(table, BP_ROLE_TURN) > 0;
        return sparse ? packed_stream(im, table, both, 2, &part->force)
                      : whole_stream(im, table, both, 2, &part->force);
    }
    /* At least one is sparse here, and takes a copy of the times. */
    if (force) {
        code = sensor_stream(im, table, BP_ROLE_FORCE, &part->force);
    }
    if (code == BP_OK && turn) {
        code = sensor_stream(im, table, BP_ROLE_TURN, &part->turn);
    }
    return code;
}
