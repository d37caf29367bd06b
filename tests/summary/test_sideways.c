/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sideways figures and their draws, on motions put together by hand: a movement along the bar that is
 * known, and errors of a known size in it.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

#include "barplumb/units.h"
#include "base/failing_alloc.h"
#include "summary/sideways.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { COUNT = 2400, WAVES = 12, DRAWS = 64, SETS = 200 };
static const double RATE_HZ = 60, FROM_S = 15, TO_S = 17; /* the stretch that is measured */
static const double COVERAGE =
    2.04; /* half-width of an interval in root mean squares of its draws: Student's t */

struct logged {
    struct bp_arena arena;
    double time_s[COUNT], force[3][COUNT], turn[3][COUNT], up[3][COUNT];
    double rise[COUNT], along[COUNT], fore[COUNT], tilt[COUNT];
    double true_along[COUNT]; /* the movement without its errors */
    uint8_t marks[COUNT];
    struct bp_spell rest;
    struct bp_trace trace;
    struct bp_motion motion;
    struct bp_clock clock;
    struct bp_random random;
};

/* What is wrong with a log. */
struct errors {
    double level, axis, leak_rad;
};

/* Several waves of random phase, acceleration of the given rms, from 3 s on. */
static void add_waves(struct logged *l, double *x, double low_hz, double high_hz, double rms)
{
    for (int w = 0; w < WAVES; w++) {
        double hz = bp_random_between(&l->random, low_hz, high_hz), size = rms * sqrt(2.0 / WAVES);
        double phase = bp_random_between(&l->random, 0, 2 * BP_PI);
        for (size_t i = 0; i < COUNT; i++) {
            double t = l->time_s[i], fade = fmin(fmax(t - 3, 0), 1);
            x[i] += fade * size * sin(2 * BP_PI * hz * t + phase);
        }
    }
}

static void start(struct logged *l, uint64_t seed, bool gyroscope)
{
    struct bp_arena arena = l->arena;
    memset(l, 0, sizeof *l);
    l->arena = arena;
    bp_arena_reset(&l->arena);
    bp_random_init(&l->random, seed, 5);
    l->trace =
        (struct bp_trace){.count = COUNT, .time_s = l->time_s, .marks = l->marks, .gyroscope = gyroscope};
    l->motion = (struct bp_motion){.trace = &l->trace,
                                   .still = {1, &l->rest},
                                   .noise = {.force_sd = 1e-4, .gravity = BP_STANDARD_GRAVITY},
                                   .on_bar = {0, COUNT - 1},
                                   .along = {{1, 0, 0}, true},
                                   .rise_m_s2 = l->rise,
                                   .along_m_s2 = l->along};
    l->rest = (struct bp_spell){0, (size_t)(2.5 * RATE_HZ)};
    for (int a = 0; a < 3; a++) {
        l->trace.force[a] = l->force[a];
        l->trace.turn[a] = gyroscope ? l->turn[a] : NULL;
        l->motion.up[a] = l->up[a];
    }
    if (gyroscope) {
        l->motion.fore_m_s2 = l->fore;
        l->motion.tilt_rad = l->tilt;
    }
    l->clock =
        (struct bp_clock){.rate_hz = RATE_HZ, .step_s = 1 / RATE_HZ, .duration_s = (COUNT - 1) / RATE_HZ};
}

/* A log of a bar that moves along itself, fore and aft and up and down, and rolls by six degrees. */
static void make_log(struct logged *l, uint64_t seed, bool gyroscope, const struct errors *errors)
{
    double roll[COUNT] = {0};
    start(l, seed, gyroscope);
    for (size_t i = 0; i < COUNT; i++) {
        l->time_s[i] = (double)i / RATE_HZ;
    }
    add_waves(l, l->true_along, 0.8, 5, 0.3);
    add_waves(l, l->rise, 0.4, 2, 2);
    add_waves(l, l->fore, 0.5, 3, 0.5);
    add_waves(l, roll, 0.2, 0.5, 0.1);
    double leak[COUNT] = {0};
    add_waves(l, leak, 0.5, 3, BP_STANDARD_GRAVITY * errors->leak_rad);
    for (size_t i = 0; i < COUNT; i++) {
        l->up[1][i] = sin(roll[i]);
        l->up[2][i] = cos(roll[i]);
        l->tilt[i] = errors->axis * sin(roll[i]);
        l->force[2][i] = BP_STANDARD_GRAVITY + l->rise[i];
        l->along[i] = l->true_along[i] + errors->level * l->rise[i] + errors->axis * l->fore[i] + leak[i];
        l->force[0][i] = l->along[i];
        l->force[1][i] = l->fore[i];
    }
}

