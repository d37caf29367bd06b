/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/columns.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const role_keys[BP_ROLE_COUNT] = {"t",     "ax",    "ay", "az", "gravx",
                                                     "gravy", "gravz", "gx", "gy", "gz"}; /* attitude: none */

/* Everything one choice of columns looks at. */
struct chooser {
    struct bp_importer *im;
    const struct bp_dialect *dialect;
    const struct bp_heading *hint;
    struct bp_cell *cells; /* the header's */
    struct bp_heading *headings;
    size_t columns;
    bool header;
    struct bp_sample sample;
    struct bp_group *groups;
    size_t group_count;
};

/* ---- the header ---- */

/* A line of units below the header is read with it: "acc x" over "m/s2" is "acc x (m/s2)". */
static void read_heading(struct chooser *c, size_t i, const struct bp_cell *unit)
{
    bp_import_read_heading(c->cells[i].at, c->cells[i].count, &c->headings[i]);
    struct bp_heading *h = &c->headings[i];
    if (unit->count > 0 && h->unit == NULL) {
        h->unit = bp_import_unit_named(unit->at, unit->count, h->kind);
        if (h->kind == BP_KIND_NONE && h->unit != NULL) {
            h->kind = h->unit->kind;
        }
    }
}

static enum bp_code read_header(struct chooser *c)
{
    const struct bp_dialect *d = c->dialect;
    struct bp_cell *units = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *units);
    c->cells = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *c->cells);
    c->headings = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *c->headings);
    c->groups = bp_arena_take(&c->im->scratch, BP_GROUPS_MAX, sizeof *c->groups);
    if (units == NULL || c->cells == NULL || c->headings == NULL || c->groups == NULL) {
        return bp_import_no_memory(c->im);
    }
    c->header = d->header != NULL;
    c->columns = d->columns;
    if (!c->header) {
        return BP_OK;
    }
    size_t n = bp_import_split(d->header, d->header_count, d->separator, c->cells, BP_IMPORT_COLUMNS_MAX);
    if (n > bp_import_column_limit(c->im->settings)) {
        return bp_import_fail(c->im, BP_ERR_LIMIT, 0, 0, "more than %zu columns",
                              bp_import_column_limit(c->im->settings));
    }
    if (d->units != NULL) {
        bp_import_split(d->units, d->units_count, d->separator, units, BP_IMPORT_COLUMNS_MAX);
    }
    while (n > 0 && c->cells[n - 1].count == 0) {
        n--;
    }
    c->columns = n;
    for (size_t i = 0; i < n; i++) {
        read_heading(c, i, &units[i]);
    }
    return BP_OK;
}

/* Without a header the rows may end in a separator: columns with nothing in them are none. */
static void drop_empty_columns(struct chooser *c)
{
    while (!c->header && c->columns > 0) {
        for (size_t r = 0; r < c->sample.rows; r++) {
            if (!isnan(c->sample.value[r * c->sample.columns + c->columns - 1])) {
                return;
            }
        }
        c->columns--;
    }
}

/* The sample is taken again where fewer columns are left, so that its rows stay dense. */
static enum bp_code take_sample(struct chooser *c, const char *block, size_t count)
{
    size_t before = c->columns;
    if (!bp_import_sample(c->im, block, count, c->dialect, c->columns, &c->sample)) {
        return bp_import_no_memory(c->im);
    }
    drop_empty_columns(c);
    if (c->columns != before && c->columns > 0 &&
        !bp_import_sample(c->im, block, count, c->dialect, c->columns, &c->sample)) {
        return bp_import_no_memory(c->im);
    }
    return BP_OK;
}

/* ---- the choice ---- */

static bool same_text(const struct bp_cell *cell, const struct bp_choice *wanted)
{
    if (cell->count != wanted->count) {
        return false;
    }
    for (size_t i = 0; i < cell->count; i++) {
        char a = cell->at[i], b = wanted->at[i];
        a = a >= 'A' && a <= 'Z' ? (char)(a - 'A' + 'a') : a;
        b = b >= 'A' && b <= 'Z' ? (char)(b - 'A' + 'a') : b;
        if (a != b) {
            return false;
        }
    }
    return true;
}

