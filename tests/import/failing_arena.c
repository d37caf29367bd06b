/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import/failing_arena.h"

#include "barplumb/arena.h"

/* The linker sends each call of an arena's functions from another file here (--wrap). */
void *__real_bp_arena_take(struct bp_arena *arena, size_t count, size_t size);
void *__real_bp_arena_zero(struct bp_arena *arena, size_t count, size_t size);
double *__real_bp_arena_doubles(struct bp_arena *arena, size_t count);
void *__wrap_bp_arena_take(struct bp_arena *arena, size_t count, size_t size);
void *__wrap_bp_arena_zero(struct bp_arena *arena, size_t count, size_t size);
double *__wrap_bp_arena_doubles(struct bp_arena *arena, size_t count);

static size_t left;
static bool armed;

void failing_arena_arm(size_t n)
{
    left = n;
    armed = true;
}

bool failing_arena_disarm(void)
{
    bool happened = !armed;
    armed = false;
    return happened;
}

static bool fails(void)
{
    if (!armed || left-- > 0) {
        return false;
    }
    armed = false;
    return true;
}

void *__wrap_bp_arena_take(struct bp_arena *arena, size_t count, size_t size)
{
    return fails() ? NULL : __real_bp_arena_take(arena, count, size);
}

void *__wrap_bp_arena_zero(struct bp_arena *arena, size_t count, size_t size)
{
    return fails() ? NULL : __real_bp_arena_zero(arena, count, size);
}

double *__wrap_bp_arena_doubles(struct bp_arena *arena, size_t count)
{
    return fails() ? NULL : __real_bp_arena_doubles(arena, count);
}
