/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/split.
 */
#ifndef BARPLUMB_SPLIT_PARTS_H
#define BARPLUMB_SPLIT_PARTS_H

#include "barplumb/arena.h"
#include "barplumb/trace.h"

#include <stdbool.h>
#include <stddef.h>

/* Samples first to last, both included, in which the phone lies calm. */
struct bp_calm {
    size_t first, last;
    double force[3]; /* how gravity reads there, m/s^2 */
};

struct bp_calms {
    size_t count;
    struct bp_calm *list;
};

/* The calm spells of trace. Unlike the still spells of the motion stage they need not agree on gravity's
 * length: on a table or in a bag the phone lies otherwise than on the bar, and another axis's offset shows.
 * False: no memory. */
bool bp_calm_find(const struct bp_trace *trace, struct bp_arena *arena, struct bp_calms *calms);

/* Calm spells with no more than a knock between them, joined; of those, the ones that last least_s. */
bool bp_calm_rests(const struct bp_trace *trace, const struct bp_calms *calms, double least_s,
                   struct bp_arena *arena, struct bp_calms *rests);

/* Cosine of the angle between two readings. */
double bp_calm_cosine(const double a[3], const double b[3]);

/* What a movement between two calm spells may be. */
struct bp_movement {
    bool lift_before, lift_after; /* a lift, seen from the calm spell before it, and from the one after */
    bool on_bar;                  /* the phone lay nearly as it did when calm all the way */
};

/* A lift goes at least least_way_m up and down with the phone lying as it did when calm. before or after may
 * be NULL at the log's ends. */
struct bp_movement bp_movement_read(const struct bp_trace *trace, const struct bp_calm *before,
                                    const struct bp_calm *after, double least_way_m);

#endif