static int find_column(const struct chooser *c, const struct bp_choice *wanted)
{
    size_t number = 0;
    bool digits = true;
    for (size_t i = 0; i < wanted->count && digits; i++) {
        digits = wanted->at[i] >= '0' && wanted->at[i] <= '9' && number <= BP_IMPORT_COLUMNS_MAX;
        number = 10 * number + (size_t)(wanted->at[i] - '0');
    }
    if (digits) {
        return number >= 1 && number <= c->columns ? (int)number - 1 : -1;
    }
    for (size_t i = 0; c->header && i < c->columns; i++) {
        if (same_text(&c->cells[i], wanted)) {
            return (int)i;
        }
    }
    return -1;
}

/* The columns the settings name. */
static enum bp_code take_given(struct chooser *c, struct bp_layout *layout)
{
    for (int r = 0; r < BP_ROLE_ATTITUDE; r++) {
        struct bp_choice wanted;
        if (!bp_import_find_choice(c->im->settings->columns, role_keys[r], &wanted)) {
            continue;
        }
        layout->column[r] = find_column(c, &wanted);
        if (layout->column[r] < 0) {
            return bp_import_fail(c->im, BP_ERR_COLUMNS, 0, 0, "columns: there is no column '%.*s' for %s",
                                  (int)(wanted.count < 80 ? wanted.count : 80), wanted.at, role_keys[r]);
        }
    }
    for (int first = BP_ROLE_FORCE; first < BP_ROLE_ATTITUDE; first += 3) {
        int given = 0;
        for (int a = 0; a < 3; a++) {
            given += layout->column[first + a] >= 0;
        }
        if (given != 0 && given != 3) {
            return bp_import_fail(c->im, BP_ERR_ARGUMENT, 0, 0,
                                  "columns: %s, %s and %s are given all three or not at all",
                                  role_keys[first], role_keys[first + 1], role_keys[first + 2]);
        }
    }
    return BP_OK;
}

/* Higher is better; the hint's kind for groups that say no kind was put in before. */
static int worth(const struct bp_group *g)
{
    int value = -g->demerits;
    if (g->kind == BP_KIND_FORCE) {
        value += bp_import_holds_gravity(g) ? 1000 : 0;
        value -= g->linear ? 100 : 0;
        value -= g->length > 0.0 ? 0 : 5000; /* a sensor that was off */
    }
    return value;
}

static const struct bp_group *best_group(const struct chooser *c, enum bp_kind kind)
{
    const struct bp_group *best = NULL;
    for (size_t i = 0; i < c->group_count; i++) {
        const struct bp_group *g = &c->groups[i];
        if (g->kind == kind && (best == NULL || worth(g) > worth(best))) {
            best = g;
        }
    }
    return best;
}

/* A header in two lines: what stands above a column, or above the nearest one to its left that has something
 * above it, and its own heading. */
static enum bp_code put_joined(struct chooser *c, const struct bp_cell *above, const struct bp_cell *own,
                               struct bp_cell *joined)
{
    size_t count = above->count + 1 + own->count;
    char *text = bp_arena_take(&c->im->scratch, count, 1);
    if (text == NULL) {
        return bp_import_no_memory(c->im);
    }
    memcpy(text, above->at, above->count);
    text[above->count] = ' ';
    memcpy(text + above->count + 1, own->at, own->count);
    *joined = (struct bp_cell){text, count};
    return BP_OK;
}

