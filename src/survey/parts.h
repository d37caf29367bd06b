/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/survey: what its files share.
 */
#ifndef BARPLUMB_SURVEY_PARTS_H
#define BARPLUMB_SURVEY_PARTS_H

#include "barplumb/survey.h"

#include <stdint.h>

/* Half of a 95 % interval of a normal error, in standard deviations. */
#define SURVEY_HALF_IN_SD 1.959964

/* ---- tools.c ---- */

/* The measured sets by day and then as in the sheet; undated ones last. NULL: out of memory. */
size_t *survey_order(const struct bp_block *block, struct bp_arena *arena, size_t *count);
/* Mean of the known ones, its interval as of independent errors; unknown if there is none. */
struct bp_quantity survey_mean(const struct bp_quantity *list, size_t count);
/* A copy in arena; NULL when memory is out. Frees text. */
const char *survey_keep(struct bp_arena *arena, struct bp_text *text);
/* The load of the fastest completed rep, mean over its drive. */
struct bp_quantity survey_load_of_best(const struct bp_summary *summary);
/* The mean over completed reps with a sticking region: its end, % of the way up, and the speed lost in it. */
struct bp_quantity survey_sticking_height(const struct bp_summary *summary);
struct bp_quantity survey_sticking_depth(const struct bp_summary *summary);
/* Lowest and highest load at lockout; NaN if none is known. */
void survey_load_span(const struct bp_block *block, const size_t *sets, size_t count, double *low,
                      double *high);

/* ---- figures.c ---- */

enum { SURVEY_FIGURES_MAX = 24, SURVEY_RANGES = 3 };

/* One figure of a lift's sets, and where to find it. */
struct survey_source {
    struct bp_compare_figure figure;
    int kind;
    size_t of_rep, of_set; /* offsets; SIZE_MAX: none */
    size_t range;
};
/* All figures of a lift; texts live in arena. Returns their number, 0 when memory is out. */
size_t survey_sources(enum bp_lift lift, bool apparent, struct bp_arena *arena,
                      struct survey_source *sources);
/* Fills observation's figures from a summary; false when memory is out. */
bool survey_observe(const struct survey_source *source, const struct bp_summary *summary,
                    struct bp_arena *arena, struct bp_observation *observation);

/* ---- groups.c ---- */

/* Sets that are compared with one another. */
struct survey_part {
    size_t count;
    size_t *sets;       /* in block->sets */
    const char **names; /* [count] the group of each */
};
/* Parts the sets into what may be compared, by the settings. NULL: out of memory. */
struct survey_part *survey_parts(const struct bp_survey *survey, const size_t *order, size_t count,
                                 struct bp_arena *arena, size_t *part_count);
/* The comparison's groups, counted. */
bool survey_count_groups(const struct bp_block *block, const struct survey_part *part, struct bp_arena *arena,
                         struct bp_survey_comparison *comparison);

/* ---- comparisons.c, words.c, series.c, trend.c ---- */

enum bp_code survey_compare(struct bp_survey *survey, const size_t *order, size_t count,
                            struct bp_arena *arena, struct bp_error *error);
/* Sentences about the loads of every pair, and cautions. */
bool survey_put_loads(const struct bp_survey *survey, const struct survey_part *part, struct bp_arena *arena,
                      struct bp_survey_comparison *comparison);
bool survey_put_cautions(const struct bp_block *block, const struct survey_part *part, const char *refusal,
                         struct bp_arena *arena, struct bp_survey_comparison *comparison);
enum bp_code survey_find_series(struct bp_survey *survey, const size_t *order, size_t count,
                                struct bp_arena *arena, struct bp_error *error);
/* Line, verdict and sentence of a trend whose points are there; false when memory is out. */
bool survey_judge_trend(struct bp_survey_trend *trend, struct bp_arena *arena);
enum bp_code survey_no_memory(struct bp_error *error);

#endif
