/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/report_block: what its files share.
 */
#ifndef BARPLUMB_REPORT_BLOCK_PARTS_H
#define BARPLUMB_REPORT_BLOCK_PARTS_H

#include "barplumb/report_block.h"
#include "report/json.h"

enum {
    BP_COMPARE_DECIMALS = 5, /* of differences and ratios: finer than any interval */
    BP_SHARE_DECIMALS = 4,   /* of p, and of chances */
    BP_KG_DECIMALS = 2,
    BP_SPEED_DECIMALS = 4
};

/* "setup", "lifter", "session" */
const char *bp_block_by_name(enum bp_compare_by by);
/* "bench, chains, L1": what all sets of a comparison have in common, as far as they are compared by another.
 */
void bp_block_put_title(struct bp_text *out, const struct bp_survey *survey,
                        const struct bp_survey_comparison *comparison);
/* "unnamed" for "". */
const char *bp_block_shown_name(const char *name);
/* "" becomes null. */
void bp_block_put_text(struct bp_json *json, const char *key, const char *text);
void bp_block_put_caution(struct bp_text *out);
/* The first letter made a capital. */
void bp_block_put_sentence(struct bp_text *out, const char *sentence);
/* The figure's own difference or ratio over all pairs, by its scale. */
struct bp_quantity bp_block_contrast(const struct bp_compare_result *result,
                                     const struct bp_compare_pair *pair);
/* "20.0 kg", "20.0 to 60.0 kg", "not known" */
void bp_block_put_span(struct bp_text *out, double low, double high);

#endif
