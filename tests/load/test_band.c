/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rigs.h"

static const double g = BP_STANDARD_GRAVITY;

/* 100 N/m from nothing at 0.5 m on: pull (N) = 100 (length − 0.5), to 4.5 m. */
static const double line_m[] = {0.5, 4.5}, line_n[] = {0.0, 400.0};

static void place(struct bp_band *band, double aside, double forward, double height)
{
    band->pegs[0] = (struct bp_peg){aside, forward, height};
}

static void band_straight_down_pulls_all_it_pulls(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, 2, line_m, line_n);
    struct bp_load load = rig_load(&rig, 1.5, 0.4, 2.0);
    assert_true(fabs(load.band_n - 100.0) < 1e-9);
    assert_true(fabs(load.weight_n - iron_kg * g - 100.0) < 1e-9);
    assert_true(fabs(load.hand_n - iron_kg * (g + 2.0) - 100.0) < 1e-9); /* a band weighs nothing here */
    assert_true(fabs(load.moving_kg - iron_kg) < 1e-12);
    assert_true(fabs(load.let_go_m_s2 + g + 1.0) < 1e-12); /* 100 N on 100 kg */
    assert_true(fabs(load.uneven_n + 100.0) < 1e-9);       /* it hangs on the left */
    assert_true(fabs(load.aside_n[0]) < 1e-15);
}

/* 3-4-5: peg 0.6 m to the side, bar 0.8 m above it, way 1 m, pull 50 N: 40 N down, 30 N aside. */
static void slanting_band_pulls_down_by_its_slope(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, line_m, line_n);
    place(band, 0.6, 0.0, 0.1);
    struct bp_load outward = rig_load(&rig, 0.9, 0.0, 0.0);
    assert_true(fabs(outward.band_n - 40.0) < 1e-9 && fabs(outward.aside_n[0] - 30.0) < 1e-9);
    assert_true(fabs(outward.aside_n[1]) < 1e-15);
    place(band, -0.6, 0.0, 0.1); /* under the bar, toward its middle */
    band->side = BP_SIDE_RIGHT;
    struct bp_load inward = rig_load(&rig, 0.9, 0.0, 0.0);
    assert_true(fabs(inward.band_n - 40.0) < 1e-9 && fabs(inward.aside_n[1] + 30.0) < 1e-9);
    assert_true(fabs(inward.uneven_n - 40.0) < 1e-9);
    place(band, 0.0, 0.6, 0.1); /* in front: the same way, nothing aside */
    struct bp_load ahead = rig_load(&rig, 0.9, 0.0, 0.0);
    assert_true(fabs(ahead.band_n - 40.0) < 1e-9 && fabs(ahead.aside_n[1]) < 1e-15);
}

/* Over a peg 1 m straight below, then 3-4-5 twice: 1 + 0.5 + 0.5 m of way, 150 N, all of it down. */
static void band_over_pegs_is_as_long_as_its_way(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, line_m, line_n);
    band->peg_count = 3;
    place(band, 0.0, 0.0, 0.2);
    band->pegs[1] = (struct bp_peg){0.3, 0.4, 0.2};
    band->pegs[2] = (struct bp_peg){0.3, 0.0, 0.5};
    struct bp_load load = rig_load(&rig, 1.2, 0.0, 0.0);
    assert_true(fabs(load.band_n - 150.0) < 1e-9 && fabs(load.aside_n[0]) < 1e-12);
}

/* Doubled over the bar: 1 m of way is 2 m of band, 150 N in each of its two halves. */
static void doubled_band_is_twice_as_long_and_pulls_twice(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, line_m, line_n);
    band->doubled = true;
    assert_true(fabs(rig_load(&rig, 1.0, 0.0, 0.0).band_n - 300.0) < 1e-9);
    band->pieces = 3;
    band->side = BP_SIDE_BOTH;
    struct bp_load load = rig_load(&rig, 1.0, 0.0, 0.0);
    assert_true(fabs(load.band_n - 1800.0) < 1e-9 && fabs(load.uneven_n) < 1e-12);
}

/* Fact of the trade (common practice, no source): hung from above, a band helps most at the bottom. */
static void band_from_above_holds_the_bar_up_most_at_the_bottom(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    place(rig_add_band(&rig, 2, line_m, line_n), 0.0, 0.0, 2.5);
    struct bp_load bottom = rig_load(&rig, 0.5, 0.3, 0.0);
    assert_true(fabs(bottom.band_n + 150.0) < 1e-9); /* 2 m of band */
    assert_true(fabs(bottom.let_go_m_s2 + g - 1.5) < 1e-12);
    assert_true(fabs(bottom.uneven_n - 150.0) < 1e-9); /* the left end is the lighter one */
    double before = bottom.band_n;
    for (double h = 0.55; h < 2.5; h += 0.05) { /* slack from 2 m on */
        double now = rig_load(&rig, h, 0.3, 0.0).band_n;
        assert_true(h < 2.0 ? now > before && now < 0.0 : fabs(now) < 1e-12);
        before = now;
    }
}

