/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a survey found as JSON, schema "barplumb.block/1": docs/json.md. The pages draw from it.
 */
#include "report_block/parts.h"

#include <string.h>

struct work {
    const struct bp_survey *survey;
    const char *lifter; /* NULL: all */
    struct bp_json *json;
};

static bool is_wanted(const struct work *w, const char *lifter)
{
    return w->lifter == NULL || strcmp(w->lifter, lifter) == 0;
}

static const struct bp_block_set *set_at(const struct work *w, size_t i)
{
    return &w->survey->block->sets[i];
}

/* ---- counts ---- */

struct counts {
    size_t chosen, measured, failed, waiting, reps, targets[BP_TARGET_COUNT];
};

static struct counts count_sets(const struct work *w)
{
    struct counts counts = {0};
    for (size_t i = 0; i < w->survey->block->count; i++) {
        const struct bp_block_set *set = set_at(w, i);
        if (set->state == BP_BLOCK_LEFT_OUT || !is_wanted(w, set->row->lifter)) {
            continue;
        }
        counts.chosen++;
        counts.failed += set->state == BP_BLOCK_FAILED;
        counts.waiting += set->state == BP_BLOCK_WAITING;
        if (bp_survey_has(set)) {
            counts.measured++;
            counts.reps += set->summary.set.reps;
            counts
                .targets[bp_survey_judge_target(set->summary.set.mean_velocity_m_s, set->row->target_m_s)]++;
        }
    }
    return counts;
}

static void put_counts(const struct work *w)
{
    struct counts counts = count_sets(w);
    bp_json_open(w->json, "counts", '{');
    bp_json_count(w->json, "sets", counts.chosen);
    bp_json_count(w->json, "measured", counts.measured);
    bp_json_count(w->json, "failed", counts.failed);
    bp_json_count(w->json, "waiting", counts.waiting);
    bp_json_count(w->json, "reps", counts.reps);
    bp_json_open(w->json, "target", '{');
    for (int t = BP_TARGET_NONE; t < BP_TARGET_COUNT; t++) {
        bp_json_count(w->json, bp_survey_target_name((enum bp_survey_target)t), counts.targets[t]);
    }
    bp_json_close(w->json, '}');
    bp_json_close(w->json, '}');
}

/* ---- series ---- */

static void put_point(struct bp_json *json, const struct bp_survey_point *point)
{
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "date", point->date);
    bp_json_number(json, "day", (double)point->day, 0);
    bp_json_count(json, "sets", point->sets);
    bp_json_quantity(json, "figure", point->figure, BP_COMPARE_DECIMALS);
    bp_json_close(json, '}');
}

static void put_trend(struct bp_json *json, const struct bp_survey_trend *trend)
{
    const struct bp_survey_subject_facts *facts = bp_survey_subject_facts(trend->subject);
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "subject", facts->key);
    bp_json_string(json, "words", facts->words);
    bp_json_string(json, "unit", facts->unit);
    bp_json_count(json, "decimals", (size_t)facts->decimals);
    bp_json_number(json, "load_kg", trend->load_kg, BP_KG_DECIMALS);
    bp_json_string(json, "verdict", bp_survey_verdict_name(trend->verdict));
    bp_json_quantity(json, "per_week", trend->per_week, BP_COMPARE_DECIMALS);
    bp_json_quantity(json, "first", trend->first, BP_COMPARE_DECIMALS);
    bp_json_quantity(json, "last", trend->last, BP_COMPARE_DECIMALS);
    bp_json_string(json, "sentence", trend->sentence);
    bp_json_open(json, "points", '[');
    for (size_t i = 0; i < trend->count; i++) {
        put_point(json, &trend->points[i]);
    }
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

