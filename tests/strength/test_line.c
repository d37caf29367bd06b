/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/random.h"
#include "barplumb/strength.h"
#include "near.h"
#include "strength/line.h"

/* NIST/ITL Statistical Reference Datasets, Norris.dat. */
static const double norris_x[36] = {.2,    337.4, 118.2, 884.6, 10.1,  226.5, 666.3, 996.3, 448.6,
                                    777.0, 558.2, .4,    .6,    775.5, 666.9, 338.0, 447.5, 11.6,
                                    556.0, 228.1, 995.8, 887.6, 120.2, .3,    .3,    556.8, 339.1,
                                    887.2, 999.0, 779.0, 11.1,  118.3, 229.2, 669.1, 448.9, .5};
static const double norris_y[36] = {.1,    338.8, 118.1, 888.0, 9.2,   228.1, 668.5, 998.5, 449.1,
                                    778.9, 559.2, .3,    .1,    778.1, 668.8, 339.3, 448.9, 10.8,
                                    557.7, 228.3, 998.0, 888.8, 119.6, .3,    .6,    557.6, 339.3,
                                    888.0, 998.5, 778.9, 10.2,  117.6, 228.9, 668.4, 449.2, .2};

static void line_gives_the_certified_digits_of_norris(void **state)
{
    (void)state;
    struct bp_line line;
    assert_int_equal(bp_line_fit(norris_x, norris_y, NULL, 36, &line), BP_OK);
    assert_int_equal(line.count, 36);
    assert_digits(line.intercept, -0.262323073774029, 11);
    assert_digits(line.intercept_sd, 0.232818234301152, 11);
    assert_digits(line.slope, 1.00211681802045, 13);
    assert_digits(line.slope_sd, 0.429796848199937e-3, 11);
    assert_digits(line.residual_sd, 0.884796396144373, 11);
    assert_digits(line.r_squared, 0.999993745883712, 13);
    assert_digits(line.f, 5436385.54079785, 10);
    assert_near(line.freedom, 34, 0);
}

/* GUM, JCGM 100:2008, H.3: correction of a thermometer over temperature less 20 °C. */
static void line_gives_the_thermometer_of_the_gum(void **state)
{
    (void)state;
    static const double t[11] = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                                 24.513, 25.002, 25.503, 26.010, 26.511};
    static const double b[11] = {-.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160};
    double x[11];
    for (size_t i = 0; i < 11; i++) {
        x[i] = t[i] - 20;
    }
    struct bp_line line;
    assert_int_equal(bp_line_fit(x, b, NULL, 11, &line), BP_OK);
    assert_near(line.intercept, -0.17120379, 5e-9);
    assert_near(line.intercept_sd, 0.0028776, 5e-8);
    assert_near(line.slope, 0.0021827, 5e-8);
    assert_near(line.slope_sd, 0.00066794, 5e-9);
    assert_near(line.correlation, -0.93042960, 5e-9);
    assert_near(line.residual_sd, 0.0035, 5e-5);
    struct bp_quantity at_30 = bp_line_at(&line, 10);
    assert_near(at_30.value, -0.14937681, 5e-9);
    /* t.975 with 9 degrees of freedom: 2.262157 */
    assert_near((at_30.high - at_30.value) / 2.262157, 0.00413860, 5e-9);
    assert_near(at_30.high - at_30.value, at_30.value - at_30.low, 1e-15);
}

/* Two-sided 95 %: NIST/SEMATECH e-Handbook 1.3.6.7.2, computed to 6 decimals. */
static void student_matches_the_table_and_falls_all_the_way(void **state)
{
    (void)state;
    static const struct {
        double freedom, t;
    } rows[] = {{1, 12.706205}, {2, 4.302653},   {3, 3.182446},
                {4, 2.776445},  {9, 2.262157},   {10, 2.228139},
                {30, 2.042272}, {120, 1.979930}, {(double)INFINITY, 1.959964}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_near(bp_line_student(rows[i].freedom), rows[i].t, 1e-6);
    }
    assert_true(isnan(bp_line_student(0.5)) && isnan(bp_line_student((double)NAN)));
    double last = bp_line_student(1);
    for (double freedom = 1.01; freedom < 3e6; freedom *= 1.01) {
        double t = bp_line_student(freedom);
        assert_true(t < last || freedom > 5e5);
        last = t;
    }
}