/* Fact of the trade (common practice, no source): a band that crosses to the other side pulls more than one
 * straight down, for its way is longer; here both over a peg below the bar and slanting right across. */
static void crossed_band_pulls_more_than_a_plain_one(void **state)
{
    (void)state;
    struct bp_rig plain = rig_bare(), over = rig_bare(), across = rig_bare();
    rig_add_band(&plain, 2, line_m, line_n);
    struct bp_band *band = rig_add_band(&over, 2, line_m, line_n);
    band->peg_count = 2;
    band->pegs[1] = (struct bp_peg){-0.8, 0.0, 0.0};
    place(rig_add_band(&across, 2, line_m, line_n), -0.8, 0.0, 0.0);
    for (double h = 0.3; h < 1.6; h += 0.05) {
        double pull = rig_load(&plain, h, 0.0, 0.0).band_n;
        assert_true(rig_load(&over, h, 0.0, 0.0).band_n > pull + 1.0);
        assert_true(rig_load(&across, h, 0.0, 0.0).band_n > pull + 1.0);
    }
}

/* Virtual work: the vertical part is the energy of the band by height, whatever its way. The energy is summed
 * here from a curve of its own (a straight line), so that only lengths and slopes are at stake. */
static void vertical_part_is_energy_by_height(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, line_m, line_n);
    band->peg_count = 2;
    band->doubled = true;
    place(band, 0.25, -0.35, 0.15);
    band->pegs[1] = (struct bp_peg){-0.4, 0.1, 0.05};
    double rest = sqrt(0.65 * 0.65 + 0.45 * 0.45 + 0.1 * 0.1), energy[2];
    const double step = 1e-5;
    for (double h = 0.2; h < 1.2; h += 0.1) {
        for (int i = 0; i < 2; i++) {
            double up = h + (2 * i - 1) * step - 0.15;
            double stretch = 2.0 * (sqrt(0.25 * 0.25 + 0.35 * 0.35 + up * up) + rest) - 0.5;
            energy[i] =
                50.0 * stretch * stretch; /* ½ k x²: the whole doubled band is one of length 2 · way */
        }
        double want = (energy[1] - energy[0]) / (2.0 * step);
        assert_true(fabs(rig_load(&rig, h, 0.0, 0.0).band_n - want) < 1e-5);
    }
}

static void loop_of_stretching_and_slackening_takes_energy(void **state)
{
    (void)state;
    static const double back_n[] = {0.0, 340.0};
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, line_m, line_n);
    rig_set_curve(&band->slackening, 2, line_m, back_n);
    struct bp_load_model *model = rig_ready(&rig);
    double lost = 0.0;
    enum { STEPS = 1000 };
    for (int i = 0; i < STEPS; i++) { /* up from 0.5 to 1.5 m and down again */
        double h = 0.5 + (i + 0.5) / STEPS;
        double up = model_load(model, h, 0.5, 0.0).band_n, down = model_load(model, h, -0.5, 0.0).band_n;
        assert_true(fabs(model_load(model, h, 0.0, 0.0).band_n - up) < 1e-12); /* at rest: as stretched */
        assert_true(up > down);
        lost += (up - down) / STEPS;
    }
    assert_true(fabs(lost - 0.5 * 1.0 * (100.0 - 85.0)) < 1e-6);
    bp_load_free(model);
}

/* From above it is the way down that stretches. */
static void way_that_gets_shorter_slackens_wherever_the_peg_is(void **state)
{
    (void)state;
    static const double back_n[] = {0.0, 340.0};
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, line_m, line_n);
    rig_set_curve(&band->slackening, 2, line_m, back_n);
    place(band, 0.0, 0.0, 2.5);
    assert_true(fabs(rig_load(&rig, 1.0, 0.5, 0.0).band_n + 85.0) < 1e-9);
    assert_true(fabs(rig_load(&rig, 1.0, -0.5, 0.0).band_n + 100.0) < 1e-9);
}

static void band_of_one_curve_pulls_the_same_both_ways(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, 2, line_m, line_n);
    assert_true(fabs(rig_load(&rig, 1.2, 0.7, 0.0).hand_n - rig_load(&rig, 1.2, -0.7, 0.0).hand_n) < 1e-12);
}