static void put_best(const struct work *w, const char *key, size_t set, struct bp_quantity load)
{
    if (set == SIZE_MAX) {
        bp_json_null(w->json, key);
        return;
    }
    bp_json_open(w->json, key, '{');
    bp_json_string(w->json, "id", set_at(w, set)->id);
    bp_block_put_text(w->json, "date", set_at(w, set)->row->date);
    bp_json_quantity(w->json, "best_velocity_m_s", set_at(w, set)->summary.set.best_velocity_m_s,
                     BP_SPEED_DECIMALS);
    if (bp_quantity_known(load)) {
        bp_json_quantity(w->json, "load_kg", load, BP_KG_DECIMALS);
    } else {
        bp_json_null(w->json, "load_kg");
    }
    bp_json_close(w->json, '}');
}

static void put_series(const struct work *w, const struct bp_survey_series *series)
{
    bp_json_open(w->json, NULL, '{');
    bp_json_string(w->json, "lifter", series->lifter);
    bp_json_string(w->json, "lift", bp_lift_facts(series->lift)->name);
    bp_json_string(w->json, "setup", series->setup);
    bp_json_count(w->json, "sets", series->set_count);
    bp_json_count(w->json, "undated", series->undated);
    bp_json_number(w->json, "load_low_kg", series->load_low_kg, BP_KG_DECIMALS);
    bp_json_number(w->json, "load_high_kg", series->load_high_kg, BP_KG_DECIMALS);
    put_best(w, "fastest", series->fastest,
             series->fastest != SIZE_MAX ? set_at(w, series->fastest)->summary.set.load_lockout_kg
                                         : bp_quantity_unknown());
    put_best(w, "heaviest", series->heaviest, series->heaviest_kg);
    bp_json_open(w->json, "trends", '[');
    for (size_t t = 0; t < series->trend_count; t++) {
        put_trend(w->json, &series->trends[t]);
    }
    bp_json_close(w->json, ']');
    bp_json_close(w->json, '}');
}

/* ---- sets ---- */

static void put_row(struct bp_json *json, const struct bp_block_set *set)
{
    const struct bp_sheet_row *row = set->row;
    bp_json_string(json, "id", set->id);
    bp_block_put_text(json, "date", row->date);
    bp_json_string(json, "lifter", row->lifter);
    bp_json_string(json, "lift", bp_lift_facts(row->lift)->name);
    bp_json_string(json, "setup", row->setup);
    bp_json_string(json, "log", row->log);
    bp_block_put_text(json, "notes", row->notes);
}

static void put_reservations(struct bp_json *json, const struct bp_findings *findings)
{
    bp_json_open(json, "reservations", '[');
    for (size_t i = 0; i < findings->count; i++) {
        if (findings->list[i].severity == BP_RESERVATION) {
            bp_json_string(json, NULL, findings->list[i].text);
        }
    }
    bp_json_close(json, ']');
}

static void put_set(struct bp_json *json, const struct bp_block_set *set)
{
    const struct bp_set_figures *figures = &set->summary.set;
    bp_json_open(json, NULL, '{');
    put_row(json, set);
    bp_json_count(json, "reps", figures->reps);
    bp_json_count(json, "missed", figures->missed);
    bp_json_quantity(json, "load_lockout_kg", figures->load_lockout_kg, BP_KG_DECIMALS);
    bp_json_quantity(json, "mean_velocity_m_s", figures->mean_velocity_m_s, BP_SPEED_DECIMALS);
    bp_json_quantity(json, "best_velocity_m_s", figures->best_velocity_m_s, BP_SPEED_DECIMALS);
    bp_json_quantity(json, "velocity_loss_pct", figures->velocity_loss_pct, 2);
    bp_json_quantity(json, "shake_mm", figures->shake_mm, 3);
    bp_json_bool(json, "shake_apparent", set->summary.log.shake_apparent);
    bp_json_number(json, "target_m_s", set->row->target_m_s, BP_SPEED_DECIMALS);
    bp_json_string(
        json, "target",
        bp_survey_target_name(bp_survey_judge_target(figures->mean_velocity_m_s, set->row->target_m_s)));
    put_reservations(json, &set->summary.findings);
    bp_json_close(json, '}');
}

