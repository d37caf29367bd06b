/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/parts.h"

#include <string.h>

/* The level and power of 0 are bp_compare_defaults'. */
const struct bp_survey_settings bp_survey_defaults = {
    .compare = {.by = BP_BY_SETUP, .level = 0, .power = 0, .seed = 1}, .strength = NULL};

const char *bp_survey_target_name(enum bp_survey_target target)
{
    static const char *const names[] = {"none", "under", "over", "cannot_tell"};
    return (int)target >= 0 && target < BP_TARGET_COUNT ? names[target] : "";
}

enum bp_survey_target bp_survey_judge_target(struct bp_quantity mean_m_s, double target_m_s)
{
    if (!isfinite(target_m_s)) {
        return BP_TARGET_NONE;
    }
    return mean_m_s.high < target_m_s  ? BP_TARGET_UNDER /* false for NaN */
           : mean_m_s.low > target_m_s ? BP_TARGET_OVER
                                       : BP_TARGET_CANNOT_TELL;
}

static bool has_reservation(const struct bp_summary *summary)
{
    for (size_t i = 0; i < summary->findings.count; i++) {
        if (summary->findings.list[i].severity == BP_RESERVATION) {
            return true;
        }
    }
    return false;
}

static void count_sets(struct bp_survey *survey)
{
    for (size_t i = 0; i < survey->block->count; i++) {
        const struct bp_block_set *set = &survey->block->sets[i];
        survey->failed += set->state == BP_BLOCK_FAILED;
        if (!bp_survey_has(set)) {
            continue;
        }
        survey->measured++;
        survey->reps += set->summary.set.reps;
        survey->reservations += has_reservation(&set->summary);
        survey->targets[bp_survey_judge_target(set->summary.set.mean_velocity_m_s, set->row->target_m_s)]++;
    }
}

/* Of all sets in the block that were asked for, the failed ones too: a lifter with no good recording has a
 * page that says so. */
static bool find_lifters(struct bp_survey *survey, struct bp_arena *arena)
{
    const struct bp_block *block = survey->block;
    const char **lifters = bp_arena_take(arena, block->count + 1, sizeof *lifters);
    for (size_t i = 0; lifters != NULL && i < block->count; i++) {
        bool known = block->sets[i].state == BP_BLOCK_LEFT_OUT;
        for (size_t k = 0; k < survey->lifter_count && !known; k++) {
            known = strcmp(lifters[k], block->sets[i].row->lifter) == 0;
        }
        if (!known) {
            lifters[survey->lifter_count++] = block->sets[i].row->lifter;
        }
    }
    survey->lifters = lifters;
    return lifters != NULL;
}

enum bp_code bp_survey_block(const struct bp_block *block, const struct bp_survey_settings *settings,
                             struct bp_arena *arena, struct bp_survey *survey, struct bp_error *error)
{
    size_t count;
    *survey = (struct bp_survey){.block = block, .settings = settings ? *settings : bp_survey_defaults};
    size_t *order = survey_order(block, arena, &count);
    enum bp_code code = order != NULL && find_lifters(survey, arena) ? BP_OK : survey_no_memory(error);
    count_sets(survey);
    if (code == BP_OK) {
        code = survey_compare(survey, order, count, arena, error);
    }
    if (code == BP_OK) {
        code = survey_find_series(survey, order, count, arena, error);
    }
    if (code != BP_OK) {
        *survey = (struct bp_survey){0};
    }
    return code;
}
