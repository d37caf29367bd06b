/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reports of a surveyed block: a comparison and a whole block, as text, JSON, CSV and pages. Like report.h,
 * writers put into a bp_text; opening files is the program's business.
 */
#ifndef BARPLUMB_REPORT_BLOCK_H
#define BARPLUMB_REPORT_BLOCK_H

#include "barplumb/report.h"
#include "barplumb/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

#define BP_COMPARE_SCHEMA "barplumb.compare/1"
#define BP_BLOCK_SCHEMA "barplumb.block/1"

/* ---- how groups differ ---- */

/* For a person: each lift's groups, what is known of their loads, what can be told of each pair and a table
 * of its figures; then what could not be measured, and the caution. */
BP_API void bp_report_compare_text(const struct bp_survey *survey, const struct bp_report_settings *settings,
                                   struct bp_text *out);
/* Schema BP_COMPARE_SCHEMA (docs/json.md). indent as in bp_report_set_json. */
BP_API void bp_report_compare_json(const struct bp_survey *survey, bool indent, struct bp_text *out);
/* A row a figure and pair, under one header. */
BP_API void bp_report_compare_csv_header(struct bp_text *out);
BP_API void bp_report_compare_csv(const struct bp_survey *survey, struct bp_text *out);

/* ---- a block, set by set ---- */

/* All reps of all measured sets as CSV, header and rows: what the sheet says of the set (date, lifter, id,
 * bar, plates, rig, target and whether it was reached, notes, and each column that means nothing here under
 * "sheet_" and its heading), then the columns of bp_report_set_csv. sheet: the block's. */
BP_API void bp_report_block_csv(const struct bp_survey *survey, const struct bp_sheet *sheet,
                                struct bp_text *out);
/* Each measured set's document on a line, with what the sheet says of it under the key "sheet". */
BP_API void bp_report_block_jsonl(const struct bp_survey *survey, const struct bp_sheet *sheet,
                                  struct bp_text *out);
/* What the survey found, schema BP_BLOCK_SCHEMA. lifter: one of survey->lifters, whose part alone is
 * written; NULL: all. */
BP_API void bp_report_block_json(const struct bp_survey *survey, const char *lifter, bool indent,
                                 struct bp_text *out);

/* ---- pages ---- */

/* Where a page finds the others; each as in bp_page_settings.assets with its '/' at the end, "" for the same
 * folder. Sets' pages are <id>.html, lifters' are named by bp_report_lifter_page_name. */
struct bp_block_page_settings {
    const char *assets;  /* NULL: script and style stand in the page */
    const char *sets;    /* folder of the sets' pages; NULL: none, and nothing links to them */
    const char *lifters; /* of the lifters' pages; NULL: none */
    const char *index;   /* of the index page itself, "index.html"; NULL: none */
    const char *compare; /* the comparison's page, "compare.html"; NULL: none */
};

/* "lifter-2-L1.html": letters, digits and '-' only, and different for each lifter. lifter: an index into
 * survey->lifters. */
BP_API void bp_report_lifter_page_name(const struct bp_survey *survey, size_t lifter, struct bp_text *out);

/* One page each (docs/block.md): the comparison, the whole block, one lifter. Text of sheet and logs is
 * escaped and links lead to pages of the block alone. Without scripts a plain table stays. settings NULL: all
 * NULL. Errors: ARGUMENT in a build without the page, out is then untouched. */
BP_API enum bp_code bp_report_compare_html(const struct bp_survey *survey,
                                           const struct bp_block_page_settings *settings, struct bp_text *out,
                                           struct bp_error *error);
BP_API enum bp_code bp_report_block_html(const struct bp_survey *survey,
                                         const struct bp_block_page_settings *settings, struct bp_text *out,
                                         struct bp_error *error);
BP_API enum bp_code bp_report_lifter_html(const struct bp_survey *survey, size_t lifter,
                                          const struct bp_block_page_settings *settings, struct bp_text *out,
                                          struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
