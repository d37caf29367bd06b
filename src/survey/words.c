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

static void put_first_capital(struct bp_text *text, const char *sentence)
{
    char c = sentence[0];
    bp_text_put_char(text, c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c);
    bp_text_put(text, sentence + (c != '\0'));
}

/* Where both sides' rigs mean the load to be the same. */
static void put_meant(const struct bp_survey_comparison *comparison, const struct bp_survey_pair *pair,
                      const enum bp_compare_verdict *verdicts, struct bp_text *text)
{
    static const char *const where[] = {"", "at the bottom", "halfway", "at lockout"};
    enum bp_matched first = comparison->groups[pair->first].matched;
    enum bp_matched second = comparison->groups[pair->second].matched;
    enum bp_matched meant = first != BP_MATCHED_UNSAID ? first : second;
    if (meant == BP_MATCHED_UNSAID || (second != BP_MATCHED_UNSAID && second != meant)) {
        return;
    }
    enum bp_compare_verdict verdict = verdicts[meant - BP_MATCHED_BOTTOM];
    bp_text_put(text, "; the rigs mean them to match ");
    bp_text_put(text, where[meant]);
    bp_text_put(text, verdict == BP_NO_DIFFERENT  ? ", as they do"
                      : verdict == BP_CANNOT_TELL ? ", which cannot be told"
                                                  : ", which they do not");
}

static const char *say_loads(const struct bp_survey_comparison *comparison, struct bp_survey_pair *pair,
                             size_t at, struct bp_arena *arena)
{
    static const char *const keys[POINTS] = {"load_bottom_kg", "load_halfway_kg", "load_lockout_kg"};
    enum bp_compare_verdict verdicts[POINTS] = {BP_CANNOT_TELL, BP_CANNOT_TELL, BP_CANNOT_TELL};
    size_t known = 0, matched = 0, differing = 0;
    struct bp_text text;
    bp_text_init(&text);
    for (size_t k = 0; k < POINTS; k++) {
        const struct bp_survey_figure *figure = figure_named(comparison, keys[k]);
        if (figure == NULL || figure->result.pairs[at].reason == BP_REASON_NOTHING) {
            continue;
        }
        verdicts[k] = figure->result.pairs[at].verdict;
        matched += verdicts[k] == BP_NO_DIFFERENT;
        differing += verdicts[k] == BP_FIRST_MORE || verdicts[k] == BP_FIRST_LESS;
        if (known++ == 0) {
            put_first_capital(&text, figure->sentences[at]);
        } else {
            bp_text_put(&text, "; ");
            bp_text_put(&text, figure->sentences[at]);
        }
    }
    if (known == 0) {
        bp_text_put(&text,
                    "The loads of both are not known, so what differs may be the load's doing: give the "
                    "sheet rigs, or bar and plates");
        pair->loads = BP_LOADS_UNKNOWN;
    } else {
        put_meant(comparison, pair, verdicts, &text);
        pair->loads = matched > 0           ? BP_LOADS_MATCH
                      : differing == POINTS ? BP_LOADS_DIFFER
                                            : BP_LOADS_CANNOT_TELL;
    }
    return survey_keep(arena, &text);
}

bool survey_put_loads(struct bp_survey_comparison *comparison, struct bp_arena *arena)
{
    for (size_t p = 0; p < comparison->pair_count; p++) {
        comparison->pairs[p].sentence = say_loads(comparison, &comparison->pairs[p], p, arena);
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
