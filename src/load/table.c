/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/load_table.h"
#include "barplumb/units.h"

#include <math.h>

static const double PERCENT = 100, NORMAL_95 = 1.959963984540054; /* the normal's 97.5 % point */
static const double HEIGHT_MOST = 4;                              /* m: past any lifter's reach */

enum { FIGURES = 6, POINTS = 3, MEAN_STEPS = 64 };

static struct bp_quantity *figure(struct bp_load_row *row, int f)
{
    struct bp_quantity *const all[FIGURES] = {&row->load_kg, &row->chain_kg, &row->band_kg,
                                              &row->left_kg, &row->right_kg, &row->uneven_kg};
    return all[f];
}

/* The bar at rest at height_m. */
static void weigh(const struct bp_load_model *model, double height_m, double out[FIGURES])
{
    struct bp_load_state state = {height_m, 0, 0};
    struct bp_load load;
    bp_load_at(model, &state, &load);
    const double all[FIGURES] = {load.weight_n,   load.chain_n,    load.band_n,
                                 load.aside_n[0], load.aside_n[1], load.uneven_n};
    for (int f = 0; f < FIGURES; f++) {
        out[f] = all[f] / BP_STANDARD_GRAVITY;
    }
}

/* Until the draws are done low holds their squared deviations and high their number. A draw in which a band
 * leaves what was measured of it by a hair says nothing. */
static void spread(struct bp_quantity *q, double drawn)
{
    if (isfinite(drawn)) {
        q->low += (drawn - q->value) * (drawn - q->value);
        q->high++;
    }
}

/* 0 / 0 without a draw: NaN, "not estimated" */
static void close_interval(struct bp_quantity *q)
{
    double half = NORMAL_95 * sqrt(q->low / q->high);
    q->low = q->value - half;
    q->high = q->value + half;
}

struct work {
    struct bp_load_model *model;
    struct bp_load_table *table;
    double bottom_off_m, lockout_off_m; /* how far the draw at hand has the two heights off */
    struct bp_load_row *all[BP_LOAD_ROWS_MAX + POINTS];
    size_t count;
};

static void weigh_drawn(const struct work *w, double up, double out[FIGURES])
{
    const struct bp_load_table *table = w->table;
    double off = w->bottom_off_m + up * (w->lockout_off_m - w->bottom_off_m);
    weigh(w->model, table->bottom_m + up * (table->lockout_m - table->bottom_m) + off, out);
}

/* Mean by height and share of the draw at hand. */
static void sum_up(const struct work *w, double *mean_kg, double *share_pct)
{
    double bottom[FIGURES], lockout[FIGURES], at[FIGURES], sum = 0;
    for (int i = 0; i < MEAN_STEPS; i++) { /* middles of even steps */
        weigh_drawn(w, (i + 0.5) / MEAN_STEPS, at);
        sum += at[0];
    }
    weigh_drawn(w, 0, bottom);
    weigh_drawn(w, 1, lockout);
    *mean_kg = sum / MEAN_STEPS;
    *share_pct = PERCENT * (lockout[0] - bottom[0]) / lockout[0];
}

static void place_rows(struct work *w)
{
    struct bp_load_table *table = w->table;
    struct bp_load_row *const points[POINTS] = {&table->bottom, &table->halfway, &table->lockout};
    for (size_t i = 0; i < table->count + POINTS; i++) {
        bool point = i >= table->count;
        double up =
            point ? (double)(i - table->count) / (POINTS - 1) : (double)i / (double)(table->count - 1);
        w->all[i] = point ? points[i - table->count] : &table->rows[i];
        w->all[i]->up_pct = PERCENT * up;
        w->all[i]->height_m = table->bottom_m + up * (table->lockout_m - table->bottom_m);
    }
    w->count = table->count + POINTS;
}

static void take_values(struct work *w)
{
    double at[FIGURES], mean, share;
    for (size_t i = 0; i < w->count; i++) {
        weigh_drawn(w, w->all[i]->up_pct / PERCENT, at);
        for (int f = 0; f < FIGURES; f++) {
            *figure(w->all[i], f) = (struct bp_quantity){at[f], 0, 0};
        }
        w->table->sideways |= at[3] != 0 || at[4] != 0;
    }
    sum_up(w, &mean, &share);
    w->table->mean_kg = (struct bp_quantity){mean, 0, 0};
    w->table->share_pct = (struct bp_quantity){share, 0, 0};
}

/* Where only one of the two heights was measured, the other lies a range away from it and is off with it. */
static void take_offsets(struct work *w, double bottom_m, double lockout_m)
{
    double bottom = bp_load_bottom_m(w->model) - bottom_m, lockout = bp_load_lockout_m(w->model) - lockout_m;
    w->bottom_off_m = isfinite(bottom) ? bottom : isfinite(lockout) ? lockout : 0;
    w->lockout_off_m = isfinite(lockout) ? lockout : w->bottom_off_m;
}

static void take_draw(struct work *w)
{
    double at[FIGURES], mean, share;
    for (size_t i = 0; i < w->count; i++) {
        weigh_drawn(w, w->all[i]->up_pct / PERCENT, at);
        for (int f = 0; f < FIGURES; f++) {
            spread(figure(w->all[i], f), at[f]);
        }
    }
    sum_up(w, &mean, &share);
    spread(&w->table->mean_kg, mean);
    spread(&w->table->share_pct, share);
}

static enum bp_code check(const struct bp_load_model *model, double bottom_m, double lockout_m, size_t rows,
                          struct bp_error *error)
{
    if (!(bottom_m >= 0 && lockout_m > bottom_m && lockout_m <= HEIGHT_MOST)) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "the bar's heights must lie between 0 and 4 m, lockout above the bottom");
    }
    if (rows < 2 || rows > BP_LOAD_ROWS_MAX) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "a load table has 2 to 201 rows");
    }
    return bp_load_check(model, bottom_m, lockout_m, error);
}

enum bp_code bp_load_tabulate(struct bp_load_model *model, double bottom_m, double lockout_m, size_t rows,
                              uint64_t seed, struct bp_arena *arena, struct bp_load_table *table,
                              struct bp_error *error)
{
    struct work w = {.model = model, .table = table};
    struct bp_random random;
    *table = (struct bp_load_table){.bottom_m = bottom_m, .lockout_m = lockout_m};
    enum bp_code code = check(model, bottom_m, lockout_m, rows, error);
    if (code != BP_OK) {
        return code;
    }
    table->rows = bp_arena_zero(arena, rows, sizeof *table->rows);
    if (!table->rows) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the load table");
    }
    table->count = rows;
    place_rows(&w);
    take_values(&w);
    double own_bottom = bp_load_bottom_m(model), own_lockout = bp_load_lockout_m(model);
    bp_random_init(&random, seed, 0);
    for (int d = 0; d < BP_LOAD_DRAWS; d++) {
        bp_load_vary(model, &random);
        take_offsets(&w, own_bottom, own_lockout);
        take_draw(&w);
    }
    bp_load_vary(model, NULL);
    for (size_t i = 0; i < w.count; i++) {
        for (int f = 0; f < FIGURES; f++) {
            close_interval(figure(w.all[i], f));
        }
    }
    close_interval(&table->mean_kg);
    close_interval(&table->share_pct);
    return BP_OK;
}
