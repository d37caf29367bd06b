/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report_block/plain.h"

#include "report/page_put.h"
#include "report/table.h"

#include <string.h>

static void put_element(struct bp_text *out, const char *name, const char *text)
{
    bp_text_put_char(out, '<');
    bp_text_put(out, name);
    bp_text_put_char(out, '>');
    bp_page_put_text(out, text);
    bp_text_put(out, "</");
    bp_text_put(out, name);
    bp_text_put_char(out, '>');
}

/* What a writer of text made, escaped. */
static void put_made(struct bp_text *out, const char *name, struct bp_text *made)
{
    put_element(out, name, made->data != NULL ? made->data : "");
    out->failed = out->failed || made->failed;
    bp_text_free(made);
}

static void put_figure(struct bp_text *out, struct bp_quantity q, int decimals, const char *unit)
{
    struct bp_text text;
    bp_text_init(&text);
    bp_table_put_figure(&text, q, decimals, unit);
    put_made(out, "td", &text);
}

static void put_heads(struct bp_text *out, const char *const *heads, size_t count)
{
    bp_text_put(out, "<table><tr>");
    for (size_t i = 0; i < count; i++) {
        put_element(out, "th", heads[i]);
    }
    bp_text_put(out, "</tr>\n");
}

static void put_caution(struct bp_text *out)
{
    struct bp_text caution;
    bp_text_init(&caution);
    bp_block_put_caution(&caution);
    put_made(out, "p", &caution);
}

/* ---- the comparison ---- */

static void put_contrast(struct bp_text *out, const struct bp_survey_figure *figure, size_t p)
{
    const struct bp_compare_result *r = &figure->result;
    bool ratio = r->figure.scale == BP_SCALE_RATIO;
    bp_text_put(out, "<tr>");
    put_element(out, "td", figure->words);
    put_element(out, "td", bp_block_shown_name(r->groups[r->pairs[p].first].name));
    put_figure(out, bp_quantity_plain(r->groups[r->pairs[p].first].mean), r->figure.decimals + 1,
               r->figure.unit);
    put_element(out, "td", bp_block_shown_name(r->groups[r->pairs[p].second].name));
    put_figure(out, bp_quantity_plain(r->groups[r->pairs[p].second].mean), r->figure.decimals + 1,
               r->figure.unit);
    put_figure(out, bp_block_contrast(r, &r->pairs[p]), ratio ? 2 : r->figure.decimals + 1,
               ratio ? "times" : r->figure.unit);
    put_element(out, "td", figure->sentences[p]);
    bp_text_put(out, "</tr>\n");
}

void bp_plain_put_compare(const void *about, struct bp_text *out)
{
    static const char *const heads[] = {"figure", "first", "", "second", "", "first less second, or over it",
                                        ""};
    const struct bp_page_of_block *page = about;
    for (size_t i = 0; i < page->survey->comparison_count; i++) {
        const struct bp_survey_comparison *c = &page->survey->comparisons[i];
        struct bp_text title;
        bp_text_init(&title);
        bp_block_put_title(&title, page->survey, c);
        put_made(out, "h2", &title);
        for (size_t p = 0; p < c->pair_count; p++) {
            put_element(out, "p", c->pairs[p].sentence);
        }
        for (size_t k = 0; k < c->caution_count; k++) {
            put_element(out, "p", c->cautions[k]);
        }
        put_heads(out, heads, sizeof heads / sizeof *heads);
        for (size_t p = 0; p < c->pair_count; p++) {
            for (size_t f = 0; f < c->figure_count; f++) {
                put_contrast(out, &c->figures[f], p);
            }
        }
        bp_text_put(out, "</table>\n");
    }
    put_caution(out);
}

/* ---- the block ---- */

static bool is_wanted(const struct bp_page_of_block *page, const char *lifter)
{
    return page->lifter == NULL || strcmp(page->lifter, lifter) == 0;
}