/* P(√(1-λ) t + √λ z < q) = 0.975, by scipy's adaptive quadrature of the convolution and root finder. */
static void quantile_of_student_and_normal_matches_quadrature(void **state)
{
    (void)state;
    static const struct {
        double freedom, share, q;
    } rows[] = {{1, 0.5, 9.040294}, {2, 0.25, 3.818434}, {4, 0.5, 2.376512},
                {4, 0.1, 2.696559}, {8, 0.75, 2.043930}, {30, 0.5, 1.998236}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_near(bp_line_quantile(rows[i].freedom, rows[i].share), rows[i].q, 2e-6);
    }
    for (double freedom = 1; freedom < 1e5; freedom *= 1.3) {
        /* both ends are what they should be, and between them it only falls */
        assert_near(bp_line_quantile(freedom, 1e-9) / bp_line_student(freedom), 1, 1e-6);
        assert_near(bp_line_quantile(freedom, 1), 1.959963985, 1e-9);
        double last = bp_line_student(freedom);
        for (double share = 0.05; share < 1; share += 0.05) {
            double q = bp_line_quantile(freedom, share);
            assert_true(q < last);
            last = q;
        }
    }
    assert_true(isnan(bp_line_quantile((double)NAN, 0.5)) && isnan(bp_line_quantile(0.5, 0.5)));
}

static void weights_count_a_point_as_often_as_it_is_there(void **state)
{
    (void)state;
    static const double x[3] = {1, 2, 4}, y[3] = {2, 1, 5}, sd[3] = {1, 0.5, 1};
    static const double x_again[6] = {1, 2, 2, 2, 2, 4}, y_again[6] = {2, 1, 1, 1, 1, 5};
    struct bp_line weighted, again;
    assert_int_equal(bp_line_fit(x, y, sd, 3, &weighted), BP_OK);
    assert_int_equal(bp_line_fit(x_again, y_again, NULL, 6, &again), BP_OK);
    assert_near(weighted.slope, again.slope, 1e-14);
    assert_near(weighted.intercept, again.intercept, 1e-14);
    assert_near(weighted.r_squared, again.r_squared, 1e-14);
    /* one common factor of the sd changes nothing but the unit of residual_sd */
    static const double tenfold[3] = {10, 5, 10};
    struct bp_line scaled;
    assert_int_equal(bp_line_fit(x, y, tenfold, 3, &scaled), BP_OK);
    assert_near(scaled.slope_sd, weighted.slope_sd, 1e-14);
    assert_near(scaled.residual_sd * 10, weighted.residual_sd, 1e-14);
}

static void two_points_have_a_line_but_no_interval(void **state)
{
    (void)state;
    static const double x[2] = {1, 3}, y[2] = {5, 1};
    struct bp_line line;
    struct bp_quantity q = {0, 0, 0};
    assert_int_equal(bp_line_fit(x, y, NULL, 2, &line), BP_OK);
    assert_near(line.slope, -2, 0);
    assert_near(line.intercept, 7, 1e-15);
    assert_true(isnan(line.slope_sd) && isnan(line.residual_sd) && isnan(line.f));
    assert_true(isnan(bp_line_at(&line, 2).low) && isnan(bp_line_predict(&line, 2, 1).high));
    assert_false(bp_line_crossing(&line, 3, 0, 0, &q));
    assert_true(isnan(q.value));
}

