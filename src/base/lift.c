/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/lift.h"

#include <stddef.h>
#include <string.h>

/* least_range_m and most_range_m are wide sanity limits, from memory, no single source: they only tell a
 * rep from a nudge or from carrying the bar away. */
static const struct bp_lift_facts lifts[BP_LIFT_COUNT] = {
    [BP_BENCH] = {"bench", true, {"off the chest", "middle", "lockout"}, 0.15, 0.8, false, false},
    [BP_PRESS] = {"press", false, {"off the chest", "middle", "lockout"}, 0.25, 1.0, false, false},
    [BP_SQUAT] = {"squat", true, {"out of the hole", "middle", "lockout"}, 0.25, 1.0, false, false},
    [BP_DEADLIFT] =
        {"deadlift", false, {"off the floor", "past the knee", "lockout"}, 0.25, 1.0, false, true},
    [BP_ROW] = {"row", false, {"off the bottom", "middle", "to the body"}, 0.15, 1.0, true, false},
};

const struct bp_lift_facts *bp_lift_facts(enum bp_lift lift)
{
    int index = (int)lift;
    return index >= 0 && index < BP_LIFT_COUNT ? &lifts[index] : NULL;
}

bool bp_lift_named(const char *name, enum bp_lift *lift)
{
    for (int i = 0; i < BP_LIFT_COUNT; i++) {
        if (strcmp(name, lifts[i].name) == 0) {
            *lift = (enum bp_lift)i;
            return true;
        }
    }
    return false;
}
