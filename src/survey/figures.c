/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The figures that are compared: where each stands in a summary, and how it is told.
 */
#include "survey/parts.h"

#include <stddef.h>
#include <string.h>

enum kind { WHOLE, RANGE, STICKING, SHARE };

/* Worth naming, all ours and without a source: a sticking region 5 % of the way up higher or lower, found in
 * a fifth more of the reps; 5 % more velocity loss; half a degree of tilt; 0.1 of smoothness. */
#define PERCENT_WORTH 5.0
#define SHARE_WORTH 20.0
#define TILT_WORTH 0.5
#define SMOOTHNESS_WORTH 0.1

#define REP(name) offsetof(struct bp_rep_figures, name)
#define SET(name) offsetof(struct bp_set_figures, name)
#define IN_RANGE(name) offsetof(struct bp_range_figures, name)
#define STUCK(name) offsetof(struct bp_sticking_figures, name)
#define NOWHERE SIZE_MAX

struct entry {
    enum kind kind;
    const char *key, *words;
    size_t of_rep, of_set;
    const struct bp_compare_figure *like; /* what is known of it; NULL: nothing */
    const char *unit, *deed, *where;
    int decimals;
    double worth;
};

static const struct entry entries[] = {
    {WHOLE, "mean_velocity_m_s", "mean velocity", REP(mean_velocity_m_s), SET(mean_velocity_m_s),
     &bp_compare_speed, NULL, NULL, NULL, 0, 0},
    {WHOLE, "peak_velocity_m_s", "peak velocity", REP(peak_velocity_m_s), NOWHERE, &bp_compare_speed, NULL,
     NULL, NULL, 0, 0},
    {RANGE, "mean_velocity_m_s", "speed", IN_RANGE(mean_velocity_m_s), NOWHERE, &bp_compare_speed, NULL, NULL,
     NULL, 0, 0},
    {WHOLE, "velocity_loss_pct", "velocity loss", NOWHERE, SET(velocity_loss_pct), NULL, "%", NULL, NULL, 1,
     PERCENT_WORTH},
    {SHARE, "sticking_share_pct", "reps with sticking", NOWHERE, NOWHERE, NULL, "%", NULL, NULL, 0,
     SHARE_WORTH},
    {STICKING, "sticking_start_pct", "start of sticking", STUCK(start_pct), NOWHERE, NULL, "%", NULL, NULL, 0,
     PERCENT_WORTH},
    {STICKING, "sticking_end_pct", "end of sticking", STUCK(end_pct), NOWHERE, NULL, "%", NULL, NULL, 0,
     PERCENT_WORTH},
    {STICKING, "sticking_low_m_s", "lowest speed in sticking", STUCK(low_m_s), NOWHERE, NULL, "m/s", NULL,
     NULL, 2, 0.03}, /* as bp_compare_speed; its scatter is not known */
    {WHOLE, "shake_mm", "shake", REP(shake_mm), SET(shake_mm), &bp_compare_shake, NULL, NULL, NULL, 0, 0},
    {WHOLE, "shake_m_s2", "sideways acceleration", REP(shake_m_s2), SET(shake_m_s2), &bp_compare_shake,
     "m/s²", NULL, NULL, 2, 0},
    {WHOLE, "clatter_m_s2", "clatter", REP(clatter_m_s2), SET(clatter_m_s2), &bp_compare_shake, "m/s²",
     "clattered", NULL, 2, 0},
    {WHOLE, "smoothness", "smoothness", REP(smoothness), SET(smoothness), NULL, "", NULL, NULL, 2,
     SMOOTHNESS_WORTH},
    {WHOLE, "tilt_deg", "tilt", REP(tilt_deg), NOWHERE, NULL, "deg", NULL, NULL, 1, TILT_WORTH},
    {WHOLE, "load_bottom_kg", "load at the bottom", NOWHERE, SET(load_bottom_kg), &bp_compare_load, NULL,
     NULL, "at the bottom", 0, 0},
    {WHOLE, "load_halfway_kg", "load halfway", NOWHERE, SET(load_halfway_kg), &bp_compare_load, NULL, NULL,
     "halfway", 0, 0},
    {WHOLE, "load_lockout_kg", "load at lockout", NOWHERE, SET(load_lockout_kg), &bp_compare_load, NULL, NULL,
     "at lockout", 0, 0},
    {RANGE, "load_kg", "mean load", IN_RANGE(load_kg), NOWHERE, &bp_compare_load, NULL, NULL, "", 0, 0},
};

