/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The shape in src/report/page/page.html, filled with the bundle and with what the page is about.
 */
#include "report/page_frame.h"

#include "barplumb/report.h"
#include "report/page_bundle.h"
#include "report/page_put.h"

#include <string.h>

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
static void put_source(struct bp_text *out, const struct bp_page_frame *frame, const char *hash)
{
    bp_text_put_char(out, '\'');
    bp_text_put(out, frame->assets != NULL ? "self" : hash);
    bp_text_put_char(out, '\'');
}

static void put_link(struct bp_text *out, const struct bp_page_frame *frame, const char *before,
                     const char *name, const char *after)
{
    bp_text_put(out, before);
    bp_page_put_text(out, frame->assets);
    bp_text_put(out, name);
    bp_text_put(out, after);
}

static void put_style(struct bp_text *out, const struct bp_page_frame *frame)
{
    if (frame->assets != NULL) {
        put_link(out, frame, "<link rel=\"stylesheet\" href=\"", STYLE_NAME, "\">");
        return;
    }
    bp_text_put(out, "<style>");
    bp_text_put_bytes(out, (const char *)bp_page_style, bp_page_style_count);
    bp_text_put(out, "</style>");
}

static void put_script(struct bp_text *out, const struct bp_page_frame *frame)
{
    if (frame->assets != NULL) {
        put_link(out, frame, "<script src=\"", SCRIPT_NAME, "\"></script>");
        return;
    }
    bp_text_put(out, "<script>");
    bp_text_put_bytes(out, (const char *)bp_page_script, bp_page_script_count);
    bp_text_put(out, "</script>");
}

void bp_page_put_block(struct bp_text *out, const char *name,
                       void (*put)(const void *about, struct bp_text *out), const void *about)
{
    struct bp_text json;
    bp_text_init(&json);
    put(about, &json);
    bp_text_put(out, "<script type=\"application/json\" id=\"barplumb-");
    bp_text_put(out, name);
    bp_text_put(out, "\">");
    if (!json.failed) {
        bp_page_put_json(out, &json);
    }
    bp_text_put(out, "</script>\n");
    out->failed = out->failed || json.failed;
    bp_text_free(&json);
}

static bool is(const char *name, size_t length, const char *wanted)
{
    return strlen(wanted) == length && memcmp(name, wanted, length) == 0;
}

static void put_part(const char *name, size_t length, const void *about, struct bp_text *out)
{
    const struct bp_page_frame *frame = about;
    if (is(name, length, "title")) {
        frame->put_title(frame->about, out);
    } else if (is(name, length, "version")) {
        bp_text_put(out, BARPLUMB_VERSION);
    } else if (is(name, length, "script-source")) {
        put_source(out, frame, bp_page_script_hash);
    } else if (is(name, length, "style-source")) {
        put_source(out, frame, bp_page_style_hash);
    } else if (is(name, length, "style")) {
        put_style(out, frame);
    } else if (is(name, length, "script")) {
        put_script(out, frame);
    } else if (is(name, length, "plain")) {
        frame->put_plain(frame->about, out);
    } else if (is(name, length, "data")) {
        frame->put_data(frame->about, out);
    }
}

enum bp_code bp_page_put_frame(const struct bp_page_frame *frame, struct bp_text *out, struct bp_error *error)
{
    if (!bp_report_has_page()) {
        return bp_error_set(error, BP_ERR_ARGUMENT,
                            "this barplumb was built without its page (BARPLUMB_PAGE)");
    }
    bp_page_put_shape(out, put_part, frame);
    return BP_OK;
}
