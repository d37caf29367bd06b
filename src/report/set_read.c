/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A set's JSON document → its summary: what a block of sets keeps of a log it need not measure again. The
 * figures come from the same table that writes them, so that reader and writer cannot disagree.
 */
#include "barplumb/report.h"

#include "base/spare.h"
#include "report/figures.h"

#include <errno.h>
#include <jansson.h>
#include <string.h>

enum { REPS_MAX = 10000 }; /* past any set; each "{}," would become some 3 kB */

struct reading {
    struct bp_arena *arena;
    bool short_of_memory;
};

static double number_of(const json_t *value)
{
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

static struct bp_quantity quantity_of(const json_t *value)
{
    return (struct bp_quantity){number_of(json_object_get(value, "value")),
                                number_of(json_object_get(value, "low")),
                                number_of(json_object_get(value, "high"))};
}

static size_t count_of(const json_t *value)
{
    json_int_t count = json_integer_value(value);
    return count > 0 ? (size_t)count : 0;
}

static void get_text(const json_t *value, char *out, size_t size)
{
    const char *text = json_string_value(value);
    size_t length = text ? strlen(text) : 0;
    length = length < size ? length : size - 1;
    memcpy(out, text ? text : "", length);
    out[length] = '\0';
}

/* A text that has to outlive the document. */
static const char *keep_text(struct reading *reading, const json_t *value)
{
    const char *text = json_string_value(value);
    size_t size = text ? strlen(text) + 1 : 1;
    char *kept = bp_arena_take(reading->arena, size, 1);
    if (!kept) {
        reading->short_of_memory = true;
        return "";
    }
    return memcpy(kept, text ? text : "", size);
}

static void get_quantities(const json_t *object, const struct bp_figure_list *figures, void *record)
{
    for (size_t f = 0; f < figures->count; f++) {
        void *at = (char *)record + figures->list[f].offset;
        *(struct bp_quantity *)at = quantity_of(json_object_get(object, figures->list[f].name));
    }
}

static void get_doubles(const json_t *object, const struct bp_figure_list *figures, void *record)
{
    for (size_t f = 0; f < figures->count; f++) {
        void *at = (char *)record + figures->list[f].offset;
        *(double *)at = number_of(json_object_get(object, figures->list[f].name));
    }
}

static void get_findings(struct reading *reading, const json_t *log, struct bp_findings *findings)
{
    const json_t *list = json_object_get(log, "findings");
    for (size_t f = 0; f < json_array_size(list) && f < BP_FINDINGS_MAX; f++) {
        const json_t *from = json_array_get(list, f);
        const char *severity = json_string_value(json_object_get(from, "severity"));
        struct bp_finding *finding = &findings->list[findings->count++];
        finding->code = keep_text(reading, json_object_get(from, "code"));
        finding->at_s = number_of(json_object_get(from, "at_s"));
        for (enum bp_severity s = BP_NOTE; severity && s <= BP_REFUSAL; s++) {
            finding->severity = strcmp(severity, bp_severity_name(s)) == 0 ? s : finding->severity;
        }
        get_text(json_object_get(from, "text"), finding->text, sizeof finding->text);
    }
    findings->dropped = count_of(json_object_get(log, "findings_dropped"));
}

static void get_log(const json_t *from, struct bp_log_facts *log)
{
    get_text(json_object_get(from, "path"), log->path, sizeof log->path);
    log->rows = log->recognised.rows = count_of(json_object_get(from, "rows"));
    log->rate_hz = number_of(json_object_get(from, "rate_hz"));
    log->duration_s = number_of(json_object_get(from, "duration_s"));
    log->gyroscope = json_is_true(json_object_get(from, "gyroscope"));
    log->shake_apparent = json_is_true(json_object_get(from, "shake_apparent"));
    log->axis_known = json_is_true(json_object_get(from, "axis_known"));
    get_text(json_object_get(from, "container"), log->recognised.container, sizeof log->recognised.container);
    get_text(json_object_get(from, "columns"), log->recognised.columns, sizeof log->recognised.columns);
    log->recognised.declared_rate_hz = (double)NAN;
    log->part = count_of(json_object_get(from, "part"));
    log->parts = count_of(json_object_get(from, "parts"));
    log->recording = count_of(json_object_get(from, "recording"));
    log->recordings = count_of(json_object_get(from, "recordings"));
    log->part_from_s = log->parts > 0 ? number_of(json_object_get(from, "part_from_s")) : 0;
}

static bool get_set(const json_t *from, struct bp_set_figures *set)
{
    const char *lift = json_string_value(json_object_get(from, "lift"));
    const char *matched = json_string_value(json_object_get(from, "matched"));
    if (!lift || !bp_lift_named(lift, &set->lift)) {
        return false;
    }
    set->lift_given = json_is_true(json_object_get(from, "lift_given"));
    get_text(json_object_get(from, "setup"), set->setup, sizeof set->setup);
    get_text(json_object_get(from, "rig"), set->rig, sizeof set->rig);
    set->reps = count_of(json_object_get(from, "reps"));
    set->missed = count_of(json_object_get(from, "missed"));
    set->loaded = json_is_true(json_object_get(from, "loaded"));
    set->load_varies = json_is_true(json_object_get(from, "load_varies"));
    for (enum bp_matched m = BP_MATCHED_UNSAID; matched && m <= BP_MATCHED_LOCKOUT; m++) {
        set->matched = strcmp(matched, bp_report_matched_name(m)) == 0 ? m : set->matched;
    }
    get_quantities(from, &bp_report_set_quantities, set);
    return true;
}

static void get_sticking(const json_t *from, struct bp_sticking_figures *sticking)
{
    sticking->present = json_is_object(from);
    get_doubles(from, &bp_report_sticking_times, sticking);
    get_quantities(from, &bp_report_sticking_quantities, sticking);
}

static void get_ranges(struct reading *reading, const json_t *from, struct bp_rep_figures *rep)
{
    size_t count = json_array_size(from);
    rep->range_count = count < BP_RANGES_MAX ? count : BP_RANGES_MAX;
    for (size_t r = 0; r < rep->range_count; r++) {
        const json_t *range = json_array_get(from, r);
        rep->ranges[r].name = keep_text(reading, json_object_get(range, "name"));
        get_doubles(range, &bp_report_range_bounds, &rep->ranges[r]);
        get_quantities(range, &bp_report_range_quantities, &rep->ranges[r]);
    }
}

static void get_rep(struct reading *reading, const json_t *from, struct bp_rep_figures *rep)
{
    const json_t *profile = json_object_get(from, "profile_m_s");
    rep->index = count_of(json_object_get(from, "index"));
    rep->missed = json_is_true(json_object_get(from, "missed"));
    get_doubles(from, &bp_report_rep_times, rep);
    get_quantities(from, &bp_report_rep_speeds, rep);
    get_sticking(json_object_get(from, "sticking"), &rep->sticking);
    get_ranges(reading, json_object_get(from, "ranges"), rep);
    get_quantities(from, &bp_report_rep_steadiness, rep);
    get_quantities(from, &bp_report_rep_loads, rep);
    for (size_t p = 0; p < BP_PROFILE_POINTS; p++) {
        rep->profile_m_s[p] = number_of(json_array_get(profile, p));
    }
}

static enum bp_code get_summary(struct reading *reading, const json_t *root, struct bp_summary *summary,
                                struct bp_error *error)
{
    const char *schema = json_string_value(json_object_get(root, "schema"));
    const json_t *log = json_object_get(root, "log"), *reps = json_object_get(root, "reps");
    if (!schema || strcmp(schema, BP_SET_SCHEMA) != 0) {
        return bp_error_set(error, BP_ERR_FORMAT, "not a set's document: its schema is not %s",
                            BP_SET_SCHEMA);
    }
    if (!json_is_object(log) || !json_is_array(reps) ||
        !get_set(json_object_get(root, "set"), &summary->set)) {
        return bp_error_set(error, BP_ERR_FORMAT, "a set's document without its log, set or reps");
    }
    get_log(log, &summary->log);
    get_findings(reading, log, &summary->findings);
    if (json_array_size(reps) > REPS_MAX) {
        return bp_error_set(error, BP_ERR_LIMIT, "a set's document with more than %d reps", REPS_MAX);
    }
    summary->rep_count = json_array_size(reps);
    summary->reps = bp_arena_zero(reading->arena, summary->rep_count, sizeof *summary->reps);
    reading->short_of_memory |= !summary->reps;
    for (size_t r = 0; summary->reps && r < summary->rep_count; r++) {
        get_rep(reading, json_array_get(reps, r), &summary->reps[r]);
    }
    return reading->short_of_memory ? bp_error_set(error, BP_ERR_MEMORY, "out of memory for a set's document")
                                    : BP_OK;
}

/* Jansson asserts where a long string with an escape gets no memory, so that there is some is asked first:
 * the smallest value in a document, "1,", takes 24 bytes and up to 16 of its array. */
static bool memory_to_parse(size_t count)
{
    const size_t TREE_PER_BYTE = 24, PARSER_BYTES = 65536;
    return count <= (SIZE_MAX - PARSER_BYTES) / TREE_PER_BYTE &&
           bp_spare_memory(PARSER_BYTES + TREE_PER_BYTE * count);
}

enum bp_code bp_report_set_read(const char *bytes, size_t count, struct bp_arena *arena,
                                struct bp_summary *summary, struct bp_error *error)
{
    json_error_t fault;
    struct reading reading = {arena, false};
    memset(summary, 0, sizeof *summary);
    bp_error_clear(error);
    if (!memory_to_parse(count)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for a set's document");
    }
    errno = 0;
    json_t *root = json_loadb(bytes, count, JSON_REJECT_DUPLICATES, &fault);
    enum bp_code code = BP_OK;
    if (!root) {
        /* a parser that got no memory for a token calls the token invalid */
        bool memory = json_error_code(&fault) == json_error_out_of_memory || errno == ENOMEM;
        code = bp_error_set(error, memory ? BP_ERR_MEMORY : BP_ERR_FORMAT, "a set's document is no JSON: %s",
                            fault.text);
        bp_error_place(error, NULL, fault.line > 0 ? (size_t)fault.line : 0,
                       fault.column > 0 ? (size_t)fault.column : 0, (double)NAN);
    } else {
        code = get_summary(&reading, root, summary, error);
    }
    json_decref(root);
    if (code != BP_OK) {
        memset(summary, 0, sizeof *summary);
    }
    return code;
}