/* Reads the header together with the line above it, if that gives an acceleration. */
static enum bp_code join_above(struct chooser *c)
{
    const struct bp_dialect *d = c->dialect;
    struct chooser joined = *c;
    struct bp_cell *above = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *above);
    struct bp_cell *units = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *units);
    joined.cells = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *joined.cells);
    joined.headings = bp_arena_zero(&c->im->scratch, BP_IMPORT_COLUMNS_MAX, sizeof *joined.headings);
    joined.groups = bp_arena_take(&c->im->scratch, BP_GROUPS_MAX, sizeof *joined.groups);
    if (above == NULL || units == NULL || joined.cells == NULL || joined.headings == NULL ||
        joined.groups == NULL) {
        return bp_import_no_memory(c->im);
    }
    bp_import_split(d->above, d->above_count, d->separator, above, BP_IMPORT_COLUMNS_MAX);
    if (d->units != NULL) {
        bp_import_split(d->units, d->units_count, d->separator, units, BP_IMPORT_COLUMNS_MAX);
    }
    for (size_t i = 0; i < c->columns; i++) {
        above[i] = above[i].count == 0 && i > 0 ? above[i - 1] : above[i];
        enum bp_code code = put_joined(c, &above[i], &c->cells[i], &joined.cells[i]);
        if (code != BP_OK) {
            return code;
        }
        read_heading(&joined, i, &units[i]);
    }
    joined.group_count = bp_import_group(joined.headings, c->columns, &c->sample, joined.groups);
    if (best_group(&joined, BP_KIND_FORCE) != NULL) {
        *c = joined;
    }
    return BP_OK;
}

/* "gx" is a gyroscope beside an acceleration and a g-force alone; "x" is what the file's name says. */
static enum bp_code settle_kinds(struct chooser *c)
{
    bool force = best_group(c, BP_KIND_FORCE) != NULL;
    bool others = force || best_group(c, BP_KIND_TURN) != NULL || best_group(c, BP_KIND_GRAVITY) != NULL;
    enum bp_kind hinted =
        c->hint->kind == BP_KIND_NONE || c->hint->kind == BP_KIND_OTHER ? BP_KIND_FORCE : c->hint->kind;
    const struct bp_group *plain = best_group(c, BP_KIND_NONE);
    size_t plainest = 0;
    for (size_t i = 0; i < c->group_count; i++) {
        struct bp_group *g = &c->groups[i];
        if (g->kind == BP_KIND_G) {
            bool turn = force || c->hint->kind == BP_KIND_TURN;
            g->kind = turn ? BP_KIND_TURN : BP_KIND_FORCE;
            g->unit = g->unit == NULL && !turn ? bp_import_unit_named("g", 1, BP_KIND_FORCE) : g->unit;
        } else if (plain != NULL && !others && g->kind == BP_KIND_NONE && g->demerits == plain->demerits) {
            plainest++;
        }
    }
    if (plainest > 1) {
        return bp_import_fail(c->im, BP_ERR_COLUMNS, 0, 0,
                              "more than one group of x, y, z columns: say which is which with --columns");
    }
    if (plainest == 1) {
        struct bp_group *g = &c->groups[plain - c->groups];
        g->kind = hinted;
        g->linear = g->linear || (hinted == BP_KIND_FORCE && c->hint->linear);
    }
    return BP_OK;
}

static void take_group(const struct bp_group *g, struct bp_layout *layout, enum bp_role role)
{
    for (int a = 0; a < 3 && g != NULL; a++) {
        layout->column[(int)role + a] = g->column[a];
    }
}

static bool has(const struct bp_layout *layout, enum bp_role role)
{
    return layout->column[role] >= 0;
}

/* The columns of the acceleration are those of the other sensors' rows too. */
static void share_columns(struct bp_layout *layout)
{
    const struct bp_selector *s = &layout->selector;
    for (int a = 0; a < 3 && s->column >= 0 && has(layout, BP_ROLE_FORCE); a++) {
        int column = layout->column[BP_ROLE_FORCE + a];
        layout->column[BP_ROLE_TURN + a] = s->has[BP_KIND_TURN] ? column : -1;
        layout->column[BP_ROLE_GRAVITY + a] = s->has[BP_KIND_GRAVITY] && s->linear ? column : -1;
    }
}

