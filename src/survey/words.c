/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is said before any figure of a comparison: are the loads the same, and what stands in its way.
 */
#include "survey/parts.h"

#include <string.h>

enum { POINTS = 3, CAUTIONS_MAX = 48 };

/* Sets whose heaviest is this much heavier than the lightest were not done at one load; ours, no source. */
#define ONE_LOAD 1.05

const char *bp_survey_loads_name(enum bp_survey_loads loads)
{
    static const char *const names[] = {"unknown", "match", "differ", "cannot_tell"};
    return (int)loads >= 0 && loads < BP_LOADS_COUNT ? names[loads] : "";
}

static const struct bp_survey_figure *figure_named(const struct bp_survey_comparison *comparison,
                                                   const char *key)
{
    for (size_t f = 0; f < comparison->figure_count; f++) {
        if (strcmp(comparison->figures[f].key, key) == 0) {
            return &comparison->figures[f];
        }
    }
    return NULL;
}

struct loads {
    const struct bp_survey_comparison *comparison;
    const struct bp_survey_pair *pair;
    const struct bp_compare_pair *at[POINTS]; /* NULL: not known */
    size_t known;
};

static const char *const places[POINTS] = {"at the bottom", "halfway", "at lockout"};

static size_t count_verdicts(const struct loads *loads, bool match)
{
    size_t count = 0;
    for (size_t k = 0; k < POINTS; k++) {
        if (loads->at[k] != NULL) {
            enum bp_compare_verdict verdict = loads->at[k]->verdict;
            count +=
                match ? verdict == BP_NO_DIFFERENT : verdict == BP_FIRST_MORE || verdict == BP_FIRST_LESS;
        }
    }
    return count;
}

static enum bp_survey_loads judge(const struct loads *loads)
{
    return loads->known == 0                        ? BP_LOADS_UNKNOWN
           : count_verdicts(loads, true) > 0        ? BP_LOADS_MATCH
           : count_verdicts(loads, false) == POINTS ? BP_LOADS_DIFFER
                                                    : BP_LOADS_CANNOT_TELL;
}

/* "Loads match at lockout" */
static void put_verdict(const struct loads *loads, struct bp_text *text)
{
    enum bp_survey_loads verdict = judge(loads);
    bp_text_put(text, verdict == BP_LOADS_MATCH    ? "Loads match"
                      : verdict == BP_LOADS_DIFFER ? "Loads differ"
                                                   : "Whether loads match cannot be told");
    for (size_t k = 0, said = 0; k < POINTS; k++) {
        if (loads->at[k] != NULL && loads->at[k]->verdict == BP_NO_DIFFERENT) {
            bp_text_put(text, said++ == 0 ? " " : " and ");
            bp_text_put(text, places[k]);
        }
    }
}

/* ": straight less chains is 14.0 kg (11.4 to 16.6) at the bottom, …" */
static void put_differences(const struct loads *loads, struct bp_text *text)
{
    const char *first = loads->comparison->groups[loads->pair->first].name;
    const char *second = loads->comparison->groups[loads->pair->second].name;
    bp_text_put(text, ": ");
    bp_text_put(text, first[0] != '\0' ? first : "unnamed");
    bp_text_put(text, " less ");
    bp_text_put(text, second[0] != '\0' ? second : "unnamed");
    bp_text_put(text, " is ");
    for (size_t k = 0, said = 0; k < POINTS; k++) {
        if (loads->at[k] != NULL) {
            struct bp_quantity q = loads->at[k]->difference_all;
            bp_text_put(text, said++ == 0 ? "" : ", ");
            bp_text_put_number(text, q.value, 1);
            bp_text_put(text, " kg (");
            bp_text_put_number(text, q.low, 1);
            bp_text_put(text, " to ");
            bp_text_put_number(text, q.high, 1);
            bp_text_put(text, ") ");
            bp_text_put(text, places[k]);
        }
    }
}

/* Where both sides' rigs mean the load to be the same. */
static void put_meant(const struct loads *loads, struct bp_text *text)
{
    enum bp_matched first = loads->comparison->groups[loads->pair->first].matched;
    enum bp_matched second = loads->comparison->groups[loads->pair->second].matched;
    enum bp_matched meant = first != BP_MATCHED_UNSAID ? first : second;
    if (meant == BP_MATCHED_UNSAID || (second != BP_MATCHED_UNSAID && second != meant)) {
        return;
    }
    const struct bp_compare_pair *pair = loads->at[meant - BP_MATCHED_BOTTOM];
    bp_text_put(text, "; the rigs mean them to match ");
    bp_text_put(text, places[meant - BP_MATCHED_BOTTOM]);
    bp_text_put(text, pair == NULL || pair->verdict == BP_CANNOT_TELL ? ", which cannot be told"
                      : pair->verdict == BP_NO_DIFFERENT              ? ", as they do"
                                                                      : ", which they do not");
}

static struct loads find_loads(const struct bp_survey_comparison *comparison, size_t p)
{
    static const char *const keys[POINTS] = {"load_bottom_kg", "load_halfway_kg", "load_lockout_kg"};
    struct loads loads = {comparison, &comparison->pairs[p], {NULL}, 0};
    for (size_t k = 0; k < POINTS; k++) {
        const struct bp_survey_figure *figure = figure_named(comparison, keys[k]);
        if (figure != NULL && bp_quantity_known(figure->result.pairs[p].difference_all)) {
            loads.at[k] = &figure->result.pairs[p];
            loads.known++;
        }
    }
    return loads;
}

static bool is_same_number(double a, double b)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) < 1e-9; /* kg as the sheet has them */
}

