/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How groups differ as CSV: a row a figure and pair, with what JSON says of them, flat.
 */
#include "report/cells.h"
#include "report_block/parts.h"

static const char *const names[] = {
    "lift",        "setup",      "lifter",      "by",       "first",      "second",      "loads",
    "figure",      "words",      "unit",        "scale",    "first_mean", "second_mean", "first_sets",
    "second_sets", "first_days", "second_days", "compared", "paired",     "first_units", "second_units"};
static const char *const quantities[] = {"difference", "difference_all", "ratio", "ratio_all", "effect"};
static const char *const last_names[] = {"verdict",        "small",         "reason",      "p",
                                         "holm_p",         "permutation_p", "chance_more", "more_as_seen",
                                         "more_for_worth", "sentence"};

void bp_report_compare_csv_header(struct bp_text *out)
{
    struct bp_cells row = {out, false};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        bp_cells_name(&row, "", names[i], "");
    }
    for (size_t i = 0; i < sizeof quantities / sizeof *quantities; i++) {
        bp_cells_name(&row, "", quantities[i], "");
        bp_cells_name(&row, quantities[i], "_low", "");
        bp_cells_name(&row, quantities[i], "_high", "");
    }
    for (size_t i = 0; i < sizeof last_names / sizeof *last_names; i++) {
        bp_cells_name(&row, "", last_names[i], "");
    }
    bp_text_put_char(out, '\n');
}

static void put_sides(struct bp_cells *row, const struct bp_compare_result *result,
                      const struct bp_compare_pair *pair)
{
    const struct bp_compare_group *first = &result->groups[pair->first];
    const struct bp_compare_group *second = &result->groups[pair->second];
    bp_cells_number(row, first->mean, BP_COMPARE_DECIMALS);
    bp_cells_number(row, second->mean, BP_COMPARE_DECIMALS);
    bp_cells_count(row, first->sets);
    bp_cells_count(row, second->sets);
    bp_cells_count(row, first->days);
    bp_cells_count(row, second->days);
    bp_cells_text(row, bp_compare_unit_name(pair->unit));
    bp_cells_text(row, pair->paired ? "true" : "false");
    bp_cells_count(row, pair->units[0]);
    bp_cells_count(row, pair->units[1]);
}

static void put_contrast(struct bp_cells *row, const struct bp_compare_pair *pair)
{
    bp_cells_quantity(row, pair->difference, BP_COMPARE_DECIMALS);
    bp_cells_quantity(row, pair->difference_all, BP_COMPARE_DECIMALS);
    bp_cells_quantity(row, pair->ratio, BP_COMPARE_DECIMALS);
    bp_cells_quantity(row, pair->ratio_all, BP_COMPARE_DECIMALS);
    bp_cells_quantity(row, pair->effect, 3);
    bp_cells_text(row, bp_compare_verdict_name(pair->verdict));
    bp_cells_text(row, pair->small ? "true" : "false");
    bp_cells_text(row, bp_compare_reason_name(pair->reason));
    bp_cells_number(row, pair->p, BP_SHARE_DECIMALS);
    bp_cells_number(row, pair->holm_p, BP_SHARE_DECIMALS);
    bp_cells_number(row, pair->permutation_p, BP_SHARE_DECIMALS);
    bp_cells_number(row, pair->chance_more, BP_SHARE_DECIMALS);
    bp_cells_count(row, pair->more_as_seen);
    bp_cells_count(row, pair->more_for_worth);
}

static void put_row(const struct bp_survey *survey, const struct bp_survey_comparison *c,
                    const struct bp_survey_figure *figure, size_t p, struct bp_text *out)
{
    struct bp_cells row = {out, false};
    const struct bp_compare_pair *pair = &figure->result.pairs[p];
    bp_cells_text(&row, bp_lift_facts(c->lift)->name);
    bp_cells_text(&row, c->setup != NULL ? c->setup : "");
    bp_cells_text(&row, c->lifter != NULL ? c->lifter : "");
    bp_cells_text(&row, bp_block_by_name(survey->settings.compare.by));
    bp_cells_text(&row, c->groups[pair->first].name);
    bp_cells_text(&row, c->groups[pair->second].name);
    bp_cells_text(&row, bp_survey_loads_name(c->pairs[p].loads));
    bp_cells_text(&row, figure->key);
    bp_cells_text(&row, figure->words);
    bp_cells_text(&row, figure->result.figure.unit);
    bp_cells_text(&row, figure->result.figure.scale == BP_SCALE_RATIO ? "ratio" : "difference");
    put_sides(&row, &figure->result, pair);
    put_contrast(&row, pair);
    bp_cells_text(&row, figure->sentences[p]);
    bp_text_put_char(out, '\n');
}

void bp_report_compare_csv(const struct bp_survey *survey, struct bp_text *out)
{
    for (size_t c = 0; c < survey->comparison_count; c++) {
        const struct bp_survey_comparison *comparison = &survey->comparisons[c];
        for (size_t f = 0; f < comparison->figure_count; f++) {
            for (size_t p = 0; p < comparison->pair_count; p++) {
                put_row(survey, comparison, &comparison->figures[f], p, out);
            }
        }
    }
}
