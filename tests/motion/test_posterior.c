/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Draws of a track against closed forms. The sds below are measured over DRAWS draws: such an sd has itself a
 * relative sd of 1 / sqrt(2 DRAWS), and FIVE_SIGMA of it is what is allowed.
 */
#include "barplumb/units.h"
#include "base/failing_alloc.h"
#include "motion/posterior.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include <math.h>
#include <string.h>

enum { DRAWS = 4000, RATE_HZ = 64, COUNT = 8 * RATE_HZ + 1, STEP = RATE_HZ / 8 };
static const double FIVE_SIGMA = 5 * 0.0111803398874989; /* 5 / sqrt(2 DRAWS) */
static const double NOISE = 0.05;                        /* velocity random walk, m/s per sqrt(s) */
static const double LENGTH_S = 8;

/* A log of nothing but white noise, with priors of which a test lets in what it looks at. */
struct drawn {
    struct bp_arena arena;
    struct bp_trace trace;
    struct bp_motion motion;
    struct bp_prior prior;
    struct bp_posterior posterior;
    struct bp_track about, draw;
    struct bp_spell spell;
    double time_s[COUNT], nothing[COUNT], height[COUNT], speed[COUNT], accel[COUNT];
    double drawn[3][COUNT], up[3][COUNT];
    uint8_t marks[COUNT];
};

static struct drawn d;

static int setup(void **state)
{
    (void)state;
    memset(&d, 0, sizeof d);
    bp_arena_init(&d.arena);
    d.trace = (struct bp_trace){.count = COUNT, .time_s = d.time_s, .marks = d.marks, .gyroscope = true};
    d.motion = (struct bp_motion){.trace = &d.trace, .rise_m_s2 = d.nothing};
    d.motion.still.list = &d.spell;
    for (size_t i = 0; i < COUNT; i++) {
        d.time_s[i] = (double)i / RATE_HZ;
        d.up[2][i] = 1;
    }
    for (int a = 0; a < 3; a++) {
        d.motion.up[a] = d.up[a];
    }
    d.prior = bp_prior_defaults;
    d.prior.force_bias_m_s2 = d.prior.force_scale = d.prior.lever_m = 0;
    d.prior.force_bias_walk = 1e-7; /* 0 would leave a covariance that cannot be inverted */
    d.prior.swing_share_sd = 0;
    d.prior.start_speed_m_s = 1e-7;
    d.prior.still_speed_m_s = 1e-7;
    d.prior.force_noise_floor = NOISE;
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    bp_arena_free(&d.arena);
    return 0;
}

/* Smooths with what was let in and makes the draws ready. */
static void prepare(void)
{
    const struct bp_closures none = {0};
    struct bp_posterior *p = &d.posterior;
    struct bp_error error;
    bool broken = false;
    *p = (struct bp_posterior){.motion = &d.motion, .prior = &d.prior};
    d.about = (struct bp_track){.count = COUNT,
                                .time_s = d.time_s,
                                .height_m = d.height,
                                .speed_m_s = d.speed,
                                .accel_m_s2 = d.accel,
                                .posterior = p};
    d.draw = (struct bp_track){.height_m = d.drawn[0], .speed_m_s = d.drawn[1], .accel_m_s2 = d.drawn[2]};
    assert_true(bp_knots_make(&d.motion, &none, 0.125, &d.arena, &p->knots));
    assert_true(bp_vertical_smooth(&d.motion, &none, NULL, &p->knots, &d.prior, &d.arena, &p->smoother,
                                   &p->fit, &broken));
    assert_int_equal(bp_track_prepare_draws(&d.about, &d.arena, &error), BP_OK);
}

/* sd over the draws of height and speed at each sample, about the track. */
static void spread_of_draws(double height_sd[COUNT], double speed_sd[COUNT])
{
    struct bp_random random;
    bp_random_init(&random, 5, 1);
    memset(height_sd, 0, COUNT * sizeof *height_sd);
    memset(speed_sd, 0, COUNT * sizeof *speed_sd);
    for (int n = 0; n < DRAWS; n++) {
        bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&random), &random, &d.draw);
        for (size_t i = 0; i < COUNT; i++) {
            height_sd[i] += pow(d.drawn[0][i] - d.height[i], 2) / DRAWS;
            speed_sd[i] += pow(d.drawn[1][i] - d.speed[i], 2) / DRAWS;
        }
    }
    for (size_t i = 0; i < COUNT; i++) {
        height_sd[i] = sqrt(height_sd[i]);
        speed_sd[i] = sqrt(speed_sd[i]);
    }
}

