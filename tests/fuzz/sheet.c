/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A coach's sheet of sets.
 */
#include "fuzz/fuzz.h"

#include "barplumb/sheet.h"

#include <math.h>
#include <string.h>

static bool is_amount(double value)
{
    return isnan(value) || (isfinite(value) && value >= 0);
}

static void require_row(const struct bp_sheet *sheet, const struct bp_sheet_row *row)
{
    const char *const texts[] = {row->lifter,   row->setup,    row->rig,  row->log,
                                 row->rig_path, row->log_path, row->notes};
    struct bp_text name;
    bp_text_init(&name);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        fuzz_require(texts[i] != NULL, "no text of a row is absent");
        bp_sheet_put_safe_name(&name, texts[i]);
        fuzz_require_text(&name);
    }
    fuzz_require(strchr(name.data, '/') == NULL, "a safe name leads into no folder");
    bp_text_free(&name);
    for (size_t i = 0; i < sheet->extra_count; i++) {
        fuzz_require(row->extra[i] != NULL, "no further cell of a row is absent");
    }
    fuzz_require(row->line >= 1 && row->log[0] != '\0', "a row has its line and its log");
    fuzz_require(is_amount(row->bar_kg) && is_amount(row->plates_kg) && is_amount(row->target_m_s),
                 "amounts are amounts");
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct bp_arena arena;
    struct bp_sheet sheet;
    struct bp_error error;
    bp_arena_init(&arena);
    enum bp_code code = bp_sheet_parse((const char *)bytes, count, "gym/sheet.csv", &arena, &sheet, &error);
    if (code == BP_OK) {
        for (size_t i = 0; i < sheet.row_count; i++) {
            require_row(&sheet, &sheet.rows[i]);
        }
        for (size_t i = 0; i < sheet.error_count && i < BP_SHEET_ERRORS_KEPT; i++) {
            fuzz_require_refusal(sheet.errors[i].code, &sheet.errors[i]);
        }
    } else {
        fuzz_require_refusal(code, &error);
        fuzz_require(sheet.row_count == 0 && sheet.rows == NULL, "a refused sheet is all zero");
    }
    bp_arena_free(&arena);
    return 0;
}
