/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Report: summary → text for a terminal, JSON, JSON lines, CSV, a page. Writers put into a bp_text; nothing
 * here opens a file.
 */
#ifndef BARPLUMB_REPORT_H
#define BARPLUMB_REPORT_H

#include "barplumb/arena.h"
#include "barplumb/check.h"
#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/load_table.h"
#include "barplumb/plan.h"
#include "barplumb/strength.h"
#include "barplumb/summary.h"
#include "barplumb/text.h"

#ifdef __cplusplus
extern "C" {
#endif

#define BP_SET_SCHEMA "barplumb.set/1"

struct bp_report_settings {
    bool colour;    /* ANSI bold and dim; only for a terminal and never against NO_COLOR */
    size_t columns; /* width of the terminal; 0: 80 */
};

/* One set, for a person. */
BP_API void bp_report_set_text(const struct bp_summary *summary, const struct bp_report_settings *settings,
                               struct bp_text *out);
/* One set as JSON, schema BP_SET_SCHEMA (docs/json.md). indent: pretty over many lines, else one line
 * with a newline at its end. */
BP_API void bp_report_set_json(const struct bp_summary *summary, bool indent, struct bp_text *out);
/* A set's JSON document back into its summary, whose arrays and texts live in arena; figures as the document
 * rounds them, so that writing it again gives the same bytes. Keys it does not know are passed over, those
 * that are missing are unknown figures. On failure summary is all zero. Errors: FORMAT (with line and
 * column), LIMIT (more than 10,000 reps), MEMORY. */
BP_API enum bp_code bp_report_set_read(const char *bytes, size_t count, struct bp_arena *arena,
                                       struct bp_summary *summary, struct bp_error *error);
/* The CSV header, and one row a rep. It has columns for three ranges, as the lifts have. */
BP_API void bp_report_set_csv_header(struct bp_text *out);
BP_API void bp_report_set_csv(const struct bp_summary *summary, struct bp_text *out);

struct bp_page_settings {
    const char *lifter; /* who lifted, for the heading; NULL or "": not said */
    /* NULL: the script and the style stand in the page. Else the folder they lie in, seen from the page, with
     * its '/' at the end ("assets/"): many pages then share one copy, written from bp_report_page_file. */
    const char *assets;
    const char *index; /* the page of the block it belongs to, seen from it: "../index.html"; NULL: none */
};

/* False in a build without the page (BARPLUMB_PAGE=OFF). */
BP_API bool bp_report_has_page(void);

/* One set as an HTML page that needs nothing else: figures, findings and charts (docs/page.md). Without
 * summary->traces it has no charts. settings NULL: all NULL. Text of the log and of the caller is escaped;
 * the page's content security policy lets nothing run but its own script and nothing be fetched (with assets:
 * but from its own folder). Errors: ARGUMENT in a build without the page; out is then untouched. */
BP_API enum bp_code bp_report_set_html(const struct bp_summary *summary,
                                       const struct bp_page_settings *settings, struct bp_text *out,
                                       struct bp_error *error);

enum bp_page_part_of { BP_PAGE_SCRIPT, BP_PAGE_STYLE };
struct bp_page_file {
    const char *name;  /* "barplumb.js", "barplumb.css" */
    const char *bytes; /* [count]; lives as long as the program */
    size_t count;      /* 0 in a build without the page */
};
/* A file that pages with `assets` share. */
BP_API struct bp_page_file bp_report_page_file(enum bp_page_part_of part);

/* One check, for a person and as JSON ("barplumb.check/1"). */
BP_API void bp_report_check_text(const char *path, const struct bp_trace *trace, const struct bp_check *check,
                                 const struct bp_report_settings *settings, struct bp_text *out);
BP_API void bp_report_check_json(const char *path, const struct bp_trace *trace, const struct bp_check *check,
                                 bool indent, struct bp_text *out);

/* What a rig makes the bar weigh, and the plan that made the rig (NULL: none was asked for), for a person, as
 * JSON ("barplumb.load/1") and as CSV, a row a height under its header. path: the rig's file. */
struct bp_load_report {
    const char *path;
    const struct bp_rig *rig; /* as weighed: with a plan, the plan's */
    const struct bp_load_table *table;
    /* With a plan: */
    const struct bp_plan *plan;
    const struct bp_plan_settings *wanted;
    const struct bp_rig *stock; /* the rig it was made from */
};
BP_API void bp_report_load_text(const struct bp_load_report *load, const struct bp_report_settings *settings,
                                struct bp_text *out);
/* And where it is as heavy as another rig, for a person. */
BP_API void bp_report_load_against(const struct bp_load_report *load, const char *other_path,
                                   const struct bp_load_table *other,
                                   const struct bp_report_settings *settings, struct bp_text *out);
BP_API void bp_report_load_json(const struct bp_load_report *load, bool indent, struct bp_text *out);
BP_API void bp_report_load_csv_header(struct bp_text *out);
BP_API void bp_report_load_csv(const struct bp_load_report *load, struct bp_text *out);

/* What several sets say of a lifter's strength, for a person and as JSON ("barplumb.strength/1"). */
struct bp_strength_report {
    size_t count;
    const char *const *paths;            /* [count] the logs */
    const struct bp_strength_set *sets;  /* [count] */
    const struct bp_quantity *loss_pct;  /* [count] velocity loss */
    const struct bp_strength_left *left; /* [count] */
    const struct bp_strength_profile *profile;
};
BP_API void bp_report_strength_text(const struct bp_strength_report *strength,
                                    const struct bp_report_settings *settings, struct bp_text *out);
BP_API void bp_report_strength_json(const struct bp_strength_report *strength, bool indent,
                                    struct bp_text *out);

#ifdef __cplusplus
}
#endif
#endif