static void hold_sd(double got, double want, double t)
{
    if (!(fabs(got / want - 1) < FIVE_SIGMA)) {
        fail_msg("at %.3f s: sd %.6f, closed form %.6f", t, got, want);
    }
}

/* Woodman 2007, An introduction to inertial navigation (UCAM-CL-TR-696; from memory): white acceleration of
 * density N integrates to var v = N² t and var h = N² t³ / 3. */
static void drawn_height_has_variance_t_cubed_over_three(void **state)
{
    (void)state;
    double height[COUNT], speed[COUNT];
    prepare();
    spread_of_draws(height, speed);
    for (size_t i = RATE_HZ; i < COUNT; i += STEP) {
        double t = d.time_s[i];
        hold_sd(speed[i], NOISE * sqrt(t), t);
        hold_sd(height[i], NOISE * sqrt(t * t * t / 3), t);
    }
}

/* Speed known at both ends makes it a Brownian bridge: sd v = N sqrt(t (T - t) / T), and the rise keeps half
 * of its free sd: N sqrt(T³ / 12). */
static void drawn_speed_known_at_both_ends_is_a_brownian_bridge(void **state)
{
    (void)state;
    double height[COUNT], speed[COUNT];
    d.motion.still.count = 1;
    d.spell = (struct bp_spell){COUNT - 1, COUNT - 1};
    prepare();
    spread_of_draws(height, speed);
    for (size_t i = RATE_HZ; i + RATE_HZ < COUNT; i += STEP) {
        double t = d.time_s[i];
        hold_sd(speed[i], NOISE * sqrt(t * (LENGTH_S - t) / LENGTH_S), t);
    }
    hold_sd(height[COUNT - 1], NOISE * sqrt(pow(LENGTH_S, 3) / 12), LENGTH_S);
    assert_true(speed[COUNT - 1] < 1e-6);
}

/* A constant bias b that nothing shows: h = b t² / 2, v = b t (Woodman 2007), the same b in all of a draw. */
static void drawn_bias_bends_the_path_as_one(void **state)
{
    (void)state;
    double height[COUNT], speed[COUNT];
    d.prior.force_noise_floor = 1e-6;
    d.prior.force_bias_m_s2 = 0.3;
    prepare();
    spread_of_draws(height, speed);
    for (size_t i = STEP; i < COUNT; i += STEP) {
        double t = d.time_s[i];
        hold_sd(speed[i], 0.3 * t, t);
        hold_sd(height[i], 0.3 * t * t / 2, t);
        double b = d.drawn[1][COUNT - 1] / LENGTH_S; /* of the last draw */
        assert_true(fabs(d.drawn[0][i] - b * t * t / 2) < 1e-3 && fabs(d.drawn[2][i] - b) < 1e-2);
    }
}

/* In a draw too height is the integral of speed, and speed of acceleration, but for the ripple: Simpson's
 * rule is exact for the cubic that speed is between two knots. */
static void drawn_height_is_the_integral_of_drawn_speed(void **state)
{
    (void)state;
    struct bp_random random;
    prepare();
    memset(d.posterior.ripple, 0, (size_t)BP_RIPPLES * BP_RIPPLE_POINTS * sizeof *d.posterior.ripple);
    bp_random_init(&random, 9, 1);
    bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&random), &random, &d.draw);
    for (size_t i = 1; i + 1 < COUNT; i++) {
        if (i % STEP == 0) { /* at a knot the pieces on both sides share height and speed alone */
            continue;
        }
        const double *h = d.drawn[0] + i, *v = d.drawn[1] + i, *a = d.drawn[2] + i;
        double rise = (v[-1] + 4 * v[0] + v[1]) / 3 / RATE_HZ, gain = (a[-1] + 4 * a[0] + a[1]) / 3 / RATE_HZ;
        assert_true(fabs(h[1] - h[-1] - rise) < 1e-12);
        assert_true(i % STEP == STEP - 1 || fabs(v[1] - v[-1] - gain) < 1e-12);
    }
}

/* Karhunen-Loève of the Brownian bridge: term k has variance 2 / (kπ)² sin²(kπx); the ripples are terms 3 to
 * 8 of it. As many points as terms allow no curve to stand for another, so their mean square must come out.
 */