/* Sets in the order of the sheet: measured ones, or those that could not be. */
static void put_sets(const struct work *w, const char *key, bool failed)
{
    bp_json_open(w->json, key, '[');
    for (size_t i = 0; i < w->survey->block->count; i++) {
        const struct bp_block_set *set = set_at(w, i);
        if (!is_wanted(w, set->row->lifter)) {
            continue;
        }
        if (failed && set->state == BP_BLOCK_FAILED) {
            bp_json_open(w->json, NULL, '{');
            put_row(w->json, set);
            bp_json_string(w->json, "text", set->error.text);
            bp_json_close(w->json, '}');
        } else if (!failed && bp_survey_has(set)) {
            put_set(w->json, set);
        }
    }
    bp_json_close(w->json, ']');
}

/* ---- comparisons, in words ---- */

static void put_pair(struct bp_json *json, const struct bp_survey_comparison *c, size_t p)
{
    size_t untold = 0;
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "first", c->groups[c->pairs[p].first].name);
    bp_json_string(json, "second", c->groups[c->pairs[p].second].name);
    bp_json_string(json, "loads", bp_survey_loads_name(c->pairs[p].loads));
    bp_json_string(json, "loads_sentence", c->pairs[p].sentence);
    bp_json_open(json, "sentences", '[');
    for (size_t f = 0; f < c->figure_count; f++) {
        if (c->figures[f].result.figure.where != NULL) {
            continue; /* loads have had theirs */
        }
        if (c->figures[f].result.pairs[p].verdict == BP_CANNOT_TELL) {
            untold++;
        } else {
            bp_json_string(json, NULL, c->figures[f].sentences[p]);
        }
    }
    bp_json_close(json, ']');
    bp_json_count(json, "untold", untold);
    bp_json_close(json, '}');
}

static void put_comparisons(const struct work *w)
{
    bp_json_open(w->json, "comparisons", '[');
    for (size_t i = 0; i < w->survey->comparison_count; i++) {
        const struct bp_survey_comparison *c = &w->survey->comparisons[i];
        if (w->lifter != NULL && (c->lifter == NULL || strcmp(c->lifter, w->lifter) != 0)) {
            continue;
        }
        bp_json_open(w->json, NULL, '{');
        bp_json_string(w->json, "lift", bp_lift_facts(c->lift)->name);
        bp_block_put_text(w->json, "setup", c->setup);
        bp_block_put_text(w->json, "lifter", c->lifter);
        bp_json_open(w->json, "pairs", '[');
        for (size_t p = 0; p < c->pair_count; p++) {
            put_pair(w->json, c, p);
        }
        bp_json_close(w->json, ']');
        bp_json_close(w->json, '}');
    }
    bp_json_close(w->json, ']');
}

void bp_report_block_json(const struct bp_survey *survey, const char *lifter, bool indent,
                          struct bp_text *out)
{
    struct bp_json json;
    struct work w = {survey, lifter, &json};
    bp_json_init(&json, indent, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "schema", BP_BLOCK_SCHEMA);
    bp_json_string(&json, "by", bp_block_by_name(survey->settings.compare.by));
    put_counts(&w);
    bp_json_open(&json, "lifters", '[');
    for (size_t l = 0; l < survey->lifter_count; l++) {
        if (is_wanted(&w, survey->lifters[l])) {
            bp_json_string(&json, NULL, survey->lifters[l]);
        }
    }
    bp_json_close(&json, ']');
    bp_json_open(&json, "series", '[');
    for (size_t s = 0; s < survey->series_count; s++) {
        if (is_wanted(&w, survey->series[s].lifter)) {
            put_series(&w, &survey->series[s]);
        }
    }
    bp_json_close(&json, ']');
    put_sets(&w, "sets", false);
    put_sets(&w, "failed", true);
    put_comparisons(&w);
    bp_json_close(&json, '}');
}
