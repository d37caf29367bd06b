/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What several sets say of a lifter's strength as JSON, schema "barplumb.strength/1": docs/json.md. Keys are
 * added, never renamed.
 */
#include "barplumb/report.h"

#include "report/json.h"

enum { KG = 2, SPEED = 4, PERCENT = 2, SLOPE = 6 };

static void put_reason(struct bp_json *json, enum bp_strength_reason reason)
{
    if (reason == BP_STRENGTH_GIVEN) {
        bp_json_null(json, "not_told");
    } else {
        bp_json_string(json, "not_told", bp_strength_reason_text(reason));
    }
}

static void put_left(struct bp_json *json, const struct bp_strength_left *left)
{
    bp_json_open(json, "reps_left", '{');
    if (left->reason == BP_STRENGTH_GIVEN) {
        bp_json_count(json, "low", left->low);
        bp_json_count(json, "high", left->high);
    } else {
        bp_json_null(json, "low");
        bp_json_null(json, "high");
    }
    bp_json_bool(json, "or_more", left->or_more);
    put_reason(json, left->reason);
    bp_json_close(json, '}');
}

static void put_set(struct bp_json *json, const struct bp_strength_report *strength, size_t s)
{
    const struct bp_strength_set *set = &strength->sets[s];
    const struct bp_lift_facts *lift = bp_lift_facts(set->lift);
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "path", strength->paths[s]);
    bp_json_string(json, "lift", lift != NULL ? lift->name : "unknown");
    bp_json_string(json, "setup", set->setup != NULL ? set->setup : "");
    bp_json_quantity(json, "load_kg", set->load_kg, KG);
    bp_json_quantity(json, "velocity_m_s", set->velocity_m_s, SPEED);
    bp_json_quantity(json, "velocity_loss_pct", strength->loss_pct[s], PERCENT);
    bp_json_number(json, "weight", strength->profile->weights[s], SPEED);
    put_left(json, &strength->left[s]);
    bp_json_close(json, '}');
}

void bp_report_strength_json(const struct bp_strength_report *strength, bool indent, struct bp_text *out)
{
    const struct bp_strength_profile *profile = strength->profile;
    struct bp_json json;
    bp_json_init(&json, indent, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "schema", "barplumb.strength/1");
    bp_json_quantity(&json, "one_rep_max_kg", profile->one_rep_max_kg, KG);
    put_reason(&json, profile->reason);
    bp_json_quantity(&json, "minimal_velocity_m_s", profile->minimal_m_s, SPEED);
    bp_json_number(&json, "velocity_at_no_load_m_s", profile->line.intercept, SPEED);
    bp_json_number(&json, "slope_m_s_kg", profile->line.slope, SLOPE);
    bp_json_number(&json, "scatter_pct", profile->scatter_pct, PERCENT);
    bp_json_open(&json, "sets", '[');
    for (size_t s = 0; s < strength->count; s++) {
        put_set(&json, strength, s);
    }
    bp_json_close(&json, ']');
    bp_json_string(&json, "caution", bp_strength_caution());
    bp_json_close(&json, '}');
}
