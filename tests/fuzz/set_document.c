/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A set's JSON document read back, and every report of what was read. What was once read and written comes
 * back as it is, byte for byte.
 */
#include "fuzz/fuzz.h"

#include "barplumb/report.h"

#include <string.h>

static void require_stable(const struct bp_summary *summary, struct bp_arena *arena)
{
    struct bp_text first, second;
    struct bp_summary again;
    struct bp_error error;
    bp_text_init(&first);
    bp_text_init(&second);
    bp_report_set_json(summary, true, &first);
    fuzz_require_text(&first);
    enum bp_code code = bp_report_set_read(first.data, first.length, arena, &again, &error);
    fuzz_require(code == BP_OK, "a document that was written can be read");
    bp_report_set_json(&again, true, &second);
    fuzz_require(first.length == second.length && memcmp(first.data, second.data, first.length) == 0,
                 "a document read and written again is the same");
    bp_text_free(&first);
    bp_text_free(&second);
}

static void report(const struct bp_summary *summary)
{
    const struct bp_report_settings plain = {false, 0}, narrow = {true, 40};
    const struct bp_page_settings page = {.assets = "assets/"};
    struct bp_text text;
    struct bp_error error;
    bp_text_init(&text);
    bp_report_set_text(summary, &plain, &text);
    fuzz_require_plain(&text);
    bp_report_set_text(summary, &narrow, &text);
    bp_report_set_csv(summary, &text);
    enum bp_code code = bp_report_set_html(summary, &page, &text, &error);
    fuzz_require(code == BP_OK || !bp_report_has_page(), "a page is written");
    fuzz_require_text(&text);
    bp_text_free(&text);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t count)
{
    struct bp_arena arena;
    struct bp_summary summary;
    struct bp_error error;
    bp_arena_init(&arena);
    enum bp_code code = bp_report_set_read((const char *)bytes, count, &arena, &summary, &error);
    if (code == BP_OK) {
        require_stable(&summary, &arena);
        report(&summary);
    } else {
        fuzz_require_refusal(code, &error);
        fuzz_require(summary.rep_count == 0 && summary.reps == NULL, "a refused document leaves no set");
    }
    bp_arena_free(&arena);
    return 0;
}