/* Fills what the settings left open, from the groups. */
static void take_groups(const struct chooser *c, struct bp_layout *layout)
{
    const struct bp_group *force = best_group(c, BP_KIND_FORCE);
    const struct bp_group *gravity = best_group(c, BP_KIND_GRAVITY);
    if (!has(layout, BP_ROLE_FORCE)) {
        take_group(force, layout, BP_ROLE_FORCE);
    }
    if (!has(layout, BP_ROLE_TURN)) {
        take_group(best_group(c, BP_KIND_TURN), layout, BP_ROLE_TURN);
    }
    /* Gravity is added only where the acceleration is known, or seen, to lack it. */
    bool lacks = !has(layout, BP_ROLE_FORCE) || c->headings[layout->column[BP_ROLE_FORCE]].linear ||
                 (force != NULL && layout->column[BP_ROLE_FORCE] == force->column[0] &&
                  !bp_import_holds_gravity(force));
    if (!has(layout, BP_ROLE_GRAVITY) && lacks) {
        take_group(gravity, layout, BP_ROLE_GRAVITY);
    }
}

static const struct bp_unit *unit_of(const struct chooser *c, const struct bp_layout *layout, int role,
                                     enum bp_kind kind)
{
    const struct bp_unit *given = bp_import_unit_given(c->im->settings, kind);
    if (given != NULL || layout->column[role] < 0) {
        return given;
    }
    const struct bp_unit *unit = c->headings[layout->column[role]].unit;
    return unit != NULL && unit->kind == kind ? unit : NULL;
}

/* "gx" alone has been taken for g-force: its unit is with the group, not with the heading. */
static const struct bp_unit *force_unit(const struct chooser *c, const struct bp_layout *layout)
{
    const struct bp_unit *unit = unit_of(c, layout, BP_ROLE_FORCE, BP_KIND_FORCE);
    for (size_t i = 0; i < c->group_count && unit == NULL; i++) {
        if (c->groups[i].kind == BP_KIND_FORCE && c->groups[i].column[0] == layout->column[BP_ROLE_FORCE]) {
            unit = c->groups[i].unit;
        }
    }
    return unit;
}

static void settle_units(const struct chooser *c, struct bp_layout *layout)
{
    layout->time_unit = unit_of(c, layout, BP_ROLE_TIME, BP_KIND_TIME);
    layout->force_unit = force_unit(c, layout);
    layout->gravity_unit = unit_of(c, layout, BP_ROLE_GRAVITY, BP_KIND_FORCE);
    layout->turn_unit = unit_of(c, layout, BP_ROLE_TURN, BP_KIND_TURN);
    if (has(layout, BP_ROLE_FORCE)) {
        const struct bp_group *force = best_group(c, BP_KIND_FORCE);
        layout->linear =
            c->headings[layout->column[BP_ROLE_FORCE]].linear ||
            (force != NULL && force->column[0] == layout->column[BP_ROLE_FORCE] && force->linear);
    }
}

/* Without a header only the columns in front of the sensors' may be times. */
static size_t first_used(const struct bp_layout *layout, size_t columns)
{
    size_t first = columns;
    for (int r = BP_ROLE_FORCE; r < BP_ROLE_COUNT; r++) {
        if (layout->column[r] >= 0 && (size_t)layout->column[r] < first) {
            first = (size_t)layout->column[r];
        }
    }
    return first;
}

/* 0, 1, 2… and no unit, of the heading or given: rows are counted, whatever the heading says. A thousand
 * readings a second are no phone's. */
static void drop_count(const struct chooser *c, struct bp_layout *layout)
{
    int time = layout->column[BP_ROLE_TIME];
    const struct bp_import_settings *s = c->im->settings;
    struct bp_choice given;
    bool named =
        bp_import_find_choice(s->columns, "t", &given) || bp_import_unit_given(s, BP_KIND_TIME) != NULL;
    bool unsaid = time >= 0 && !layout->time_steps && (!c->header || c->headings[time].unit == NULL);
    if (unsaid && !named && bp_import_counts_rows(&c->sample, (size_t)time)) {
        layout->column[BP_ROLE_TIME] = -1;
        layout->rows_counted = c->header;
    }
}