static void make_sideways(struct logged *l, const struct bp_sideways_prior *prior,
                          struct bp_sideways *sideways)
{
    struct bp_error error;
    assert_int_equal(bp_sideways_make_with(prior, &l->motion, &l->clock, &l->arena, sideways, &error), BP_OK);
    assert_true(sideways->known);
}

/* The true rms displacement over the stretch, by the same band. */
static double true_rms(struct logged *l)
{
    struct bp_shake_bands bands;
    struct bp_shake_figures figures;
    assert_int_equal(bp_shake_make(l->true_along, NULL, NULL, COUNT, RATE_HZ, NULL, &l->arena, &bands),
                     BP_OK);
    size_t first = (size_t)(FROM_S * RATE_HZ), last = (size_t)(TO_S * RATE_HZ);
    assert_int_equal(bp_shake_measure(&bands, first, last, NULL, &l->arena, &figures), BP_OK);
    return figures.rms_m;
}

static int make_logged(void **state)
{
    struct logged *l = calloc(1, sizeof *l);
    if (!l) {
        return 1;
    }
    bp_arena_init(&l->arena);
    *state = l;
    return 0;
}

static int free_logged(void **state)
{
    struct logged *l = *state;
    bp_arena_free(&l->arena);
    free(l);
    return 0;
}

static const struct errors SOME = {.level = 0.02, .axis = 0.03}, NONE = {0};

static struct bp_shake_figures measure(struct logged *l, const struct bp_sideways *sideways)
{
    return bp_sideways_measure(sideways, FROM_S, TO_S, &l->arena);
}

static void draw_without_any_doubt_is_the_estimate(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    struct bp_sideways_prior sure = {.tilt_factor = 1, .tilt_low_hz = 0.5, .tilt_high_hz = 3};
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        make_log(l, 1, gyroscope, &SOME);
        make_sideways(l, &sure, &sideways);
        struct bp_shake_figures estimate = measure(l, &sideways), drawn;
        double tilt = bp_sideways_tilt_deg(&sideways, 900, 1000);
        bp_sideways_draw(&sideways, &l->random);
        drawn = measure(l, &sideways);
        assert_memory_equal(&drawn, &estimate, sizeof drawn);
        assert_true(estimate.rms_m > 1e-3);
        double tilt_drawn = bp_sideways_tilt_deg(&sideways, 900, 1000);
        assert_memory_equal(&tilt_drawn, &tilt, sizeof tilt);
        assert_true(gyroscope ? tilt > 0 : isnan(tilt));
    }
}

static void draw_comes_from_its_seed_and_rest_takes_it_back(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        struct bp_random first, second, other;
        make_log(l, 2, gyroscope, &SOME);
        make_sideways(l, &bp_sideways_prior_defaults, &sideways);
        struct bp_shake_figures estimate = measure(l, &sideways), a, b, c, after;
        bp_random_init(&first, 7, 0);
        bp_random_init(&second, 7, 0);
        bp_random_init(&other, 8, 0);
        bp_sideways_draw(&sideways, &first);
        a = measure(l, &sideways);
        bp_sideways_draw(&sideways, &other);
        c = measure(l, &sideways);
        bp_sideways_draw(&sideways, &second);
        b = measure(l, &sideways);
        assert_memory_equal(&a, &b, sizeof a);
        assert_true(a.rms_m != c.rms_m && a.rms_m != estimate.rms_m);
        bp_sideways_rest(&sideways);
        after = measure(l, &sideways);
        assert_memory_equal(&after, &estimate, sizeof after);
        assert_true(bp_sideways_rms(&sideways, FROM_S, TO_S) == estimate.rms_m);
    }
}

/* "Level" off by 0.03 rad brings 6 mm/s^2 of every 0.2 m/s^2 of the lift in; the log itself shows how much.
 */
