/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The spoilt spells of a log, as the parts of the check find them.
 */
#include "check/parts.h"

#include <math.h>

void bp_check_doubt(struct bp_check *check, double from_s, double to_s)
{
    struct bp_doubts *doubts = &check->doubts;
    if (doubts->count < BP_DOUBTS_MAX) {
        doubts->list[doubts->count++] = (struct bp_doubt){from_s, to_s};
        return;
    }
    struct bp_doubt *last = &doubts->list[BP_DOUBTS_MAX - 1];
    last->from_s = fmin(last->from_s, from_s);
    last->to_s = fmax(last->to_s, to_s);
}

void bp_check_marked_doubts(const struct bp_trace *trace, struct bp_check *check)
{
    for (size_t i = 1; i < trace->count; i++) {
        if (trace->marks[i] & BP_MARK_SPOILT) {
            bp_check_doubt(check, trace->time_s[i - 1], trace->time_s[i]);
        }
    }
}