static void settle_time(const struct chooser *c, struct bp_layout *layout)
{
    const struct bp_heading *headings = c->header ? c->headings : NULL;
    if (layout->column[BP_ROLE_TIME] < 0) {
        size_t limit = c->header ? c->columns : first_used(layout, c->columns);
        layout->column[BP_ROLE_TIME] = bp_import_choose_time(headings, &c->sample, limit);
        if (c->header && layout->column[BP_ROLE_TIME] < 0) {
            layout->column[BP_ROLE_TIME] = bp_import_choose_steps(headings, &c->sample, limit);
            layout->time_steps = layout->column[BP_ROLE_TIME] >= 0;
        }
        if (c->header && layout->column[BP_ROLE_TIME] < 0 && c->im->settings->rate_hz == 0.0) {
            layout->column[BP_ROLE_TIME] = bp_import_guess_time(headings, &c->sample, limit);
            layout->time_assumed = layout->column[BP_ROLE_TIME] >= 0;
        }
    }
    drop_count(c, layout);
    int time = layout->column[BP_ROLE_TIME];
    layout->time_stamp = time >= 0 && c->sample.stamp[time];
    layout->epoch = c->header || time >= 0 ? bp_import_choose_epoch(headings, &c->sample, time) : -1;
    if (layout->epoch >= 0) {
        layout->epoch_stamp = c->sample.stamp[layout->epoch];
        layout->epoch_zoned = !layout->epoch_stamp || c->sample.zoned[layout->epoch];
    }
    if (time < 0 && layout->rate_hz == 0.0) {
        layout->rate_hz = c->im->settings->rate_hz;
    }
}

/* A log without times may tell its rate above the rows. Not where times stand that cannot be read: those
 * would say more; nor where rows are of several sensors, each of which has that rate, or none. */
static void take_told_rate(const struct chooser *c, const char *block, struct bp_layout *layout)
{
    if (layout->column[BP_ROLE_TIME] < 0 && layout->rate_hz == 0.0 && layout->unread_time < 0 &&
        layout->selector.column < 0) {
        layout->rate_hz = bp_import_told_rate(block, c->dialect->data_at, c->dialect->line_end);
        layout->rate_told = layout->rate_hz > 0.0;
    }
}

/* True when two columns of times say different ones in any row of the sample. */
static bool clocks_differ(const struct bp_sample *s, size_t a, size_t b)
{
    for (size_t r = 0; r < s->rows; r++) {
        double x = s->value[r * s->columns + a], y = s->value[r * s->columns + b];
        if (x != y && !(isnan(x) && isnan(y))) {
            return true;
        }
    }
    return false;
}

/* A gyroscope beside the acceleration whose rows have a time of their own: on the acceleration's it would be
 * wrong. */
static void drop_turn_of_other_clock(const struct chooser *c, struct bp_layout *layout)
{
    int time = layout->column[BP_ROLE_TIME];
    for (size_t i = 0; c->header && time >= 0 && i < c->columns; i++) {
        if (c->headings[i].of_turn && (int)i != time && has(layout, BP_ROLE_TURN) &&
            has(layout, BP_ROLE_FORCE) && clocks_differ(&c->sample, i, (size_t)time)) {
            layout->turn_clock = (int)i;
            for (int a = 0; a < 3; a++) {
                layout->column[BP_ROLE_TURN + a] = -1;
            }
        }
    }
}

/* Rows joined from two sensors' files: in each, one sensor's three cells hold nothing. */
static bool sensors_by_turns(const struct bp_sample *s, const struct bp_layout *layout)
{
    const double SHARE_LEAST = 0.2;
    size_t rows = 0;
    for (size_t r = 0; r < s->rows && has(layout, BP_ROLE_FORCE) && has(layout, BP_ROLE_TURN); r++) {
        const double *row = s->value + r * s->columns;
        int force = 0, turn = 0;
        for (int a = 0; a < 3; a++) {
            force += !isnan(row[layout->column[BP_ROLE_FORCE + a]]);
            turn += !isnan(row[layout->column[BP_ROLE_TURN + a]]);
        }
        rows += (force == 0 && turn == 3) || (force == 3 && turn == 0);
    }
    return (double)rows > SHARE_LEAST * (double)s->rows;
}

