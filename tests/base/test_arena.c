/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/arena.h"
#include "base/failing_alloc.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <string.h>

static void arena_hands_out_aligned_pieces_that_do_not_overlap(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    enum { PIECES = 200 };
    unsigned char *pieces[PIECES];
    for (size_t i = 0; i < PIECES; i++) {
        pieces[i] = bp_arena_take(&arena, i * 37 + 1, 3);
        assert_non_null(pieces[i]);
        assert_int_equal((uintptr_t)pieces[i] % 64, 0);
        memset(pieces[i], (int)i, (i * 37 + 1) * 3);
    }
    for (size_t i = 0; i < PIECES; i++) {
        for (size_t k = 0; k < (i * 37 + 1) * 3; k++) {
            assert_int_equal(pieces[i][k], i);
        }
    }
    bp_arena_free(&arena);
}

static void arena_refuses_a_product_that_overflows(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    assert_null(bp_arena_take(&arena, SIZE_MAX / 2, 3));
    assert_null(bp_arena_take(&arena, SIZE_MAX, SIZE_MAX));
    assert_null(bp_arena_doubles(&arena, SIZE_MAX / 8));
    assert_null(bp_arena_take(&arena, 1, SIZE_MAX));
    assert_int_equal(arena.taken_bytes, 0);
    assert_non_null(bp_arena_take(&arena, 0, SIZE_MAX));
    bp_arena_free(&arena);
}

static void arena_remembers_that_a_take_failed(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    assert_non_null(bp_arena_take(&arena, 1, 8));
    assert_false(arena.failed);
    failing_alloc_arm(0);
    assert_null(bp_arena_take(&arena, 1, (size_t)1 << 22)); /* past the block it has */
    assert_true(failing_alloc_disarm());
    assert_true(arena.failed);
    assert_non_null(bp_arena_take(&arena, 1, 8));
    bp_arena_reset(&arena);
    assert_true(arena.failed);
    arena.failed = false;
    assert_null(bp_arena_take(&arena, SIZE_MAX, 2));
    assert_true(arena.failed);
    bp_arena_free(&arena);
    assert_false(arena.failed);
}

static void arena_gives_distinct_pointers_for_nothing(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    void *first = bp_arena_take(&arena, 0, 8);
    void *second = bp_arena_take(&arena, 0, 8);
    assert_non_null(first);
    assert_non_null(second);
    assert_ptr_not_equal(first, second);
    bp_arena_free(&arena);
}

static void arena_zero_is_zero_even_on_used_memory(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    memset(bp_arena_take(&arena, 1000, 1), 0xA5, 1000);
    bp_arena_reset(&arena);
    const unsigned char *zeros = bp_arena_zero(&arena, 1000, 1);
    for (size_t i = 0; i < 1000; i++) {
        assert_int_equal(zeros[i], 0);
    }
    bp_arena_free(&arena);
}

static void arena_reset_reuses_the_same_memory(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    enum { LARGE = 3000000 };
    void *small = bp_arena_take(&arena, 10, 1);
    void *large = bp_arena_take(&arena, LARGE, 1);
    assert_int_equal(arena.taken_bytes, LARGE + 10);
    bp_arena_reset(&arena);
    assert_int_equal(arena.taken_bytes, 0);
    failing_alloc_arm(0);
    assert_ptr_equal(bp_arena_take(&arena, 10, 1), small);
    assert_ptr_equal(bp_arena_take(&arena, LARGE, 1), large);
    assert_false(failing_alloc_disarm());
    bp_arena_free(&arena);
}

static void arena_is_usable_after_a_failed_allocation(void **state)
{
    (void)state;
    struct bp_arena arena;
    bp_arena_init(&arena);
    failing_alloc_arm(0);
    assert_null(bp_arena_take(&arena, 10, 8));
    assert_true(failing_alloc_disarm());
    assert_int_equal(arena.taken_bytes, 0);
    assert_non_null(bp_arena_take(&arena, 10, 8));
    failing_alloc_arm(0);
    assert_null(bp_arena_zero(&arena, 1, (size_t)1 << 24));
    assert_true(failing_alloc_disarm());
    assert_non_null(bp_arena_take(&arena, 10, 8));
    assert_int_equal(arena.taken_bytes, 160);
    bp_arena_free(&arena);
    bp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arena_hands_out_aligned_pieces_that_do_not_overlap),
        cmocka_unit_test(arena_refuses_a_product_that_overflows),
        cmocka_unit_test(arena_remembers_that_a_take_failed),
        cmocka_unit_test(arena_gives_distinct_pointers_for_nothing),
        cmocka_unit_test(arena_zero_is_zero_even_on_used_memory),
        cmocka_unit_test(arena_reset_reuses_the_same_memory),
        cmocka_unit_test(arena_is_usable_after_a_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
