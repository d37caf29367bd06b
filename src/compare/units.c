/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Observations as numbers, and by which unit two groups are compared.
 */
#include "compare/parts.h"

#include <string.h>

bool bp_compare_point(struct bp_quantity q, enum bp_compare_scale scale, struct bp_point *point)
{
    double low = q.low, high = q.high, value = q.value;
    if (!isfinite(value) || (scale == BP_SCALE_RATIO && !(value > 0.0))) {
        return false;
    }
    if (scale == BP_SCALE_RATIO) {
        /* An interval down to nothing has no logarithm: its upper side is taken for both. */
        high = log(high / value);
        low = low > 0.0 ? log(low / value) : -high;
        value = log(value);
    } else {
        high -= value;
        low -= value;
    }
    double sd = 0.5 * (high - low) / BP_NORMAL_95;
    *point = (struct bp_point){value, isfinite(sd) ? sd * sd : 0.0};
    return true;
}

/* The set's figure; where it is not known, its reps' mean, their errors taken to be wholly shared. */
static bool set_point(const struct bp_observation *o, enum bp_compare_scale scale, struct bp_point *point)
{
    struct bp_point sum = {0.0, 0.0}, one;
    size_t n = 0;
    if (bp_compare_point(o->set, scale, point)) {
        return true;
    }
    for (size_t r = 0; r < o->rep_count; r++) {
        if (bp_compare_point(o->reps[r], scale, &one)) {
            sum.value += one.value;
            sum.measured += one.measured;
            n++;
        }
    }
    if (n == 0) {
        return false;
    }
    *point = (struct bp_point){sum.value / (double)n, sum.measured / (double)n};
    return true;
}

static bool same_text(const char *a, const char *b)
{
    return strcmp(a != NULL ? a : "", b != NULL ? b : "") == 0;
}

/* The observation before i that has the same lifter; i itself: none. */
static size_t lifter_before(const struct bp_compare_table *t, size_t i)
{
    for (size_t k = 0; k < i; k++) {
        if (same_text(bp_compare_observed(t, k)->lifter, bp_compare_observed(t, i)->lifter)) {
            return k;
        }
    }
    return i;
}

static size_t block_before(const struct bp_compare_table *t, size_t i)
{
    for (size_t k = 0; k < i; k++) {
        bool day = bp_compare_observed(t, k)->day == bp_compare_observed(t, i)->day;
        bool known = bp_compare_observed(t, i)->day != BP_DAY_UNKNOWN || t->group[k] == t->group[i];
        if (day && known && t->lifter[k] == t->lifter[i]) {
            return k;
        }
    }
    return i;
}

static enum bp_code number_group(const struct bp_observation *o, struct bp_compare_result *result,
                                 size_t *group, struct bp_error *error)
{
    if (o->group == NULL) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "an observation belongs to no group");
    }
    for (*group = 0; *group < result->group_count; ++*group) {
        if (strcmp(result->groups[*group].name, o->group) == 0) {
            return BP_OK;
        }
    }
    if (result->group_count == BP_COMPARE_GROUPS_MAX) {
        return bp_error_set(error, BP_ERR_LIMIT, "more than %d groups to compare",
                            (int)BP_COMPARE_GROUPS_MAX);
    }
    result->groups[result->group_count++] = (struct bp_compare_group){.name = o->group, .mean = 0.0};
    return BP_OK;
}

static size_t count_reps(const struct bp_observation *o)
{
    size_t n = 0;
    for (size_t r = 0; r < o->rep_count; r++) {
        n += bp_quantity_known(o->reps[r]);
    }
    return n;
}

static void count_groups(const struct bp_compare_table *t, struct bp_compare_result *result)
{
    for (size_t i = 0; i < t->count; i++) {
        struct bp_compare_group *g = &result->groups[t->group[i]];
        bool day = true, lifter = true;
        for (size_t k = 0; k < i && (day || lifter); k++) {
            bool same = t->group[k] == t->group[i];
            day = day && !(same && t->block[k] == t->block[i]);
            lifter = lifter && !(same && t->lifter[k] == t->lifter[i]);
        }
        g->sets++;
        g->days += day;
        g->lifters += lifter;
        g->reps += count_reps(bp_compare_observed(t, i));
        g->mean += t->plain[i].value;
    }
    for (size_t g = 0; g < result->group_count; g++) {
        result->groups[g].mean /= (double)result->groups[g].sets; /* 0/0: NaN */
    }
}

static bool take_arrays(struct bp_compare_table *t, size_t count, struct bp_arena *arena)
{
    t->group = bp_arena_take(arena, count, sizeof *t->group);
    t->lifter = bp_arena_take(arena, count, sizeof *t->lifter);
    t->block = bp_arena_take(arena, count, sizeof *t->block);
    t->index = bp_arena_take(arena, count, sizeof *t->index);
    if (t->group == NULL || t->lifter == NULL || t->block == NULL || t->index == NULL) {
        return false;
    }
    for (int s = 0; s < 2; s++) {
        t->cell[s] = bp_arena_take(arena, count, sizeof *t->cell[s]);
        t->value[s] = bp_arena_doubles(arena, count);
        if (t->cell[s] == NULL || t->value[s] == NULL) {
            return false;
        }
    }
    t->source = bp_arena_take(arena, count, sizeof *t->source);
    t->plain = bp_arena_take(arena, count, sizeof *t->plain);
    t->log = bp_arena_take(arena, count, sizeof *t->log);
    return t->source != NULL && t->plain != NULL && t->log != NULL;
}

