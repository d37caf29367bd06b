/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set as JSON, schema "barplumb.set/1": docs/json.md. Keys are added, never renamed.
 */
#include "barplumb/report.h"

#include "report/figures.h"
#include "report/json.h"
#include "report/set_parts.h"

static void put_quantities(struct bp_json *json, const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        const struct bp_figure *figure = &figures->list[i];
        bp_json_quantity(json, figure->name, bp_report_quantity_at(record, figure), figure->decimals);
    }
}

static void put_doubles(struct bp_json *json, const void *record, const struct bp_figure_list *figures)
{
    for (size_t i = 0; i < figures->count; i++) {
        const struct bp_figure *figure = &figures->list[i];
        bp_json_number(json, figure->name, bp_report_double_at(record, figure), figure->decimals);
    }
}

static void put_log(struct bp_json *json, const struct bp_summary *summary)
{
    const struct bp_log_facts *log = &summary->log;
    bp_json_open(json, "log", '{');
    bp_json_string(json, "path", log->path);
    bp_json_count(json, "rows", log->rows);
    bp_json_number(json, "rate_hz", log->rate_hz, BP_RATE_DECIMALS);
    bp_json_number(json, "duration_s", log->duration_s, BP_TIME_DECIMALS);
    bp_json_bool(json, "gyroscope", log->gyroscope);
    bp_json_findings(json, &summary->findings);
    bp_json_bool(json, "shake_apparent", log->shake_apparent);
    bp_json_bool(json, "axis_known", log->axis_known);
    bp_json_string(json, "container", log->recognised.container);
    bp_json_string(json, "columns", log->recognised.columns);
    if (log->parts > 0) {
        bp_json_count(json, "part", log->part);
        bp_json_count(json, "parts", log->parts);
        bp_json_number(json, "part_from_s", log->part_from_s, BP_TIME_DECIMALS);
    }
    if (log->recordings > 0) {
        bp_json_count(json, "recording", log->recording);
        bp_json_count(json, "recordings", log->recordings);
    }
    bp_json_close(json, '}');
}

/* "" is no text. */
static void put_text_or_null(struct bp_json *json, const char *key, const char *text)
{
    if (text[0] != '\0') {
        bp_json_string(json, key, text);
    } else {
        bp_json_null(json, key);
    }
}

static void put_set(struct bp_json *json, const struct bp_set_figures *set)
{
    const struct bp_lift_facts *lift = bp_lift_facts(set->lift);
    bp_json_open(json, "set", '{');
    bp_json_string(json, "lift", lift != NULL ? lift->name : "unknown");
    put_text_or_null(json, "setup", set->setup);
    bp_json_count(json, "reps", set->reps);
    put_quantities(json, set, &bp_report_set_quantities);
    bp_json_count(json, "missed", set->missed);
    bp_json_bool(json, "lift_given", set->lift_given);
    put_text_or_null(json, "rig", set->rig);
    put_text_or_null(json, "matched", bp_report_matched_name(set->matched));
    bp_json_bool(json, "loaded", set->loaded);
    bp_json_bool(json, "load_varies", set->load_varies);
    bp_json_close(json, '}');
}

static void put_sticking(struct bp_json *json, const struct bp_sticking_figures *sticking)
{
    if (!sticking->present) {
        bp_json_null(json, "sticking");
        return;
    }
    bp_json_open(json, "sticking", '{');
    put_doubles(json, sticking, &bp_report_sticking_times);
    put_quantities(json, sticking, &bp_report_sticking_quantities);
    bp_json_close(json, '}');
}

static void put_ranges(struct bp_json *json, const struct bp_rep_figures *rep)
{
    bp_json_open(json, "ranges", '[');
    for (size_t i = 0; i < rep->range_count; i++) {
        const struct bp_range_figures *range = &rep->ranges[i];
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "name", range->name);
        put_doubles(json, range, &bp_report_range_bounds);
        put_quantities(json, range, &bp_report_range_quantities);
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
}

static void put_profile(struct bp_json *json, const struct bp_rep_figures *rep)
{
    bp_json_open(json, "profile_m_s", '[');
    for (size_t p = 0; p < BP_PROFILE_POINTS; p++) {
        bp_json_number(json, NULL, rep->profile_m_s[p], BP_PROFILE_DECIMALS);
    }
    bp_json_close(json, ']');
}

static void put_rep(struct bp_json *json, const struct bp_rep_figures *rep)
{
    bp_json_open(json, NULL, '{');
    bp_json_count(json, "index", rep->index);
    put_doubles(json, rep, &bp_report_rep_times);
    put_quantities(json, rep, &bp_report_rep_speeds);
    put_sticking(json, &rep->sticking);
    put_ranges(json, rep);
    put_quantities(json, rep, &bp_report_rep_steadiness);
    put_quantities(json, rep, &bp_report_rep_loads);
    bp_json_bool(json, "missed", rep->missed);
    put_profile(json, rep);
    bp_json_close(json, '}');
}

void bp_set_json_put(struct bp_json *json, const struct bp_summary *summary)
{
    bp_json_string(json, "schema", BP_SET_SCHEMA);
    put_log(json, summary);
    put_set(json, &summary->set);
    bp_json_open(json, "reps", '[');
    for (size_t i = 0; i < summary->rep_count; i++) {
        put_rep(json, &summary->reps[i]);
    }
    bp_json_close(json, ']');
}

void bp_report_set_json(const struct bp_summary *summary, bool indent, struct bp_text *out)
{
    struct bp_json json;
    bp_json_init(&json, indent, out);
    bp_json_open(&json, NULL, '{');
    bp_set_json_put(&json, summary);
    bp_json_close(&json, '}');
}
