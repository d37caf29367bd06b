/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One check for a person: what was recognised and whether it is fit to use.
 */
#include "barplumb/report.h"
#include "barplumb/units.h"

#include "report/table.h"

enum { LABEL_WIDTH = 14 };

static void put_label(struct bp_text *out, const char *label, const struct bp_report_settings *settings)
{
    size_t before = out->length;
    bp_table_dim(out, settings);
    bp_text_put(out, "  ");
    bp_text_put(out, label);
    bp_table_normal(out, settings);
    size_t width = settings->colour ? out->length - before - 8 : out->length - before;
    bp_text_fill(out, ' ', width < LABEL_WIDTH ? LABEL_WIDTH - width : 1);
}

static void put_value(struct bp_text *out, const char *before, double value, int decimals, const char *after)
{
    bp_text_put(out, before);
    if (isfinite(value)) {
        bp_text_put_number(out, value, decimals);
    } else {
        bp_text_put(out, "unknown");
    }
    bp_text_put(out, after);
}

static void put_recording(struct bp_text *out, const struct bp_trace *trace,
                          const struct bp_report_settings *settings)
{
    if (trace->recordings > 0) {
        put_label(out, "recording", settings);
        bp_text_put_count(out, trace->recording);
        bp_text_put(out, " of ");
        bp_text_put_count(out, trace->recordings);
        bp_text_put_char(out, '\n');
    }
}

static void put_recognised(struct bp_text *out, const struct bp_trace *trace,
                           const struct bp_report_settings *settings)
{
    put_label(out, "read as", settings);
    bp_table_put_wrapped(out, trace->recognised.container, LABEL_WIDTH, LABEL_WIDTH, settings);
    put_label(out, "columns", settings);
    bp_table_put_wrapped(out, trace->recognised.columns, LABEL_WIDTH, LABEL_WIDTH, settings);
    put_label(out, "gyroscope", settings);
    bp_text_put(out, trace->gyroscope ? "yes\n" : "no\n");
}

static void put_clock(struct bp_text *out, const struct bp_trace *trace, const struct bp_check *check,
                      const struct bp_report_settings *settings)
{
    put_label(out, "samples", settings);
    bp_text_put_count(out, trace->count);
    put_value(out, " over ", check->clock.duration_s, 2, " s, ");
    put_value(out, "", check->clock.rate_hz, 1, " Hz\n");
    put_label(out, "clock", settings);
    put_value(out, "jitter ", 1e3 * check->clock.jitter_s, 2, " ms, longest step ");
    put_value(out, "", 1e3 * check->clock.longest_step_s, 1, " ms, ");
    bp_text_put_count(out, check->clock.gaps);
    bp_text_put(out, check->clock.gaps == 1 ? " gap" : " gaps");
    if (check->clock.gaps > 0) {
        put_value(out, " with ", check->missing_s, 2, " s missing");
    }
    bp_text_put_char(out, '\n');
}

static void put_sensors(struct bp_text *out, const struct bp_trace *trace, const struct bp_check *check,
                        const struct bp_report_settings *settings)
{
    put_label(out, "still", settings);
    put_value(out, "", check->still_total_s, 1, " s in ");
    bp_text_put_count(out, check->still.count);
    bp_text_put(out, check->still.count == 1 ? " spell\n" : " spells\n");
    put_label(out, "gravity", settings);
    if (trace->gravity_removed) {
        bp_text_put(out, "taken out by the phone\n");
    } else {
        put_value(out, "", check->noise.gravity, 3, " m/s²; ");
        put_value(out, "", check->gravity_low, 3, " to ");
        put_value(out, "", check->gravity_high, 3, " expected, a sensor may be ");
        put_value(out, "", BP_GRAVITY_OFF_ORDINARY, 1, " off\n");
    }
    put_label(out, "noise", settings);
    put_value(out, "", check->noise.force_sd, 4, " m/s²");
    if (trace->gyroscope) {
        put_value(out, ", ", check->noise.turn_sd, 5, " rad/s");
    }
    bp_text_put(out, " a sample\n");
    if (trace->gyroscope && check->still.count > 0) {
        put_label(out, "bias", settings);
        bp_text_put(out, "gyroscope ");
        for (int axis = 0; axis < 3; axis++) {
            put_value(out, axis > 0 ? ", " : "", check->noise.turn_bias[axis] / BP_DEGREE, 2, "");
        }
        bp_text_put(out, " °/s about x, y, z\n");
    }
    if (check->clipped > 0) {
        put_label(out, "clipped", settings);
        bp_text_put_count(out, check->clipped);
        bp_text_put(out, check->clipped == 1 ? " sample\n" : " samples\n");
    }
}

static void put_stuck(struct bp_text *out, const struct bp_check *check,
                      const struct bp_report_settings *settings)
{
    static const char *const axes[6] = {"acceleration x", "acceleration y", "acceleration z",
                                        "gyroscope x",    "gyroscope y",    "gyroscope z"};
    bool first = true;
    for (size_t i = 0; i < 6; i++) {
        if (!check->stuck[i]) {
            continue;
        }
        if (first) {
            put_label(out, "stuck", settings);
        } else {
            bp_text_put(out, ", ");
        }
        bp_text_put(out, axes[i]);
        first = false;
    }
    bp_text_put(out, first ? "" : "\n");
}

void bp_report_check_text(const char *path, const struct bp_trace *trace, const struct bp_check *check,
                          const struct bp_report_settings *settings, struct bp_text *out)
{
    bp_table_bold(out, settings);
    bp_table_put_path(out, path);
    bp_text_put(out, ": ");
    bp_text_put(out, bp_verdict_name(check->verdict));
    bp_table_normal(out, settings);
    bp_text_put_char(out, '\n');
    put_recording(out, trace, settings);
    put_recognised(out, trace, settings);
    put_clock(out, trace, check, settings);
    put_sensors(out, trace, check, settings);
    put_stuck(out, check, settings);
    bp_report_findings_text(out, &check->findings, settings);
}