static bool is_same_loading(const struct bp_block_set *a, const struct bp_block_set *b)
{
    return strcmp(a->row->rig_path, b->row->rig_path) == 0 &&
           is_same_number(a->row->bar_kg, b->row->bar_kg) &&
           is_same_number(a->row->plates_kg, b->row->plates_kg);
}

static bool names_loading(const struct bp_sheet_row *row)
{
    return row->rig_path[0] != '\0' || row->bar_kg > 0.0 || row->plates_kg > 0.0;
}

/* One bar with the same on it on both sides weighs the same, however unsure it is what: its error is theirs
 * alike. Chains and bands pull otherwise on another lifter. */
static bool is_one_bar(const struct bp_survey *survey, const struct survey_part *part,
                       const struct bp_survey_comparison *comparison, const struct bp_survey_pair *pair)
{
    const struct bp_block_set *first = NULL;
    for (size_t i = 0; i < part->count; i++) {
        const struct bp_block_set *set = &survey->block->sets[part->sets[i]];
        bool here = strcmp(part->names[i], comparison->groups[pair->first].name) == 0 ||
                    strcmp(part->names[i], comparison->groups[pair->second].name) == 0;
        first = here && first == NULL ? set : first;
        if (here && (!names_loading(set->row) || !is_same_loading(first, set) ||
                     (set->summary.set.load_varies && strcmp(first->row->lifter, set->row->lifter) != 0))) {
            return false;
        }
    }
    return first != NULL;
}

static const char *say_loads(const struct loads *loads, bool one_bar, struct bp_arena *arena)
{
    struct bp_text text;
    bp_text_init(&text);
    if (one_bar) {
        bp_text_put(&text, "Loads match: the same hung on the bar on both sides, by the sheet");
    } else if (loads->known == 0) {
        bp_text_put(&text,
                    "The loads of both are not known, so what differs may be the load's doing: give the "
                    "sheet rigs, or bar and plates");
    } else {
        put_verdict(loads, &text);
        put_differences(loads, &text);
        put_meant(loads, &text);
    }
    return survey_keep(arena, &text);
}

bool survey_put_loads(const struct bp_survey *survey, const struct survey_part *part, struct bp_arena *arena,
                      struct bp_survey_comparison *comparison)
{
    for (size_t p = 0; p < comparison->pair_count; p++) {
        struct loads loads = find_loads(comparison, p);
        bool one_bar = is_one_bar(survey, part, comparison, &comparison->pairs[p]);
        comparison->pairs[p].loads = one_bar ? BP_LOADS_MATCH : judge(&loads);
        comparison->pairs[p].sentence = say_loads(&loads, one_bar, arena);
        if (comparison->pairs[p].sentence == NULL) {
            return false;
        }
    }
    return true;
}

struct cautions {
    const char **list;
    size_t count;
    struct bp_arena *arena;
    bool failed;
};

static void add(struct cautions *cautions, struct bp_text *text)
{
    const char *kept = survey_keep(cautions->arena, text);
    cautions->failed = cautions->failed || kept == NULL;
    if (!cautions->failed && cautions->count < CAUTIONS_MAX) {
        cautions->list[cautions->count++] = kept;
    }
}

static void add_plain(struct cautions *cautions, const char *sentence)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, sentence);
    add(cautions, &text);
}

static void add_mixed_loads(struct cautions *cautions, const struct bp_survey_group *group)
{
    if (!(group->load_high_kg > ONE_LOAD * group->load_low_kg)) {
        return;
    }
    struct bp_text text;
    bp_text_init(&text);
    bp_text_put(&text, "Sets of ");
    bp_text_put(&text, group->name[0] != '\0' ? group->name : "unnamed");
    bp_text_put(&text, " weighed from ");
    bp_text_put_number(&text, group->load_low_kg, 1);
    bp_text_put(&text, " to ");
    bp_text_put_number(&text, group->load_high_kg, 1);
    bp_text_put(&text, " kg at lockout and are taken together: put only sets that belong together into the "
                       "sheet, such as the working sets.");
    add(cautions, &text);
}

/* Some logs with a gyroscope and some without. */
static bool shake_is_mixed(const struct bp_block *block, const struct survey_part *part)
{
    size_t apparent = 0;
    for (size_t i = 0; i < part->count; i++) {
        apparent += block->sets[part->sets[i]].summary.log.shake_apparent;
    }
    return apparent > 0 && apparent < part->count;
}

bool survey_put_cautions(const struct bp_block *block, const struct survey_part *part, const char *refusal,
                         struct bp_arena *arena, struct bp_survey_comparison *comparison)
{
    struct cautions cautions = {bp_arena_take(arena, CAUTIONS_MAX, sizeof *cautions.list), 0, arena, false};
    if (cautions.list == NULL) {
        return false;
    }
    if (refusal != NULL) {
        add_plain(&cautions, refusal);
    }
    if (comparison->group_count < 2) {
        add_plain(&cautions, "There is one group only, and nothing to compare it with.");
    }
    for (size_t g = 0; g < comparison->group_count; g++) {
        add_mixed_loads(&cautions, &comparison->groups[g]);
    }
    if (shake_is_mixed(block, part)) {
        add_plain(&cautions,
                  "Some logs have no gyroscope: their shake holds the bar's tilt too, and is not the "
                  "same figure as that of the others.");
    }
    if (comparison->pair_count > 0 && comparison->figure_count > 1) {
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, "The intervals allow for the number of pairs, not for the number of figures: of ");
        bp_text_put_count(&text, comparison->figure_count);
        bp_text_put(&text, " figures one may seem to differ by chance alone.");
        add(&cautions, &text);
    }
    comparison->cautions = cautions.list;
    comparison->caution_count = cautions.count;
    return !cautions.failed;
}
