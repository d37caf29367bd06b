/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Calm spells: where the phone lies with hardly any movement in it, whatever its readings are then.
 */
#ifndef BARPLUMB_MOTION_CALM_H
#define BARPLUMB_MOTION_CALM_H

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

/* The calm spells of trace. Unlike still spells they need not agree on gravity's
 * length: on a table or in a bag the phone lies otherwise than on the bar, and another axis's offset shows.
 * False: no memory. */
bool bp_calm_find(const struct bp_trace *trace, struct bp_arena *arena, struct bp_calms *calms);

/* Calm spells with no more than a knock between them, joined; of those, the ones that last least_s. */
bool bp_calm_rests(const struct bp_trace *trace, const struct bp_calms *calms, double least_s,
                   struct bp_arena *arena, struct bp_calms *rests);

/* Mean variance of three axes over samples first to last; their means in mean. */
double bp_calm_variance(double *const axis[3], size_t first, size_t last, double mean[3]);

/* Cosine of the angle between two readings. */
double bp_calm_cosine(const double a[3], const double b[3]);

#endif