/* Attitude is read where all its parts are there. A log whose rows are of several sensors has it in columns
 * that are another sensor's too. */
static void take_attitude(const struct chooser *c, struct bp_layout *layout)
{
    static const struct {
        enum bp_attitude_form form;
        int parts;
        enum bp_attitude_part first;
    } forms[] = {{BP_FORM_QUATERNION, 4, BP_ATTITUDE_W},
                 {BP_FORM_COUNTED, 4, BP_ATTITUDE_Q0},
                 {BP_FORM_ANGLES, 3, BP_ATTITUDE_ROLL},
                 {BP_FORM_VECTOR, 3, BP_ATTITUDE_X}};
    int column[BP_ATTITUDE_PARTS];
    for (int p = 0; p < BP_ATTITUDE_PARTS; p++) {
        column[p] = -1;
    }
    for (size_t i = c->columns; c->header && i-- > 0;) {
        const struct bp_heading *h = &c->headings[i];
        bool unsaid = h->kind == BP_KIND_NONE || h->kind == BP_KIND_OTHER; /* the file's name may say it */
        if (h->attitude || (c->hint->attitude && unsaid)) {
            column[h->part] = (int)i;
        }
    }
    for (size_t f = 0; f < sizeof forms / sizeof forms[0] && layout->selector.column < 0; f++) {
        int found = 0;
        for (int p = 0; p < forms[f].parts; p++) {
            found += column[(int)forms[f].first + p] >= 0;
        }
        if (found < forms[f].parts) {
            continue;
        }
        const struct bp_heading *first = &c->headings[column[forms[f].first]];
        layout->form = forms[f].form;
        layout->angle_factor = first->degrees ? BP_DEGREE : first->radians ? 1 : 0;
        for (int p = 0; p < forms[f].parts; p++) {
            layout->column[BP_ROLE_ATTITUDE + p] = column[(int)forms[f].first + p];
        }
        return;
    }
}

/* Another acceleration that might as well have been read, where nobody said which is to be. */
static void note_second_force(const struct chooser *c, struct bp_layout *layout)
{
    struct bp_choice given;
    const struct bp_group *force = best_group(c, BP_KIND_FORCE);
    if (bp_import_find_choice(c->im->settings->columns, role_keys[BP_ROLE_FORCE], &given)) {
        return;
    }
    for (size_t i = force != NULL ? c->group_count : 0; i-- > 0;) {
        const struct bp_group *g = &c->groups[i];
        if (g->kind == BP_KIND_FORCE && g != force && worth(g) == worth(force)) {
            layout->second_force = g->column[0];
        }
    }
}

/* What is there and not read, to be told. */
static void note_unread(const struct chooser *c, struct bp_layout *layout)
{
    note_second_force(c, layout);
    for (size_t i = c->columns; c->header && i-- > 0;) {
        bool time = layout->column[BP_ROLE_TIME] < 0 && c->headings[i].kind == BP_KIND_TIME;
        layout->unread_time = time ? (int)i : layout->unread_time;
        layout->attitude = c->headings[i].attitude ? (int)i : layout->attitude;
        if (c->headings[i].kind == BP_KIND_TURN && !has(layout, BP_ROLE_TURN) && layout->turn_clock < 0) {
            layout->part_of_gyroscope = (int)i;
        }
    }
}

/* ---- in words ---- */

static size_t put_words(char *out, size_t at, const char *format, size_t length, const char *text)
{
    int n = snprintf(out + at, BP_RECOGNISED_TEXT - at, format, (int)length, text);
    size_t end = n > 0 ? at + (size_t)n : at;
    return end < BP_RECOGNISED_TEXT ? end : BP_RECOGNISED_TEXT - 1;
}

