/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How groups differ, for a person: the loads first, then what can be told, then the figures.
 */
#include "report/table.h"
#include "report/utf8.h"
#include "report_block/parts.h"

#include <string.h>

enum { GROUP_NAME = 24, LABEL = 32, MEAN = 9, INDENT = 2 };

static void put_title(struct bp_text *out, const struct bp_text *title,
                      const struct bp_report_settings *settings)
{
    bp_table_bold(out, settings);
    bp_table_put_plain(out, title->data != NULL ? title->data : "");
    bp_table_normal(out, settings);
    bp_text_put_char(out, '\n');
    out->failed = out->failed || title->failed;
}

/* A name in a field, its front lost where it is too long. */
static void put_name(struct bp_text *out, const char *name, size_t width)
{
    size_t begun = out->length;
    bp_table_put_plain_end(out, bp_block_shown_name(name), width);
    if (out->data != NULL && !out->failed) {
        size_t shown = bp_utf8_width(out->data + begun);
        bp_text_fill(out, ' ', shown < width ? width - shown : 0);
    }
}

static void put_item(struct bp_text *out, const char *sentence, const struct bp_report_settings *settings)
{
    struct bp_text whole;
    bp_text_init(&whole);
    bp_block_put_sentence(&whole, sentence);
    bp_text_put(out, "  ");
    if (whole.data != NULL) {
        bp_table_put_wrapped(out, whole.data, INDENT, INDENT + 2, settings);
    }
    out->failed = out->failed || whole.failed;
    bp_text_free(&whole);
}

static void put_count(struct bp_text *out, size_t value, size_t width)
{
    bp_text_put_number_in(out, (double)value, 0, width);
}

static void put_groups(struct bp_text *out, const struct bp_survey_comparison *c,
                       const struct bp_report_settings *settings)
{
    bp_table_dim(out, settings);
    bp_text_put(out, "                            sets  days  reps  load at lockout\n");
    bp_table_normal(out, settings);
    for (size_t g = 0; g < c->group_count; g++) {
        const struct bp_survey_group *group = &c->groups[g];
        bp_text_put(out, "  ");
        put_name(out, group->name, GROUP_NAME);
        put_count(out, group->sets, 6);
        put_count(out, group->days, 6);
        put_count(out, group->reps, 6);
        bp_text_put(out, "  ");
        bp_block_put_span(out, group->load_low_kg, group->load_high_kg);
        bp_text_put_char(out, '\n');
    }
}

static bool can_tell(const struct bp_compare_pair *pair)
{
    return pair->verdict != BP_CANNOT_TELL;
}

/* Loads have had their sentence. */
static bool is_load(const struct bp_survey_figure *figure)
{
    return figure->result.figure.where != NULL;
}

static void put_untold(struct bp_text *out, const struct bp_survey_comparison *c, size_t p,
                       const struct bp_report_settings *settings)
{
    struct bp_text list;
    size_t count = 0;
    bp_text_init(&list);
    for (size_t f = 0; f < c->figure_count; f++) {
        if (!can_tell(&c->figures[f].result.pairs[p]) && !is_load(&c->figures[f])) {
            bp_text_put(&list, count++ == 0 ? "Cannot be told apart in " : ", ");
            bp_text_put(&list, c->figures[f].words);
        }
    }
    if (count > 0 && list.data != NULL) {
        bp_text_put(out, "  ");
        bp_table_put_wrapped(out, list.data, INDENT, INDENT + 2, settings);
    }
    out->failed = out->failed || list.failed;
    bp_text_free(&list);
}

/* "0.101 (0.091 to 0.110)" with the unit, or "2.0 times (1.8 to 2.3)". */
static void put_contrast(struct bp_text *out, const struct bp_survey_figure *figure, size_t p)
{
    const struct bp_compare_figure *about = &figure->result.figure;
    struct bp_quantity q = bp_block_contrast(&figure->result, &figure->result.pairs[p]);
    bool ratio = about->scale == BP_SCALE_RATIO;
    int decimals = ratio ? 2 : about->decimals + 1;
    if (!bp_quantity_known(q)) {
        bp_text_put(out, "not known");
        return;
    }
    bp_text_put_number(out, q.value, decimals);
    bp_text_put(out, ratio ? " times" : "");
    if (bp_table_has_interval(q)) {
        bp_text_put(out, " (");
        bp_text_put_number(out, q.low, decimals);
        bp_text_put(out, " to ");
        bp_text_put_number(out, q.high, decimals);
        bp_text_put_char(out, ')');
    }
}

static void put_mean(struct bp_text *out, double mean, int decimals)
{
    if (isfinite(mean)) {
        bp_text_put_number_in(out, mean, decimals, MEAN);
    } else {
        bp_table_put_text(out, "-", MEAN);
    }
}

