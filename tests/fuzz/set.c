/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The whole way of `set`: a log's bytes, the import, the analysis, every report. The lift, and whether the
 * bar's mass is known, hang on how many bytes there are.
 */
#include "fuzz/fuzz.h"

#include "barplumb/analyse.h"
#include "barplumb/report.h"
#include "barplumb/split.h"

#include <math.h>

static void require_quantity(struct bp_quantity q)
{
    fuzz_require(isnan(q.value) || isfinite(q.value), "a figure is finite or unknown");
    fuzz_require(isnan(q.low) || isnan(q.value) || q.low <= q.value, "an interval begins below its figure");
    fuzz_require(isnan(q.high) || isnan(q.value) || q.high >= q.value, "an interval ends above its figure");
}

static void require_summary(const struct bp_summary *summary)
{
    fuzz_require(summary->rep_count >= 1, "a set that was measured has a rep");
    require_quantity(summary->set.mean_velocity_m_s);
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        require_quantity(rep->mean_velocity_m_s);
        require_quantity(rep->range_m);
        require_quantity(rep->shake_mm);
        fuzz_require(rep->range_count <= BP_RANGES_MAX, "ranges keep their limit");
    }
}

static void require_parts(const struct bp_trace *trace, const struct bp_parts *parts)
{
    fuzz_require(parts->count >= 1, "a log has a part");
    for (size_t k = 0; k < parts->count; k++) {
        const struct bp_trace *part = &parts->list[k];
        size_t first = (size_t)(part->force[0] - trace->force[0]);
        fuzz_require(part->count >= 2 && first + part->count <= trace->count, "a part lies in its log");
    }
}

static void report(const struct bp_summary *summary, struct bp_arena *arena)
{
    const struct bp_report_settings plain = {false, 0};
    const struct bp_page_settings page = {.assets = "assets/"};
    struct bp_text text, json;
    struct bp_summary again;
    struct bp_error error;
    bp_text_init(&text);
    bp_text_init(&json);
    bp_report_set_text(summary, &plain, &text);
    fuzz_require_plain(&text);
    bp_report_set_csv(summary, &text);
    enum bp_code code = bp_report_set_html(summary, &page, &text, &error);
    fuzz_require(code == BP_OK || !bp_report_has_page(), "a page is written");
    fuzz_require_text(&text);
    bp_report_set_json(summary, false, &json);
    fuzz_require_text(&json);
    code = bp_report_set_read(json.data, json.length, arena, &again, &error);
    fuzz_require(code == BP_OK, "what was written can be read");
    bp_text_free(&text);
    bp_text_free(&json);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct bp_analyse_settings settings = bp_analyse_defaults;
    struct bp_arena arena;
    struct bp_trace trace;
    struct bp_parts parts;
    struct bp_summary summary;
    struct bp_rig rig;
    struct bp_error error;
    bp_rig_straight(60.0, 0.3, &rig);
    settings.path = "fuzz";
    settings.lift = (enum bp_lift)(count % 5);
    settings.lift_given = true;
    settings.keep_traces = true;
    settings.rig = count % 2 == 0 ? &rig : NULL;
    bp_arena_init(&arena);
    enum bp_code code = bp_import_csv_bytes("fuzz", (const char *)bytes, count, NULL, &arena, &trace, &error);
    if (code == BP_OK) {
        code = bp_split_trace(&trace, NULL, &arena, &parts, &error);
        if (code == BP_OK) {
            require_parts(&trace, &parts);
        }
        for (size_t k = 0; code == BP_OK && k < parts.count; k++) {
            code = bp_analyse_trace(&parts.list[k], &settings, &arena, &summary, &error);
            if (code == BP_OK) {
                require_summary(&summary);
                report(&summary, &arena);
            }
        }
    }
    if (code != BP_OK) {
        fuzz_require_refusal(code, &error);
    }
    bp_arena_free(&arena);
    return 0;
}
