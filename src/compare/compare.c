/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/compare.h"

#include "compare/parts.h"

#include <string.h>

static enum bp_code check(const struct bp_compare_figure *f, size_t count, struct bp_compare_settings *s,
                          struct bp_error *error)
{
    s->level = s->level != 0.0 ? s->level : bp_compare_defaults.level;
    s->power = s->power != 0.0 ? s->power : bp_compare_defaults.power;
    if (!(s->level >= 0.5 && s->level <= 0.999) || !(s->power >= 0.5 && s->power <= 0.99)) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "the level must be between 0.5 and 0.999, the power between 0.5 and 0.99");
    }
    if ((int)s->by < BP_BY_SETUP || (int)s->by > BP_BY_SESSION) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "sets are compared by setup, lifter or session");
    }
    bool worth =
        f != NULL && (f->worth == 0.0 || (f->scale == BP_SCALE_RATIO ? f->worth > 1.0 : f->worth > 0.0));
    if (!worth || !isfinite(f->worth) || f->words == NULL || f->unit == NULL ||
        !(f->scatter_df == 0.0 || (f->scatter_df >= 1.0 && f->scatter_cv > 0.0))) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "what is to be compared is not fully described");
    }
    if (count == 0) {
        return bp_error_set(error, BP_ERR_EMPTY, "there is no set to compare");
    }
    if (count > BP_COMPARE_OBSERVATIONS_MAX) {
        return bp_error_set(error, BP_ERR_LIMIT, "more than %zu sets to compare",
                            BP_COMPARE_OBSERVATIONS_MAX);
    }
    return BP_OK;
}

/* ---- one pair ---- */

static struct bp_quantity interval(const struct bp_contrast *c, double significance)
{
    struct bp_quantity q = bp_quantity_plain(c->estimate);
    if (isfinite(c->standard_error)) {
        double half = bp_student_quantile(1.0 - 0.5 * significance, c->df) * c->standard_error;
        /* Units that agree by luck do not make an interval narrower than the measurement alone would. */
        half = fmax(half, bp_student_quantile(1.0 - 0.5 * significance, (double)INFINITY) * c->least_error);
        q.low = c->estimate - half;
        q.high = c->estimate + half;
    }
    return q;
}

/* Chance, when there is no difference, of one as far out on this side: as careful as the interval. */
static double tail_of(const struct bp_contrast *c)
{
    double size = fabs(c->estimate);
    double student = bp_student_cdf(-size / c->standard_error, c->df);
    double normal = c->least_error > 0.0 ? bp_student_cdf(-size / c->least_error, (double)INFINITY) : 0.0;
    return fmax(student, normal);
}

static struct bp_quantity as_ratio(struct bp_quantity log_ratio)
{
    return (struct bp_quantity){exp(log_ratio.value), exp(log_ratio.low), exp(log_ratio.high)};
}

static struct bp_quantity effect_of(const struct bp_contrast *c, double level)
{
    double n = (double)c->units[0], m = (double)c->units[1];
    if (c->paired) {
        return n < 3.0 || !(c->sample[0] > 0.0)
                   ? bp_quantity_unknown()
                   : bp_hedges_effect(c->estimate / sqrt(c->sample[0]), n - 1.0, sqrt(n), level);
    }
    double df = n + m - 2.0;
    double squares = (n > 1.0 ? (n - 1.0) * c->sample[0] : 0.0) + (m > 1.0 ? (m - 1.0) * c->sample[1] : 0.0);
    if (df < 2.0 || !(squares > 0.0)) {
        return bp_quantity_unknown();
    }
    return bp_hedges_effect(c->estimate / sqrt(squares / df), df, sqrt(n * m / (n + m)), level);
}