static void lift_seen_along_the_bar_is_taken_out(void **state)
{
    struct logged *l = *state;
    double before = 0, after = 0;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        struct bp_sideways sideways;
        struct bp_shake_figures raw;
        make_log(l, seed, true, &(struct errors){.level = 0.04});
        make_sideways(l, &bp_sideways_prior_defaults, &sideways);
        double truth = true_rms(l);
        size_t first = (size_t)(FROM_S * RATE_HZ), last = (size_t)(TO_S * RATE_HZ);
        assert_int_equal(bp_shake_measure(&sideways.bands, first, last, NULL, &l->arena, &raw), BP_OK);
        before += pow(raw.rms_m / truth - 1, 2) / 20;
        after += pow(measure(l, &sideways).rms_m / truth - 1, 2) / 20;
    }
    assert_true(sqrt(before) > 0.1);
    assert_true(sqrt(after) < 0.5 * sqrt(before));
}

/* Whether the interval its draws make about the estimate holds the truth. */
static bool covers(struct logged *l, struct bp_sideways *sideways, double truth)
{
    double value = bp_sideways_rms(sideways, FROM_S, TO_S), square = 0;
    for (int d = 0; d < DRAWS; d++) {
        bp_sideways_draw(sideways, &l->random);
        square += pow(bp_sideways_rms(sideways, FROM_S, TO_S) - value, 2) / DRAWS;
    }
    return fabs(value - truth) <= COVERAGE * sqrt(square);
}

static void intervals_hold_the_truth_as_often_as_they_say(void **state)
{
    struct logged *l = *state;
    const struct bp_sideways_prior *prior = &bp_sideways_prior_defaults;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        int held = 0;
        for (uint64_t seed = 1; seed <= SETS; seed++) {
            struct bp_sideways sideways;
            struct bp_random random;
            bp_random_init(&random, seed, 6);
            struct errors errors = {.level = prior->level_rad * bp_random_normal(&random),
                                    .axis = prior->axis_rad * bp_random_normal(&random)};
            if (!gyroscope) {
                errors.leak_rad = prior->tilt_rad * exp(log(prior->tilt_factor) * bp_random_normal(&random));
            }
            make_log(l, seed, gyroscope, &errors);
            make_sideways(l, prior, &sideways);
            held += covers(l, &sideways, true_rms(l));
        }
        assert_in_range(held, SETS * 90 / 100, SETS * 99 / 100);
    }
}

/* A bar that makes no sound leaves the sensor's noise, some more or some less of it in each stretch. */
static void quiet_bar_may_clatter_as_little_as_noise_hides(void **state)
{
    struct logged *l = *state;
    const double noise_m_s2 = 0.05;
    int held = 0;
    for (uint64_t seed = 1; seed <= SETS / 4; seed++) {
        struct bp_sideways sideways;
        double above = 0;
        make_log(l, seed, true, &NONE);
        l->motion.noise.force_sd = noise_m_s2;
        for (size_t i = 0; i < COUNT; i++) {
            for (int a = 0; a < 3; a++) {
                l->force[a][i] += noise_m_s2 * bp_random_normal(&l->random);
            }
        }
        make_sideways(l, &bp_sideways_prior_defaults, &sideways);
        double value = measure(l, &sideways).clatter_rms_m_s2;
        for (int d = 0; d < DRAWS; d++) {
            bp_sideways_draw(&sideways, &l->random);
            double off = measure(l, &sideways).clatter_rms_m_s2 - value;
            above += off > 0 ? off * off / DRAWS : 0;
            held += d == 0 && value < noise_m_s2;
        }
        assert_true(above > 0); /* none is never certain */
    }
    assert_int_equal(held, SETS / 4);
}

/* Links ring at a third of the rate, and samples come up to a quarter of a step early or late. */
static void uneven_samples_keep_the_power_of_a_ring(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    const double hz = 24, size = 5;
    make_log(l, 1, true, &NONE);
    for (size_t i = 0; i < COUNT; i++) {
        l->time_s[i] += i > 0 && i + 1 < COUNT ? bp_random_between(&l->random, -0.25, 0.25) / RATE_HZ : 0;
        l->force[2][i] += l->time_s[i] > 3 ? size * sin(2 * BP_PI * hz * l->time_s[i]) : 0; /* not at rest */
    }
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    double ring = measure(l, &sideways).clatter_rms_m_s2;
    /* An eighth of the power is then spread over all frequencies, half of them under the band. */
    assert_true(fabs(ring - size / sqrt(2)) < 0.1 * size / sqrt(2));
}

static void direction_the_log_shows_no_better_than_assumed_gives_no_tilt(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    make_log(l, 1, true, &NONE);
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    assert_true(isfinite(bp_sideways_tilt_deg(&sideways, 600, 700)));
    for (size_t i = 0; i < COUNT; i++) { /* the phone slips: "up" wanders along the bar and stays there */
        l->up[0][i] = i < COUNT / 2 ? 0 : 0.5;
    }
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    assert_true(isnan(bp_sideways_tilt_deg(&sideways, 600, 700)));
}

