/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What cannot be planned is refused, with the reason, and leaves a plan of zeros.
 */
#include "base/failing_alloc.h"
#include "gym.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

#include <setjmp.h>
#include <stddef.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static struct bp_arena arena;
static struct bp_rig rig;
static struct bp_plan plan;
static struct bp_error error;
static struct bp_plan_settings wants;

static int set_up(void **state)
{
    (void)state;
    bp_arena_init(&arena);
    gym_init(&rig);
    wants = bp_plan_defaults;
    memset(&plan, 0x5a, sizeof plan);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    bp_arena_free(&arena);
    return 0;
}

/* An error of that code whose text has `part`, and a plan of zeros. */
static void assert_refused(enum bp_code code, const char *part)
{
    static const struct bp_plan zero;
    memset(&plan, 0x5a, sizeof plan);
    assert_int_equal(bp_plan_find(&rig, &wants, &arena, &plan, &error), code);
    assert_int_equal(error.code, code);
    assert_non_null(strstr(error.text, part));
    assert_memory_equal(&plan, &zero, sizeof plan);
}

static void every_senseless_want_is_refused(void **state)
{
    (void)state;
    gym_add_plate(&rig, 10, 2);
    assert_refused(BP_ERR_ARGUMENT, "nothing is wanted");
    assert_int_equal(bp_plan_find(&rig, NULL, &arena, &plan, &error), BP_ERR_ARGUMENT);
    static const double loads[] = {0, -5, 2000.5, (double)INFINITY, -(double)INFINITY};
    for (size_t i = 0; i < sizeof loads / sizeof *loads; i++) {
        wants = bp_plan_defaults;
        wants.lockout_kg = loads[i];
        assert_refused(BP_ERR_ARGUMENT, "at the lockout");
        wants = bp_plan_defaults;
        wants.bottom_kg = loads[i];
        assert_refused(BP_ERR_ARGUMENT, "at the bottom");
    }
    static const double shares[] = {-0.1, 90.1, (double)INFINITY};
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        wants = bp_plan_defaults;
        wants.share_pct = shares[i];
        assert_refused(BP_ERR_ARGUMENT, "share");
    }
    wants = bp_plan_defaults;
    wants.lockout_kg = 40;
    wants.near_kg = -1;
    assert_refused(BP_ERR_ARGUMENT, "near");
    wants.near_kg = (double)NAN;
    assert_refused(BP_ERR_ARGUMENT, "near");
}

static void a_rig_that_cannot_be_planned_with_is_refused(void **state)
{
    (void)state;
    wants.lockout_kg = 40;
    assert_refused(BP_ERR_ARGUMENT, "nothing to plan with");
    gym_add_plate(&rig, 10, 1);
    assert_refused(BP_ERR_ARGUMENT, "nothing to plan with");
    gym_add_chain(&rig, "thin", 2, 1); /* half a pair */
    assert_refused(BP_ERR_ARGUMENT, "nothing to plan with");
    rig.chains[0].owned = 2;
    rig.bottom_m.value = (double)NAN;
    assert_refused(BP_ERR_ARGUMENT, "at the bottom");
    rig.bottom_m.value = 0.5;
    rig.lockout_m.value = (double)NAN;
    assert_refused(BP_ERR_ARGUMENT, "at the lockout");
    rig.lockout_m.value = 0.5;
    assert_refused(BP_ERR_ARGUMENT, "no higher");
    rig.lockout_m.value = 1.0;
    rig.bar_kg.value = 0;
    assert_refused(BP_ERR_ARGUMENT, "the bar");
    rig.bar_kg.value = 20;
    rig.chains[0].kg_per_m.value = -1; /* a fault, and no reason to leave it out in silence */
    assert_refused(BP_ERR_ARGUMENT, "thin");
}

static void a_rig_whose_every_kind_is_left_out_is_refused(void **state)
{
    (void)state;
    gym_add_plate(&rig, 10, 2);
    gym_add_band(&rig, "22 mm short", 0, 0.4, 0, 0.9, 100, 2);
    wants.lockout_kg = 60;
    assert_refused(BP_ERR_ARGUMENT, "22 mm short");
}

static void a_stock_too_big_to_search_is_refused(void **state)
{
    (void)state;
    wants.share_pct = 0;
    gym_add_chain(&rig, "heavy", 2000, 20);
    assert_refused(BP_ERR_LIMIT, "pull more than");
    gym_init(&rig);
    gym_add_chain(&rig, "a", 0.001, 20000);
    gym_add_chain(&rig, "b", 0.001, 20000);
    assert_refused(BP_ERR_LIMIT, "combined in more than");
    gym_init(&rig);
    gym_add_plate(&rig, 10, 1000);
    assert_refused(BP_ERR_LIMIT, "kg a side");
    /* Dead weight alone and a share of nothing: everything is as good as everything else. */
    gym_init(&rig);
    for (int n = 0; n < 6; n++) {
        gym_add_chain(&rig, "dead weight", 0.1, 18)->length_m = 0.1;
    }
    gym_add_plate(&rig, 0.5, 400);
    assert_refused(BP_ERR_LIMIT, "ways to load the bar");
}

static void each_failed_allocation_is_an_error(void **state)
{
    (void)state;
    static const struct bp_plan zero;
    gym_add_chain(&rig, "thin", 2, 4);
    gym_add_plate(&rig, 10, 4);
    wants.lockout_kg = 50;
    size_t failed = 0;
    for (;; failed++) {
        bp_arena_free(&arena);
        memset(&plan, 0x5a, sizeof plan);
        failing_alloc_arm(failed);
        enum bp_code code = bp_plan_find(&rig, &wants, &arena, &plan, &error);
        if (!failing_alloc_disarm()) {
            assert_int_equal(code, BP_OK);
            break;
        }
        assert_int_equal(code, BP_ERR_MEMORY);
        assert_memory_equal(&plan, &zero, sizeof plan);
    }
    assert_true(failed >= 3); /* the kind's model, an arena block, the plan's model */
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)
    const struct CMUnitTest tests[] = {
        TEST(every_senseless_want_is_refused),
        TEST(a_rig_that_cannot_be_planned_with_is_refused),
        TEST(a_rig_whose_every_kind_is_left_out_is_refused),
        TEST(a_stock_too_big_to_search_is_refused),
        TEST(each_failed_allocation_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
