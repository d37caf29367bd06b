/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A table as a part: times settled, streams split, cells mended, units settled.
 */
#include "import/stream.h"

#include <math.h>

/* Gravity's empty cells (it has rows of its own in a sparse log) lie on straight lines. */
static void fill_holes(const double *time, double *v, size_t rows)
{
    size_t before = rows;
    for (size_t i = 0; i < rows; i++) {
        if (isnan(v[i])) {
            continue;
        }
        size_t first = before == rows ? 0 : before + 1;
        for (size_t k = first; k < i; k++) {
            double part = before == rows ? 1.0 : (time[k] - time[before]) / (time[i] - time[before]);
            v[k] = before == rows || !(time[i] > time[before]) ? v[i] : v[before] + part * (v[i] - v[before]);
        }
        before = i;
    }
    for (size_t k = before + 1; before < rows && k < rows; k++) {
        v[k] = v[before];
    }
}

double bp_import_sign_beside_gravity(const struct bp_importer *im, struct bp_part *part)
{
    int given = bp_import_sign_given(im->settings);
    part->sign_assumed = given == 0;
    return given < 0 ? -1 : 1;
}

/* Linear acceleration + gravity, both made SI, in the acceleration's columns. */
static enum bp_code add_gravity(struct bp_importer *im, struct bp_table *t, struct bp_part *part)
{
    double *g[3], *f[3], *lengths = bp_arena_doubles(&im->scratch, BP_LENGTHS_MAX + 1);
    if (lengths == NULL) {
        return bp_import_no_memory(im);
    }
    for (int a = 0; a < 3; a++) {
        g[a] = t->column[BP_ROLE_GRAVITY + a];
        f[a] = t->column[BP_ROLE_FORCE + a];
        fill_holes(t->column[BP_ROLE_TIME], g[a], t->rows);
    }
    struct bp_stream s = {.count = t->rows, .width = 3, .value = {g[0], g[1], g[2]}};
    size_t n = bp_import_lengths(&s, lengths);
    const struct bp_unit *unit = t->layout.gravity_unit;
    unit = unit == NULL && n > 0 ? bp_import_gravity_unit(bp_import_median(lengths, n)) : unit;
    if (unit == NULL) {
        return bp_import_fail(im, BP_ERR_UNITS, 0, (size_t)t->layout.column[BP_ROLE_GRAVITY] + 1,
                              "the unit of the gravity columns is not stated, and their length fits none");
    }
    double factor = t->layout.force_unit != NULL ? t->layout.force_unit->factor : unit->factor;
    factor *= bp_import_sign_beside_gravity(im, part);
    for (int a = 0; a < 3; a++) {
        for (size_t i = 0; i < t->rows; i++) {
            f[a][i] = f[a][i] * factor + g[a][i] * unit->factor;
        }
    }
    t->layout.force_unit = bp_import_unit_at(BP_KIND_FORCE, 0);
    t->layout.linear = false;
    bp_findings_add(im->findings, "gravity-added", BP_NOTE, (double)NAN,
                    "acceleration without gravity and gravity beside it were added up");
    return BP_OK;
}

static enum bp_code settle_stream(struct bp_importer *im, struct bp_stream *s, const struct bp_table *table)
{
    if (s->width == 0) {
        return BP_OK;
    }
    if (!s->ordered) {
        bp_import_undo_set_back(im, s);
    }
    enum bp_code code = s->ordered ? BP_OK : bp_import_sort(im, s, table);
    if (code == BP_OK && !s->ordered) {
        code = bp_import_spread(im, s);
    }
    return code == BP_OK ? bp_import_mend(im, s, table) : code;
}

/* A recording cut off in the middle of its last cell: that row is left out. */
static void drop_cut_row(struct bp_importer *im, struct bp_table *t)
{
    size_t line = t->short_line;
    const struct bp_bad_cell *last = NULL;
    if (t->bad_count > 0 && t->bad_count <= BP_BAD_CELLS_KEPT) {
        last = &t->bad[t->bad_count - 1];
    }
    if (last != NULL && last->row + 1 == t->rows && t->rows > 2) {
        line = last->line;
        while (t->bad_count > 0 && t->bad[t->bad_count - 1].row + 1 == t->rows) {
            t->bad_count--;
        }
        t->rows--;
    }
    if (line > 0) {
        bp_findings_add(im->findings, "truncated", BP_NOTE, (double)NAN,
                        "the last row, line %zu, is cut off and was left out", line);
    }
}

