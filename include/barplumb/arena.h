/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * One arena a log: every stage takes its arrays from it, and one call frees or reuses them all. Memory is
 * bounded by the one log a worker has in hand, and no stage needs a free of its own.
 */
#ifndef BARPLUMB_ARENA_H
#define BARPLUMB_ARENA_H

#include "barplumb/export.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

struct bp_arena_block; /* private */

struct bp_arena {
    struct bp_arena_block *first, *current;
    size_t taken_bytes; /* handed out since the last reset, for reports and tests */
    bool failed; /* a take found no memory since this was last set to false (bp_arena_init does): what was
                    worked out meanwhile may lack a figure */
};

/* An empty arena; allocates nothing. */
BP_API void bp_arena_init(struct bp_arena *arena);

/* count * size bytes, 64-byte aligned, contents undefined; NULL when memory is out or the product
 * overflows. The memory lives until bp_arena_reset or bp_arena_free. Not thread-safe. */
BP_API void *bp_arena_take(struct bp_arena *arena, size_t count, size_t size);

/* The same, set to zero. */
BP_API void *bp_arena_zero(struct bp_arena *arena, size_t count, size_t size);

/* count doubles, contents undefined; NULL when memory is out. */
BP_API double *bp_arena_doubles(struct bp_arena *arena, size_t count);

/* Forgets everything taken but keeps the blocks, so that the next log touches no fresh page. */
BP_API void bp_arena_reset(struct bp_arena *arena);

/* Gives all memory back; the arena is empty and usable again. */
BP_API void bp_arena_free(struct bp_arena *arena);

#ifdef __cplusplus
}
#endif
#endif