static void ripples_have_the_bridges_own_variance(void **state)
{
    (void)state;
    prepare();
    double got = 0, want = 0;
    for (int j = 0; j < BP_RIPPLE_POINTS; j++) {
        for (int k = 3; k <= 8; k++) {
            double turn = k * BP_PI;
            want += 2 / (turn * turn) * pow(sin(turn * j / (BP_RIPPLE_POINTS - 1)), 2);
        }
        for (int r = 0; r < BP_RIPPLES; r++) {
            double x = d.posterior.ripple[r * BP_RIPPLE_POINTS + j];
            got += x * x / BP_RIPPLES;
            assert_true((j > 0 && j < BP_RIPPLE_POINTS - 1) || fabs(x) < 1e-12);
        }
    }
    assert_true(fabs(got / want - 1) < 0.25); /* 64 curves of six terms: a sd of 8 % */
}

/* Without a gyroscope what "up" swings of sideways pushes lifts no chip: with a share of 1 none, and half of
 * it with 0.5. */
static void drawn_lever_leaves_sideways_pushes_out(void **state)
{
    (void)state;
    const double shares[] = {0, 0.5, 1};
    double rise[3] = {0};
    d.trace.gyroscope = false;
    d.motion.swing_m_s2 = d.nothing;
    d.prior.force_noise_no_gyro = 1e-9;
    d.prior.lever_m = 0.02;
    for (size_t i = 0; i < COUNT; i++) {
        double angle = 0.5 * (double)i / (COUNT - 1);
        d.up[1][i] = sin(angle);
        d.up[2][i] = cos(angle);
    }
    for (int s = 0; s < 3; s++) {
        struct bp_random random;
        d.prior.swing_share = shares[s];
        prepare();
        bp_random_init(&random, 5, 1);
        bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&random), &random, &d.draw);
        rise[s] = d.drawn[0][COUNT - 1] - d.drawn[0][0];
    }
    assert_true(fabs(rise[0]) > 1e-4);
    assert_true(fabs(rise[1] / rise[0] - 0.5) < 0.03); /* the share's own walk is a hundredth */
    assert_true(fabs(rise[2] / rise[0]) < 0.03);
}

/* The gain's error belongs to the log: every figure of a draw is off by the same part. */
static void drawn_scale_is_one_factor_for_the_whole_log(void **state)
{
    (void)state;
    double height[COUNT], speed[COUNT];
    d.prior.force_noise_floor = 1e-9;
    d.prior.force_scale = 0.0075;
    for (size_t i = 0; i < COUNT; i++) {
        d.height[i] = 0.4 + 0.01 * (double)(i % 7);
        d.speed[i] = 1 - 0.001 * (double)i;
        d.accel[i] = -3;
    }
    prepare();
    spread_of_draws(height, speed);
    for (size_t i = 0; i < COUNT; i += 16) {
        hold_sd(height[i], 0.0075 * d.height[i], d.time_s[i]);
        hold_sd(speed[i], 0.0075 * d.speed[i], d.time_s[i]);
        double gain = d.drawn[1][0] / d.speed[0]; /* of the last draw */
        assert_true(fabs(d.drawn[1][i] - gain * d.speed[i]) < 1e-5);
        assert_true(fabs(d.drawn[0][i] - gain * d.height[i]) < 1e-3); /* the first height has an sd of 1e-4 */
    }
}

/* A chip off the axis of a bar that rolls by φ rides r (up(φ) - up(0)) higher: sd of the change is
 * r |up(φ) - up(0)| = 2 r sin(φ/2) for a place of sd r on each axis. */
