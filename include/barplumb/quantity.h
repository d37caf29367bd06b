/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A measured figure with its 95 % interval.
 */
#ifndef BARPLUMB_QUANTITY_H
#define BARPLUMB_QUANTITY_H

#include <math.h>
#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

struct bp_quantity {
    double value;     /* NaN: cannot be known */
    double low, high; /* ends of the 95 % interval; NaN: not estimated */
};

/* A value whose interval is not estimated. */
static inline struct bp_quantity bp_quantity_plain(double value)
{
    struct bp_quantity q = {value, (double)NAN, (double)NAN};
    return q;
}

/* "Cannot be known." */
static inline struct bp_quantity bp_quantity_unknown(void)
{
    return bp_quantity_plain((double)NAN);
}

static inline bool bp_quantity_known(struct bp_quantity q)
{
    return isfinite(q.value);
}

#ifdef __cplusplus
}
#endif
#endif
