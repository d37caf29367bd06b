/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Private to src/shake: the power of a run of bins of a zero-padded transform.
 */
#ifndef BARPLUMB_SHAKE_BINS_H
#define BARPLUMB_SHAKE_BINS_H

#include "barplumb/arena.h"

#include <stdbool.h>
#include <stddef.h>

/* Up to this many samples and this many bins, the bins are summed one by one: a rep's drive at 200 Hz (200
 * samples, 30 bins) then costs some microseconds and neither plan nor memory, where a transform of the
 * padded record would have to be planned first. Past it, FFTW. Two arrays of it fit on any stack. */
enum { BP_BINS_DIRECT_MAX = 2048 };

static inline bool bp_bins_direct(size_t count, size_t bins)
{
    return count <= BP_BINS_DIRECT_MAX && bins <= BP_BINS_DIRECT_MAX;
}

/* |Σ x[n] exp(-2πi k n / length)|² for k = first … first + bins - 1, into power[bins]. length >= count,
 * first + bins <= length / 2 + 1. False when memory is out; never for bp_bins_direct(count, bins), which
 * takes nothing from arena. */
bool bp_bins_power(const double *x, size_t count, size_t length, size_t first, size_t bins,
                   struct bp_arena *arena, double *power);

#endif
