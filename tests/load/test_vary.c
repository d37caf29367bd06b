/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rigs.h"

#include <string.h>

enum { DRAWS = 10000 };
static const double g = BP_STANDARD_GRAVITY;

/* Everything on it has a ±: bar 20 ± sd 0.05 kg, plates 80 ± 0.3, chain 4 ± 0.1 kg/m, leader 0.25 ± 0.01 m, a
 * band of three points far enough apart not to fall, heights. */
static struct bp_rig unsure_rig(void)
{
    static const double length_m[] = {0.5, 0.9, 1.3}, pull_n[] = {60.0, 160.0, 240.0};
    struct bp_rig rig = rig_bare();
    rig.bar_kg.sd = 0.05;
    rig.plates_kg.sd = 0.3;
    rig.bottom_m = (struct bp_measured){0.5, 0.005};
    rig.lockout_m = (struct bp_measured){0.95, 0.008};
    struct bp_chain *chain = rig_add_chain(&rig, 4.0, 2.0, 0.25);
    chain->kg_per_m.sd = 0.1;
    chain->leader_m.sd = 0.01;
    struct bp_band *band = rig_add_band(&rig, 3, length_m, pull_n);
    for (size_t i = 0; i < 3; i++) {
        band->stretching.points[i].pull_n.sd = 2.0 + (double)i;
    }
    return rig;
}

struct moments {
    double sum, square;
};

static void add(struct moments *moments, double x)
{
    moments->sum += x;
    moments->square += x * x;
}

/* Mean to 4 standard errors, standard deviation to 4 of its own (sd/√2n). */
static void assert_moments(const struct moments *moments, double mean, double sd)
{
    double m = moments->sum / DRAWS, s = sqrt(moments->square / DRAWS - m * m);
    assert_true(fabs(m - mean) < 4.0 * sd / sqrt(DRAWS));
    assert_true(fabs(s - sd) < 4.0 * sd / sqrt(2.0 * DRAWS));
}

static void draws_have_the_mean_and_spread_the_rig_states(void **state)
{
    (void)state;
    struct bp_rig rig = unsure_rig();
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_random random;
    bp_random_init(&random, 7, 0);
    struct moments iron = {0}, hanging = {0}, bottom = {0}, lockout = {0}, band[3] = {{0}};
    for (int n = 0; n < DRAWS; n++) {
        bp_load_vary(model, &random);
        struct bp_load load = model_load(model, 0.9, 0.0, 0.0);
        add(&iron, (load.weight_n - load.chain_n - load.band_n) / g);
        add(&hanging, load.chain_n / g);
        add(&bottom, bp_load_bottom_m(model));
        add(&lockout, bp_load_lockout_m(model));
        for (size_t i = 0; i < 3; i++) {
            add(&band[i], model_load(model, 0.5 + 0.4 * (double)i, 0.0, 0.0).band_n);
        }
    }
    assert_moments(&iron, 100.0, hypot(0.05, 0.3));
    /* λ (H − leader): of a product, sd² = (λ sl)² + (h sλ)² + (sl sλ)². */
    assert_moments(&hanging, 4.0 * 0.65, sqrt(0.04 * 0.04 + 0.065 * 0.065 + 0.001 * 0.001));
    assert_moments(&bottom, 0.5, 0.005);
    assert_moments(&lockout, 0.95, 0.008);
    for (size_t i = 0; i < 3; i++) {
        assert_moments(&band[i], rig.bands[0].stretching.points[i].pull_n.value, 2.0 + (double)i);
    }
    bp_load_free(model);
}

static void same_seed_gives_the_same_draw(void **state)
{
    (void)state;
    struct bp_rig rig = unsure_rig();
    struct bp_load_model *a = rig_ready(&rig), *b = rig_ready(&rig);
    struct bp_random one, other, third;
    bp_random_init(&one, 5, 3);
    bp_random_init(&other, 5, 3);
    bp_random_init(&third, 6, 3);
    bp_load_vary(b, &third); /* what was drawn before leaves no trace */
    for (int n = 0; n < 20; n++) {
        bp_load_vary(a, &one);
        bp_load_vary(b, &other);
        struct bp_load x = model_load(a, 0.8, 0.4, 0.1), y = model_load(b, 0.8, 0.4, 0.1);
        assert_memory_equal(&x, &y, sizeof x);
    }
    bp_load_vary(b, &third);
    assert_true(fabs(model_load(a, 0.8, 0.4, 0.1).hand_n - model_load(b, 0.8, 0.4, 0.1).hand_n) > 1e-6);
    bp_load_free(a);
    bp_load_free(b);
}

static void no_random_brings_the_own_values_back(void **state)
{
    (void)state;
    struct bp_rig rig = unsure_rig();
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_load before = model_load(model, 0.8, 0.4, 0.1);
    struct bp_random random;
    bp_random_init(&random, 1, 0);
    bp_load_vary(model, &random);
    struct bp_load drawn = model_load(model, 0.8, 0.4, 0.1);
    assert_true(fabs(drawn.hand_n - before.hand_n) > 1e-6);
    bp_load_vary(model, NULL);
    struct bp_load after = model_load(model, 0.8, 0.4, 0.1);
    assert_memory_equal(&before, &after, sizeof before);
    bp_load_free(model);
}

