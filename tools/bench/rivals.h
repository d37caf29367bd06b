/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the importer's speed is measured against.
 */
#ifndef BENCH_RIVALS_H
#define BENCH_RIVALS_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct rival_columns {
    double *value[7]; /* [capacity] each */
    size_t capacity;
};

/* Rows of seven numbers below a header, read in blocks and parsed with the C++ library fast_float (Lemire
 * 2021, Number parsing at a gigabyte per second). Returns the rows. Only where that library was found. */
size_t rival_fast_float(const char *path, struct rival_columns *columns);

#ifdef __cplusplus
}
#endif
#endif
