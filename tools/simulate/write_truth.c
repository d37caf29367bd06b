/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fields.h"
#include "write.h"

#include <math.h>

static const char *const range_names[SIM_RANGES] = {"lower third", "middle third", "upper third"};

static void put_value(struct bp_text *text, double value)
{
    if (isfinite(value)) {
        bp_text_put_number(text, value, 9);
    } else {
        bp_text_put(text, "null");
    }
}

/* Keys are the options' names with _ for -. */
static void put_key(struct bp_text *text, const char *name)
{
    bp_text_put_char(text, '"');
    for (const char *c = name; *c; c++) {
        bp_text_put_char(text, *c == '-' ? '_' : *c);
    }
    bp_text_put(text, "\":");
}

static void put_member(struct bp_text *text, const char *name, double value)
{
    bp_text_put_char(text, ',');
    put_key(text, name);
    put_value(text, value);
}

static void put_setting(struct bp_text *text, const struct sim_field *field,
                        const struct sim_scenario *scenario)
{
    double value = sim_field_get(field, scenario);
    put_key(text, field->name);
    if (field->kind == SIM_FIELD_NAME) {
        bp_text_put_char(text, '"');
        bp_text_put(text, field->names[(size_t)value]);
        bp_text_put_char(text, '"');
    } else if (field->kind == SIM_FIELD_SWITCH) {
        bp_text_put(text, value != 0.0 ? "true" : "false");
    } else if (field->kind == SIM_FIELD_COUNT) {
        bp_text_put_count(text, (size_t)value);
    } else {
        put_value(text, value);
    }
}

static void put_scenario(struct bp_text *text, const struct sim_scenario *scenario)
{
    bp_text_put(text, ",\n \"scenario\":{\"seed\":");
    bp_text_put_count(text, (size_t)scenario->seed);
    bp_text_put(text, ",\"trouble\":\"");
    bp_text_put(text, sim_trouble_name(scenario->trouble));
    bp_text_put_char(text, '"');
    for (size_t i = 0; i < sim_field_count; i++) {
        bp_text_put(text, i % 6 ? "," : ",\n   ");
        put_setting(text, &sim_fields[i], scenario);
    }
    bp_text_put_char(text, '}');
}

static void put_shake(struct bp_text *text, const char *prefix, const struct sim_shake *shake)
{
    bp_text_put_char(text, ',');
    bp_text_put_char(text, '"');
    bp_text_put(text, prefix);
    bp_text_put(text, "shake_mm\":");
    put_value(text, 1000.0 * shake->rms_m);
    bp_text_put(text, ",\"");
    bp_text_put(text, prefix);
    bp_text_put(text, "shake_mm_s\":");
    put_value(text, 1000.0 * shake->rms_m_s);
    bp_text_put(text, ",\"");
    bp_text_put(text, prefix);
    bp_text_put(text, "shake_m_s2\":");
    put_value(text, shake->rms_m_s2);
}

static void put_sticking(struct bp_text *text, const struct sim_sticking *sticking)
{
    bp_text_put(text, ",\n   \"sticking\":");
    if (!sticking->present) {
        bp_text_put(text, "null");
        return;
    }
    bp_text_put(text, "{\"start_s\":");
    put_value(text, sticking->start_s);
    put_member(text, "end_s", sticking->end_s);
    put_member(text, "start_pct", sticking->start_pct);
    put_member(text, "end_pct", sticking->end_pct);
    put_member(text, "peak_before_m_s", sticking->peak_before_m_s);
    put_member(text, "low_m_s", sticking->low_m_s);
    bp_text_put_char(text, '}');
}

static void put_effort(struct bp_text *text, const struct sim_effort *effort)
{
    put_member(text, "load_kg", effort->load_kg);
    put_member(text, "force_n", effort->force_n);
    put_member(text, "power_w", effort->power_w);
    put_member(text, "work_j", effort->work_j);
    put_member(text, "impulse_n_s", effort->impulse_n_s);
}

static void put_ranges(struct bp_text *text, const struct sim_rep_truth *rep)
{
    bp_text_put(text, ",\n   \"ranges\":[");
    for (int i = 0; i < SIM_RANGES; i++) {
        bp_text_put(text, i ? ",\n     {\"name\":\"" : "{\"name\":\"");
        bp_text_put(text, range_names[i]);
        bp_text_put_char(text, '"');
        put_member(text, "mean_velocity_m_s", rep->range_velocity_m_s[i]);
        put_shake(text, "", &rep->range[i]);
        put_effort(text, &rep->range_effort[i]);
        bp_text_put_char(text, '}');
    }
    bp_text_put_char(text, ']');
}