static void what_is_exact_does_not_move(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    static const double length_m[] = {0.5, 0.9, 1.3}, pull_n[] = {0.0, 160.0, 240.0};
    rig_add_chain(&rig, 4.0, 2.0, 0.25);
    rig_add_band(&rig, 3, length_m, pull_n);
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_load before = model_load(model, 0.8, 0.4, 0.1);
    struct bp_random random;
    bp_random_init(&random, 1, 0);
    bp_load_vary(model, &random);
    struct bp_load after = model_load(model, 0.8, 0.4, 0.1);
    assert_memory_equal(&before, &after, sizeof before);
    assert_true(isnan(bp_load_bottom_m(model)) && isnan(bp_load_lockout_m(model)));
    bp_load_free(model);
}

/* Points a few newtons apart with a ± of several: most raw draws would fall somewhere. */
static void drawn_pulls_never_fall_nor_push(void **state)
{
    (void)state;
    static const double length_m[] = {0.5, 0.6, 0.7, 0.8}, pull_n[] = {2.0, 4.0, 6.0, 8.0};
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 4, length_m, pull_n);
    for (size_t i = 0; i < 4; i++) {
        band->stretching.points[i].pull_n.sd = 5.0;
    }
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_random random;
    bp_random_init(&random, 9, 0);
    for (int n = 0; n < 1000; n++) {
        bp_load_vary(model, &random);
        double before = 0.0;
        for (double x = 0.5; x < 0.8; x += 0.01) {
            double pull = model_load(model, x, 0.0, 0.0).band_n;
            assert_true(pull >= before - 1e-12);
            before = pull;
        }
    }
    bp_load_free(model);
}

/* Two points drawn the wrong way round meet at their mean, weighted by 1/sd²: the one known exactly stays. */
static void points_drawn_the_wrong_way_round_meet_by_their_weight(void **state)
{
    (void)state;
    static const double length_m[] = {0.5, 0.6, 0.7}, pull_n[] = {50.0, 51.0, 90.0};
    struct bp_rig rig = rig_bare();
    struct bp_band *band = rig_add_band(&rig, 3, length_m, pull_n);
    band->stretching.points[1].pull_n.sd = 10.0;
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_random random;
    bp_random_init(&random, 4, 0);
    int met = 0;
    for (int n = 0; n < 200; n++) {
        bp_load_vary(model, &random);
        double first = model_load(model, 0.5, 0.0, 0.0).band_n;
        assert_true(fabs(first - 50.0) < 1e-9);
        met += model_load(model, 0.6, 0.0, 0.0).band_n < 50.0 + 1e-9;
    }
    assert_true(met > 60 && met < 130); /* P(draw < 50) = 46 %; 92 ± 7 of 200 */
    bp_load_free(model);
}

static void masses_stay_above_nothing_however_unsure(void **state)
{
    (void)state;
    struct bp_rig rig = rig_bare();
    rig.bar_kg.sd = 200.0;
    rig_add_chain(&rig, 1.0, 2.0, 0.0)->kg_per_m.sd = 2.0;
    struct bp_load_model *model = rig_ready(&rig);
    struct bp_random random;
    bp_random_init(&random, 2, 0);
    for (int n = 0; n < 1000; n++) {
        bp_load_vary(model, &random);
        struct bp_load load = model_load(model, 1.0, 0.0, 0.0);
        assert_true(load.chain_n > 0.0 && load.weight_n > load.chain_n);
    }
    bp_load_free(model);
}

/* So that a second rig's draws do not hang on the first one's numbers. */
static void same_rig_shape_takes_the_same_number_of_normals(void **state)
{
    (void)state;
    struct bp_rig exact = rig_bare(), unsure = rig_bare();
    rig_add_chain(&exact, 1.0, 2.0, 0.0);
    rig_add_chain(&unsure, 1.0, 2.0, 0.0)->kg_per_m.sd = 2.0;
    struct bp_load_model *a = rig_ready(&exact), *b = rig_ready(&unsure);
    struct bp_random one, other;
    bp_random_init(&one, 5, 0);
    bp_random_init(&other, 5, 0);
    for (int n = 0; n < 10; n++) {
        bp_load_vary(a, &one);
        bp_load_vary(b, &other);
    }
    assert_true(bp_random_next(&one) == bp_random_next(&other));
    bp_load_free(a);
    bp_load_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(draws_have_the_mean_and_spread_the_rig_states),
        cmocka_unit_test(same_seed_gives_the_same_draw),
        cmocka_unit_test(no_random_brings_the_own_values_back),
        cmocka_unit_test(what_is_exact_does_not_move),
        cmocka_unit_test(drawn_pulls_never_fall_nor_push),
        cmocka_unit_test(points_drawn_the_wrong_way_round_meet_by_their_weight),
        cmocka_unit_test(masses_stay_above_nothing_however_unsure),
        cmocka_unit_test(same_rig_shape_takes_the_same_number_of_normals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
