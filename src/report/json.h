/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report: a writer of JSON (RFC 8259). key NULL: an element of an array.
 */
#ifndef BARPLUMB_REPORT_JSON_H
#define BARPLUMB_REPORT_JSON_H

#include "barplumb/finding.h"
#include "barplumb/quantity.h"
#include "barplumb/text.h"

#include <stdbool.h>
#include <stddef.h>

struct bp_json {
    struct bp_text *out;
    bool indent;
    size_t depth;
    bool empty; /* nothing stands yet in the innermost object or array */
};

void bp_json_init(struct bp_json *json, bool indent, struct bp_text *out);
void bp_json_open(struct bp_json *json, const char *key, char bracket);
void bp_json_close(struct bp_json *json, char bracket);
void bp_json_null(struct bp_json *json, const char *key);
void bp_json_bool(struct bp_json *json, const char *key, bool value);
void bp_json_count(struct bp_json *json, const char *key, size_t value);
/* null when value is not finite: JSON has no other word for it. */
void bp_json_number(struct bp_json *json, const char *key, double value, int decimals);
/* Invalid UTF-8 becomes U+FFFD. */
void bp_json_string(struct bp_json *json, const char *key, const char *value);
/* {"value","low","high"}; null when the value is unknown, low and high null when not estimated. */
void bp_json_quantity(struct bp_json *json, const char *key, struct bp_quantity value, int decimals);
/* "findings": [{"code","severity","at_s","text"}], then "findings_dropped". */
void bp_json_findings(struct bp_json *json, const struct bp_findings *findings);

#endif
