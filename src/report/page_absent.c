/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Stands for the bundle in a build without the page (-DBARPLUMB_PAGE=OFF).
 */
#include "report/page_bundle.h"

const unsigned char bp_page_shape[] = {0}, bp_page_script[] = {0}, bp_page_style[] = {0};
const size_t bp_page_shape_count = 0, bp_page_script_count = 0, bp_page_style_count = 0;
const char bp_page_script_hash[] = "", bp_page_style_hash[] = "";
