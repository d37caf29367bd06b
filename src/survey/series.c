/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sets of one lifter, lift and setup: their days, loads, bests and trends.
 */
#include "survey/parts.h"

#include <stdlib.h>
#include <string.h>

/* Two sets are at one load when they weigh the same at bottom and lockout within this; ours. Chains and bands
 * come out a little different from set to set, as the bar is not always as high. */
#define SAME_LOAD_KG 0.5
#define SAME_LOAD_SHARE 0.01
enum { DAYS_A_WEEK = 7, LOADS_MAX = 64 /* past any series: a load a kilogram from 40 to 100 */ };

struct work {
    const struct bp_survey *survey;
    struct bp_arena *arena;
    struct bp_survey_series *series;
    struct bp_quantity *figures;    /* [set_count] of one day */
    struct bp_survey_point *points; /* [set_count] of the trend in hand */
};

static const struct bp_block_set *set_at(const struct work *w, size_t i)
{
    return &w->survey->block->sets[w->series->sets[i]];
}

/* ---- one figure of one set ---- */

static struct bp_quantity figure_of(const struct bp_summary *summary, enum bp_survey_subject subject)
{
    switch (subject) {
    case BP_TREND_SPEED:
        return summary->set.mean_velocity_m_s;
    case BP_TREND_BEST:
        return summary->set.best_velocity_m_s;
    case BP_TREND_SHAKE:
        return summary->set.shake_mm;
    case BP_TREND_STICKING_HEIGHT:
        return survey_sticking_height(summary);
    case BP_TREND_STICKING_DEPTH:
        return survey_sticking_depth(summary);
    case BP_TREND_LOSS:
        return summary->set.velocity_loss_pct;
    default:
        return bp_quantity_unknown();
    }
}

static struct bp_quantity best_of(const struct bp_quantity *list, size_t count)
{
    struct bp_quantity best = bp_quantity_unknown();
    for (size_t i = 0; i < count; i++) {
        if (bp_quantity_known(list[i]) && !(best.value >= list[i].value)) {
            best = list[i];
        }
    }
    return best;
}

/* ---- points ---- */

static double sd_of(struct bp_quantity q)
{
    return (q.high - q.low) / 2.0 / SURVEY_HALF_IN_SD;
}

static bool is_near(double a, double b)
{
    if (isnan(a) || isnan(b)) {
        return isnan(a) && isnan(b);
    }
    return fabs(a - b) <= fmax(SAME_LOAD_KG, SAME_LOAD_SHARE * fmax(a, b));
}

static bool is_one_load(const struct bp_set_figures *a, const struct bp_set_figures *b)
{
    return is_near(a->load_lockout_kg.value, b->load_lockout_kg.value) &&
           is_near(a->load_bottom_kg.value, b->load_bottom_kg.value);
}

static bool is_dated(const struct work *w, size_t i)
{
    return i < w->series->set_count && set_at(w, i)->row->dated;
}

/* Days in order, each with the sets that are like `like` (NULL: all). */
static void make_days(struct work *w, struct bp_survey_trend *trend, const struct bp_set_figures *like)
{
    for (size_t i = 0; is_dated(w, i);) {
        const struct bp_sheet_row *row = set_at(w, i)->row;
        long day = row->day;
        size_t count = 0;
        for (; is_dated(w, i) && set_at(w, i)->row->day == day; i++) {
            const struct bp_summary *summary = &set_at(w, i)->summary;
            struct bp_quantity figure = figure_of(summary, trend->subject);
            if (bp_quantity_known(figure) && (like == NULL || is_one_load(like, &summary->set))) {
                w->figures[count++] = figure;
            }
        }
        if (count > 0) {
            struct bp_quantity figure =
                trend->subject == BP_TREND_BEST ? best_of(w->figures, count) : survey_mean(w->figures, count);
            w->points[trend->count++] =
                (struct bp_survey_point){day, row->date, count, figure, sd_of(figure)};
        }
    }
}

/* The estimate of a week's sets; unknown where they do not give one. sd: as if the minimal velocity, the same
 * in every week, were exact. */
