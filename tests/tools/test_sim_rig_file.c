/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The simulator's rig files through the library's reader, and the library's loads against the simulator's.
 */
#include "simulate/load.h"
#include "simulate/write.h"

#include "barplumb/load.h"
#include "barplumb/units.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

enum { SEEDS = 300 };

static struct bp_load_model *read_back(const struct sim_scenario *s, struct bp_rig *rig)
{
    struct bp_text text;
    struct bp_error error = {0};
    struct bp_load_model *model = NULL;
    bp_text_init(&text);
    sim_write_rig(s, &text);
    assert_false(text.failed);
    if (bp_rig_parse(text.data, text.length, "simulated", rig, &error) != BP_OK ||
        bp_load_prepare(rig, &model, &error) != BP_OK) {
        fail_msg("seed %llu: %s", (unsigned long long)s->seed, error.text);
    }
    bp_text_free(&text);
    return model;
}

static void every_drawn_rig_is_read_as_it_was_written(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s;
        static struct bp_rig rig;
        sim_scenario_study(seed, &s);
        bp_load_free(read_back(&s, &rig));
        assert_int_equal(rig.chain_count, s.rig.chains > 0);
        assert_int_equal(rig.band_count, s.rig.bands > 0);
        assert_true(fabs(rig.lockout_m.value - s.rig.lockout_m) < 0.03 && rig.lockout_m.sd > 0.004);
        if (s.rig.chains > 0) {
            assert_int_equal(rig.chains[0].pieces, s.rig.chains);
            assert_true(rig.chains[0].doubled == s.rig.chain_doubled);
        }
        if (s.rig.bands > 0) {
            assert_int_equal(rig.bands[0].pieces, s.rig.bands);
            assert_true(rig.bands[0].doubled == s.rig.band_doubled);
            assert_int_equal(rig.bands[0].peg_count, s.rig.peg_beyond_m > 0.0 ? 2 : 1);
            assert_true(fabs(rig.bands[0].pegs[0].aside_m - s.rig.peg_aside_m) < 1e-4);
            assert_true(fabs(rig.bands[0].pegs[0].forward_m - s.rig.peg_forward_m) < 1e-4);
        }
    }
}

/* Two implementations that share no line, on rigs without errors of measurement. With chains they differ by
 * the file's rounding (2.7e-5 of the weight at most over these rigs), with bands by what a curve through
 * two dozen points misses of a smooth one (6.9e-4 at most); within the 0.1 % asked of both. */
static void loads_of_library_and_simulator_agree(void **state)
{
    (void)state;
    enum { HEIGHTS = 40 };
    double worst_chain = 0.0, worst_band = 0.0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct sim_scenario s;
        static struct bp_rig rig;
        sim_scenario_study(seed, &s);
        s.rig.errors = 0.0;
        struct bp_load_model *model = read_back(&s, &rig);
        for (int i = 0; i <= HEIGHTS; i++) {
            double height = s.rig.lockout_m - s.range_m * (double)i / HEIGHTS;
            double speed = 0.7 * sin((double)i), accel = 2.0 * cos(3.0 * (double)i);
            struct sim_load truth;
            struct bp_load load;
            bp_load_at(model, &(struct bp_load_state){height, speed, accel}, &load);
            sim_load_at(&s.rig, BP_STANDARD_GRAVITY, (struct sim_jet){height, speed, accel}, &truth);
            double off = fabs(load.hand_n - truth.hand_n) / truth.weight_n;
            assert_true(isfinite(off));
            double *worst = s.rig.bands > 0 ? &worst_band : &worst_chain;
            *worst = fmax(*worst, off);
        }
        bp_load_free(model);
    }
    assert_true(worst_chain < 5e-5);
    print_message("worst: chains %g, bands %g of the weight\n", worst_chain, worst_band);
    assert_true(worst_band < 1e-3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_drawn_rig_is_read_as_it_was_written),
        cmocka_unit_test(loads_of_library_and_simulator_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