static void number_lifter_and_block(struct bp_compare_table *t, size_t i)
{
    size_t before = lifter_before(t, i);
    t->lifter[i] = before < i ? t->lifter[before] : t->lifter_count++;
    before = block_before(t, i);
    t->block[i] = before < i ? t->block[before] : t->block_count++;
}

enum bp_code bp_compare_tabulate(const struct bp_observation *observations, size_t count,
                                 struct bp_arena *arena, struct bp_compare_table *table,
                                 struct bp_compare_result *result, struct bp_error *error)
{
    enum bp_compare_scale scale = result->figure.scale;
    bool logs = true;
    *table = (struct bp_compare_table){.observations = observations};
    if (!take_arrays(table, count, arena)) {
        return bp_error_set(error, BP_ERR_MEMORY, "there is not enough memory to compare them");
    }
    for (size_t i = 0; i < count; i++) {
        const struct bp_observation *o = &observations[i];
        size_t at = table->count;
        enum bp_code code = number_group(o, result, &table->group[at], error);
        if (code != BP_OK) {
            return code;
        }
        bool log_known = set_point(o, BP_SCALE_RATIO, &table->log[at]);
        if (!set_point(o, BP_SCALE_DIFFERENCE, &table->plain[at]) ||
            (scale == BP_SCALE_RATIO && !log_known)) {
            result->skipped++;
            continue;
        }
        logs = logs && log_known;
        table->source[at] = i;
        number_lifter_and_block(table, at);
        table->count++;
    }
    table->group_count = result->group_count;
    table->log = logs ? table->log : NULL;
    count_groups(table, result);
    return BP_OK;
}

/* ---- the design of one pair ---- */

/* Cells of both groups by block or by lifter: how many are in both, which is the last, how many sets there.
 */
struct overlap {
    size_t both, last, sets[2];
};

static struct overlap overlap_of(struct bp_compare_table *t, const size_t *key, size_t keys,
                                 const size_t groups[2])
{
    struct overlap o = {0, SIZE_MAX, {0, 0}};
    for (int s = 0; s < 2; s++) {
        memset(t->cell[s], 0, keys * sizeof *t->cell[s]);
    }
    for (size_t i = 0; i < t->count; i++) {
        for (int s = 0; s < 2; s++) {
            t->cell[s][key[i]].sets += t->group[i] == groups[s];
        }
    }
    for (size_t k = 0; k < keys; k++) {
        if (t->cell[0][k].sets > 0 && t->cell[1][k].sets > 0) {
            o.both++;
            o.last = k;
            o.sets[0] = t->cell[0][k].sets;
            o.sets[1] = t->cell[1][k].sets;
        }
    }
    return o;
}

/* Days of one lifter on the side that has fewer. */
static size_t fewest_days(struct bp_compare_table *t, size_t lifter, const size_t groups[2])
{
    size_t days[2] = {0, 0};
    for (int s = 0; s < 2; s++) {
        memset(t->cell[s], 0, t->block_count * sizeof *t->cell[s]);
        for (size_t i = 0; i < t->count; i++) {
            if (t->group[i] == groups[s] && t->lifter[i] == lifter) {
                days[s] += t->cell[s][t->block[i]].sets++ == 0;
            }
        }
    }
    return days[0] < days[1] ? days[0] : days[1];
}

static struct bp_design setup_design(struct bp_compare_table *t, const struct bp_compare_figure *figure,
                                     const size_t groups[2])
{
    bool lone = figure->scatter_df > 0.0 || figure->error_in_common; /* one unit a side is enough */
    struct overlap day = overlap_of(t, t->block, t->block_count, groups);
    if (day.both >= 2) {
        return (struct bp_design){BP_UNIT_DAY, true, SIZE_MAX, SIZE_MAX, true};
    }
    struct overlap lifter = overlap_of(t, t->lifter, t->lifter_count, groups);
    size_t fewer = day.sets[0] < day.sets[1] ? day.sets[0] : day.sets[1];
    bool enough = day.both == 1 && (lone || fewer >= 2);
    /* One day with both against many days apart: whichever has more units. */
    if (enough && (lifter.both > 1 || fewer >= fewest_days(t, lifter.last, groups))) {
        return (struct bp_design){BP_UNIT_SET, false, day.last, SIZE_MAX, true};
    }
    if (lifter.both == 1) {
        return (struct bp_design){BP_UNIT_DAY, false, SIZE_MAX, lifter.last, true};
    }
    if (lifter.both >= 2) {
        return (struct bp_design){BP_UNIT_LIFTER, true, SIZE_MAX, SIZE_MAX, true};
    }
    return (struct bp_design){BP_UNIT_LIFTER, false, SIZE_MAX, SIZE_MAX, false};
}

struct bp_design bp_compare_design(struct bp_compare_table *table, const struct bp_compare_result *result,
                                   size_t first, size_t second)
{
    size_t groups[2] = {first, second};
    if (result->groups[first].sets == 0 || result->groups[second].sets == 0) {
        return (struct bp_design){BP_UNIT_NONE, false, SIZE_MAX, SIZE_MAX, false};
    }
    switch (result->settings.by) {
    case BP_BY_LIFTER:
        return (struct bp_design){BP_UNIT_DAY, false, SIZE_MAX, SIZE_MAX, true};
    case BP_BY_SESSION:
        return (struct bp_design){BP_UNIT_SET, false, SIZE_MAX, SIZE_MAX, true};
    default:
        return setup_design(table, &result->figure, groups);
    }
}
