/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Survey: a measured block → what a coach asks of it: how setups (lifters, sessions) differ, how figures move
 * over the weeks, the bests, which sets were surely under the speed wanted. Plain structs that point into the
 * block; docs/block.md has the method in words.
 */
#ifndef BARPLUMB_SURVEY_H
#define BARPLUMB_SURVEY_H

#include "barplumb/block.h"
#include "barplumb/compare.h"
#include "barplumb/strength.h"

#ifdef __cplusplus
extern "C" {
#endif

struct bp_survey_settings {
    struct bp_compare_settings compare;          /* compare.by: what is compared */
    const struct bp_strength_settings *strength; /* of the one-repetition maxima; NULL: the defaults */
};
extern BP_API const struct bp_survey_settings bp_survey_defaults;

/* ---- comparisons ---- */

/* One figure of all groups. */
struct bp_survey_figure {
    const char *key; /* as in JSON: "mean_velocity_m_s", "range1_mean_velocity_m_s", … */
    const char *words;
    struct bp_compare_result result; /* its groups and pairs are in the same order for every figure */
    const char *const *sentences;    /* [result.pair_count], without a full stop */
};

enum bp_survey_loads {
    BP_LOADS_UNKNOWN,     /* of one side, or of both */
    BP_LOADS_MATCH,       /* at the bottom, halfway or lockout: no difference worth naming */
    BP_LOADS_DIFFER,      /* at all three */
    BP_LOADS_CANNOT_TELL, /* neither is sure */
    BP_LOADS_COUNT
};
/* "unknown", "match", "differ", "cannot_tell": JSON's words; "" outside the enum. */
BP_API const char *bp_survey_loads_name(enum bp_survey_loads loads);

/* What has to be known of a pair before its figures. */
struct bp_survey_pair {
    size_t first, second; /* groups */
    enum bp_survey_loads loads;
    const char *sentence; /* of the loads, and of where the rigs mean them to match; without a full stop */
};

struct bp_survey_group {
    const char *name; /* a setup, lifter or session; "" if the sheet says none */
    size_t sets, days, lifters, reps;
    double load_low_kg, load_high_kg; /* at lockout, over its sets; NaN: not known */
    enum bp_matched matched;          /* what all its rigs say; UNSAID where they do not agree */
};

/* Groups of one lift; by lifter, of one setup too; by session, of one setup and lifter. */
struct bp_survey_comparison {
    enum bp_lift lift;
    const char *setup, *lifter; /* of all its sets; NULL: not one only */
    size_t sets;
    size_t group_count, pair_count, figure_count, caution_count;
    struct bp_survey_group *groups;   /* in order of their first day */
    struct bp_survey_pair *pairs;     /* (0,1), (0,2), …, (1,2), … */
    struct bp_survey_figure *figures; /* those that at least one set knows */
    const char *const *cautions;      /* whole sentences that must stand beside the figures */
};

/* ---- trends ---- */

enum bp_survey_subject {
    BP_TREND_SPEED, /* mean velocity of the day's sets, at one load */
    BP_TREND_BEST,  /* fastest rep of the day, at one load */
    BP_TREND_SHAKE,
    BP_TREND_STICKING_HEIGHT, /* where it ends, % of the way up */
    BP_TREND_STICKING_DEPTH,  /* speed lost from its beginning to its end */
    BP_TREND_LOSS,            /* velocity loss */
    BP_TREND_MAXIMUM,         /* one-repetition maximum, estimated from a week's sets */
    BP_TREND_COUNT
};

struct bp_survey_subject_facts {
    const char *key, *words, *unit; /* "speed", "mean velocity", "m/s" */
    const char *more, *less;        /* "faster", "slower" */
    int decimals;
};
/* NULL outside the enum. */
BP_API const struct bp_survey_subject_facts *bp_survey_subject_facts(enum bp_survey_subject subject);

struct bp_survey_point {
    long day; /* since 1970-01-01; of a week, its first day with a set */
    const char *date;
    size_t sets;
    struct bp_quantity figure; /* known; its interval is the measurement's alone */
    double sd; /* of it, without what all points share (a maximum's minimal velocity); NaN: not known */
};

enum bp_survey_verdict {
    BP_TREND_FEW, /* too few days, or too short a time */
    BP_TREND_CANNOT_TELL,
    BP_TREND_RISES,
    BP_TREND_FALLS
};
BP_API const char *bp_survey_verdict_name(enum bp_survey_verdict verdict);

struct bp_survey_trend {
    enum bp_survey_subject subject;
    double load_kg; /* at lockout, of SPEED and BEST; NaN: not known, or over all loads */
    size_t count;
    struct bp_survey_point *points; /* in order of days */
    enum bp_survey_verdict verdict;
    struct bp_quantity per_week;    /* robust slope, 95 %; unknown where FEW */
    struct bp_quantity first, last; /* the line on the first and last day; unknown where FEW */
    const char *sentence;           /* without a full stop: "0.02 m/s a week faster (0.01 to 0.03)" */
};

/* ---- the sets of one lifter, lift and setup ---- */

struct bp_survey_series {
    const char *lifter, *setup;
    enum bp_lift lift;
    size_t set_count;
    const size_t
        *sets;      /* in block->sets, measured ones, by day and then as in the sheet; undated ones last */
    size_t undated; /* of them, in no trend */
    size_t trend_count;
    struct bp_survey_trend *trends; /* speed and best of each load (at most 64), then the rest in the
                                       enum's order */
    double load_low_kg, load_high_kg;
    /* The set with the fastest rep, and the one with the heaviest load of which a rep was completed; indices
     * into block->sets, SIZE_MAX: none. */
    size_t fastest, heaviest;
    struct bp_quantity heaviest_kg; /* mean over the drive of that set's fastest rep */
};

/* ---- the speed wanted ---- */

enum bp_survey_target {
    BP_TARGET_NONE,        /* no speed was wanted, or the set was not measured */
    BP_TARGET_UNDER,       /* surely: the mean velocity's whole interval lies below */
    BP_TARGET_OVER,        /* surely */
    BP_TARGET_CANNOT_TELL, /* the interval holds it, or there is none */
    BP_TARGET_COUNT
};
BP_API const char *bp_survey_target_name(enum bp_survey_target target);
BP_API enum bp_survey_target bp_survey_judge_target(struct bp_quantity mean_m_s, double target_m_s);

struct bp_survey {
    const struct bp_block *block;
    struct bp_survey_settings settings;
    size_t measured, failed, reps;
    size_t targets[BP_TARGET_COUNT]; /* how many sets of each */
    size_t reservations;             /* measured sets whose log has a finding of reservation */
    size_t comparison_count;
    struct bp_survey_comparison *comparisons;
    size_t series_count;
    struct bp_survey_series *series; /* in order of first appearance, one lifter's together */
    size_t lifter_count;
    const char *const *lifters; /* in order of first appearance; "" if the sheet names none */
};

/* Whether a set was measured, now or in an earlier run: only then its summary is there. */
BP_API bool bp_survey_has(const struct bp_block_set *set);

/* Surveys block, which must outlive survey; its arrays live in arena. settings NULL: defaults. A block in
 * which nothing was measured is an empty survey. Errors: ARGUMENT (settings), MEMORY; survey is then all
 * zero. Thread-safe for different arenas. */
BP_API enum bp_code bp_survey_block(const struct bp_block *block, const struct bp_survey_settings *settings,
                                    struct bp_arena *arena, struct bp_survey *survey, struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
