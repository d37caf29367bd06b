/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/plates.h"

#include "gym.h"

#include <stdarg.h>

#include <setjmp.h>
#include <stddef.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static void list(const struct bp_rig *rig, struct bp_arena *arena, struct plates *plates)
{
    struct bp_error error;
    bp_arena_reset(arena);
    assert_int_equal(plates_list(rig, arena, plates, &error), BP_OK);
}

static size_t find(const struct plates *plates, int64_t grams)
{
    for (size_t i = 0; i < plates->count; i++) {
        if (plates->totals[i].grams == grams) {
            return i;
        }
    }
    fail_msg("%lld g cannot be made", (long long)grams);
    return 0;
}

static void no_stock_makes_no_plate_alone(void **state)
{
    (void)state;
    struct bp_arena arena;
    struct plates plates;
    struct bp_rig rig;
    bp_arena_init(&arena);
    gym_init(&rig);
    list(&rig, &arena, &plates);
    assert_int_equal(plates.count, 1);
    assert_int_equal(plates.totals[0].grams, 0);
    gym_add_plate(&rig, 20, 1); /* half a pair */
    list(&rig, &arena, &plates);
    assert_int_equal(plates.count, 1);
    bp_arena_free(&arena);
}

/* 15 = 10 + 5 and not 3 x 5; 20 = 2 x 10 and not 10 + 2 x 5; greedy from the heavy end would fail at 24. */
static void each_load_takes_the_fewest_plates(void **state)
{
    (void)state;
    struct bp_arena arena;
    struct plates plates;
    struct bp_rig rig;
    size_t each[BP_PLATES_MAX];
    bp_arena_init(&arena);
    gym_init(&rig);
    gym_add_plate(&rig, 1, 20);
    gym_add_plate(&rig, 8, 6);
    gym_add_plate(&rig, 20, 2);
    list(&rig, &arena, &plates);
    size_t at = find(&plates, 48000); /* 24 a side: 3 x 8, while 20 + 4 x 1 takes five */
    assert_int_equal(plates.totals[at].plates, 6);
    plates_choose(&plates, at, each);
    assert_int_equal(each[0], 0);
    assert_int_equal(each[1], 3);
    assert_int_equal(each[2], 0);
    at = find(&plates, 108000); /* the whole stock */
    assert_int_equal(at, plates.count - 1);
    plates_choose(&plates, at, each);
    assert_int_equal(each[0], 10);
    assert_int_equal(each[1], 3);
    assert_int_equal(each[2], 1);
    bp_arena_free(&arena);
}

static void of_equally_few_plates_the_heaviest_go_on(void **state)
{
    (void)state;
    struct bp_arena arena;
    struct plates plates;
    struct bp_rig rig;
    size_t each[BP_PLATES_MAX];
    bp_arena_init(&arena);
    gym_init(&rig);
    gym_add_plate(&rig, 10, 4);
    gym_add_plate(&rig, 5, 2);
    gym_add_plate(&rig, 15, 2);
    gym_add_plate(&rig, 15, 2);
    list(&rig, &arena, &plates);
    plates_choose(&plates, find(&plates, 40000), each); /* 20 a side: 15 + 5, not 10 + 10 */
    assert_int_equal(each[0], 0);
    assert_int_equal(each[1], 1);
    assert_int_equal(each[2], 1); /* of equal plates, those named first */
    assert_int_equal(each[3], 0);
    bp_arena_free(&arena);
}

static void a_stock_past_its_limits_is_refused(void **state)
{
    (void)state;
    struct bp_arena arena;
    struct plates plates;
    struct bp_rig rig;
    struct bp_error error;
    bp_arena_init(&arena);
    gym_init(&rig);
    gym_add_plate(&rig, 25, 80); /* 1,000 kg a side: just within */
    assert_int_equal(plates_list(&rig, &arena, &plates, &error), BP_OK);
    assert_int_equal(plates.count, 41);
    gym_add_plate(&rig, 1.25, 2);
    assert_int_equal(plates_list(&rig, &arena, &plates, &error), BP_ERR_LIMIT);
    rig.plates[1] = (struct bp_plate){0.05, 2};
    assert_int_equal(plates_list(&rig, &arena, &plates, &error), BP_ERR_ARGUMENT);
    rig.plates[1].kg = (double)NAN;
    assert_int_equal(plates_list(&rig, &arena, &plates, &error), BP_ERR_ARGUMENT);
    rig.plates[1] = (struct bp_plate){1, SIZE_MAX};
    assert_int_equal(plates_list(&rig, &arena, &plates, &error), BP_ERR_LIMIT);
    bp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_stock_makes_no_plate_alone),
        cmocka_unit_test(each_load_takes_the_fewest_plates),
        cmocka_unit_test(of_equally_few_plates_the_heaviest_go_on),
        cmocka_unit_test(a_stock_past_its_limits_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
