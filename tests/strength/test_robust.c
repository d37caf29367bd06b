/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/random.h"
#include "barplumb/strength.h"
#include "near.h"
#include "strength/line.h"

static const struct bp_line_prior nothing_held = {0, 0};

/* Sen (1968), as in scipy's test of theilslopes; the intercept is the "joint" one. */
static void median_slope_gives_the_example_of_sen(void **state)
{
    (void)state;
    static const double x[7] = {1, 2, 3, 4, 10, 12, 18}, y[7] = {9, 15, 19, 20, 45, 55, 78};
    double slope = 0, intercept = 0;
    bp_line_median_slope(x, y, 7, &slope, &intercept);
    assert_near(slope, 4, 1e-15);
    assert_near(intercept, 6, 1e-15);
}

static void robust_line_leaves_out_the_point_off_the_others(void **state)
{
    (void)state;
    static const double x[6] = {1, 2, 3, 4, 5, 6}, sd[6] = {1, 1, 1, 1, 1, 1};
    const struct bp_line_prior prior = {4, 0};
    for (size_t odd = 0; odd < 6; odd++) {
        for (int side = -1; side <= 1; side += 2) {
            double y[6] = {10.3, 7.8, 6.1, 3.9, 2.2, -0.1}, weights[6];
            struct bp_line line, others;
            y[odd] += side * 30;
            assert_int_equal(bp_line_fit_robust(x, y, sd, 6, &prior, weights, &line), BP_OK);
            double less_x[5], less_y[5];
            for (size_t i = 0, p = 0; i < 6; i++) {
                if (i != odd) {
                    less_x[p] = x[i];
                    less_y[p++] = y[i];
                    assert_true(weights[i] > 0.8);
                }
            }
            assert_near(weights[odd], 0, 0);
            assert_int_equal(bp_line_fit(less_x, less_y, NULL, 5, &others), BP_OK);
            assert_near(line.slope, others.slope, 0.05);
            assert_near(line.level + line.slope * (3.5 - line.centre), bp_line_at(&others, 3.5).value, 0.05);
        }
    }
}

static void robust_line_of_three_points_is_least_squares(void **state)
{
    (void)state;
    static const double x[3] = {1, 2, 4}, y[3] = {2, 1, 50}, sd[3] = {1, 0.5, 1};
    struct bp_line robust, plain;
    double weights[3] = {9, 9, 9};
    assert_int_equal(bp_line_fit_robust(x, y, sd, 3, &nothing_held, weights, &robust), BP_OK);
    assert_int_equal(bp_line_fit(x, y, sd, 3, &plain), BP_OK);
    assert_memory_equal(&robust, &plain, sizeof plain);
    assert_true(weights[0] >= 1 && weights[1] >= 1 && weights[2] >= 1);
}

/* s² = (ν0 + Σz²) / (ν0 + n - 2), by hand: Σz² = 6, n = 3. */
static void what_was_held_before_is_pooled_with_the_residuals(void **state)
{
    (void)state;
    static const double x[3] = {-1, 0, 1}, y[3] = {1, -2, 1}, sd[3] = {1, 1, 1};
    const struct bp_line_prior prior = {4, 0}, floor_of_three = {4, 3};
    struct bp_line line;
    assert_int_equal(bp_line_fit_robust(x, y, sd, 3, &prior, NULL, &line), BP_OK);
    assert_near(line.freedom, 5, 0);
    assert_near(line.residual_sd, sqrt((4.0 + 6) / 5), 1e-15);
    assert_int_equal(bp_line_fit_robust(x, y, sd, 3, &floor_of_three, NULL, &line), BP_OK);
    assert_near(line.residual_sd, 3, 1e-15);
    /* two points: all of it was held before */
    assert_int_equal(bp_line_fit_robust(x, y, sd, 2, &prior, NULL, &line), BP_OK);
    assert_near(line.freedom, 4, 0);
    assert_near(line.residual_sd, 1, 1e-12);
}

/* The two constants of the bisquare, integrated again; and the scale over many clean fits. */
static void scale_is_true_for_normal_scatter(void **state)
{
    (void)state;
    enum { FITS = 4000, POINTS = 20 };
    struct bp_random random;
    bp_random_init(&random, 20001, 2);
    double variance = 0, slopes = 0, told = 0;
    for (int i = 0; i < FITS; i++) {
        double x[POINTS], y[POINTS], sd[POINTS];
        for (size_t p = 0; p < POINTS; p++) {
            x[p] = (double)p;
            sd[p] = 0.1;
            y[p] = 3 - x[p] + 0.1 * bp_random_normal(&random);
        }
        struct bp_line line;
        assert_int_equal(bp_line_fit_robust(x, y, sd, POINTS, &nothing_held, NULL, &line), BP_OK);
        variance += line.residual_sd * line.residual_sd / FITS;
        slopes += (line.slope + 1) * (line.slope + 1) / FITS;
        told += line.slope_sd * line.slope_sd / FITS;
    }
    print_message("variance %.4f, slope told %.4f of true\n", variance, told / slopes);
    assert_near(variance, 1, 0.05);
    assert_near(told / slopes, 1, 0.1);
}

static void robust_line_refuses_what_is_no_line(void **state)
{
    (void)state;
    static const double x[3] = {1, 2, 3}, same[3] = {1, 1, 1}, y[3] = {1, 2, 3}, sd[3] = {1, 1, 1};
    static const double many[BP_LINE_POINTS_MAX + 1] = {1, 2};
    const struct bp_line_prior wrong = {-1, 0}, wrong_least = {0, (double)NAN};
    struct bp_line line = {.count = 9};
    assert_int_equal(bp_line_fit_robust(x, y, NULL, 3, &nothing_held, NULL, &line), BP_ERR_ARGUMENT);
    assert_true(line.count == 0 && isnan(line.slope));
    assert_int_equal(bp_line_fit_robust(same, y, sd, 3, &nothing_held, NULL, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit_robust(x, y, sd, 3, &wrong, NULL, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit_robust(x, y, sd, 3, &wrong_least, NULL, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit_robust(x, y, sd, 1, &nothing_held, NULL, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit_robust(many, many, many, BP_LINE_POINTS_MAX + 1, &nothing_held, NULL, &line),
                     BP_ERR_LIMIT);
}

/* All on one line and nothing held before: no scale, so least squares, and no NaN. */
static void robust_line_bears_points_exactly_on_it(void **state)
{
    (void)state;
    static const double x[5] = {1, 2, 3, 4, 5}, y[5] = {2, 4, 6, 8, 10}, sd[5] = {1, 1, 1, 1, 1};
    struct bp_line line;
    double weights[5];
    assert_int_equal(bp_line_fit_robust(x, y, sd, 5, &nothing_held, weights, &line), BP_OK);
    assert_near(line.slope, 2, 1e-15);
    assert_near(line.residual_sd, 0, 1e-12);
    assert_near(weights[2], 1, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(median_slope_gives_the_example_of_sen),
        cmocka_unit_test(robust_line_leaves_out_the_point_off_the_others),
        cmocka_unit_test(robust_line_of_three_points_is_least_squares),
        cmocka_unit_test(what_was_held_before_is_pooled_with_the_residuals),
        cmocka_unit_test(scale_is_true_for_normal_scatter),
        cmocka_unit_test(robust_line_refuses_what_is_no_line),
        cmocka_unit_test(robust_line_bears_points_exactly_on_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