static void drawn_lever_moves_with_the_roll(void **state)
{
    (void)state;
    const double roll = 0.5;
    double rise = 0, square = 0;
    struct bp_random random;
    d.prior.force_noise_floor = 1e-9;
    d.prior.lever_m = 0.02;
    for (size_t i = 0; i < COUNT; i++) {
        double angle = roll * (double)i / (COUNT - 1);
        d.up[1][i] = sin(angle);
        d.up[2][i] = cos(angle);
    }
    prepare();
    bp_random_init(&random, 5, 1);
    for (int n = 0; n < DRAWS; n++) {
        bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&random), &random, &d.draw);
        rise += pow(d.drawn[0][COUNT - 1] - d.drawn[0][0], 2) / DRAWS;
        double slope = (d.drawn[0][101] - d.drawn[0][100]) * RATE_HZ;
        assert_true(fabs(slope - d.drawn[1][101]) < 1e-6);
        double bend = (d.drawn[1][102] - d.drawn[1][101]) * RATE_HZ;
        assert_true(fabs(bend - d.drawn[2][101]) < 2e-5);
        square += bend * bend / DRAWS;
    }
    /* An even turn of ω is an acceleration of r ω² toward the axis. */
    hold_sd(sqrt(square), 0.02 * pow(roll / LENGTH_S, 2), LENGTH_S);
    hold_sd(sqrt(rise), 2 * 0.02 * sin(roll / 2), LENGTH_S);
}

/* Birge 1932, Phys Rev 40:207-27: residuals twice their stated sd make every sd twice as large; here the
 * priors' weight w holds against it: (w + Σ) / (w + n). */
static void residuals_scale_the_draws(void **state)
{
    (void)state;
    double height[COUNT], speed[COUNT];
    prepare();
    assert_true(bp_posterior_factor(&d.posterior) == 1);
    d.posterior.fit.sum = 4 * 12.0 + 3 * d.prior.factor_weight;
    d.posterior.fit.count = 12;
    assert_true(fabs(bp_posterior_factor(&d.posterior) - 4) < 1e-15);
    spread_of_draws(height, speed);
    hold_sd(speed[COUNT - 1], 2 * NOISE * sqrt(LENGTH_S), LENGTH_S);
}

static void same_seed_draws_the_same_path(void **state)
{
    (void)state;
    static double first[3][COUNT];
    struct bp_random one, other;
    d.prior.lever_m = d.prior.force_scale = 0.01;
    prepare();
    bp_random_init(&one, 77, 3);
    other = one;
    bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&one), &one, &d.draw);
    memcpy(first, d.drawn, sizeof first);
    memset(d.drawn, 0xa5, sizeof d.drawn); /* nothing of what stood there may stay */
    bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&other), &other, &d.draw);
    assert_memory_equal(first, d.drawn, sizeof first);
    bp_track_draw(&d.about, (struct bp_spell){0, COUNT - 1}, bp_random_normal(&other), &other, &d.draw);
    assert_true(memcmp(first, d.drawn, sizeof first) != 0);
    assert_int_equal(d.draw.count, COUNT);
    assert_ptr_equal(d.draw.time_s, d.time_s);
}

static void draws_report_memory_that_is_out(void **state)
{
    (void)state;
    enum { LARGE = 300000 }; /* knots: larger arrays than a block has room for beside others */
    struct bp_arena own;
    struct bp_error error;
    size_t failed = 0;
    prepare();
    d.posterior.smoother.count = LARGE;
    for (size_t n = 0; n < 2; n++) {
        bp_arena_init(&own);
        failing_alloc_arm(n);
        assert_int_equal(bp_track_prepare_draws(&d.about, &own, &error), BP_ERR_MEMORY);
        failed += failing_alloc_disarm();
        bp_arena_free(&own);
    }
    assert_int_equal(failed, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(drawn_height_has_variance_t_cubed_over_three, setup, teardown),
        cmocka_unit_test_setup_teardown(drawn_speed_known_at_both_ends_is_a_brownian_bridge, setup, teardown),
        cmocka_unit_test_setup_teardown(drawn_bias_bends_the_path_as_one, setup, teardown),
        cmocka_unit_test_setup_teardown(drawn_height_is_the_integral_of_drawn_speed, setup, teardown),
        cmocka_unit_test_setup_teardown(drawn_scale_is_one_factor_for_the_whole_log, setup, teardown),
        cmocka_unit_test_setup_teardown(ripples_have_the_bridges_own_variance, setup, teardown),
        cmocka_unit_test_setup_teardown(drawn_lever_leaves_sideways_pushes_out, setup, teardown),
        cmocka_unit_test_setup_teardown(drawn_lever_moves_with_the_roll, setup, teardown),
        cmocka_unit_test_setup_teardown(residuals_scale_the_draws, setup, teardown),
        cmocka_unit_test_setup_teardown(same_seed_draws_the_same_path, setup, teardown),
        cmocka_unit_test_setup_teardown(draws_report_memory_that_is_out, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