static void describe(const struct chooser *c, const struct bp_layout *layout, char *out)
{
    static const char *const titles[BP_ROLE_COUNT] = {
        [BP_ROLE_TIME] = "time",      [BP_ROLE_FORCE] = "acceleration", [BP_ROLE_GRAVITY] = "gravity",
        [BP_ROLE_TURN] = "gyroscope", [BP_ROLE_ATTITUDE] = "attitude",
    };
    size_t n = 0;
    out[0] = '\0';
    for (int r = 0; r < BP_ROLE_COUNT; r++) {
        int column = layout->column[r];
        if (column < 0) {
            continue;
        }
        if (titles[r] != NULL) {
            n = put_words(out, n, n > 0 ? "; %.*s" : "%.*s", 40, titles[r]);
        }
        if (c->header) {
            const struct bp_cell *cell = &c->cells[column];
            n = put_words(out, n, " '%.*s'", cell->count < 40 ? cell->count : 40, cell->at);
        } else {
            char number[24];
            snprintf(number, sizeof number, "column %d", column + 1);
            n = put_words(out, n, " %.*s", sizeof number, number);
        }
    }
}

/* The three columns of a file without header that is named after the gyroscope. */
static void call_turn(struct bp_layout *layout)
{
    for (int a = 0; a < 3; a++) {
        layout->column[BP_ROLE_TURN + a] = layout->column[BP_ROLE_FORCE + a];
        layout->column[BP_ROLE_FORCE + a] = -1;
    }
}

static enum bp_code choose(struct chooser *c, struct bp_layout *layout)
{
    enum bp_code code = take_given(c, layout);
    if (code != BP_OK) {
        return code;
    }
    if (c->header) {
        c->group_count = bp_import_group(c->headings, c->columns, &c->sample, c->groups);
        code = c->dialect->above != NULL && best_group(c, BP_KIND_FORCE) == NULL ? join_above(c) : BP_OK;
        code = code == BP_OK ? settle_kinds(c) : code;
        if (code == BP_OK) {
            take_groups(c, layout);
        }
    } else if (!has(layout, BP_ROLE_FORCE)) {
        int given = layout->column[BP_ROLE_TIME];
        bool told = bp_import_choose_unnamed(&c->sample, layout->selector.column, layout);
        layout->column[BP_ROLE_TIME] = given >= 0 ? given : layout->column[BP_ROLE_TIME];
        if (!told) {
            code = bp_import_fail(c->im, BP_ERR_COLUMNS, c->dialect->data_line, 0,
                                  "no header says what the %zu columns are: name them with --columns",
                                  c->columns);
        }
        if (told && c->hint->kind == BP_KIND_TURN && !has(layout, BP_ROLE_TURN)) {
            call_turn(layout);
        }
    }
    return code;
}

enum bp_code bp_import_choose_columns(struct bp_importer *im, const char *block, size_t count,
                                      const struct bp_dialect *dialect, const struct bp_heading *hint,
                                      struct bp_layout *layout, char *description)
{
    struct chooser c = {.im = im, .dialect = dialect, .hint = hint};
    *layout = (struct bp_layout){.epoch = -1,
                                 .attitude = -1,
                                 .unread_time = -1,
                                 .turn_clock = -1,
                                 .part_of_gyroscope = -1,
                                 .second_force = -1,
                                 .start_epoch_s = (double)NAN};
    for (int r = 0; r < BP_ROLE_COUNT; r++) {
        layout->column[r] = -1;
    }
    enum bp_code code = read_header(&c);
    if (code == BP_OK) {
        code = take_sample(&c, block, count);
    }
    if (code == BP_OK) {
        bp_import_find_selector(block, count, dialect, c.columns, &layout->selector);
        code = choose(&c, layout);
    }
    if (code == BP_OK) {
        layout->columns = c.columns;
        settle_time(&c, layout);
        drop_turn_of_other_clock(&c, layout);
        settle_units(&c, layout);
        layout->linear = layout->selector.column >= 0 ? layout->selector.linear : layout->linear;
        layout->by_turns = sensors_by_turns(&c.sample, layout);
        share_columns(layout);
        take_attitude(&c, layout);
        note_unread(&c, layout);
        take_told_rate(&c, block, layout);
        describe(&c, layout, description);
    }
    return code;
}