/* Lines of words among the rows: an event's mark, a summary at the end. Too many are no log. */
static enum bp_code judge_asides(struct bp_importer *im, const struct bp_table *table)
{
    enum { ASIDES_FREE = 10, ROWS_EACH = 100 };
    if (table->asides > ASIDES_FREE + table->rows / ROWS_EACH) {
        return bp_import_fail(im, BP_ERR_COLUMNS, table->aside_line, 0,
                              "'%s' is no row of readings, and %zu more lines are none", table->aside,
                              table->asides - 1);
    }
    if (table->asides > 0) {
        bp_findings_add(
            im->findings, "asides", BP_NOTE, (double)NAN,
            "%zu lines with words instead of readings were passed over, the first is line %zu: %s",
            table->asides, table->aside_line, table->aside);
    }
    return BP_OK;
}

/* What was assumed, and what is in the file and was not read. */
static void note_layout(struct bp_importer *im, const struct bp_table *table)
{
    const struct bp_layout *l = &table->layout;
    if (l->unnamed) {
        bp_findings_add(im->findings, "no-header", BP_RESERVATION, (double)NAN,
                        "there is no header; the columns are taken as x, y, z in this order");
    }
    if (l->time_steps) {
        bp_findings_add(im->findings, "time-summed", BP_NOTE, (double)NAN,
                        "the log tells the time since the row before: times are the sum of the steps");
    }
    if (l->time_assumed) {
        bp_findings_add(im->findings, "time-assumed", BP_RESERVATION, (double)NAN,
                        "no heading says which column is the time; column %d runs on like one",
                        l->column[BP_ROLE_TIME] + 1);
    }
    if (l->selector.column >= 0) {
        bp_findings_add(im->findings, "rows-chosen", BP_NOTE, (double)NAN,
                        "column %d says whose row it is; %zu rows of other sensors were passed over",
                        l->selector.column + 1, table->passed_over);
    }
    if (l->turn_clock >= 0) {
        bp_findings_add(
            im->findings, "gyro-ignored", BP_RESERVATION, (double)NAN,
            "the gyroscope's times, in column %d, are not the acceleration's; it was not read: with a "
            "file for each of the two it would be",
            l->turn_clock + 1);
    }
    if (l->second_force >= 0) {
        bp_findings_add(
            im->findings, "second-acceleration", BP_RESERVATION, (double)NAN,
            "there are two accelerations; that from column %d on was read, that from column %d on "
            "was not: name the columns with --columns if that one is the bar's",
            l->column[BP_ROLE_FORCE] + 1, l->second_force + 1);
    }
    if (l->part_of_gyroscope >= 0) {
        bp_findings_add(im->findings, "gyro-ignored", BP_RESERVATION, (double)NAN,
                        "column %d is of a gyroscope, but there are no three axes of one; it was not read",
                        l->part_of_gyroscope + 1);
    }
    if (l->attitude >= 0 && l->form == BP_FORM_NONE) {
        bp_import_ignore_attitude(im, l->selector.column >= 0 ? "its rows share their columns with others"
                                                              : "not all parts of it were recognised");
    }
}

enum bp_code bp_import_make_part(struct bp_importer *im, struct bp_table *table, struct bp_part *part)
{
    struct bp_times times;
    *part = (struct bp_part){.zero_epoch_s = (double)NAN, .zero_elapsed_s = (double)NAN};
    drop_cut_row(im, table);
    enum bp_code code = judge_asides(im, table);
    if (code == BP_OK) {
        code = bp_import_settle_time(im, table, &times);
    }
    if (code == BP_OK) {
        code = bp_import_judge_bad(im, table);
    }
    if (code == BP_OK && table->column[BP_ROLE_GRAVITY] != NULL && table->column[BP_ROLE_FORCE] != NULL) {
        code = add_gravity(im, table, part);
    }
    if (code == BP_OK) {
        code = bp_import_take_attitude(im, table, &part->attitude);
    }
    if (code == BP_OK) {
        code = bp_import_split_table(im, table, part);
    }
    if (code == BP_OK) {
        code = settle_stream(im, &part->force, table);
    }
    if (code == BP_OK) {
        code = settle_stream(im, &part->turn, table);
    }
    if (code != BP_OK) {
        return code;
    }
    part->time_unit = times.unit;
    part->turn_unit = table->layout.turn_unit;
    part->zero_epoch_s = table->epoch_first_s;
    part->epoch_zoned = table->layout.epoch < 0 || table->layout.epoch_zoned;
    part->zero_elapsed_s = times.zero;
    note_layout(im, table);
    return part->force.width > 0
               ? bp_import_settle_force(im, part, table->layout.force_unit, table->layout.linear)
               : BP_OK;
}