static double permutation_p(struct bp_compare_table *t, const struct bp_contrast *c, uint64_t seed)
{
    if (c->paired) {
        return bp_sign_flips(t->value[0], c->units[0], seed).two_sided;
    }
    /* The two sides in one row; value[1] has room for all, being as long as all sets. */
    memmove(t->value[1] + c->units[0], t->value[1], c->units[1] * sizeof(double));
    memcpy(t->value[1], t->value[0], c->units[0] * sizeof(double));
    return bp_regroupings(t->value[1], c->units[0], c->units[1], t->index, seed).two_sided;
}

static void judge(struct bp_compare_pair *pair, const struct bp_compare_figure *f)
{
    bool ratio = f->scale == BP_SCALE_RATIO;
    struct bp_quantity q = ratio ? pair->ratio_all : pair->difference_all;
    double none = ratio ? 1.0 : 0.0, worth = f->worth > 0.0 ? f->worth : (double)NAN;
    if (!isfinite(q.low) || !isfinite(q.high)) {
        pair->verdict = BP_CANNOT_TELL;
        return;
    }
    bool inside = q.high <= worth && q.low >= (ratio ? 1.0 / worth : -worth);
    pair->verdict = q.low > none    ? BP_FIRST_MORE
                    : q.high < none ? BP_FIRST_LESS
                    : inside        ? BP_NO_DIFFERENT
                                    : BP_CANNOT_TELL;
    pair->small = inside && (pair->verdict == BP_FIRST_MORE || pair->verdict == BP_FIRST_LESS);
}

static void plan(struct bp_compare_pair *pair, const struct bp_contrast *c, const struct bp_compare_result *r,
                 double significance)
{
    double worth = r->figure.worth;
    if (pair->verdict != BP_CANNOT_TELL) {
        return;
    }
    if (worth > 0.0) {
        double size = r->figure.scale == BP_SCALE_RATIO ? log(worth) : worth;
        pair->more_for_worth = bp_compare_more(c, size, significance, r->settings.power);
    }
    pair->more_as_seen = bp_compare_more(c, fabs(c->estimate), significance, r->settings.power);
}

static void fill(struct bp_compare_table *t, struct bp_compare_result *r, const struct bp_design *design,
                 struct bp_compare_pair *pair)
{
    struct bp_contrast c[2];
    double alone = 1.0 - r->settings.level, all = alone / (double)r->pair_count;
    enum bp_compare_scale own = r->figure.scale,
                          other = own == BP_SCALE_RATIO ? BP_SCALE_DIFFERENCE : BP_SCALE_RATIO;
    bp_compare_contrast(t, design, &r->figure, other, pair->first, pair->second, &c[other]);
    bp_compare_contrast(t, design, &r->figure, own, pair->first, pair->second, &c[own]);
    const struct bp_contrast *main = &c[own];
    pair->difference = interval(&c[BP_SCALE_DIFFERENCE], alone);
    pair->difference_all = interval(&c[BP_SCALE_DIFFERENCE], all);
    pair->ratio = as_ratio(interval(&c[BP_SCALE_RATIO], alone));
    pair->ratio_all = as_ratio(interval(&c[BP_SCALE_RATIO], all));
    for (int s = 0; s < 2; s++) {
        pair->units[s] = main->units[s];
        pair->sets[s] = main->sets[s];
    }
    pair->left_out =
        r->groups[pair->first].sets + r->groups[pair->second].sets - main->sets[0] - main->sets[1];
    pair->standard_error = main->standard_error;
    pair->df = main->df;
    if (!isfinite(main->standard_error)) {
        pair->reason = design->unit == BP_UNIT_LIFTER && !design->paired ? BP_REASON_LIFTERS : BP_REASON_FEW;
        return;
    }
    double tail = tail_of(main);
    pair->p = fmin(2.0 * tail, 1.0);
    pair->chance_more = main->estimate > 0.0 ? 1.0 - tail : tail;
    judge(pair, &r->figure);
    if (!r->settings.intervals_only) {
        pair->effect = effect_of(main, r->settings.level);
        pair->permutation_p = permutation_p(t, main, r->settings.seed);
        plan(pair, main, r, all);
    }
}

