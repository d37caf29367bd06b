/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set as a page: the shape in src/report/page/page.html, filled with the bundle and the set's data. What
 * is on the page is made by its script from that data: docs/page.md.
 */
#include "barplumb/report.h"

#include "report/json.h"
#include "report/page_bundle.h"
#include "report/page_put.h"
#include "report/traces_json.h"

#include <string.h>

struct work {
    const struct bp_summary *summary;
    const struct bp_page_settings *settings;
};

static const char SCRIPT_NAME[] = "barplumb.js", STYLE_NAME[] = "barplumb.css";

bool bp_report_has_page(void)
{
    return bp_page_shape_count > 0;
}

struct bp_page_file bp_report_page_file(enum bp_page_part_of part)
{
    if (part == BP_PAGE_STYLE) {
        return (struct bp_page_file){STYLE_NAME, (const char *)bp_page_style, bp_page_style_count};
    }
    return (struct bp_page_file){SCRIPT_NAME, (const char *)bp_page_script, bp_page_script_count};
}

/* Where script or style may come from: the very bytes in the page, or the page's own site. */
static void put_source(struct bp_text *out, const struct work *w, const char *hash)
{
    bp_text_put_char(out, '\'');
    bp_text_put(out, w->settings->assets != NULL ? "self" : hash);
    bp_text_put_char(out, '\'');
}

static void put_link(struct bp_text *out, const struct work *w, const char *before, const char *name,
                     const char *after)
{
    bp_text_put(out, before);
    bp_page_put_text(out, w->settings->assets);
    bp_text_put(out, name);
    bp_text_put(out, after);
}

static void put_style(struct bp_text *out, const struct work *w)
{
    if (w->settings->assets != NULL) {
        put_link(out, w, "<link rel=\"stylesheet\" href=\"", STYLE_NAME, "\">");
        return;
    }
    bp_text_put(out, "<style>");
    bp_text_put_bytes(out, (const char *)bp_page_style, bp_page_style_count);
    bp_text_put(out, "</style>");
}

static void put_script(struct bp_text *out, const struct work *w)
{
    if (w->settings->assets != NULL) {
        put_link(out, w, "<script src=\"", SCRIPT_NAME, "\"></script>");
        return;
    }
    bp_text_put(out, "<script>");
    bp_text_put_bytes(out, (const char *)bp_page_script, bp_page_script_count);
    bp_text_put(out, "</script>");
}

/* "L1, bench, chains: l1.csv", of which only the lift and the log are always there. */
static void put_title(struct bp_text *out, const struct work *w)
{
    const struct bp_set_figures *set = &w->summary->set;
    const struct bp_lift_facts *lift = bp_lift_facts(set->lift);
    const char *path = w->summary->log.path, *slash = strrchr(path, '/');
    if (w->settings->lifter != NULL && w->settings->lifter[0] != '\0') {
        bp_page_put_text(out, w->settings->lifter);
        bp_text_put(out, ", ");
    }
    bp_text_put(out, lift != NULL ? lift->name : "unknown lift");
    if (set->setup[0] != '\0') {
        bp_text_put(out, ", ");
        bp_page_put_text(out, set->setup);
    }
    bp_text_put(out, ": ");
    bp_page_put_text(out, strcmp(path, "-") == 0 ? "standard input" : slash != NULL ? slash + 1 : path);
}

/* The text report, for a reader without scripts. */
static void put_text(struct bp_text *out, const struct work *w)
{
    const struct bp_report_settings plain = {false, 0};
    struct bp_text text;
    bp_text_init(&text);
    bp_report_set_text(w->summary, &plain, &text);
    if (text.data != NULL) {
        bp_page_put_text(out, text.data);
    }
    out->failed = out->failed || text.failed;
    bp_text_free(&text);
}

static void put_about(const struct work *w, struct bp_text *out)
{
    struct bp_json json;
    bp_json_init(&json, false, out);
    bp_json_open(&json, NULL, '{');
    bp_json_string(&json, "kind", "set");
    bp_json_string(&json, "version", BARPLUMB_VERSION);
    if (w->settings->lifter != NULL && w->settings->lifter[0] != '\0') {
        bp_json_string(&json, "lifter", w->settings->lifter);
    } else {
        bp_json_null(&json, "lifter");
    }
    bp_json_close(&json, '}');
}

static void put_set(const struct work *w, struct bp_text *out)
{
    bp_report_set_json(w->summary, false, out);
}

static void put_traces(const struct work *w, struct bp_text *out)
{
    bp_traces_put_json(w->summary->traces, out);
}

static void put_data(struct bp_text *out, const struct work *w,
                     void (*put)(const struct work *w, struct bp_text *out))
{
    struct bp_text json;
    bp_text_init(&json);
    put(w, &json);
    if (!json.failed) {
        bp_page_put_json(out, &json);
    }
    out->failed = out->failed || json.failed;
    bp_text_free(&json);
}

static bool is(const char *name, size_t length, const char *wanted)
{
    return strlen(wanted) == length && memcmp(name, wanted, length) == 0;
}

static void put_part(const char *name, size_t length, const void *about, struct bp_text *out)
{
    const struct work *w = about;
    if (is(name, length, "title")) {
        put_title(out, w);
    } else if (is(name, length, "version")) {
        bp_text_put(out, BARPLUMB_VERSION);
    } else if (is(name, length, "script-source")) {
        put_source(out, w, bp_page_script_hash);
    } else if (is(name, length, "style-source")) {
        put_source(out, w, bp_page_style_hash);
    } else if (is(name, length, "style")) {
        put_style(out, w);
    } else if (is(name, length, "script")) {
        put_script(out, w);
    } else if (is(name, length, "text")) {
        put_text(out, w);
    } else if (is(name, length, "about")) {
        put_data(out, w, put_about);
    } else if (is(name, length, "set")) {
        put_data(out, w, put_set);
    } else if (is(name, length, "traces")) {
        put_data(out, w, put_traces);
    }
}

enum bp_code bp_report_set_html(const struct bp_summary *summary, const struct bp_page_settings *settings,
                                struct bp_text *out, struct bp_error *error)
{
    static const struct bp_page_settings defaults = {NULL, NULL};
    const struct work w = {summary, settings != NULL ? settings : &defaults};
    if (!bp_report_has_page()) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "this barplumb was built without its page (BARPLUMB_PAGE)");
    }
    bp_page_put_shape(out, put_part, &w);
    return BP_OK;
}