static struct bp_survey_point maximum_of(const struct work *w, size_t from, size_t to)
{
    struct bp_strength_settings settings = bp_strength_defaults;
    struct bp_strength_set sets[BP_LINE_POINTS_MAX];
    struct bp_strength_profile profile;
    struct bp_survey_point point = {.figure = bp_quantity_unknown(), .sd = (double)NAN};
    for (size_t i = from; i < to && point.sets < BP_LINE_POINTS_MAX; i++) {
        const struct bp_summary *summary = &set_at(w, i)->summary;
        struct bp_quantity load = survey_load_of_best(summary);
        if (load.value > 0 && summary->set.best_velocity_m_s.value > 0) {
            sets[point.sets++] = (struct bp_strength_set){
                .lift = w->series->lift, .load_kg = load, .velocity_m_s = summary->set.best_velocity_m_s};
        }
    }
    if (w->survey->settings.strength != NULL) {
        settings = *w->survey->settings.strength;
    }
    if (point.sets > 0 && bp_strength_profile_fit(sets, point.sets, &settings, &profile, NULL) == BP_OK) {
        point.figure = profile.one_rep_max_kg;
        settings.minimal_m_s = bp_quantity_plain(profile.minimal_m_s.value);
        if (bp_strength_profile_fit(sets, point.sets, &settings, &profile, NULL) == BP_OK) {
            point.sd = sd_of(profile.one_rep_max_kg);
        }
    }
    return point;
}

/* Weeks of seven days, counted from the series' first day. */
static void make_weeks(struct work *w, struct bp_survey_trend *trend)
{
    for (size_t i = 0; is_dated(w, i);) {
        long first = set_at(w, 0)->row->day, day = set_at(w, i)->row->day, week = (day - first) / DAYS_A_WEEK;
        size_t from = i;
        while (is_dated(w, i) && (set_at(w, i)->row->day - first) / DAYS_A_WEEK == week) {
            i++;
        }
        struct bp_survey_point point = maximum_of(w, from, i);
        point.day = day;
        point.date = set_at(w, from)->row->date;
        if (bp_quantity_known(point.figure)) {
            w->points[trend->count++] = point;
        }
    }
}

/* ---- trends ---- */

static const struct bp_set_figures *figures_at(const struct work *w, size_t i)
{
    return &set_at(w, i)->summary.set;
}

static bool is_lighter(const struct bp_set_figures *a, const struct bp_set_figures *b)
{
    double load = a->load_lockout_kg.value, other = b->load_lockout_kg.value;
    return load < other || (isnan(other) && !isnan(load));
}

/* The first set of each load, lightest first; loads not known last. Returns their number, at most LOADS_MAX.
 */
static size_t find_loads(const struct work *w, size_t *loads)
{
    size_t count = 0;
    for (size_t i = 0; is_dated(w, i) && count < LOADS_MAX; i++) {
        bool known = false;
        for (size_t k = 0; k < count && !known; k++) {
            known = is_one_load(figures_at(w, loads[k]), figures_at(w, i));
        }
        size_t at = count;
        while (!known && at > 0 && is_lighter(figures_at(w, i), figures_at(w, loads[at - 1]))) {
            loads[at] = loads[at - 1];
            at--;
        }
        if (!known) {
            loads[at] = i;
            count++;
        }
    }
    return count;
}

static struct bp_survey_trend *add_trend(struct work *w, enum bp_survey_subject subject, double load_kg)
{
    struct bp_survey_trend *trend = &w->series->trends[w->series->trend_count];
    *trend = (struct bp_survey_trend){.subject = subject, .load_kg = load_kg};
    return trend;
}

/* With the points it has, out of those of the work; without one it is none. */
static bool keep_trend(struct work *w, struct bp_survey_trend *trend)
{
    if (trend->count == 0) {
        return true;
    }
    trend->points = bp_arena_take(w->arena, trend->count, sizeof *trend->points);
    if (trend->points == NULL) {
        return false;
    }
    memcpy(trend->points, w->points, trend->count * sizeof *trend->points);
    w->series->trend_count++;
    return survey_judge_trend(trend, w->arena);
}