static void put_rep(struct bp_text *text, size_t index, const struct sim_rep_truth *rep)
{
    bp_text_put(text, index ? ",\n  {\"index\":" : "\n  {\"index\":");
    bp_text_put_count(text, index + 1);
    bp_text_put(text, rep->missed ? ",\"missed\":true" : ",\"missed\":false");
    put_member(text, "descent_start_s", rep->descent_start_s);
    put_member(text, "descent_end_s", rep->descent_end_s);
    put_member(text, "turnaround_s", rep->turnaround_s);
    put_member(text, "drive_start_s", rep->drive_start_s);
    put_member(text, "drive_end_s", rep->drive_end_s);
    put_member(text, "top_s", rep->top_s);
    put_member(text, "descent_time_s", rep->descent_time_s);
    put_member(text, "pause_s", rep->pause_s);
    put_member(text, "drive_time_s", rep->drive_time_s);
    bp_text_put(text, ",\n   \"range_m\":");
    put_value(text, rep->range_m);
    put_member(text, "bottom_m", rep->bottom_m);
    put_member(text, "top_m", rep->top_m);
    put_member(text, "mean_velocity_m_s", rep->mean_velocity_m_s);
    put_member(text, "peak_velocity_m_s", rep->peak_velocity_m_s);
    put_member(text, "propulsive_velocity_m_s", rep->propulsive_velocity_m_s);
    put_member(text, "unbraked_velocity_m_s", rep->unbraked_velocity_m_s);
    put_member(text, "middle_range_m", rep->middle_range_m);
    put_member(text, "middle_mean_velocity_m_s", rep->middle_mean_velocity_m_s);
    put_sticking(text, &rep->sticking);
    put_ranges(text, rep);
    bp_text_put(text, ",\n   \"tilt_deg\":");
    put_value(text, rep->tilt_deg);
    put_shake(text, "", &rep->drive);
    put_shake(text, "descent_", &rep->descent);
    put_member(text, "shake_hz", rep->shake_hz);
    put_member(text, "clatter_m_s2", rep->clatter_m_s2);
    put_member(text, "clatter_crest", rep->clatter_crest);
    put_member(text, "sway_area_cm2", 1e4 * rep->sway_area_m2);
    put_member(text, "smoothness", rep->smoothness);
    bp_text_put(text, ",\n   \"rig_propulsive_velocity_m_s\":");
    put_value(text, rep->rig_propulsive_velocity_m_s);
    put_effort(text, &rep->effort);
    put_member(text, "peak_force_n", rep->peak_force_n);
    put_member(text, "peak_power_w", rep->peak_power_w);
    bp_text_put_char(text, '}');
}

void sim_write_truth(const struct sim_scenario *scenario, const struct sim_log *log,
                     const struct sim_truth *truth, struct bp_text *text)
{
    bp_text_put(text, "{\"schema\":\"barplumb.truth/1\",\n \"log\":{\"rows\":");
    bp_text_put_count(text, log->count);
    put_member(text, "rate_hz", log->nominal_rate_hz);
    put_member(text, "duration_s", truth->duration_s);
    bp_text_put(text, log->gyroscope ? ",\"gyroscope\":true}" : ",\"gyroscope\":false}");
    put_scenario(text, scenario);
    bp_text_put(text, ",\n \"set\":{\"unrack_start_s\":");
    put_value(text, truth->unrack_start_s);
    put_member(text, "unrack_end_s", truth->unrack_end_s);
    put_member(text, "rerack_start_s", truth->rerack_start_s);
    put_member(text, "rerack_end_s", truth->rerack_end_s);
    put_member(text, "load_bottom_kg", truth->load_bottom_kg);
    put_member(text, "load_halfway_kg", truth->load_halfway_kg);
    put_member(text, "load_lockout_kg", truth->load_lockout_kg);
    put_member(text, "share_pct", truth->share_pct);
    bp_text_put(text, "},\n \"reps\":[");
    for (size_t i = 0; i < truth->rep_count; i++) {
        put_rep(text, i, &truth->reps[i]);
    }
    bp_text_put(text, "]}\n");
}
