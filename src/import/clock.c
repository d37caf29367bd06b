/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/stream.h"

#include <math.h>

/* A step longer than this many usual steps is a gap: one missing sample makes 2, jitter adds less than half.
 */

bool bp_trace_clock(const struct bp_trace *trace, struct bp_arena *arena, struct bp_clock *clock)
{
    *clock = (struct bp_clock){0};
    if (trace->count < 2) {
        return true;
    }
    size_t steps = trace->count - 1;
    double *scratch = bp_arena_doubles(arena, trace->count);
    if (scratch == NULL) {
        return false;
    }
    for (size_t i = 0; i < steps; i++) {
        scratch[i] = trace->time_s[i + 1] - trace->time_s[i];
    }
    clock->step_s = bp_import_median(scratch, steps);
    clock->rate_hz = clock->step_s > 0.0 ? 1.0 / clock->step_s : 0.0;
    clock->duration_s = trace->time_s[steps] - trace->time_s[0];
    double sum = 0.0, squares = 0.0, longest = 0.0;
    const double gap = BP_GAP_STEPS * clock->step_s;
    size_t even = 0;
    for (size_t i = 0; i < steps; i++) { /* scratch is only reordered */
        double off = scratch[i] - clock->step_s;
        longest = scratch[i] > longest ? scratch[i] : longest;
        if (scratch[i] > gap) {
            clock->gaps++;
            continue;
        }
        sum += off;
        squares += off * off;
        even++;
    }
    clock->longest_step_s = longest;
    double mean = even > 0 ? sum / (double)even : 0.0;
    double variance = even > 1 ? (squares - (double)even * mean * mean) / (double)(even - 1) : 0.0;
    clock->jitter_s = variance > 0.0 ? sqrt(variance) : 0.0;
    return true;
}
