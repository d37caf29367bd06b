/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "signals.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>

/* F.95(2, n-2), computed with scipy.stats.f.ppf(0.95, 2, n - 2) to 6 decimals. */
static void ellipse_quantile_matches_tables(void **state)
{
    (void)state;
    static const struct {
        size_t n;
        double f;
    } rows[] = {{10, 4.458970}, {30, 3.340386}, {100, 3.089203}, {1000, 3.004743}, {10000, 2.996630}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_true(fabs(bp_ellipse_quantile(rows[i].n) - rows[i].f) < 1e-6);
    }
    /* F(2, 1) = (0.05^-2 - 1) / 2; the limit is half the quantile of chi-square with 2 degrees. */
    assert_true(fabs(bp_ellipse_quantile(3) - 199.5) < 1e-9);
    assert_true(fabs(bp_ellipse_quantile(1000000000) - 2.995732274) < 1e-7);
    assert_true(isnan(bp_ellipse_quantile(2)));
}

/* 360 points on an ellipse with half axes 3 and 1: 2π F sqrt(4.5 * 0.5) with F = 3.020941. */
static void ellipse_area_of_an_ellipse_of_points(void **state)
{
    (void)state;
    double x[360], y[360];
    for (size_t i = 0; i < 360; i++) {
        x[i] = 3 * cos((double)i * BP_DEGREE) + 10;
        y[i] = sin((double)i * BP_DEGREE) - 4;
    }
    assert_true(fabs(bp_ellipse_area(x, y, 360) - 28.471697) < 1e-6);
}

static void ellipse_area_does_not_turn_with_the_axes(void **state)
{
    (void)state;
    enum { COUNT = 200 };
    double x[COUNT], y[COUNT], u[COUNT], v[COUNT];
    signal_noise(x, COUNT, 1);
    signal_noise(y, COUNT, 2);
    for (size_t i = 0; i < COUNT; i++) {
        u[i] = cos(0.7) * x[i] - sin(0.7) * y[i];
        v[i] = sin(0.7) * x[i] + cos(0.7) * y[i];
    }
    double area = bp_ellipse_area(x, y, COUNT);
    assert_true(area > 0);
    assert_true(fabs(bp_ellipse_area(u, v, COUNT) - area) < 1e-12 * area);
    assert_true(fabs(bp_ellipse_area(y, x, COUNT) - area) < 1e-12 * area);
    for (size_t i = 0; i < COUNT; i++) {
        u[i] = 1000 * x[i];
        v[i] = 1000 * y[i];
    }
    assert_true(fabs(bp_ellipse_area(u, v, COUNT) - 1e6 * area) < 1e-6 * area);
}

/* What the ellipse claims: of many points drawn from a bell-shaped cloud, 95 % lie inside. Drawn on a grid
 * of quantiles, so that nothing is left to chance: radius² of a standard normal pair is exponential. */
static void ellipse_holds_95_percent_of_a_normal_cloud(void **state)
{
    (void)state;
    enum { RINGS = 500, SPOKES = 36, COUNT = RINGS * SPOKES };
    static double x[COUNT], y[COUNT];
    for (size_t i = 0; i < COUNT; i++) {
        double radius = sqrt(-2 * log(1 - ((double)(i / SPOKES) + 0.5) / RINGS));
        x[i] = radius * cos((double)(i % SPOKES) * 10 * BP_DEGREE);
        y[i] = radius * sin((double)(i % SPOKES) * 10 * BP_DEGREE);
    }
    double limit = sqrt(bp_ellipse_area(x, y, COUNT) / BP_PI);
    size_t inside = 0;
    for (size_t i = 0; i < COUNT; i++) {
        inside += hypot(x[i], y[i]) <= limit;
    }
    assert_true(fabs((double)inside / COUNT - 0.95) < 0.003);
}

static void ellipse_of_a_line_is_nothing_and_of_two_points_unknown(void **state)
{
    (void)state;
    double x[50], y[50];
    for (size_t i = 0; i < 50; i++) {
        x[i] = 0.1 * (double)i;
        y[i] = 3 * x[i] + 1;
    }
    assert_true(bp_ellipse_area(x, y, 50) < 1e-5);
    assert_true(isnan(bp_ellipse_area(x, y, 2)));
    assert_true(isnan(bp_ellipse_area(x, y, 0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ellipse_quantile_matches_tables),
        cmocka_unit_test(ellipse_area_of_an_ellipse_of_points),
        cmocka_unit_test(ellipse_area_does_not_turn_with_the_axes),
        cmocka_unit_test(ellipse_holds_95_percent_of_a_normal_cloud),
        cmocka_unit_test(ellipse_of_a_line_is_nothing_and_of_two_points_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