static void line_refuses_what_is_no_line(void **state)
{
    (void)state;
    static const double same[3] = {2, 2, 2}, y[3] = {1, 2, 3}, x[3] = {1, 2, (double)NAN},
                        good[3] = {1, 2, 3};
    static const double sd[3] = {1, 0, 1};
    struct bp_line line = {.count = 9};
    assert_int_equal(bp_line_fit(same, y, NULL, 3, &line), BP_ERR_ARGUMENT);
    assert_true(line.count == 0 && isnan(line.slope));
    assert_int_equal(bp_line_fit(x, y, NULL, 3, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit(good, y, sd, 3, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit(good, y, NULL, 1, &line), BP_ERR_ARGUMENT);
    assert_int_equal(bp_line_fit(good, y, NULL, 0, &line), BP_ERR_ARGUMENT);
}

/* The ends are, by Fieller's definition, where the interval of the line just touches y. */
static void crossing_ends_where_the_interval_touches(void **state)
{
    (void)state;
    struct bp_line line;
    struct bp_quantity q, end;
    assert_int_equal(bp_line_fit(norris_x, norris_y, NULL, 8, &line), BP_OK);
    assert_true(bp_line_crossing(&line, 1200, 0, 0, &q));
    assert_near(bp_line_at(&line, q.value).value, 1200, 1e-9);
    end = bp_line_at(&line, q.low);
    assert_near(end.high, 1200, 1e-9);
    end = bp_line_at(&line, q.high);
    assert_near(end.low, 1200, 1e-9);
    assert_true(bp_line_crossing(&line, 1200, 0, 1, &q));
    assert_near(bp_line_predict(&line, q.low, 1).high, 1200, 1e-9);
    assert_near(bp_line_predict(&line, q.high, 1).low, 1200, 1e-9);
}

/* Classical inverse regression without anything held before: the rate is exact, so 2,000 lines lie within
 * 95 ± 1.5 % (three binomial sd). */
static void crossing_and_prediction_hold_the_truth_at_their_rate(void **state)
{
    (void)state;
    enum { LINES = 2000, POINTS = 5 };
    struct bp_random random;
    bp_random_init(&random, 20001, 1);
    size_t crossed = 0, inside = 0, predicted = 0;
    for (int i = 0; i < LINES; i++) {
        double x[POINTS], y[POINTS];
        for (size_t p = 0; p < POINTS; p++) {
            x[p] = 40 + 10 * (double)p;
            y[p] = 1.7 - 0.0153 * x[p] + 0.04 * bp_random_normal(&random);
        }
        struct bp_line line;
        struct bp_quantity q, next;
        assert_int_equal(bp_line_fit(x, y, NULL, POINTS, &line), BP_OK);
        if (bp_line_crossing(&line, 0.17, 0, 0, &q)) {
            crossed++;
            inside += q.low <= 100 && 100 <= q.high;
        }
        next = bp_line_predict(&line, 95, 1);
        double drawn = 1.7 - 0.0153 * 95 + 0.04 * bp_random_normal(&random);
        predicted += next.low <= drawn && drawn <= next.high;
    }
    print_message("crossing %zu of %zu, prediction %zu of %d\n", inside, crossed, predicted, LINES);
    assert_true((double)crossed > LINES * 0.99);
    assert_near((double)inside / (double)crossed, 0.95, 0.015);
    assert_near((double)predicted / LINES, 0.95, 0.015);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_gives_the_certified_digits_of_norris),
        cmocka_unit_test(line_gives_the_thermometer_of_the_gum),
        cmocka_unit_test(student_matches_the_table_and_falls_all_the_way),
        cmocka_unit_test(quantile_of_student_and_normal_matches_quadrature),
        cmocka_unit_test(weights_count_a_point_as_often_as_it_is_there),
        cmocka_unit_test(two_points_have_a_line_but_no_interval),
        cmocka_unit_test(line_refuses_what_is_no_line),
        cmocka_unit_test(crossing_ends_where_the_interval_touches),
        cmocka_unit_test(crossing_and_prediction_hold_the_truth_at_their_rate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
