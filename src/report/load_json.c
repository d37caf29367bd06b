/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a rig makes the bar weigh as JSON, schema "barplumb.load/1": docs/json.md. Keys are added, never
 * renamed.
 */
#include "barplumb/report.h"

#include "report/figures.h"
#include "report/json.h"

enum { METRES = 4, KG = 3, PERCENT = 2, MASS = 4 };

static void put_row(struct bp_json *json, const char *key, const struct bp_load_row *row)
{
    bp_json_open(json, key, '{');
    bp_json_number(json, "height_m", row->height_m, METRES);
    bp_json_number(json, "up_pct", row->up_pct, PERCENT);
    bp_json_quantity(json, "load_kg", row->load_kg, KG);
    bp_json_quantity(json, "chain_kg", row->chain_kg, KG);
    bp_json_quantity(json, "band_kg", row->band_kg, KG);
    bp_json_quantity(json, "out_left_kg", row->left_kg, KG);
    bp_json_quantity(json, "out_right_kg", row->right_kg, KG);
    bp_json_quantity(json, "uneven_kg", row->uneven_kg, KG);
    bp_json_close(json, '}');
}

static void put_part(struct bp_json *json, const char *kind, const char *name, size_t pieces)
{
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "kind", kind);
    bp_json_string(json, "name", name);
    bp_json_count(json, "pieces", pieces);
    bp_json_close(json, '}');
}

static void put_rig(struct bp_json *json, const struct bp_rig *rig)
{
    bp_json_open(json, "rig", '{');
    bp_json_string(json, "name", rig->name);
    bp_json_number(json, "bar_kg", rig->bar_kg.value, MASS);
    bp_json_number(json, "plates_kg", rig->plates_kg.value, MASS);
    bp_json_string(json, "matched", bp_report_matched_name(rig->matched));
    bp_json_open(json, "parts", '[');
    for (size_t c = 0; c < rig->chain_count; c++) {
        put_part(json, "chain", rig->chains[c].name, rig->chains[c].pieces);
    }
    for (size_t b = 0; b < rig->band_count; b++) {
        put_part(json, "band", rig->bands[b].name, rig->bands[b].pieces);
    }
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

static void put_want(struct bp_json *json, const char *key, double wanted, double off, int decimals)
{
    if (isfinite(wanted)) {
        bp_json_open(json, key, '{');
        bp_json_number(json, "wanted", wanted, decimals);
        bp_json_number(json, "off", off, decimals);
        bp_json_close(json, '}');
    } else {
        bp_json_null(json, key);
    }
}

static void put_kind(struct bp_json *json, const struct bp_plan_kind *kind, const char *name)
{
    bp_json_open(json, NULL, '{');
    bp_json_string(json, "kind", kind->band ? "band" : "chain");
    bp_json_string(json, "name", name);
    bp_json_count(json, "pieces_each", kind->pieces_each);
    bp_json_count(json, "pieces", kind->pieces);
    bp_json_count(json, "left", kind->left);
    if (kind->left_out) {
        bp_json_string(json, "left_out", kind->why);
    }
    bp_json_close(json, '}');
}

static void put_plan(struct bp_json *json, const struct bp_load_report *load)
{
    const struct bp_plan *plan = load->plan;
    if (plan == NULL) {
        bp_json_null(json, "plan");
        return;
    }
    bp_json_open(json, "plan", '{');
    put_want(json, "lockout_kg", load->wanted->lockout_kg, plan->lockout_off_kg, KG);
    put_want(json, "bottom_kg", load->wanted->bottom_kg, plan->bottom_off_kg, KG);
    put_want(json, "share_pct", load->wanted->share_pct, plan->share_off_pct, PERCENT);
    bp_json_bool(json, "reached", plan->reached);
    bp_json_bool(json, "top_limits", plan->top_limits);
    bp_json_open(json, "plates", '[');
    for (size_t p = 0; p < plan->plate_count; p++) {
        bp_json_open(json, NULL, '{');
        bp_json_number(json, "kg", plan->plates[p].kg, MASS);
        bp_json_count(json, "each_side", plan->plates[p].each_side);
        bp_json_count(json, "left", plan->plates[p].left);
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
    bp_json_open(json, "parts", '[');
    for (size_t k = 0; k < plan->kind_count; k++) {
        const struct bp_plan_kind *kind = &plan->kinds[k];
        put_kind(json, kind,
                 kind->band ? load->stock->bands[kind->index].name : load->stock->chains[kind->index].name);
    }
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

void bp_report_load_json(const struct bp_load_report *load, bool indent, struct bp_text *out)
{
    struct bp_json json;
    const struct bp_load_table *table = load->table;
    bp_json_init(&json, indent, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "schema", "barplumb.load/1");
    bp_json_string(&json, "path", load->path);
    put_rig(&json, load->rig);
    put_row(&json, "bottom", &table->bottom);
    put_row(&json, "halfway", &table->halfway);
    put_row(&json, "lockout", &table->lockout);
    bp_json_quantity(&json, "mean_kg", table->mean_kg, KG);
    bp_json_quantity(&json, "share_pct", table->share_pct, PERCENT);
    put_plan(&json, load);
    bp_json_open(&json, "heights", '[');
    for (size_t r = 0; r < table->count; r++) {
        put_row(&json, NULL, &table->rows[r]);
    }
    bp_json_close(&json, ']');
    bp_json_close(&json, '}');
}
