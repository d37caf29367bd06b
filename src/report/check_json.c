/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One check as JSON, schema "barplumb.check/1": docs/json.md.
 */
#include "barplumb/report.h"

#include "report/figures.h"
#include "report/json.h"

enum { NOISE_DECIMALS = 6, GRAVITY_DECIMALS = 4, STEP_DECIMALS = 6 };

static void put_log(struct bp_json *json, const char *path, const struct bp_trace *trace,
                    const struct bp_check *check)
{
    bp_json_open(json, "log", '{');
    bp_json_string(json, "path", path);
    bp_json_count(json, "rows", trace->recognised.rows);
    bp_json_number(json, "rate_hz", check->clock.rate_hz, BP_RATE_DECIMALS);
    bp_json_number(json, "duration_s", check->clock.duration_s, BP_TIME_DECIMALS);
    bp_json_bool(json, "gyroscope", trace->gyroscope);
    bp_json_findings(json, &check->findings);
    bp_json_count(json, "samples", trace->count);
    bp_json_bool(json, "gravity_removed", trace->gravity_removed);
    bp_json_string(json, "container", trace->recognised.container);
    bp_json_string(json, "columns", trace->recognised.columns);
    bp_json_number(json, "declared_rate_hz", trace->recognised.declared_rate_hz, BP_RATE_DECIMALS);
    if (trace->recordings > 0) {
        bp_json_count(json, "recording", trace->recording);
        bp_json_count(json, "recordings", trace->recordings);
    }
    bp_json_close(json, '}');
}

static void put_clock(struct bp_json *json, const struct bp_check *check)
{
    bp_json_open(json, "clock", '{');
    bp_json_number(json, "step_s", check->clock.step_s, STEP_DECIMALS);
    bp_json_number(json, "jitter_s", check->clock.jitter_s, STEP_DECIMALS);
    bp_json_number(json, "longest_step_s", check->clock.longest_step_s, STEP_DECIMALS);
    bp_json_count(json, "gaps", check->clock.gaps);
    bp_json_number(json, "missing_s", check->missing_s, BP_TIME_DECIMALS);
    bp_json_close(json, '}');
}

static void put_sensors(struct bp_json *json, const struct bp_trace *trace, const struct bp_check *check)
{
    static const char *const axes[6] = {"ax", "ay", "az", "gx", "gy", "gz"};
    bp_json_open(json, "sensors", '{');
    bp_json_number(json, "force_noise_m_s2", check->noise.force_sd, NOISE_DECIMALS);
    bp_json_number(json, "turn_noise_rad_s", check->noise.turn_sd, NOISE_DECIMALS);
    bp_json_open(json, "turn_bias_rad_s", '[');
    for (size_t i = 0; trace->gyroscope && check->still.count > 0 && i < 3; i++) {
        bp_json_number(json, NULL, check->noise.turn_bias[i], NOISE_DECIMALS);
    }
    bp_json_close(json, ']');
    bp_json_number(json, "gravity_m_s2", check->noise.gravity, GRAVITY_DECIMALS);
    bp_json_number(json, "gravity_least_m_s2", check->gravity_low, GRAVITY_DECIMALS);
    bp_json_number(json, "gravity_most_m_s2", check->gravity_high, GRAVITY_DECIMALS);
    bp_json_number(json, "force_limit_m_s2", trace->force_limit, GRAVITY_DECIMALS);
    bp_json_number(json, "turn_limit_rad_s", trace->turn_limit, GRAVITY_DECIMALS);
    bp_json_count(json, "clipped", check->clipped);
    bp_json_open(json, "stuck", '[');
    for (size_t i = 0; i < 6; i++) {
        if (check->stuck[i]) {
            bp_json_string(json, NULL, axes[i]);
        }
    }
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

void bp_report_check_json(const char *path, const struct bp_trace *trace, const struct bp_check *check,
                          bool indent, struct bp_text *out)
{
    struct bp_json json;
    bp_json_init(&json, indent, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "schema", "barplumb.check/1");
    put_log(&json, path, trace, check);
    bp_json_string(&json, "verdict", bp_verdict_name(check->verdict));
    put_clock(&json, check);
    bp_json_open(&json, "still", '{');
    bp_json_count(&json, "spells", check->still.count);
    bp_json_number(&json, "total_s", check->still_total_s, BP_TIME_DECIMALS);
    bp_json_close(&json, '}');
    put_sensors(&json, trace, check);
    bp_json_close(&json, '}');
}
