/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * All sets of a block, each with what the sheet says of it: CSV, a row a rep, and JSON lines, a set a line.
 */
#include "report/set_parts.h"
#include "report_block/parts.h"

static enum bp_survey_target target_of(const struct bp_block_set *set)
{
    return bp_survey_judge_target(set->summary.set.mean_velocity_m_s, set->row->target_m_s);
}

/* ---- CSV ---- */

static void put_header(const struct bp_sheet *sheet, struct bp_text *out)
{
    static const char *const names[] = {"date", "lifter",     "set",    "bar_kg", "plates_kg",
                                        "rig",  "target_m_s", "target", "notes"};
    struct bp_cells row = {out, false};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        bp_cells_name(&row, "", names[i], "");
    }
    for (size_t i = 0; i < sheet->extra_count; i++) {
        struct bp_text name;
        bp_text_init(&name);
        bp_text_put(&name, "sheet_"); /* or it might be the name of a column that follows */
        bp_text_put(&name, sheet->extra_names[i]);
        bp_cells_text(&row, name.data != NULL ? name.data : "");
        out->failed = out->failed || name.failed;
        bp_text_free(&name);
    }
    bp_set_csv_put_names(&row);
    bp_text_put_char(out, '\n');
}

static void put_row(const struct bp_block_set *set, const struct bp_sheet *sheet, size_t rep,
                    struct bp_text *out)
{
    const struct bp_sheet_row *said = set->row;
    struct bp_cells row = {out, false};
    bp_cells_text(&row, said->date);
    bp_cells_text(&row, said->lifter);
    bp_cells_text(&row, set->id);
    bp_cells_number(&row, said->bar_kg, BP_KG_DECIMALS);
    bp_cells_number(&row, said->plates_kg, BP_KG_DECIMALS);
    bp_cells_text(&row, said->rig);
    bp_cells_number(&row, said->target_m_s, BP_SPEED_DECIMALS);
    bp_cells_text(&row, bp_survey_target_name(target_of(set)));
    bp_cells_text(&row, said->notes);
    for (size_t i = 0; i < sheet->extra_count; i++) {
        bp_cells_text(&row, said->extra[i]);
    }
    bp_set_csv_put_rep(&row, &set->summary, rep);
    bp_text_put_char(out, '\n');
}

void bp_report_block_csv(const struct bp_survey *survey, const struct bp_sheet *sheet, struct bp_text *out)
{
    put_header(sheet, out);
    for (size_t i = 0; i < survey->block->count; i++) {
        const struct bp_block_set *set = &survey->block->sets[i];
        size_t reps = bp_survey_has(set) ? set->summary.rep_count : 0;
        for (size_t r = 0; r < reps; r++) {
            put_row(set, sheet, r, out);
        }
    }
}

/* ---- JSON lines ---- */

static void put_sheet(struct bp_json *json, const struct bp_block_set *set, const struct bp_sheet *sheet)
{
    const struct bp_sheet_row *row = set->row;
    bp_json_open(json, "sheet", '{');
    bp_json_string(json, "id", set->id);
    bp_json_count(json, "line", row->line);
    bp_block_put_text(json, "date", row->date);
    bp_block_put_text(json, "lifter", row->lifter);
    bp_block_put_text(json, "setup", row->setup);
    bp_json_number(json, "bar_kg", row->bar_kg, BP_KG_DECIMALS);
    bp_json_number(json, "plates_kg", row->plates_kg, BP_KG_DECIMALS);
    bp_block_put_text(json, "rig", row->rig);
    bp_json_number(json, "target_m_s", row->target_m_s, BP_SPEED_DECIMALS);
    bp_json_string(json, "target", bp_survey_target_name(target_of(set)));
    bp_block_put_text(json, "notes", row->notes);
    bp_json_open(json, "extra", '[');
    for (size_t i = 0; i < sheet->extra_count; i++) {
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "name", sheet->extra_names[i]);
        bp_json_string(json, "value", row->extra[i]);
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
    bp_json_close(json, '}');
}

void bp_report_block_jsonl(const struct bp_survey *survey, const struct bp_sheet *sheet, struct bp_text *out)
{
    for (size_t i = 0; i < survey->block->count; i++) {
        const struct bp_block_set *set = &survey->block->sets[i];
        struct bp_json json;
        if (!bp_survey_has(set)) {
            continue;
        }
        bp_json_init(&json, false, out);
        bp_json_open(&json, NULL, '{');
        bp_set_json_put(&json, &set->summary);
        put_sheet(&json, set, sheet);
        bp_json_close(&json, '}');
    }
}
