/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A band's pull between the lengths it was measured at: read through a band hung straight down to the floor,
 * whose length is the bar's height.
 */
#include "rigs.h"

#include "barplumb/random.h"

#include <gsl/gsl_spline.h>

enum { POINTS = 9, TRIES = 200, BETWEEN = 50 };

struct points {
    size_t count;
    double length_m[POINTS], pull_n[POINTS];
};

/* 3 to POINTS points, unevenly spaced, now and then flat: pulls that rise by anything from 0 to 200 N. */
static struct points any_points(struct bp_random *random)
{
    struct points points = {.count = 3 + (size_t)(bp_random_next(random) % (POINTS - 2))};
    double length = bp_random_between(random, 0.3, 0.8), pull = bp_random_between(random, 0.0, 50.0);
    for (size_t i = 0; i < points.count; i++) {
        points.length_m[i] = length;
        points.pull_n[i] = pull;
        length += bp_random_between(random, 0.02, 0.3);
        pull += fmax(0.0, bp_random_between(random, -40.0, 200.0));
    }
    return points;
}

static struct bp_load_model *band_of(const struct points *points)
{
    struct bp_rig rig = rig_bare();
    rig_add_band(&rig, points->count, points->length_m, points->pull_n);
    return rig_ready(&rig);
}

static double pull_at(const struct bp_load_model *model, double length_m)
{
    return model_load(model, length_m, 0.0, 0.0).band_n;
}

static void curve_passes_through_every_point_exactly(void **state)
{
    (void)state;
    struct bp_random random;
    bp_random_init(&random, 1, 0);
    for (int n = 0; n < TRIES; n++) {
        struct points points = any_points(&random);
        struct bp_load_model *model = band_of(&points);
        for (size_t i = 0; i < points.count; i++) {
            /* The pull itself is exact; on its way to a vertical part it is divided by and times the length.
             */
            double off = pull_at(model, points.length_m[i]) - points.pull_n[i];
            assert_true(fabs(off) <= 4e-16 * points.pull_n[i]);
        }
        bp_load_free(model);
    }
}

static void curve_is_monotone_and_never_overshoots(void **state)
{
    (void)state;
    struct bp_random random;
    bp_random_init(&random, 2, 0);
    for (int n = 0; n < TRIES; n++) {
        struct points points = any_points(&random);
        struct bp_load_model *model = band_of(&points);
        for (size_t i = 0; i + 1 < points.count; i++) {
            double before = points.pull_n[i], step = (points.length_m[i + 1] - points.length_m[i]) / BETWEEN;
            for (int k = 1; k < BETWEEN; k++) {
                double pull = pull_at(model, points.length_m[i] + k * step);
                assert_true(pull >= before - 1e-12 * points.pull_n[points.count - 1]);
                assert_true(pull <= points.pull_n[i + 1] * (1.0 + 1e-15));
                before = pull;
            }
        }
        bp_load_free(model);
    }
}

/* Outside check: GSL's Steffen spline. It gives the two end points the slope of their straight piece, where
 * the paper and we take a parabola's, so that its first and last interval are not ours; all others must
 * agree. */
static void inner_intervals_are_those_of_an_independent_steffen_spline(void **state)
{
    (void)state;
    struct bp_random random;
    bp_random_init(&random, 3, 0);
    size_t compared = 0;
    for (int n = 0; n < TRIES; n++) {
        struct points points = any_points(&random);
        struct bp_load_model *model = band_of(&points);
        gsl_interp *outside = gsl_interp_alloc(gsl_interp_steffen, points.count);
        gsl_interp_init(outside, points.length_m, points.pull_n, points.count);
        for (size_t i = 1; i + 2 < points.count; i++) {
            for (int k = 0; k <= BETWEEN; k++) {
                double length =
                    points.length_m[i] + (points.length_m[i + 1] - points.length_m[i]) * k / BETWEEN;
                double want = gsl_interp_eval(outside, points.length_m, points.pull_n, length, NULL);
                assert_true(fabs(pull_at(model, length) - want) < 1e-10);
                compared++;
            }
        }
        gsl_interp_free(outside);
        bp_load_free(model);
    }
    assert_true(compared > 10000);
}