static bool make_trends(struct work *w)
{
    size_t loads[LOADS_MAX], count = find_loads(w, loads);
    w->series->trends = bp_arena_zero(w->arena, 2 * count + BP_TREND_COUNT, sizeof *w->series->trends);
    if (w->series->trends == NULL) {
        return false;
    }
    for (size_t k = 0; k < count; k++) {
        const struct bp_set_figures *like = figures_at(w, loads[k]);
        for (int subject = BP_TREND_SPEED; subject <= BP_TREND_BEST; subject++) {
            struct bp_survey_trend *trend =
                add_trend(w, (enum bp_survey_subject)subject, like->load_lockout_kg.value);
            make_days(w, trend, like);
            if (!keep_trend(w, trend)) {
                return false;
            }
        }
    }
    for (int subject = BP_TREND_SHAKE; subject < BP_TREND_COUNT; subject++) {
        struct bp_survey_trend *trend = add_trend(w, (enum bp_survey_subject)subject, (double)NAN);
        if (subject == BP_TREND_MAXIMUM) {
            make_weeks(w, trend);
        } else {
            make_days(w, trend, NULL);
        }
        if (!keep_trend(w, trend)) {
            return false;
        }
    }
    return true;
}

static void find_bests(struct work *w)
{
    struct bp_survey_series *s = w->series;
    double fastest = (double)NAN;
    s->fastest = s->heaviest = SIZE_MAX;
    s->heaviest_kg = bp_quantity_unknown();
    for (size_t i = 0; i < s->set_count; i++) {
        const struct bp_summary *summary = &set_at(w, i)->summary;
        struct bp_quantity best = summary->set.best_velocity_m_s, load = survey_load_of_best(summary);
        s->undated += !set_at(w, i)->row->dated;
        if (bp_quantity_known(best) && !(fastest >= best.value)) {
            fastest = best.value;
            s->fastest = s->sets[i];
        }
        if (bp_quantity_known(load) && summary->set.reps > 0 && !(s->heaviest_kg.value >= load.value)) {
            s->heaviest_kg = load;
            s->heaviest = s->sets[i];
        }
    }
}

/* ---- series ---- */

static bool belongs(const struct bp_survey_series *series, const struct bp_sheet_row *row)
{
    return series->lift == row->lift && strcmp(series->lifter, row->lifter) == 0 &&
           strcmp(series->setup, row->setup) == 0;
}

static bool is_taken(const struct bp_survey *survey, const struct bp_sheet_row *row)
{
    for (size_t s = 0; s < survey->series_count; s++) {
        if (belongs(&survey->series[s], row)) {
            return true;
        }
    }
    return false;
}

static size_t find_sets(const struct work *w, const size_t *order, size_t count, size_t *sets)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++) {
        if (belongs(w->series, w->survey->block->sets[order[i]].row)) {
            if (sets != NULL) {
                sets[found] = order[i];
            }
            found++;
        }
    }
    return found;
}

static bool make_series(struct work *w, const struct bp_sheet_row *like, const size_t *order, size_t count)
{
    struct bp_survey_series *s = w->series;
    *s = (struct bp_survey_series){.lifter = like->lifter, .setup = like->setup, .lift = like->lift};
    s->set_count = find_sets(w, order, count, NULL);
    size_t *sets = bp_arena_take(w->arena, s->set_count, sizeof *sets);
    w->figures = bp_arena_take(w->arena, s->set_count, sizeof *w->figures);
    w->points = bp_arena_take(w->arena, s->set_count, sizeof *w->points);
    if (sets == NULL || w->figures == NULL || w->points == NULL) {
        return false;
    }
    find_sets(w, order, count, sets);
    s->sets = sets;
    survey_load_span(w->survey->block, sets, s->set_count, &s->load_low_kg, &s->load_high_kg);
    find_bests(w);
    return make_trends(w);
}

/* One lifter's together, in the order in which they first appear. */
enum bp_code survey_find_series(struct bp_survey *survey, const size_t *order, size_t count,
                                struct bp_arena *arena, struct bp_error *error)
{
    survey->series = bp_arena_zero(arena, count + 1, sizeof *survey->series);
    if (survey->series == NULL) {
        return survey_no_memory(error);
    }
    for (size_t l = 0; l < survey->lifter_count; l++) {
        for (size_t i = 0; i < count; i++) {
            const struct bp_sheet_row *row = survey->block->sets[order[i]].row;
            struct work w = {survey, arena, &survey->series[survey->series_count], NULL, NULL};
            if (strcmp(row->lifter, survey->lifters[l]) != 0 || is_taken(survey, row)) {
                continue;
            }
            if (!make_series(&w, row, order, count)) {
                return survey_no_memory(error);
            }
            survey->series_count++;
        }
    }
    return BP_OK;
}