/* The date leads to the set's page. */
static void put_date(const struct bp_page_of_block *page, const struct bp_block_set *set, struct bp_text *out)
{
    const char *date = set->row->dated ? set->row->date : "no date";
    bp_text_put(out, "<td>");
    if (page->settings->sets != NULL) {
        bp_text_put(out, "<a href=\"");
        bp_page_put_text(out, page->settings->sets);
        bp_page_put_text(out, set->id);
        bp_text_put(out, ".html\">");
        bp_page_put_text(out, date);
        bp_text_put(out, "</a>");
    } else {
        bp_page_put_text(out, date);
    }
    bp_text_put(out, "</td>");
}

static void put_set(const struct bp_page_of_block *page, const struct bp_block_set *set, struct bp_text *out)
{
    const struct bp_set_figures *figures = &set->summary.set;
    bp_text_put(out, "<tr>");
    put_date(page, set, out);
    put_element(out, "td", bp_block_shown_name(set->row->lifter));
    put_element(out, "td", bp_lift_facts(set->row->lift)->name);
    put_element(out, "td", set->row->setup);
    put_figure(out, bp_quantity_plain((double)figures->reps), 0, "");
    put_figure(out, figures->load_lockout_kg, 1, "kg");
    put_figure(out, figures->mean_velocity_m_s, 3, "m/s");
    put_figure(out, figures->velocity_loss_pct, 1, "%");
    put_figure(out, figures->shake_mm, 2, "mm");
    bp_text_put(out, "</tr>\n");
}

static void put_trends(const struct bp_page_of_block *page, struct bp_text *out)
{
    static const char *const heads[] = {"lifter", "lift", "setup", "over the weeks", "load", ""};
    put_heads(out, heads, sizeof heads / sizeof *heads);
    for (size_t s = 0; s < page->survey->series_count; s++) {
        const struct bp_survey_series *series = &page->survey->series[s];
        for (size_t t = 0; t < series->trend_count && is_wanted(page, series->lifter); t++) {
            const struct bp_survey_trend *trend = &series->trends[t];
            bp_text_put(out, "<tr>");
            put_element(out, "td", bp_block_shown_name(series->lifter));
            put_element(out, "td", bp_lift_facts(series->lift)->name);
            put_element(out, "td", series->setup);
            put_element(out, "td", bp_survey_subject_facts(trend->subject)->words);
            put_figure(out, bp_quantity_plain(trend->load_kg), 1, "kg");
            put_element(out, "td", trend->sentence);
            bp_text_put(out, "</tr>\n");
        }
    }
    bp_text_put(out, "</table>\n");
}

static void put_failed(const struct bp_page_of_block *page, struct bp_text *out)
{
    for (size_t i = 0; i < page->survey->block->count; i++) {
        const struct bp_block_set *set = &page->survey->block->sets[i];
        if (set->state == BP_BLOCK_FAILED && is_wanted(page, set->row->lifter)) {
            struct bp_text text;
            bp_text_init(&text);
            bp_text_put(&text, "Not measured: ");
            bp_text_put(&text, set->row->log);
            bp_text_put(&text, ": ");
            bp_text_put(&text, set->error.text);
            put_made(out, "p", &text);
        }
    }
}

void bp_plain_put_block(const void *about, struct bp_text *out)
{
    static const char *const heads[] = {"date",          "lifter",        "lift",
                                        "setup",         "reps",          "load at lockout",
                                        "mean velocity", "velocity loss", "shake"};
    const struct bp_page_of_block *page = about;
    put_trends(page, out);
    put_heads(out, heads, sizeof heads / sizeof *heads);
    for (size_t i = 0; i < page->survey->block->count; i++) {
        const struct bp_block_set *set = &page->survey->block->sets[i];
        if (bp_survey_has(set) && is_wanted(page, set->row->lifter)) {
            put_set(page, set, out);
        }
    }
    bp_text_put(out, "</table>\n");
    put_failed(page, out);
    put_caution(out);
}
