/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* madvise */
#include "barplumb/arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

/* Under AddressSanitizer the arena marks what it has not handed out, so that an array's overrun is caught
 * although its neighbours belong to the same malloc block. */
#if defined(__SANITIZE_ADDRESS__)
#define ARENA_GUARDS 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define ARENA_GUARDS 1
#endif
#endif
#if defined(ARENA_GUARDS)
#include <sanitizer/asan_interface.h>
enum { GUARD_BYTES = 64 };
#else
#define ASAN_POISON_MEMORY_REGION(start, size) ((void)(start), (void)(size))
#define ASAN_UNPOISON_MEMORY_REGION(start, size) ((void)(start), (void)(size))
enum { GUARD_BYTES = 0 };
#endif

enum {
    ALIGNMENT = 64,             /* bytes: a cache line, and enough for any vector unit FFTW uses */
    BLOCK_BYTES_MIN = 1 << 20,  /* 1 MiB: a one-minute log at 100 Hz and its scratch */
    BLOCK_BYTES_STEP = 1 << 26, /* blocks double up to 64 MiB, so that a long log needs few of them */
    HUGE_BYTES = 1 << 24, /* from 16 MiB on a block asks for large pages: touching 4,096 small ones for the
                             first time takes longer than reading the log that fills them */
    PAGE_BYTES = 4096,
};

struct bp_arena_block {
    struct bp_arena_block *next;
    size_t capacity; /* bytes after the header */
    size_t used;
};

_Static_assert(sizeof(struct bp_arena_block) <= ALIGNMENT, "the header fills one aligned step");

static unsigned char *block_bytes(struct bp_arena_block *block)
{
    return (unsigned char *)block + ALIGNMENT;
}

void bp_arena_init(struct bp_arena *arena)
{
    *arena = (struct bp_arena){NULL, NULL, 0, false};
}

/* A wish, where the system knows it; a block is as good without. */
static void ask_for_large_pages(unsigned char *bytes, size_t count)
{
#ifdef MADV_HUGEPAGE
    size_t skip = (PAGE_BYTES - (uintptr_t)bytes % PAGE_BYTES) % PAGE_BYTES;
    if (count >= HUGE_BYTES) {
        (void)madvise(bytes + skip, count - skip, MADV_HUGEPAGE);
    }
#else
    (void)bytes;
    (void)count;
#endif
}

/* A new block at the end of the chain, with room for bytes (a multiple of ALIGNMENT). */
static struct bp_arena_block *add_block(struct bp_arena *arena, size_t bytes)
{
    struct bp_arena_block *last = arena->current;
    size_t capacity = BLOCK_BYTES_MIN;
    while (last != NULL && last->next != NULL) {
        last = last->next;
    }
    if (last != NULL) {
        capacity = last->capacity < BLOCK_BYTES_STEP / 2 ? 2 * last->capacity : (size_t)BLOCK_BYTES_STEP;
        capacity -= capacity % ALIGNMENT;
    }
    if (capacity < bytes) {
        capacity = bytes;
    }
    struct bp_arena_block *block = aligned_alloc(ALIGNMENT, ALIGNMENT + capacity);
    if (block == NULL) {
        return NULL;
    }
    ask_for_large_pages((unsigned char *)block, ALIGNMENT + capacity);
    *block = (struct bp_arena_block){NULL, capacity, 0};
    ASAN_POISON_MEMORY_REGION(block_bytes(block), capacity);
    if (last == NULL) {
        arena->first = block;
    } else {
        last->next = block;
    }
    return block;
}

/* The first block from the current one on with room for bytes; a new one if there is none. */
static struct bp_arena_block *find_block(struct bp_arena *arena, size_t bytes)
{
    struct bp_arena_block *block = arena->current;
    while (block != NULL && block->capacity - block->used < bytes) {
        block = block->next;
    }
    if (block == NULL) {
        block = add_block(arena, bytes);
    }
    if (block != NULL) {
        arena->current = block;
    }
    return block;
}

void *bp_arena_take(struct bp_arena *arena, size_t count, size_t size)
{
    /* Half the address space: no sum below can overflow. */
    if (size != 0 && count > SIZE_MAX / 2 / size) {
        arena->failed = true;
        return NULL;
    }
    size_t wanted = count * size;
    /* At least one step even for nothing, so that every pointer handed out is its own. */
    size_t padded =
        (wanted + GUARD_BYTES + (wanted + GUARD_BYTES == 0) + ALIGNMENT - 1) & ~(size_t)(ALIGNMENT - 1);
    struct bp_arena_block *block = find_block(arena, padded);
    if (block == NULL) {
        arena->failed = true;
        return NULL;
    }
    unsigned char *taken = block_bytes(block) + block->used;
    block->used += padded;
    arena->taken_bytes += wanted;
    ASAN_UNPOISON_MEMORY_REGION(taken, wanted);
    return taken;
}

void *bp_arena_zero(struct bp_arena *arena, size_t count, size_t size)
{
    void *taken = bp_arena_take(arena, count, size);
    if (taken != NULL) {
        memset(taken, 0, count * size);
    }
    return taken;
}

double *bp_arena_doubles(struct bp_arena *arena, size_t count)
{
    return bp_arena_take(arena, count, sizeof(double));
}

void bp_arena_reset(struct bp_arena *arena)
{
    for (struct bp_arena_block *block = arena->first; block != NULL; block = block->next) {
        block->used = 0;
        ASAN_POISON_MEMORY_REGION(block_bytes(block), block->capacity);
    }
    arena->current = arena->first;
    arena->taken_bytes = 0;
}

void bp_arena_free(struct bp_arena *arena)
{
    struct bp_arena_block *block = arena->first;
    while (block != NULL) {
        struct bp_arena_block *next = block->next;
        ASAN_UNPOISON_MEMORY_REGION(block_bytes(block), block->capacity);
        free(block);
        block = next;
    }
    bp_arena_init(arena);
}
