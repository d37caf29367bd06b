/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/columns.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

static bool same_group(const struct bp_group *g, const struct bp_heading *h)
{
    return g->kind == h->kind && g->unit == h->unit && g->linear == h->linear && g->named == (h->axis >= 0) &&
           strcmp(g->stem, h->stem) == 0;
}

static bool wants_axis(const struct bp_heading *h)
{
    return h->kind != BP_KIND_TIME && h->kind != BP_KIND_OTHER &&
           (h->axis >= 0 || h->numbered || h->kind == BP_KIND_FORCE || h->kind == BP_KIND_TURN ||
            h->kind == BP_KIND_GRAVITY);
}

/* The place for a column in a group that is still open: its axis, or, where headings name no axis (three
 * columns of one name), the next. -1: none. */
static int open_place(const struct bp_group *g, const struct bp_heading *h)
{
    if (h->axis >= 0) {
        return g->column[h->axis] < 0 ? h->axis : -1;
    }
    for (int i = 0; i < 3; i++) {
        if (g->column[i] < 0) {
            return i;
        }
    }
    return -1;
}

static void put_column(struct bp_group *groups, size_t *count, const struct bp_heading *h, int column)
{
    for (size_t i = 0; i < *count; i++) {
        int place = same_group(&groups[i], h) ? open_place(&groups[i], h) : -1;
        if (place >= 0) {
            groups[i].column[place] = column;
            return;
        }
    }
    struct bp_group *g = &groups[(*count)++];
    *g =
        (struct bp_group){h->kind, h->unit, h->linear, h->axis >= 0, h->demerits, h->stem, {-1, -1, -1}, 0.0};
    g->column[h->axis >= 0 ? h->axis : 0] = column;
}

/* Each axis on its own, because a sparse log has the three in different rows. */
static double sample_length(const struct bp_group *g, const struct bp_sample *s)
{
    double sum = 0.0;
    for (int a = 0; a < 3; a++) {
        double squares = 0.0;
        size_t n = 0;
        for (size_t r = 0; r < s->rows; r++) {
            double v = s->value[r * s->columns + (size_t)g->column[a]];
            if (isfinite(v)) {
                squares += v * v;
                n++;
            }
        }
        sum += n > 0 ? squares / (double)n : 0.0;
    }
    return sqrt(sum);
}

size_t bp_import_group(const struct bp_heading *headings, size_t columns, const struct bp_sample *sample,
                       struct bp_group *groups)
{
    size_t count = 0, complete = 0;
    for (size_t c = 0; c < columns; c++) {
        if (wants_axis(&headings[c])) {
            put_column(groups, &count, &headings[c], (int)c);
        }
    }
    for (size_t i = 0; i < count; i++) {
        struct bp_group g = groups[i];
        if (g.column[0] >= 0 && g.column[1] >= 0 && g.column[2] >= 0) {
            g.length = sample_length(&g, sample);
            groups[complete++] = g;
        }
    }
    return complete;
}

bool bp_import_holds_gravity(const struct bp_group *group)
{
    /* The first seconds of a log are mostly rest; a movement may add a third. */
    const double low = 0.65 * BP_STANDARD_GRAVITY, high = 1.5 * BP_STANDARD_GRAVITY;
    if (group->unit != NULL) {
        double length = group->length * group->unit->factor;
        return length > low && length < high;
    }
    const struct bp_unit *unit;
    for (size_t i = 0; (unit = bp_import_unit_at(BP_KIND_FORCE, i)) != NULL; i++) {
        double length = group->length * unit->factor;
        if (length > low && length < high) {
            return true;
        }
    }
    return false;
}
