/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One set as a page. What is on it is made by the page's script from the set's data: docs/page.md.
 */
#include "barplumb/report.h"

#include "report/json.h"
#include "report/page_frame.h"
#include "report/page_put.h"
#include "report/traces_json.h"

#include <string.h>

struct work {
    const struct bp_summary *summary;
    const struct bp_page_settings *settings;
};

/* "L1, bench, chains: l1.csv", of which only the lift and the log are always there. */
static void put_title(const void *about, struct bp_text *out)
{
    const struct work *w = about;
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
static void put_plain(const void *about, struct bp_text *out)
{
    const struct work *w = about;
    const struct bp_report_settings plain = {false, 0};
    struct bp_text text;
    bp_text_init(&text);
    bp_report_set_text(w->summary, &plain, &text);
    bp_text_put(out, "<pre>");
    if (text.data != NULL) {
        bp_page_put_text(out, text.data);
    }
    bp_text_put(out, "</pre>");
    out->failed = out->failed || text.failed;
    bp_text_free(&text);
}

static void put_about(const void *about, struct bp_text *out)
{
    const struct work *w = about;
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
    if (w->settings->index != NULL) {
        bp_json_string(&json, "index", w->settings->index);
    }
    bp_json_close(&json, '}');
}

static void put_set(const void *about, struct bp_text *out)
{
    bp_report_set_json(((const struct work *)about)->summary, false, out);
}

static void put_traces(const void *about, struct bp_text *out)
{
    bp_traces_put_json(((const struct work *)about)->summary->traces, out);
}

static void put_data(const void *about, struct bp_text *out)
{
    bp_page_put_block(out, "about", put_about, about);
    bp_page_put_block(out, "set", put_set, about);
    bp_page_put_block(out, "traces", put_traces, about);
}

enum bp_code bp_report_set_html(const struct bp_summary *summary, const struct bp_page_settings *settings,
                                struct bp_text *out, struct bp_error *error)
{
    static const struct bp_page_settings defaults = {.assets = NULL};
    const struct work w = {summary, settings != NULL ? settings : &defaults};
    const struct bp_page_frame frame = {w.settings->assets, &w, put_title, put_plain, put_data};
    return bp_page_put_frame(&frame, out, error);
}
