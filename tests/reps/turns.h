/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Paths of a bar given by the heights it turns at, for the tests of src/reps.
 */
#ifndef BARPLUMB_TESTS_TURNS_H
#define BARPLUMB_TESTS_TURNS_H

#include "reps/turning.h"

#include <math.h>

enum { TURNS_STEPS = 50, TURNS_MOST = 40 }; /* samples from one turn to the next */

/* Turning points at the given heights, TURNS_STEPS samples apart; the first is a top when it lies above the
 * second. */
static inline size_t turns_list(const double *heights, size_t count, struct bp_turning *list)
{
    bool top = heights[0] > heights[1];
    for (size_t i = 0; i < count; i++, top = !top) {
        list[i] = (struct bp_turning){i * TURNS_STEPS, heights[i], top};
    }
    return count;
}

/* The path itself, half a cosine from each height to the next; returns its samples. */
static inline size_t turns_path(const double *heights, size_t count, double *path)
{
    const double half = acos(-1);
    size_t n = 0;
    for (size_t i = 0; i + 1 < count; i++) {
        for (size_t k = 0; k < TURNS_STEPS; k++) {
            double share = (1 - cos(half * (double)k / TURNS_STEPS)) / 2;
            path[n++] = heights[i] + share * (heights[i + 1] - heights[i]);
        }
    }
    path[n++] = heights[count - 1];
    return n;
}

#endif
