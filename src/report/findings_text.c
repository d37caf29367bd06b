/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/table.h"

enum {
    TIME_WIDTH = 9, /* up to 99999.99 s: a day of log */
    TEXT_AT = 2 + TIME_WIDTH + 4
};

static void put_finding(struct bp_text *out, const struct bp_finding *finding,
                        const struct bp_report_settings *settings)
{
    bp_text_put(out, "  ");
    if (isfinite(finding->at_s)) {
        bp_text_put_number_in(out, finding->at_s, 2, TIME_WIDTH);
        bp_text_put(out, " s  ");
    } else {
        bp_table_put_text(out, "whole log", TIME_WIDTH);
        bp_text_fill(out, ' ', TEXT_AT - 2 - TIME_WIDTH);
    }
    bp_table_put_wrapped(out, finding->text, TEXT_AT, TEXT_AT, settings);
}

void bp_report_findings_text(struct bp_text *out, const struct bp_findings *findings,
                             const struct bp_report_settings *settings)
{
    static const char *const titles[] = {
        [BP_REFUSAL] = "Not fit to use because",
        [BP_RESERVATION] = "Figures suffer because",
        [BP_NOTE] = "Also noticed",
    };
    for (int severity = BP_REFUSAL; severity >= BP_NOTE; severity--) {
        bool titled = false;
        for (size_t i = 0; i < findings->count; i++) {
            if ((int)findings->list[i].severity != severity) {
                continue;
            }
            if (!titled) {
                bp_text_put_char(out, '\n');
                bp_table_bold(out, settings);
                bp_text_put(out, titles[severity]);
                bp_table_normal(out, settings);
                bp_text_put_char(out, '\n');
                titled = true;
            }
            put_finding(out, &findings->list[i], settings);
        }
    }
    if (findings->dropped > 0) {
        bp_text_put(out, "  and ");
        bp_text_put_count(out, findings->dropped);
        bp_text_put(out, " more that are not listed\n");
    }
}
