/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the scatter comes from: variance components by the method of moments.
 */
#include "compare/parts.h"

static const struct bp_point *points_of(const struct bp_compare_table *t, const struct bp_compare_result *r)
{
    return r->figure.scale == BP_SCALE_RATIO ? t->log : t->plain;
}

static size_t rep_total(const struct bp_compare_table *t)
{
    size_t n = 0;
    for (size_t i = 0; i < t->count; i++) {
        n += bp_compare_observed(t, i)->rep_count;
    }
    return n;
}

/* Of one set's reps, appended to values; returns how many. own: the variance of a rep's own measurement
 * error. With m^2 the mean variance of a rep and u^2 that of the set, the mean of n reps: u^2 = shared + own
 * / n and m^2 = shared + own, so own = (m^2 - u^2) n / (n - 1). */
static size_t add_reps(const struct bp_observation *o, enum bp_compare_scale scale, double set_measured,
                       double *values, double *own)
{
    double measured = 0.0;
    size_t n = 0;
    struct bp_point p;
    for (size_t r = 0; r < o->rep_count; r++) {
        if (bp_compare_point(o->reps[r], scale, &p)) {
            values[n++] = p.value;
            measured += p.measured;
        }
    }
    *own = n > 1 ? fmax(measured / (double)n - set_measured, 0.0) * (double)n / ((double)n - 1.0) : 0.0;
    return n;
}

/* The mean square of reps within sets, less their own measurement; *even the reps of a set. */
static enum bp_code reps_part(const struct bp_compare_table *t, struct bp_arena *arena,
                              struct bp_compare_result *r, double *square, double *even)
{
    double *values = bp_arena_doubles(arena, rep_total(t) + 1), own, owns = 0.0;
    size_t *sizes = bp_arena_take(arena, t->count + 1, sizeof *sizes), sets = 0, at = 0;
    if (values == NULL || sizes == NULL) {
        return BP_ERR_MEMORY;
    }
    for (size_t i = 0; i < t->count; i++) {
        size_t n = add_reps(bp_compare_observed(t, i), r->figure.scale, points_of(t, r)[i].measured,
                            values + at, &own);
        if (n > 0) {
            sizes[sets++] = n;
            at += n;
            owns += own * ((double)n - 1.0);
        }
    }
    struct bp_anova a = bp_anova_one_way(values, sizes, sets);
    *square = (double)NAN;
    *even = sets > 0 ? (double)at / (double)sets : 1.0;
    r->scatter.rep_df = a.within_df > 0.0 ? a.within_df : 0.0;
    if (a.within_df > 0.0) {
        *square = fmax(a.within_ms - owns / a.within_df, 0.0);
        r->scatter.rep_to_rep = sqrt(*square);
    }
    return BP_OK;
}

/* Sets in order of group and block, their scatter inside these cells. */
static enum bp_code sets_part(const struct bp_compare_table *t, struct bp_arena *arena,
                              struct bp_compare_result *r, double rep_square, double even)
{
    const struct bp_point *p = points_of(t, r);
    double *values = bp_arena_doubles(arena, t->count + 1), measured = 0.0;
    size_t *sizes = bp_arena_take(arena, t->count + 1, sizeof *sizes), cells = 0, at = 0;
    bool *done = bp_arena_zero(arena, t->count + 1, sizeof *done);
    if (values == NULL || sizes == NULL || done == NULL) {
        return BP_ERR_MEMORY;
    }
    for (size_t i = 0; i < t->count; i++) {
        measured += p[i].measured / (double)t->count;
        if (done[i]) {
            continue;
        }
        size_t before = at;
        for (size_t k = i; k < t->count; k++) {
            if (t->group[k] == t->group[i] && t->block[k] == t->block[i]) {
                done[k] = true;
                values[at++] = p[k].value;
            }
        }
        sizes[cells++] = at - before;
    }
    struct bp_anova a = bp_anova_one_way(values, sizes, cells);
    r->scatter.measurement = sqrt(measured);
    r->scatter.set_df = a.within_df > 0.0 ? a.within_df : 0.0;
    if (a.within_df > 0.0) {
        double reps = isfinite(rep_square) ? rep_square / even : 0.0;
        r->scatter.set_to_set = sqrt(fmax(a.within_ms - reps - measured, 0.0));
    }
    return BP_OK;
}

enum bp_code bp_compare_scatter(const struct bp_compare_table *table, struct bp_arena *arena,
                                struct bp_compare_result *result)
{
    double nan = (double)NAN, square, even;
    result->scatter = (struct bp_compare_scatter){nan, nan, nan, 0.0, 0.0};
    if (table->count == 0) {
        return BP_OK;
    }
    enum bp_code code = reps_part(table, arena, result, &square, &even);
    return code != BP_OK ? code : sets_part(table, arena, result, square, even);
}
