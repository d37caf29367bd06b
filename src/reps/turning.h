/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Turning points: the tops and bottoms of the bar's path that stand out.
 */
#ifndef BARPLUMB_REPS_TURNING_H
#define BARPLUMB_REPS_TURNING_H

#include "barplumb/arena.h"

#include <stdbool.h>
#include <stddef.h>

struct bp_turning {
    size_t sample;
    double height_m;
    bool top;
};

/* Lists the alternating tops and bottoms of height[first..last] between which the bar moved by at least
 * least_m; the first and last entries are the ends of the outermost such moves. Writes to list when it is not
 * NULL; returns how many there are. Linear in samples. */
size_t bp_turning_find(const double *height, size_t first, size_t last, double least_m,
                       struct bp_turning *list);

#endif