static void load_is_unknown_beyond_what_was_measured(void **state)
{
    (void)state;
    static const double length_m[] = {0.6, 1.0, 1.4}, pull_n[] = {20.0, 150.0, 240.0};
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, 3, length_m, pull_n);
    struct bp_load loads[] = {rig_load(&rig, 0.599, 0.0, 0.0), rig_load(&rig, 1.401, 0.0, 0.0)};
    for (size_t n = 0; n < 2; n++) {
        assert_true(isnan(loads[n].weight_n) && isnan(loads[n].hand_n) && isnan(loads[n].moving_kg));
        assert_true(isnan(loads[n].let_go_m_s2) && isnan(loads[n].aside_n[0]) && isnan(loads[n].aside_n[1]));
        assert_true(isnan(loads[n].chain_n) && isnan(loads[n].band_n) && isnan(loads[n].uneven_n));
    }
    assert_true(fabs(rig_load(&rig, 0.6, 0.0, 0.0).band_n - 20.0) < 1e-9);
    assert_true(fabs(rig_load(&rig, 1.4, 0.0, 0.0).band_n - 240.0) < 1e-9);
}

static void band_measured_slack_stays_slack_where_it_is_shorter(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, 2, line_m, line_n);
    assert_true(fabs(rig_load(&rig, 0.2, 0.0, 0.0).band_n) < 1e-15);
    assert_true(isnan(rig_load(&rig, 4.51, 0.0, 0.0).band_n));
}

static void bar_at_the_peg_has_no_direction_to_be_pulled_in(void **state)
{
    (void)state;
    static const double length_m[] = {0.5, 1.0}, pull_n[] = {50.0, 100.0};
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 2, length_m, pull_n);
    band->peg_count = 2;
    place(band, 0.0, 0.0, 0.5);
    band->pegs[1] = (struct bp_peg){0.0, 0.0, 0.0};
    struct bp_load load = rig_load(&rig, 0.5, 0.0, 0.0);
    assert_true(fabs(load.band_n) < 1e-15 && fabs(load.weight_n - iron_kg * g) < 1e-9);
}

/* Essentials of Strength Training and Conditioning, 4th ed., ch. 16: 5RM 150 kg, band 0 kg at the bottom and
 * 26.6 kg at the top: 13.3 kg come off the bar, which leaves 136.7 kg. */
static void mean_band_load_is_the_published_deduction(void **state)
{
    (void)state;
    static const double length_m[] = {0.4, 0.9};
    const double pull_n[] = {0.0, 26.6 * g};
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, 2, length_m, pull_n);
    struct bp_load_model *model = rig_ready(&rig);
    enum { STEPS = 1000 };
    double mean_kg = 0.0;
    for (int i = 0; i < STEPS; i++) {
        mean_kg += model_load(model, 0.4 + 0.5 * (i + 0.5) / STEPS, 0.0, 0.0).band_n / g / STEPS;
    }
    assert_true(fabs(150.0 - mean_kg - 136.7) < 1e-9);
    bp_load_free(model);
}

static void chain_and_bands_add_up(void **state)
{
    (void)state;
    struct bp_rig both = rig_bare(), chain = rig_bare(), band = rig_bare();
    rig_add_chain(&chain, 4.0, 1.0, 0.2)->side = BP_SIDE_RIGHT;
    rig_add_chain(&both, 4.0, 1.0, 0.2)->side = BP_SIDE_RIGHT;
    rig_add_band(&band, 2, line_m, line_n);
    rig_add_band(&both, 2, line_m, line_n);
    struct bp_load a = rig_load(&chain, 0.9, 0.6, -1.0), b = rig_load(&band, 0.9, 0.6, -1.0),
                   sum = rig_load(&both, 0.9, 0.6, -1.0);
    assert_true(fabs(sum.hand_n - (a.hand_n + b.hand_n - iron_kg * (g - 1.0))) < 1e-9);
    assert_true(fabs(sum.uneven_n - (a.uneven_n + b.uneven_n)) < 1e-9);
    assert_true(fabs(rig_load(&both, 0.9, 0.6, sum.let_go_m_s2).hand_n) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(band_straight_down_pulls_all_it_pulls),
        cmocka_unit_test(slanting_band_pulls_down_by_its_slope),
        cmocka_unit_test(band_over_pegs_is_as_long_as_its_way),
        cmocka_unit_test(doubled_band_is_twice_as_long_and_pulls_twice),
        cmocka_unit_test(band_from_above_holds_the_bar_up_most_at_the_bottom),
        cmocka_unit_test(crossed_band_pulls_more_than_a_plain_one),
        cmocka_unit_test(vertical_part_is_energy_by_height),
        cmocka_unit_test(loop_of_stretching_and_slackening_takes_energy),
        cmocka_unit_test(way_that_gets_shorter_slackens_wherever_the_peg_is),
        cmocka_unit_test(band_of_one_curve_pulls_the_same_both_ways),
        cmocka_unit_test(load_is_unknown_beyond_what_was_measured),
        cmocka_unit_test(band_measured_slack_stays_slack_where_it_is_shorter),
        cmocka_unit_test(bar_at_the_peg_has_no_direction_to_be_pulled_in),
        cmocka_unit_test(mean_band_load_is_the_published_deduction),
        cmocka_unit_test(chain_and_bands_add_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
