/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: the page's parts, bundled from src/report/page when barplumb is built
 * (tools/page/build.mjs), or nothing (page_absent.c) in a build without the page.
 */
#ifndef BARPLUMB_REPORT_PAGE_BUNDLE_H
#define BARPLUMB_REPORT_PAGE_BUNDLE_H

#include <stddef.h>

extern const unsigned char bp_page_shape[], bp_page_script[], bp_page_style[];
extern const size_t bp_page_shape_count, bp_page_script_count, bp_page_style_count; /* 0: there is no page */
/* "sha256-…", as a content security policy names them. */
extern const char bp_page_script_hash[], bp_page_style_hash[];

#endif
