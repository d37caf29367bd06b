/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A rig file, and what `load` makes of it: the table of its heights, in every format.
 */
#include "fuzz/fuzz.h"

#include "barplumb/load.h"
#include "barplumb/load_table.h"
#include "barplumb/report.h"
#include "barplumb/rig.h"

#include <math.h>

enum { ROWS = 3 };

static void report(const struct bp_rig *rig, const struct bp_load_table *table)
{
    const struct bp_load_report load = {.path = "fuzz", .rig = rig, .table = table};
    const struct bp_report_settings plain = {false, 0};
    struct bp_text text;
    bp_text_init(&text);
    bp_report_load_text(&load, &plain, &text);
    bp_report_load_against(&load, "fuzz", table, &plain, &text);
    fuzz_require_plain(&text);
    bp_report_load_json(&load, true, &text);
    bp_report_load_csv(&load, &text);
    fuzz_require_text(&text);
    bp_text_free(&text);
}

static void weigh(const struct bp_rig *rig)
{
    struct bp_load_model *model = NULL;
    struct bp_load_table table;
    struct bp_arena arena;
    struct bp_error error;
    bp_arena_init(&arena);
    enum bp_code code = bp_load_prepare(rig, &model, &error);
    fuzz_require((code == BP_OK) == (model != NULL), "a rig that is refused leaves no model");
    if (code == BP_OK) {
        code = bp_load_tabulate(model, rig->bottom_m.value, rig->lockout_m.value, ROWS, 1, &arena, &table,
                                &error);
    }
    if (code == BP_OK) {
        report(rig, &table);
    } else {
        fuzz_require_refusal(code, &error);
    }
    bp_load_free(model);
    bp_arena_free(&arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct bp_rig rig;
    struct bp_error error;
    enum bp_code code = bp_rig_parse((const char *)bytes, count, "fuzz", &rig, &error);
    if (code == BP_OK) {
        fuzz_require(rig.bar_kg.value > 0 && isfinite(rig.bar_kg.value), "a bar weighs something");
        fuzz_require(rig.chain_count <= BP_CHAINS_MAX && rig.band_count <= BP_BANDS_MAX,
                     "parts keep their limits");
        weigh(&rig);
    } else {
        fuzz_require_refusal(code, &error);
        fuzz_require(rig.bar_kg.value == 0.0 && rig.chain_count == 0, "a refused rig is all zero");
    }
    return 0;
}
