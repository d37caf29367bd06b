/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rigs.h"

#include "barplumb/load_table.h"

#include "base/failing_alloc.h"

#include <string.h>

static const double low_m = 0.3, high_m = 0.7;
enum { ROWS = 9 };

struct tabulated {
    struct bp_arena arena;
    struct bp_load_table table;
    struct bp_error error;
};

static int set_up(void **state)
{
    static struct tabulated t;
    memset(&t, 0, sizeof t);
    bp_arena_init(&t.arena);
    *state = &t;
    return 0;
}

static int tear_down(void **state)
{
    struct tabulated *t = *state;
    bp_arena_free(&t->arena);
    return 0;
}

static enum bp_code tabulate(struct tabulated *t, const struct bp_rig *rig, double bottom_m, double lockout_m,
                             size_t rows)
{
    struct bp_load_model *model = rig_ready(rig);
    enum bp_code code =
        bp_load_tabulate(model, bottom_m, lockout_m, rows, 7, &t->arena, &t->table, &t->error);
    bp_load_free(model);
    return code;
}

/* A chain of 4 kg/m on either side, its first link at the bar, and 2 m of it: 8 kg/m of height. */
static struct bp_rig chained(void)
{
    struct bp_rig rig = rig_bare();
    rig.lockout_m = (struct bp_measured){high_m, 0};
    rig_add_chain(&rig, 4, 2, 0)->side = BP_SIDE_BOTH;
    return rig;
}

static void rows_step_evenly_from_the_bottom_to_lockout(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    assert_int_equal(t->table.count, ROWS);
    for (int r = 0; r < ROWS; r++) {
        const struct bp_load_row *row = &t->table.rows[r];
        double height = low_m + (high_m - low_m) * r / (ROWS - 1);
        assert_true(fabs(row->height_m - height) < 1e-12);
        assert_true(fabs(row->load_kg.value - (iron_kg + 8 * height)) < 1e-9);
        assert_true(fabs(row->chain_kg.value - 8 * height) < 1e-9);
        assert_true(row->band_kg.value == 0);
    }
    assert_false(t->table.sideways);
}

static void a_chains_share_and_mean_are_those_of_a_straight_line(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    assert_true(fabs(t->table.bottom.load_kg.value - 102.4) < 1e-9);
    assert_true(fabs(t->table.halfway.load_kg.value - 104.0) < 1e-9);
    assert_true(fabs(t->table.lockout.load_kg.value - 105.6) < 1e-9);
    assert_true(fabs(t->table.mean_kg.value - 104.0) < 1e-9);
    assert_true(fabs(t->table.share_pct.value - 100 * 3.2 / 105.6) < 1e-9);
}

static void what_is_exact_has_no_width(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    assert_true(t->table.lockout.load_kg.high - t->table.lockout.load_kg.low < 1e-9);
}

/* 95 % of a sum of independent normals: 1.96 √(0.5² + (2 · 0.7 · 0.1)²) kg; 300 draws give it to 4 % (sd). */
static void the_rigs_own_spread_is_the_intervals(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    rig.plates_kg.sd = 0.5;
    rig.chains[0].kg_per_m.sd = 0.1;
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    double half = (t->table.lockout.load_kg.high - t->table.lockout.load_kg.low) / 2;
    double want = 1.96 * hypot(0.5, 2 * high_m * 0.1);
    assert_true(fabs(half - want) < 0.16 * want);
}

/* A lockout measured to 2 cm (sd) is 0.16 kg of 8 kg/m at either end. */
static void an_uncertain_height_widens_the_load(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    rig.lockout_m.sd = 0.02;
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    double want = 1.96 * 0.16, at_top = (t->table.lockout.load_kg.high - t->table.lockout.load_kg.low) / 2;
    double at_bottom = (t->table.bottom.load_kg.high - t->table.bottom.load_kg.low) / 2;
    assert_true(fabs(at_top - want) < 0.16 * want && fabs(at_bottom - want) < 0.16 * want);
}

static void the_same_seed_gives_the_same_intervals(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    rig.plates_kg.sd = 0.5;
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    struct bp_quantity first = t->table.mean_kg;
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_OK);
    assert_memory_equal(&first, &t->table.mean_kg, sizeof first);
}

static void heights_that_make_no_sense_are_refused(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    assert_int_equal(tabulate(t, &rig, high_m, low_m, ROWS), BP_ERR_ARGUMENT);
    assert_int_equal(tabulate(t, &rig, -0.1, high_m, ROWS), BP_ERR_ARGUMENT);
    assert_int_equal(tabulate(t, &rig, low_m, 4.5, ROWS), BP_ERR_ARGUMENT);
    assert_int_equal(tabulate(t, &rig, (double)NAN, high_m, ROWS), BP_ERR_ARGUMENT);
    assert_int_equal(tabulate(t, &rig, low_m, high_m, 1), BP_ERR_ARGUMENT);
    assert_int_equal(tabulate(t, &rig, low_m, high_m, BP_LOAD_ROWS_MAX + 1), BP_ERR_ARGUMENT);
    assert_int_equal(t->table.count, 0);
}

static void a_rig_that_never_serves_the_range_is_named(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    strcpy(rig.chains[0].name, "long one");
    rig.chains[0].leader_m.value = 1;
    assert_int_equal(tabulate(t, &rig, low_m, high_m, ROWS), BP_ERR_ARGUMENT);
    assert_non_null(strstr(t->error.text, "long one"));
}

static void running_out_of_memory_is_an_error(void **state)
{
    struct tabulated *t = *state;
    struct bp_rig rig = chained();
    struct bp_load_model *model = rig_ready(&rig);
    failing_alloc_arm(0);
    enum bp_code code = bp_load_tabulate(model, low_m, high_m, ROWS, 7, &t->arena, &t->table, &t->error);
    assert_true(failing_alloc_disarm());
    assert_int_equal(code, BP_ERR_MEMORY);
    bp_load_free(model);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(rows_step_evenly_from_the_bottom_to_lockout, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_chains_share_and_mean_are_those_of_a_straight_line, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(what_is_exact_has_no_width, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_rigs_own_spread_is_the_intervals, set_up, tear_down),
        cmocka_unit_test_setup_teardown(an_uncertain_height_widens_the_load, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_same_seed_gives_the_same_intervals, set_up, tear_down),
        cmocka_unit_test_setup_teardown(heights_that_make_no_sense_are_refused, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_rig_that_never_serves_the_range_is_named, set_up, tear_down),
        cmocka_unit_test_setup_teardown(running_out_of_memory_is_an_error, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
