/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"

#include <stdint.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__real_aligned_alloc(size_t alignment, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);
void *__wrap_aligned_alloc(size_t alignment, size_t size);

static size_t calls_left = SIZE_MAX; /* SIZE_MAX: not armed */
static bool happened;

void failing_alloc_arm(size_t n)
{
    calls_left = n;
    happened = false;
}

bool failing_alloc_disarm(void)
{
    calls_left = SIZE_MAX;
    return happened;
}

static bool fails_now(void)
{
    if (calls_left == SIZE_MAX) {
        return false;
    }
    if (calls_left > 0) {
        calls_left--;
        return false;
    }
    calls_left = SIZE_MAX;
    happened = true;
    return true;
}

void *__wrap_malloc(size_t size)
{
    return fails_now() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails_now() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return fails_now() ? NULL : __real_realloc(block, size);
}

void *__wrap_aligned_alloc(size_t alignment, size_t size)
{
    return fails_now() ? NULL : __real_aligned_alloc(alignment, size);
}
