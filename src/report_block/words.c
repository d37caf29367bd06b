/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report_block/parts.h"

const char *bp_block_by_name(enum bp_compare_by by)
{
    static const char *const names[] = {"setup", "lifter", "session"};
    return (int)by >= 0 && by <= BP_BY_SESSION ? names[by] : "";
}

const char *bp_block_shown_name(const char *name)
{
    return name[0] != '\0' ? name : "unnamed";
}

void bp_block_put_title(struct bp_text *out, const struct bp_survey *survey,
                        const struct bp_survey_comparison *comparison)
{
    enum bp_compare_by by = survey->settings.compare.by;
    bp_text_put(out, bp_lift_facts(comparison->lift)->name);
    if (by != BP_BY_SETUP && comparison->setup != NULL) {
        bp_text_put(out, ", ");
        bp_text_put(out, comparison->setup[0] != '\0' ? comparison->setup : "no setup named");
    }
    if (by != BP_BY_LIFTER && comparison->lifter != NULL && comparison->lifter[0] != '\0') {
        bp_text_put(out, ", ");
        bp_text_put(out, comparison->lifter);
    }
}

void bp_block_put_text(struct bp_json *json, const char *key, const char *text)
{
    if (text != NULL && text[0] != '\0') {
        bp_json_string(json, key, text);
    } else {
        bp_json_null(json, key);
    }
}

void bp_block_put_caution(struct bp_text *out)
{
    bp_text_put(out,
                "This measures the bar; it clears nobody to lift. No figure here says that a load is safe. "
                "The gym's rules and qualified coaching come first.");
}

void bp_block_put_sentence(struct bp_text *out, const char *sentence)
{
    char c = sentence[0];
    if (c != '\0') {
        bp_text_put_char(out, c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c);
        bp_text_put(out, sentence + 1);
    }
}

struct bp_quantity bp_block_contrast(const struct bp_compare_result *result,
                                     const struct bp_compare_pair *pair)
{
    return result->figure.scale == BP_SCALE_RATIO ? pair->ratio_all : pair->difference_all;
}

void bp_block_put_span(struct bp_text *out, double low, double high)
{
    if (!isfinite(low) || !isfinite(high)) {
        bp_text_put(out, "not known");
        return;
    }
    if (high - low >= 0.1) { /* kg; less does not show */
        bp_text_put_number(out, low, 1);
        bp_text_put(out, " to ");
    }
    bp_text_put_number(out, high, 1);
    bp_text_put(out, " kg");
}