static void compare_pair(struct bp_compare_table *t, struct bp_compare_result *r,
                         struct bp_compare_pair *pair, size_t first, size_t second)
{
    struct bp_design design = bp_compare_design(t, r, first, second);
    struct bp_quantity unknown = bp_quantity_unknown();
    double nan = (double)NAN;
    *pair =
        (struct bp_compare_pair){.first = first,
                                 .second = second,
                                 .unit = design.unit,
                                 .paired = design.paired,
                                 .reason = design.unit == BP_UNIT_NONE ? BP_REASON_NOTHING : BP_REASON_NONE,
                                 .difference = unknown,
                                 .ratio = unknown,
                                 .difference_all = unknown,
                                 .ratio_all = unknown,
                                 .effect = unknown,
                                 .standard_error = nan,
                                 .df = nan,
                                 .p = nan,
                                 .holm_p = nan,
                                 .permutation_p = nan,
                                 .chance_more = nan};
    if (design.unit != BP_UNIT_NONE) {
        fill(t, r, &design, pair);
    } else {
        pair->left_out = r->groups[first].sets + r->groups[second].sets;
    }
}

/* ---- all pairs ---- */

/* Holm 1979, Scand J Stat 6:65-70: the smallest of m counts m times, the next m - 1 times, …, never falling.
 */
static void adjust(struct bp_compare_result *r)
{
    double before = 0.0;
    size_t known = 0;
    for (size_t i = 0; i < r->pair_count; i++) {
        known += isfinite(r->pairs[i].p) ? 1 : 0;
    }
    for (size_t left = known; left > 0; left--) {
        struct bp_compare_pair *least = NULL;
        for (size_t i = 0; i < r->pair_count; i++) {
            struct bp_compare_pair *p = &r->pairs[i];
            if (isfinite(p->p) && isnan(p->holm_p) && (least == NULL || p->p < least->p)) {
                least = p;
            }
        }
        if (least != NULL) {
            before = fmax(before, fmin(1.0, (double)left * least->p));
            least->holm_p = before;
        }
    }
}

static enum bp_code compare_all(struct bp_compare_table *t, struct bp_compare_result *r,
                                struct bp_arena *arena)
{
    size_t g = r->group_count, at = 0;
    r->pair_count = g * (g - 1) / 2;
    r->pairs = bp_arena_take(arena, r->pair_count + 1, sizeof *r->pairs);
    if (r->pairs == NULL) {
        return BP_ERR_MEMORY;
    }
    for (size_t i = 0; i < g; i++) {
        for (size_t k = i + 1; k < g; k++) {
            compare_pair(t, r, &r->pairs[at++], i, k);
        }
    }
    adjust(r);
    return bp_compare_scatter(t, arena, r);
}

enum bp_code bp_compare_figure(const struct bp_compare_figure *figure,
                               const struct bp_observation *observations, size_t count,
                               const struct bp_compare_settings *settings, struct bp_arena *arena,
                               struct bp_compare_result *result, struct bp_error *error)
{
    struct bp_compare_table table;
    struct bp_compare_settings s = settings != NULL ? *settings : bp_compare_defaults;
    bp_error_clear(error);
    memset(result, 0, sizeof *result);
    enum bp_code code = check(figure, count, &s, error);
    if (code != BP_OK) {
        return code;
    }
    result->figure = *figure;
    result->settings = s;
    result->groups = bp_arena_zero(arena, BP_COMPARE_GROUPS_MAX, sizeof *result->groups);
    code = result->groups != NULL ? bp_compare_tabulate(observations, count, arena, &table, result, error)
                                  : BP_ERR_MEMORY;
    if (code == BP_OK) {
        code = compare_all(&table, result, arena);
    }
    if (code != BP_OK) {
        memset(result, 0, sizeof *result);
    }
    return code == BP_ERR_MEMORY
               ? bp_error_set(error, BP_ERR_MEMORY, "there is not enough memory to compare them")
               : code;
}