/* Any parabola without an extremum inside comes back exactly where the slopes are not limited. */
static void softening_parabola_is_reproduced_up_to_both_ends(void **state)
{
    (void)state;
    struct points points = {.count = 5};
    for (size_t i = 0; i < points.count; i++) {
        double x = 1.0 + 0.1 * (double)i;
        points.length_m[i] = x;
        points.pull_n[i] = 900.0 * (x - 1.0) * (1.9 - x) + 60.0;
    }
    struct bp_load_model *model = band_of(&points);
    for (double x = 1.0; x < 1.4; x += 0.003) {
        assert_true(fabs(pull_at(model, x) - (900.0 * (x - 1.0) * (1.9 - x) + 60.0)) < 1e-10);
    }
    bp_load_free(model);
}

static void two_points_make_a_straight_line(void **state)
{
    (void)state;
    struct points points = {2, {0.5, 1.5}, {100.0, 300.0}};
    struct bp_load_model *model = band_of(&points);
    for (double x = 0.5; x < 1.5; x += 0.01) {
        assert_true(fabs(pull_at(model, x) - (100.0 + 200.0 * (x - 0.5))) < 1e-10);
    }
    bp_load_free(model);
}

/* Published pulls (kg) of five training bands at 110 to 150 cm (Essentials of Strength Training and
 * Conditioning, 4th ed., table 16.2): the curve softens, as McMaster et al. 2010 found (second order,
 * negative). Left out: the one whose last value is a misprint. */
static void published_bands_soften_as_they_stretch(void **state)
{
    (void)state;
    static const double pulls_kg[4][5] = {{2.6, 5.7, 8.1, 9.8, 11.5},
                                          {4.6, 9.6, 13.3, 16.6, 19.2},
                                          {8.5, 14.8, 19.5, 23.9, 27.3},
                                          {15.4, 29.1, 40.0, 49.3, 57.2}};
    for (size_t band = 0; band < 4; band++) {
        struct points points = {5, {1.1, 1.2, 1.3, 1.4, 1.5}, {0}};
        for (size_t i = 0; i < 5; i++) {
            points.pull_n[i] = pulls_kg[band][i] * BP_STANDARD_GRAVITY;
        }
        struct bp_load_model *model = band_of(&points);
        double first = pull_at(model, 1.11) - pull_at(model, 1.10);
        double middle = pull_at(model, 1.305) - pull_at(model, 1.295);
        double last = pull_at(model, 1.50) - pull_at(model, 1.49);
        assert_true(first > middle && middle > last && last > 0.0);
        /* The straight piece from end to end lies under a softening curve everywhere. */
        for (double x = 1.11; x < 1.5; x += 0.01) {
            double chord = points.pull_n[0] + (points.pull_n[4] - points.pull_n[0]) * (x - 1.1) / 0.4;
            assert_true(pull_at(model, x) > chord);
        }
        bp_load_free(model);
    }
}

/* Force hangs on the percentage of stretch, not on the length at rest: a band of half the length with the
 * same points by percentage (a published chart of therapy bands: 4.6 lb at 100 %, 6.7 lb at 200 %) pulls the
 * same there. */
static void pull_goes_by_the_share_of_stretch(void **state)
{
    (void)state;
    const double pound = BP_POUND_FORCE_N;
    struct points whole = {3, {1.0, 2.0, 3.0}, {0.0, 4.6 * pound, 6.7 * pound}}, half = whole;
    for (size_t i = 0; i < 3; i++) {
        half.length_m[i] *= 0.5;
    }
    struct bp_load_model *a = band_of(&whole), *b = band_of(&half);
    for (double stretch = 0.0; stretch < 2.0; stretch += 0.05) {
        double pull = pull_at(a, 1.0 + stretch);
        assert_true(fabs(pull - pull_at(b, 0.5 * (1.0 + stretch))) < 1e-10);
        if (stretch < 1.0) {
            assert_true(pull_at(a, 1.0 + 2.0 * stretch) <= 2.0 * pull + 1e-12);
        }
    }
    bp_load_free(a);
    bp_load_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curve_passes_through_every_point_exactly),
        cmocka_unit_test(curve_is_monotone_and_never_overshoots),
        cmocka_unit_test(inner_intervals_are_those_of_an_independent_steffen_spline),
        cmocka_unit_test(softening_parabola_is_reproduced_up_to_both_ends),
        cmocka_unit_test(two_points_make_a_straight_line),
        cmocka_unit_test(published_bands_soften_as_they_stretch),
        cmocka_unit_test(pull_goes_by_the_share_of_stretch),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
