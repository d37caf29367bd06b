/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/failing_alloc.h"

#include <errno.h>
#include <stdint.h>

/* Two ways to stand before the C library's allocators. Wrapped at link time, what was linked into the program
 * calls us (with sanitizers too). Or by bearing their very names, and then every shared library calls us as
 * well. */
#ifdef BARPLUMB_FAIL_EVERYWHERE
#define OURS(name) name
#define THEIRS(name) __libc_##name
#pragma GCC visibility push(default) /* for shared libraries to see */
int posix_memalign(void **block, size_t alignment, size_t size);
#else
#define OURS(name) __wrap_##name
#define THEIRS(name) __real_##name
#endif

void *THEIRS(malloc)(size_t size);
void *THEIRS(calloc)(size_t count, size_t size);
void *THEIRS(realloc)(void *block, size_t size);
void *OURS(malloc)(size_t size);
void *OURS(calloc)(size_t count, size_t size);
void *OURS(realloc)(void *block, size_t size);
void *OURS(aligned_alloc)(size_t alignment, size_t size);

static size_t calls_left = SIZE_MAX; /* SIZE_MAX: not armed */
static size_t counted;
static bool happened, paused;

void failing_alloc_arm(size_t n)
{
    calls_left = n;
    counted = 0;
    happened = false;
}

bool failing_alloc_disarm(void)
{
    calls_left = SIZE_MAX;
    return happened;
}

size_t failing_alloc_counted(void)
{
    return counted;
}

void failing_alloc_pause(void)
{
    paused = true;
}

void failing_alloc_go_on(void)
{
    paused = false;
}

bool failing_alloc_now(void)
{
    if (calls_left == SIZE_MAX || paused) {
        return false;
    }
    counted++;
    if (calls_left > 0) {
        calls_left--;
        return false;
    }
    calls_left = SIZE_MAX;
    happened = true;
    errno = ENOMEM; /* as the C library's own */
    return true;
}

void *OURS(malloc)(size_t size)
{
    return failing_alloc_now() ? NULL : THEIRS(malloc)(size);
}

void *OURS(calloc)(size_t count, size_t size)
{
    return failing_alloc_now() ? NULL : THEIRS(calloc)(count, size);
}

void *OURS(realloc)(void *block, size_t size)
{
    return failing_alloc_now() ? NULL : THEIRS(realloc)(block, size);
}

#ifdef BARPLUMB_FAIL_EVERYWHERE
void *__libc_memalign(size_t alignment, size_t size);
void *memalign(size_t alignment, size_t size);

void *aligned_alloc(size_t alignment, size_t size)
{
    return failing_alloc_now() ? NULL : __libc_memalign(alignment, size);
}

void *memalign(size_t alignment, size_t size)
{
    return aligned_alloc(alignment, size);
}

int posix_memalign(void **block, size_t alignment, size_t size)
{
    void *got = aligned_alloc(alignment, size);
    if (got == NULL) {
        return ENOMEM;
    }
    *block = got;
    return 0;
}
#else
void *__real_aligned_alloc(size_t alignment, size_t size);

void *__wrap_aligned_alloc(size_t alignment, size_t size)
{
    return failing_alloc_now() ? NULL : __real_aligned_alloc(alignment, size);
}
#endif