static void tilt_is_told_against_the_rest_before_the_set(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    struct bp_sideways_prior sure = {.tilt_factor = 1, .tilt_low_hz = 0.5, .tilt_high_hz = 3};
    make_log(l, 3, true, &NONE);
    struct bp_spell spells[2] = {l->rest, {1200, 1400}}; /* a hold within the set is no rest of it */
    l->motion.still = (struct bp_spells){2, spells};
    for (size_t i = 0; i < COUNT; i++) {
        l->tilt[i] = (i < 300 ? 1 : i < 1500 ? 3 : 0) * BP_DEGREE;
    }
    make_sideways(l, &sure, &sideways);
    assert_true(fabs(bp_sideways_tilt_deg(&sideways, 600, 700) - 2) < 1e-9);
    assert_true(fabs(bp_sideways_tilt_deg(&sideways, 1600, 1700) - 1) < 1e-9);
    assert_true(isnan(bp_sideways_tilt_deg(&sideways, 700, 600)));
}

/* A phone that lies a degree otherwise after the set did so at any moment between the rests, or bit by bit.
 */
static void turn_between_the_rests_may_come_before_the_rep_or_after_it(void **state)
{
    enum { MANY = 20 * DRAWS };
    struct logged *l = *state;
    struct bp_sideways sideways;
    struct bp_sideways_prior sure = {.tilt_factor = 1, .tilt_low_hz = 0.5, .tilt_high_hz = 3};
    const double middle_s = 650 / RATE_HZ, five_sigma = 5 * 0.5 / sqrt(MANY);
    make_log(l, 3, true, &NONE);
    for (size_t i = 0; i < COUNT; i++) {
        l->tilt[i] = (i < 300 ? 1 : 3) * BP_DEGREE;
    }
    make_sideways(l, &sure, &sideways);
    sideways.slip = (struct bp_slip){.turned_rad = BP_DEGREE, .from_s = 2.5, .at_s = 32.5};
    assert_true(fabs(bp_sideways_tilt_deg(&sideways, 600, 700) - 2) < 1e-9);
    double before = 0;
    for (int d = 0; d < MANY; d++) {
        bp_sideways_draw(&sideways, &l->random);
        double tilt = bp_sideways_tilt_deg(&sideways, 600, 700);
        assert_true(fabs(tilt - 2) < 1e-9 || fabs(tilt - 1) < 1e-9);
        before += tilt < 1.5;
    }
    assert_true(fabs(before / MANY - (middle_s - 2.5) / 30) < five_sigma);
    sideways.slip.slipped = true;
    assert_true(isnan(bp_sideways_tilt_deg(&sideways, 600, 700)));
}

/* Of a uniform error of one step the variance is step^2/12 (JCGM 100:2008, F.2.2.1). */
static void rounding_is_noise_only_where_readings_change(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    const double grid = 0.1;
    make_log(l, 1, true, &NONE);
    l->trace.force_grid = grid;
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    double all = 3 * grid * grid / 12 * sideways.hiss.share;
    assert_true(sideways.hiss.power < all && sideways.hiss.power > 0.98 * all); /* waves begin at 3 s */
    for (size_t i = 0; i < COUNT; i++) { /* after the rest every other reading is the one before */
        for (int a = 0; a < 3; a++) {
            l->force[a][i] = i > l->rest.last && i / 2 % 2 == 0 ? grid : 0;
        }
    }
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    assert_true(fabs(sideways.hiss.power - 0.5 * all) < 0.01 * all);
}

static double spread_of_draws(struct logged *l, struct bp_sideways *sideways)
{
    double value = bp_sideways_rms(sideways, FROM_S, TO_S), square = 0;
    for (int d = 0; d < DRAWS; d++) {
        bp_sideways_draw(sideways, &l->random);
        square += pow(bp_sideways_rms(sideways, FROM_S, TO_S) - value, 2) / DRAWS;
    }
    return sqrt(square) / value;
}