static struct bp_compare_figure made(const struct entry *entry)
{
    static const struct bp_compare_figure plain = {.scale = BP_SCALE_DIFFERENCE};
    struct bp_compare_figure figure = entry->like != NULL ? *entry->like : plain;
    figure.name = entry->key;
    figure.words = entry->words;
    if (entry->unit != NULL) {
        figure.unit = entry->unit;
        figure.decimals = entry->decimals;
        figure.deed = entry->deed;
    }
    if (entry->worth > 0) {
        figure.worth = entry->worth;
    }
    figure.where = entry->where;
    return figure;
}

/* "off the chest", "past the knee" read as they are. */
static const char *place_of(const char *range)
{
    return strcmp(range, "middle") == 0    ? "in the middle"
           : strcmp(range, "lockout") == 0 ? "at lockout"
                                           : range;
}

static bool name_range(struct survey_source *source, const struct entry *entry, const char *range,
                       struct bp_arena *arena)
{
    struct bp_text key, words, where;
    bp_text_init(&key);
    bp_text_put(&key, "range");
    bp_text_put_count(&key, source->range + 1);
    bp_text_put_char(&key, '_');
    bp_text_put(&key, entry->key);
    bp_text_init(&words);
    bp_text_put(&words, entry->words);
    bp_text_put_char(&words, ' ');
    bp_text_put(&words, place_of(range));
    bp_text_init(&where);
    bp_text_put(&where, place_of(range));
    source->figure.name = survey_keep(arena, &key);
    source->figure.words = survey_keep(arena, &words);
    const char *kept = survey_keep(arena, &where);
    if (entry->where != NULL) {
        source->figure.where = kept;
    }
    return source->figure.name != NULL && source->figure.words != NULL && kept != NULL;
}

size_t survey_sources(enum bp_lift lift, bool apparent, struct bp_arena *arena, struct survey_source *sources)
{
    const struct bp_lift_facts *facts = bp_lift_facts(lift);
    size_t count = 0;
    for (size_t e = 0; e < sizeof entries / sizeof *entries; e++) {
        const struct entry *entry = &entries[e];
        size_t times = entry->kind == RANGE ? SURVEY_RANGES : 1;
        for (size_t r = 0; r < times; r++) {
            struct survey_source *source = &sources[count++];
            *source = (struct survey_source){made(entry), (int)entry->kind, entry->of_rep, entry->of_set, r};
            if (entry->kind == RANGE && !name_range(source, entry, facts->range_names[r], arena)) {
                return 0;
            }
            if (apparent && strcmp(entry->key, "shake_mm") == 0) {
                source->figure.words = "apparent shake";
                source->figure.deed = "apparently shook";
            }
        }
    }
    return count;
}

static struct bp_quantity at(const void *record, size_t offset)
{
    const void *place = (const char *)record + offset;
    return *(const struct bp_quantity *)place;
}

/* The figure of one rep; unknown where it has none. */
static struct bp_quantity of_rep(const struct survey_source *source, const struct bp_rep_figures *rep)
{
    if (rep->missed || source->of_rep == NOWHERE) {
        return bp_quantity_unknown();
    }
    if (source->kind == STICKING) {
        return rep->sticking.present ? at(&rep->sticking, source->of_rep) : bp_quantity_unknown();
    }
    if (source->kind == RANGE) {
        return source->range < rep->range_count ? at(&rep->ranges[source->range], source->of_rep)
                                                : bp_quantity_unknown();
    }
    return at(rep, source->of_rep);
}

/* Completed reps with a sticking region, % of the completed ones. */
static struct bp_quantity share_stuck(const struct bp_summary *summary)
{
    size_t completed = 0, stuck = 0;
    for (size_t r = 0; r < summary->rep_count; r++) {
        completed += !summary->reps[r].missed;
        stuck += !summary->reps[r].missed && summary->reps[r].sticking.present;
    }
    return completed > 0 ? bp_quantity_plain(100.0 * (double)stuck / (double)completed)
                         : bp_quantity_unknown();
}

bool survey_observe(const struct survey_source *source, const struct bp_summary *summary,
                    struct bp_arena *arena, struct bp_observation *observation)
{
    observation->set = source->kind == SHARE       ? share_stuck(summary)
                       : source->of_set != NOWHERE ? at(&summary->set, source->of_set)
                                                   : bp_quantity_unknown();
    observation->reps = NULL;
    observation->rep_count = 0;
    if (source->of_rep == NOWHERE || summary->rep_count == 0) {
        return true;
    }
    struct bp_quantity *reps = bp_arena_take(arena, summary->rep_count, sizeof *reps);
    if (reps == NULL) {
        return false;
    }
    for (size_t r = 0; r < summary->rep_count; r++) {
        reps[r] = of_rep(source, &summary->reps[r]);
    }
    observation->reps = reps;
    observation->rep_count = summary->rep_count;
    return true;
}
