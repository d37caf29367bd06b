/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each figure of each part compared.
 */
#include "survey/parts.h"

#include <string.h>

struct work {
    struct bp_survey *survey;
    struct bp_arena *arena;
    struct bp_error *error;
    const struct survey_part *part;
    struct bp_survey_comparison *comparison;
    struct bp_observation *observations;
};

static const struct bp_block_set *set_at(const struct work *w, size_t i)
{
    return &w->survey->block->sets[w->part->sets[i]];
}

static bool fill_observations(struct work *w, const struct survey_source *source)
{
    for (size_t i = 0; i < w->part->count; i++) {
        const struct bp_block_set *set = set_at(w, i);
        struct bp_observation *o = &w->observations[i];
        o->group = w->part->names[i];
        o->lifter = set->row->lifter;
        o->day = set->row->dated ? set->row->day : BP_DAY_UNKNOWN;
        o->set_id = set->id;
        if (!survey_observe(source, &set->summary, w->arena, o)) {
            return false;
        }
    }
    return true;
}

static bool keep_sentences(const struct work *w, struct bp_survey_figure *figure)
{
    const char **sentences = bp_arena_take(w->arena, figure->result.pair_count + 1, sizeof *sentences);
    figure->sentences = sentences;
    for (size_t p = 0; sentences != NULL && p < figure->result.pair_count; p++) {
        struct bp_text text;
        bp_text_init(&text);
        bp_compare_put_sentence(&figure->result, &figure->result.pairs[p], &text);
        sentences[p] = survey_keep(w->arena, &text);
        if (sentences[p] == NULL) {
            return false;
        }
    }
    return sentences != NULL;
}

static bool is_known(const struct bp_compare_result *result)
{
    for (size_t g = 0; g < result->group_count; g++) {
        if (result->groups[g].sets > 0) {
            return true;
        }
    }
    return false;
}

static enum bp_code compare_one(struct work *w, const struct survey_source *source)
{
    struct bp_survey_figure *figure = &w->comparison->figures[w->comparison->figure_count];
    if (!fill_observations(w, source)) {
        return survey_no_memory(w->error);
    }
    enum bp_code code = bp_compare_figure(&source->figure, w->observations, w->part->count,
                                          &w->survey->settings.compare, w->arena, &figure->result, w->error);
    if (code != BP_OK || !is_known(&figure->result)) {
        return code;
    }
    figure->key = source->figure.name;
    figure->words = source->figure.words;
    w->comparison->figure_count++;
    return keep_sentences(w, figure) ? BP_OK : survey_no_memory(w->error);
}

static bool lacks_gyroscope(const struct work *w)
{
    for (size_t i = 0; i < w->part->count; i++) {
        if (set_at(w, i)->summary.log.shake_apparent) {
            return true;
        }
    }
    return false;
}

static enum bp_code compare_figures(struct work *w)
{
    struct survey_source *sources = bp_arena_take(w->arena, SURVEY_FIGURES_MAX, sizeof *sources);
    w->comparison->figures = bp_arena_zero(w->arena, SURVEY_FIGURES_MAX, sizeof *w->comparison->figures);
    if (sources == NULL || w->comparison->figures == NULL) {
        return survey_no_memory(w->error);
    }
    size_t count = survey_sources(w->comparison->lift, lacks_gyroscope(w), w->arena, sources);
    enum bp_code code = count > 0 ? BP_OK : survey_no_memory(w->error);
    for (size_t f = 0; f < count && code == BP_OK; f++) {
        code = compare_one(w, &sources[f]);
    }
    return code;
}

static const char *shared(const struct work *w, bool setup)
{
    const struct bp_sheet_row *first = set_at(w, 0)->row;
    const char *text = setup ? first->setup : first->lifter;
    for (size_t i = 1; i < w->part->count; i++) {
        const struct bp_sheet_row *row = set_at(w, i)->row;
        if (strcmp(setup ? row->setup : row->lifter, text) != 0) {
            return NULL;
        }
    }
    return text;
}

static bool name_pairs(struct work *w)
{
    struct bp_survey_comparison *c = w->comparison;
    size_t most = c->group_count * (c->group_count - 1) / 2, at = 0;
    c->pairs = bp_arena_zero(w->arena, most + 1, sizeof *c->pairs);
    if (c->pairs == NULL) {
        return false;
    }
    for (size_t i = 0; i + 1 < c->group_count; i++) {
        for (size_t k = i + 1; k < c->group_count; k++) {
            c->pairs[at++] = (struct bp_survey_pair){.first = i, .second = k};
        }
    }
    c->pair_count = at;
    return true;
}

/* Too many groups, or sets, is no reason to refuse the rest of the block. */
static enum bp_code compare_part(struct work *w)
{
    struct bp_survey_comparison *c = w->comparison;
    const char *refusal = NULL;
    c->lift = set_at(w, 0)->row->lift;
    c->setup = shared(w, true);
    c->lifter = shared(w, false);
    c->sets = w->part->count;
    w->observations = bp_arena_zero(w->arena, w->part->count, sizeof *w->observations);
    if (w->observations == NULL || !survey_count_groups(w->survey->block, w->part, w->arena, c)) {
        return survey_no_memory(w->error);
    }
    enum bp_code code = BP_OK;
    if (c->group_count > BP_COMPARE_GROUPS_MAX) {
        refusal = "There are more groups than can be compared with one another: fewer days, or fewer "
                  "names, are needed.";
    } else {
        code = name_pairs(w) ? compare_figures(w) : survey_no_memory(w->error);
    }
    if (code == BP_OK && (!survey_put_loads(w->survey, w->part, w->arena, c) ||
                          !survey_put_cautions(w->survey->block, w->part, refusal, w->arena, c))) {
        code = survey_no_memory(w->error);
    }
    return code;
}

enum bp_code survey_compare(struct bp_survey *survey, const size_t *order, size_t count,
                            struct bp_arena *arena, struct bp_error *error)
{
    size_t part_count;
    struct survey_part *parts = survey_parts(survey, order, count, arena, &part_count);
    if (parts == NULL) {
        return survey_no_memory(error);
    }
    survey->comparisons = bp_arena_zero(arena, part_count + 1, sizeof *survey->comparisons);
    if (survey->comparisons == NULL) {
        return survey_no_memory(error);
    }
    enum bp_code code = BP_OK;
    for (size_t p = 0; p < part_count && code == BP_OK; p++) {
        struct work w = {survey, arena, error, &parts[p], &survey->comparisons[p], NULL};
        code = compare_part(&w);
        survey->comparison_count++;
    }
    return code;
}