static void gap_in_the_stretch_widens_its_interval(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    make_log(l, 4, true, &NONE);
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    double whole = spread_of_draws(l, &sideways);
    make_log(l, 4, true, &NONE);
    size_t from = 950, lost = 12;
    for (size_t i = from; i + lost < COUNT; i++) {
        l->time_s[i] = (double)(i + lost) / RATE_HZ;
        l->along[i] = l->along[i + lost];
        l->rise[i] = l->rise[i + lost];
        l->fore[i] = l->fore[i + lost];
    }
    l->marks[from] = BP_MARK_AFTER_GAP;
    l->trace.count = COUNT - lost;
    l->motion.on_bar.last = COUNT - lost - 1;
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    assert_true(spread_of_draws(l, &sideways) > 2 * whole);
}

static void phone_that_may_lie_across_the_bar_says_so(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        make_log(l, 5, gyroscope, &NONE);
        for (size_t i = 0; i < COUNT; i++) {
            l->fore[i] *= 6;
            l->force[1][i] = l->fore[i];
        }
        l->motion.along.known = true;
        make_sideways(l, &bp_sideways_prior_defaults, &sideways);
        double known = spread_of_draws(l, &sideways);
        l->motion.along.known = false;
        make_sideways(l, &bp_sideways_prior_defaults, &sideways);
        assert_true(spread_of_draws(l, &sideways) > (gyroscope ? 5 : 2) * known);
    }
}

static void nothing_is_known_at_too_low_a_rate_or_outside_the_log(void **state)
{
    struct logged *l = *state;
    struct bp_sideways sideways;
    make_log(l, 6, true, &NONE);
    make_sideways(l, &bp_sideways_prior_defaults, &sideways);
    assert_true(isnan(bp_sideways_measure(&sideways, TO_S, FROM_S, &l->arena).rms_m));
    assert_true(isnan(bp_sideways_measure(&sideways, 1e3, 1e4, &l->arena).rms_m));
    assert_true(isnan(bp_sideways_measure(&sideways, (double)NAN, TO_S, &l->arena).rms_m));
    assert_true(isnan(bp_sideways_rms(&sideways, -5, -1)));
    l->clock.rate_hz = BP_SHAKE_RATE_MIN_HZ / 2;
    l->clock.step_s = 1 / l->clock.rate_hz;
    struct bp_error error;
    assert_int_equal(bp_sideways_make(&l->motion, &l->clock, &l->arena, &sideways, &error), BP_OK);
    assert_false(sideways.known);
    bp_sideways_draw(&sideways, &l->random);
    assert_true(isnan(measure(l, &sideways).rms_m));
    assert_true(isnan(bp_sideways_tilt_deg(&sideways, 10, 20)));
}

static void each_allocation_that_fails_is_told(void **state)
{
    struct logged *l = *state;
    for (int gyroscope = 0; gyroscope < 2; gyroscope++) {
        size_t failed = 0;
        make_log(l, 7, gyroscope, &NONE);
        for (size_t n = 0;; n++) {
            struct bp_arena arena;
            struct bp_sideways sideways;
            struct bp_error error;
            bp_arena_init(&arena);
            failing_alloc_arm(n);
            enum bp_code code = bp_sideways_make(&l->motion, &l->clock, &arena, &sideways, &error);
            bool met = failing_alloc_disarm();
            assert_int_equal(code, met ? BP_ERR_MEMORY : BP_OK);
            assert_int_equal(sideways.known, !met);
            bp_arena_free(&arena);
            if (!met) {
                break;
            }
            failed++;
        }
        assert_true(failed >= 1);
    }
}

#define WITH_LOG(test) cmocka_unit_test_setup_teardown(test, make_logged, free_logged)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LOG(draw_without_any_doubt_is_the_estimate),
        WITH_LOG(draw_comes_from_its_seed_and_rest_takes_it_back),
        WITH_LOG(lift_seen_along_the_bar_is_taken_out),
        WITH_LOG(intervals_hold_the_truth_as_often_as_they_say),
        WITH_LOG(quiet_bar_may_clatter_as_little_as_noise_hides),
        WITH_LOG(uneven_samples_keep_the_power_of_a_ring),
        WITH_LOG(direction_the_log_shows_no_better_than_assumed_gives_no_tilt),
        WITH_LOG(tilt_is_told_against_the_rest_before_the_set),
        WITH_LOG(turn_between_the_rests_may_come_before_the_rep_or_after_it),
        WITH_LOG(rounding_is_noise_only_where_readings_change),
        WITH_LOG(gap_in_the_stretch_widens_its_interval),
        WITH_LOG(phone_that_may_lie_across_the_bar_says_so),
        WITH_LOG(nothing_is_known_at_too_low_a_rate_or_outside_the_log),
        WITH_LOG(each_allocation_that_fails_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
