/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How groups differ as JSON, schema "barplumb.compare/1": docs/json.md. Keys are added, never renamed.
 */
#include "report/figures.h"
#include "report_block/parts.h"

static void put_groups(struct bp_json *json, const struct bp_survey_comparison *c)
{
    bp_json_open(json, "groups", '[');
    for (size_t g = 0; g < c->group_count; g++) {
        const struct bp_survey_group *group = &c->groups[g];
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "name", group->name);
        bp_json_count(json, "sets", group->sets);
        bp_json_count(json, "days", group->days);
        bp_json_count(json, "lifters", group->lifters);
        bp_json_count(json, "reps", group->reps);
        bp_json_number(json, "load_low_kg", group->load_low_kg, BP_KG_DECIMALS);
        bp_json_number(json, "load_high_kg", group->load_high_kg, BP_KG_DECIMALS);
        bp_block_put_text(json, "matched", bp_report_matched_name(group->matched));
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
}

static void put_pairs(struct bp_json *json, const struct bp_survey_comparison *c)
{
    bp_json_open(json, "pairs", '[');
    for (size_t p = 0; p < c->pair_count; p++) {
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "first", c->groups[c->pairs[p].first].name);
        bp_json_string(json, "second", c->groups[c->pairs[p].second].name);
        bp_json_string(json, "loads", bp_survey_loads_name(c->pairs[p].loads));
        bp_json_string(json, "sentence", c->pairs[p].sentence);
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
}

static void put_cautions(struct bp_json *json, const struct bp_survey_comparison *c)
{
    bp_json_open(json, "cautions", '[');
    for (size_t i = 0; i < c->caution_count; i++) {
        bp_json_string(json, NULL, c->cautions[i]);
    }
    bp_json_close(json, ']');
}

static void put_two(struct bp_json *json, const char *key, const size_t *counts)
{
    bp_json_open(json, key, '[');
    bp_json_count(json, NULL, counts[0]);
    bp_json_count(json, NULL, counts[1]);
    bp_json_close(json, ']');
}

static void put_contrast(struct bp_json *json, const struct bp_survey_figure *figure, size_t at)
{
    const struct bp_compare_pair *pair = &figure->result.pairs[at];
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "first", figure->result.groups[pair->first].name);
    bp_json_string(json, "second", figure->result.groups[pair->second].name);
    bp_json_string(json, "verdict", bp_compare_verdict_name(pair->verdict));
    bp_json_bool(json, "small", pair->small);
    bp_block_put_text(json, "reason", bp_compare_reason_name(pair->reason));
    bp_block_put_text(json, "unit", bp_compare_unit_name(pair->unit));
    bp_json_bool(json, "paired", pair->paired);
    put_two(json, "units", pair->units);
    put_two(json, "sets", pair->sets);
    bp_json_count(json, "left_out", pair->left_out);
    bp_json_quantity(json, "difference", pair->difference, BP_COMPARE_DECIMALS);
    bp_json_quantity(json, "difference_all", pair->difference_all, BP_COMPARE_DECIMALS);
    bp_json_quantity(json, "ratio", pair->ratio, BP_COMPARE_DECIMALS);
    bp_json_quantity(json, "ratio_all", pair->ratio_all, BP_COMPARE_DECIMALS);
    bp_json_number(json, "df", pair->df, 2);
    bp_json_number(json, "p", pair->p, BP_SHARE_DECIMALS);
    bp_json_number(json, "holm_p", pair->holm_p, BP_SHARE_DECIMALS);
    bp_json_number(json, "permutation_p", pair->permutation_p, BP_SHARE_DECIMALS);
    bp_json_number(json, "chance_more", pair->chance_more, BP_SHARE_DECIMALS);
    bp_json_quantity(json, "effect", pair->effect, 3);
    bp_json_count(json, "more_as_seen", pair->more_as_seen);
    bp_json_count(json, "more_for_worth", pair->more_for_worth);
    bp_json_string(json, "sentence", figure->sentences[at]);
    bp_json_close(json, '}');
}

static void put_means(struct bp_json *json, const struct bp_compare_result *result)
{
    bp_json_open(json, "groups", '[');
    for (size_t g = 0; g < result->group_count; g++) {
        const struct bp_compare_group *group = &result->groups[g];
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "name", group->name);
        bp_json_number(json, "mean", group->mean, BP_COMPARE_DECIMALS);
        bp_json_count(json, "sets", group->sets);
        bp_json_count(json, "days", group->days);
        bp_json_count(json, "reps", group->reps);
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
}

static void put_scatter(struct bp_json *json, const struct bp_compare_scatter *scatter)
{
    bp_json_open(json, "scatter", '{');
    bp_json_number(json, "rep_to_rep", scatter->rep_to_rep, BP_COMPARE_DECIMALS);
    bp_json_number(json, "set_to_set", scatter->set_to_set, BP_COMPARE_DECIMALS);
    bp_json_number(json, "measurement", scatter->measurement, BP_COMPARE_DECIMALS);
    bp_json_close(json, '}');
}

static void put_figure(struct bp_json *json, const struct bp_survey_figure *figure)
{
    const struct bp_compare_figure *about = &figure->result.figure;
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "name", figure->key);
    bp_json_string(json, "words", figure->words);
    bp_json_string(json, "unit", about->unit);
    bp_json_count(json, "decimals", (size_t)about->decimals);
    bp_json_string(json, "scale", about->scale == BP_SCALE_RATIO ? "ratio" : "difference");
    bp_json_number(json, "worth", about->worth > 0 ? about->worth : (double)NAN, 3);
    put_means(json, &figure->result);
    bp_json_open(json, "pairs", '[');
    for (size_t p = 0; p < figure->result.pair_count; p++) {
        put_contrast(json, figure, p);
    }
    bp_json_close(json, ']');
    put_scatter(json, &figure->result.scatter);
    bp_json_close(json, '}');
}

static void put_comparison(struct bp_json *json, const struct bp_survey_comparison *c)
{
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "lift", bp_lift_facts(c->lift)->name);
    bp_block_put_text(json, "setup", c->setup);
    bp_block_put_text(json, "lifter", c->lifter);
    bp_json_count(json, "sets", c->sets);
    put_groups(json, c);
    put_pairs(json, c);
    put_cautions(json, c);
    bp_json_open(json, "figures", '[');
    for (size_t f = 0; f < c->figure_count; f++) {
        put_figure(json, &c->figures[f]);
    }
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

void bp_report_compare_json(const struct bp_survey *survey, bool indent, struct bp_text *out)
{
    struct bp_json json;
    double level = survey->settings.compare.level;
    bp_json_init(&json, indent, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "schema", BP_COMPARE_SCHEMA);
    bp_json_string(&json, "by", bp_block_by_name(survey->settings.compare.by));
    bp_json_number(&json, "level", level > 0 ? level : bp_compare_defaults.level, 3);
    bp_json_count(&json, "sets", survey->measured);
    bp_json_count(&json, "failed", survey->failed);
    bp_json_open(&json, "comparisons", '[');
    for (size_t c = 0; c < survey->comparison_count; c++) {
        put_comparison(&json, &survey->comparisons[c]);
    }
    bp_json_close(&json, ']');
    bp_json_close(&json, '}');
}