static void put_figure(struct bp_text *out, const struct bp_survey_figure *figure, size_t p)
{
    const struct bp_compare_result *r = &figure->result;
    struct bp_text label;
    int decimals = r->figure.decimals + 1;
    bp_text_init(&label);
    bp_text_put(&label, figure->words);
    if (r->figure.unit[0] != '\0') {
        bp_text_put(&label, ", ");
        bp_text_put(&label, r->figure.unit);
    }
    bp_text_put(out, "  ");
    put_name(out, label.data != NULL ? label.data : "", LABEL);
    put_mean(out, r->groups[r->pairs[p].first].mean, decimals);
    put_mean(out, r->groups[r->pairs[p].second].mean, decimals);
    bp_text_put(out, "  ");
    put_contrast(out, figure, p);
    bp_text_put_char(out, '\n');
    out->failed = out->failed || label.failed;
    bp_text_free(&label);
}

static void put_table(struct bp_text *out, const struct bp_survey_comparison *c, size_t p,
                      const struct bp_report_settings *settings)
{
    bp_table_dim(out, settings);
    bp_text_fill(out, ' ', INDENT + LABEL);
    bp_text_put(out, "    first   second  first less second\n");
    bp_table_normal(out, settings);
    for (size_t f = 0; f < c->figure_count; f++) {
        put_figure(out, &c->figures[f], p);
    }
}

static void put_pair(struct bp_text *out, const struct bp_survey_comparison *c, size_t p,
                     const struct bp_report_settings *settings)
{
    struct bp_text title;
    bp_text_init(&title);
    bp_text_put(&title, bp_block_shown_name(c->groups[c->pairs[p].first].name));
    bp_text_put(&title, " and ");
    bp_text_put(&title, bp_block_shown_name(c->groups[c->pairs[p].second].name));
    bp_text_put_char(out, '\n');
    put_title(out, &title, settings);
    bp_text_free(&title);
    put_item(out, c->pairs[p].sentence, settings);
    for (size_t f = 0; f < c->figure_count; f++) {
        if (can_tell(&c->figures[f].result.pairs[p]) && !is_load(&c->figures[f])) {
            put_item(out, c->figures[f].sentences[p], settings);
        }
    }
    put_untold(out, c, p, settings);
    put_table(out, c, p, settings);
}

static void put_comparison(struct bp_text *out, const struct bp_survey *survey,
                           const struct bp_survey_comparison *c, const struct bp_report_settings *settings)
{
    struct bp_text title;
    bp_text_init(&title);
    bp_block_put_sentence(&title, bp_lift_facts(c->lift)->name);
    struct bp_text rest;
    bp_text_init(&rest);
    bp_block_put_title(&rest, survey, c);
    if (rest.data != NULL) {
        bp_text_put(&title, rest.data + strlen(bp_lift_facts(c->lift)->name));
    }
    title.failed = title.failed || rest.failed;
    bp_text_free(&rest);
    bp_text_put(&title, ", by ");
    bp_text_put(&title, bp_block_by_name(survey->settings.compare.by));
    put_title(out, &title, settings);
    bp_text_free(&title);
    put_groups(out, c, settings);
    for (size_t p = 0; p < c->pair_count; p++) {
        put_pair(out, c, p, settings);
    }
    bp_text_put(out, c->caution_count > 0 ? "\n" : "");
    for (size_t i = 0; i < c->caution_count; i++) {
        put_item(out, c->cautions[i], settings);
    }
    bp_text_put_char(out, '\n');
}

static void put_failed(struct bp_text *out, const struct bp_survey *survey,
                       const struct bp_report_settings *settings)
{
    bp_text_put(out, survey->failed > 0 ? "Not measured\n" : "");
    for (size_t i = 0; i < survey->block->count; i++) {
        const struct bp_block_set *set = &survey->block->sets[i];
        struct bp_text line;
        if (set->state != BP_BLOCK_FAILED) {
            continue;
        }
        bp_text_init(&line);
        bp_text_put(&line, set->row->log);
        bp_text_put(&line, ": ");
        bp_text_put(&line, set->error.text);
        bp_text_put(out, "  ");
        bp_table_put_wrapped(out, line.data != NULL ? line.data : "", INDENT, INDENT + 2, settings);
        out->failed = out->failed || line.failed;
        bp_text_free(&line);
    }
    bp_text_put(out, survey->failed > 0 ? "\n" : "");
}

static void put_notes(struct bp_text *out, const struct bp_report_settings *settings)
{
    struct bp_text caution;
    bp_text_init(&caution);
    bp_text_put(&caution, "In brackets: 95 % intervals that hold for all pairs together. ");
    bp_block_put_caution(&caution);
    bp_table_dim(out, settings);
    if (caution.data != NULL) {
        bp_table_put_wrapped(out, caution.data, 0, 0, settings);
    }
    bp_table_normal(out, settings);
    out->failed = out->failed || caution.failed;
    bp_text_free(&caution);
}

void bp_report_compare_text(const struct bp_survey *survey, const struct bp_report_settings *settings,
                            struct bp_text *out)
{
    for (size_t c = 0; c < survey->comparison_count; c++) {
        put_comparison(out, survey, &survey->comparisons[c], settings);
    }
    if (survey->comparison_count == 0) {
        bp_text_put(out, "No set was measured: there is nothing to compare.\n\n");
    }
    put_failed(out, survey, settings);
    put_notes(out, settings);
}
