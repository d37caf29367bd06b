/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A block as pages: the comparison, the index and a page a lifter. What is on them is made by the page's
 * script from the same JSON as the other reports: docs/block.md.
 */
#include "report/page_frame.h"
#include "report/page_put.h"
#include "report_block/plain.h"

#include <string.h>

enum { NAME_BYTES = 40 };

void bp_report_lifter_page_name(const struct bp_survey *survey, size_t lifter, struct bp_text *out)
{
    size_t used = 0;
    bp_text_put(out, "lifter-");
    bp_text_put_count(out, lifter + 1); /* different names may have the same letters */
    for (const char *at = survey->lifters[lifter]; *at != '\0' && used < NAME_BYTES; at++) {
        bool plain = (*at >= '0' && *at <= '9') || (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z');
        if (plain) {
            bp_text_put(out, used++ == 0 ? "-" : "");
            bp_text_put_char(out, *at);
        }
    }
    bp_text_put(out, ".html");
}

/* ---- data ---- */

static void put_lifters(const struct bp_page_of_block *page, struct bp_json *json)
{
    bp_json_open(json, "lifters", '[');
    for (size_t l = 0; l < page->survey->lifter_count; l++) {
        struct bp_text link;
        bp_text_init(&link);
        bp_text_put(&link, page->settings->lifters);
        bp_report_lifter_page_name(page->survey, l, &link);
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "name", page->survey->lifters[l]);
        bp_json_string(json, "href", link.data != NULL ? link.data : "");
        bp_json_close(json, '}');
        json->out->failed = json->out->failed || link.failed;
        bp_text_free(&link);
    }
    bp_json_close(json, ']');
}

static void put_link(struct bp_json *json, const char *key, const char *link)
{
    if (link != NULL) {
        bp_json_string(json, key, link); /* "" is a link too: the same folder */
    } else {
        bp_json_null(json, key);
    }
}

static void put_about(const void *about, struct bp_text *out)
{
    const struct bp_page_of_block *page = about;
    struct bp_json json;
    bp_json_init(&json, false, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "kind", page->kind);
    bp_json_string(&json, "version", BARPLUMB_VERSION);
    put_link(&json, "sets", page->settings->sets);
    put_link(&json, "index", page->settings->index);
    put_link(&json, "compare", page->settings->compare);
    if (page->settings->lifters != NULL) {
        put_lifters(page, &json);
    } else {
        bp_json_null(&json, "lifters");
    }
    bp_json_close(&json, '}');
}

static void put_compare(const void *about, struct bp_text *out)
{
    bp_report_compare_json(((const struct bp_page_of_block *)about)->survey, false, out);
}

static void put_block(const void *about, struct bp_text *out)
{
    const struct bp_page_of_block *page = about;
    bp_report_block_json(page->survey, page->lifter, false, out);
}

static void put_compare_data(const void *about, struct bp_text *out)
{
    bp_page_put_block(out, "about", put_about, about);
    bp_page_put_block(out, "compare", put_compare, about);
}

static void put_block_data(const void *about, struct bp_text *out)
{
    bp_page_put_block(out, "about", put_about, about);
    bp_page_put_block(out, "block", put_block, about);
}

/* ---- titles ---- */

static void put_title(const void *about, struct bp_text *out)
{
    const struct bp_page_of_block *page = about;
    if (page->lifter != NULL) {
        bp_page_put_text(out, bp_block_shown_name(page->lifter));
        bp_text_put(out, ", the block");
    } else if (strcmp(page->kind, "compare") == 0) {
        bp_text_put(out, "Compared by ");
        bp_text_put(out, bp_block_by_name(page->survey->settings.compare.by));
    } else {
        bp_text_put(out, "The block");
    }
}

/* ---- pages ---- */

static const struct bp_block_page_settings no_links = {0};

enum bp_code bp_report_compare_html(const struct bp_survey *survey,
                                    const struct bp_block_page_settings *settings, struct bp_text *out,
                                    struct bp_error *error)
{
    const struct bp_page_of_block page = {survey, settings ? settings : &no_links, "compare", NULL};
    const struct bp_page_frame frame = {page.settings->assets, &page, put_title, bp_plain_put_compare,
                                        put_compare_data};
    return bp_page_put_frame(&frame, out, error);
}

enum bp_code bp_report_block_html(const struct bp_survey *survey,
                                  const struct bp_block_page_settings *settings, struct bp_text *out,
                                  struct bp_error *error)
{
    const struct bp_page_of_block page = {survey, settings ? settings : &no_links, "block", NULL};
    const struct bp_page_frame frame = {page.settings->assets, &page, put_title, bp_plain_put_block,
                                        put_block_data};
    return bp_page_put_frame(&frame, out, error);
}

enum bp_code bp_report_lifter_html(const struct bp_survey *survey, size_t lifter,
                                   const struct bp_block_page_settings *settings, struct bp_text *out,
                                   struct bp_error *error)
{
    if (lifter >= survey->lifter_count) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "there is no such lifter in the block");
    }
    const struct bp_page_of_block page = {survey, settings ? settings : &no_links, "lifter",
                                          survey->lifters[lifter]};
    const struct bp_page_frame frame = {page.settings->assets, &page, put_title, bp_plain_put_block,
                                        put_block_data};
    return bp_page_put_frame(&frame, out, error);
}
