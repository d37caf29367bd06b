/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The lifts: what each one's reps look like, as data.
 */
#ifndef BARPLUMB_LIFT_H
#define BARPLUMB_LIFT_H

#include "barplumb/export.h"

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

enum bp_lift { BP_BENCH, BP_PRESS, BP_SQUAT, BP_DEADLIFT, BP_ROW, BP_LIFT_COUNT };

struct bp_lift_facts {
    const char *name;           /* on the command line and in output */
    bool descent_first;         /* a rep begins at lockout (bench, squat); false: at the bottom */
    const char *range_names[3]; /* the drive's thirds */
    double least_range_m;       /* a shorter stroke is no rep */
    double most_range_m;        /* a longer one neither */
    bool picked_up;             /* the bar is lifted to where the reps begin, and put down after (row) */
    bool from_floor;            /* every rep begins and ends where the bar rests (deadlift) */
};

/* The facts of one lift; NULL outside the enum. */
BP_API const struct bp_lift_facts *bp_lift_facts(enum bp_lift lift);

/* The lift of that name; false when there is none, *lift is then left alone. */
BP_API bool bp_lift_named(const char *name, enum bp_lift *lift);

#ifdef __cplusplus
}
#endif
#endif
