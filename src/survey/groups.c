/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which sets may be compared with one another, and in which group each stands. Lifts are never mixed; by
 * lifter, setups are not either; by session, neither are lifters.
 */
#include "survey/parts.h"

#include <string.h>

static bool belong_together(const struct bp_sheet_row *a, const struct bp_sheet_row *b, enum bp_compare_by by)
{
    return a->lift == b->lift && (by == BP_BY_SETUP || strcmp(a->setup, b->setup) == 0) &&
           (by != BP_BY_SESSION || strcmp(a->lifter, b->lifter) == 0);
}

static const char *group_of(const struct bp_sheet_row *row, enum bp_compare_by by)
{
    switch (by) {
    case BP_BY_LIFTER:
        return row->lifter;
    case BP_BY_SESSION:
        return row->dated ? row->date : "no date";
    default:
        return row->setup;
    }
}

/* The part a set belongs to; a new one at *part_count if there is none. */
static struct survey_part *part_for(const struct bp_survey *survey, struct survey_part *parts,
                                    size_t *part_count, const struct bp_sheet_row *row)
{
    for (size_t p = 0; p < *part_count; p++) {
        const struct bp_sheet_row *first = survey->block->sets[parts[p].sets[0]].row;
        if (belong_together(first, row, survey->settings.compare.by)) {
            return &parts[p];
        }
    }
    parts[*part_count].count = 0;
    return &parts[(*part_count)++];
}

struct survey_part *survey_parts(const struct bp_survey *survey, const size_t *order, size_t count,
                                 struct bp_arena *arena, size_t *part_count)
{
    /* Twice over: to learn how many sets each part has, then to keep them. */
    struct survey_part *parts = bp_arena_zero(arena, count + 1, sizeof *parts);
    size_t *first = bp_arena_take(arena, count + 1, sizeof *first);
    *part_count = 0;
    if (parts == NULL || first == NULL) {
        return NULL;
    }
    for (size_t i = 0; i < count; i++) {
        struct survey_part *part = part_for(survey, parts, part_count, survey->block->sets[order[i]].row);
        if (part->count++ == 0) {
            first[part - parts] = order[i];
            part->sets = &first[part - parts];
        }
    }
    for (size_t p = 0; p < *part_count; p++) {
        size_t *sets = bp_arena_take(arena, parts[p].count, sizeof *sets);
        parts[p].names = bp_arena_take(arena, parts[p].count, sizeof *parts[p].names);
        if (sets == NULL || parts[p].names == NULL) {
            return NULL;
        }
        sets[0] = first[p];
        parts[p].sets = sets;
        parts[p].count = 0;
    }
    for (size_t i = 0; i < count; i++) {
        const struct bp_sheet_row *row = survey->block->sets[order[i]].row;
        struct survey_part *part = part_for(survey, parts, part_count, row);
        part->names[part->count] = group_of(row, survey->settings.compare.by);
        part->sets[part->count++] = order[i];
    }
    return parts;
}

/* Whether an earlier set of the same group has the same day (or lifter). */
static bool is_first(const struct bp_block *block, const struct survey_part *part, size_t set, bool lifter)
{
    const struct bp_sheet_row *row = block->sets[part->sets[set]].row;
    for (size_t i = 0; i < set; i++) {
        const struct bp_sheet_row *other = block->sets[part->sets[i]].row;
        bool same = lifter ? strcmp(other->lifter, row->lifter) == 0
                           : other->dated == row->dated && other->day == row->day;
        if (same && strcmp(part->names[i], part->names[set]) == 0) {
            return false;
        }
    }
    return true;
}

static struct bp_survey_group *group_for(struct bp_survey_comparison *comparison, const char *name)
{
    for (size_t g = 0; g < comparison->group_count; g++) {
        if (strcmp(comparison->groups[g].name, name) == 0) {
            return &comparison->groups[g];
        }
    }
    struct bp_survey_group *group = &comparison->groups[comparison->group_count++];
    *group = (struct bp_survey_group){
        .name = name, .load_low_kg = (double)NAN, .load_high_kg = (double)NAN, .matched = BP_MATCHED_UNSAID};
    return group;
}

bool survey_count_groups(const struct bp_block *block, const struct survey_part *part, struct bp_arena *arena,
                         struct bp_survey_comparison *comparison)
{
    comparison->groups = bp_arena_take(arena, part->count, sizeof *comparison->groups);
    if (comparison->groups == NULL) {
        return false;
    }
    for (size_t i = 0; i < part->count; i++) {
        const struct bp_set_figures *set = &block->sets[part->sets[i]].summary.set;
        struct bp_survey_group *group = group_for(comparison, part->names[i]);
        group->matched =
            group->sets == 0 || group->matched == set->matched ? set->matched : BP_MATCHED_UNSAID;
        group->sets++;
        group->reps += set->reps;
        group->days += is_first(block, part, i, false);
        group->lifters += is_first(block, part, i, true);
        group->load_low_kg = fmin(group->load_low_kg, set->load_lockout_kg.value);
        group->load_high_kg = fmax(group->load_high_kg, set->load_lockout_kg.value);
    }
    return true;
}
