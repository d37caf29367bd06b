/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/random.h"
#include "barplumb/strength.h"
#include "near.h"

enum { REPS_MOST = 40 };

static struct bp_strength_left left_of(const double *speeds, size_t reps,
                                       const struct bp_strength_settings *settings)
{
    struct bp_quantity velocity[REPS_MOST] = {0};
    for (size_t r = 0; r < reps; r++) {
        velocity[r] = (struct bp_quantity){speeds[r], speeds[r] - 0.008, speeds[r] + 0.008};
        if (isnan(speeds[r])) {
            velocity[r] = bp_quantity_unknown();
        }
    }
    struct bp_strength_left left;
    struct bp_error error;
    memset(&left, 0x5a, sizeof left);
    assert_int_equal(bp_strength_reps_left(velocity, reps, BP_BENCH, settings, &left, &error), BP_OK);
    if (left.reason == BP_STRENGTH_GIVEN) {
        assert_true(left.low < left.high);
    } else {
        assert_true(left.low == 0 && left.high == 0 && !left.or_more);
    }
    return left;
}

/* 0.04 m/s a rep, to the lifter's own 0.20 m/s: after the sixth, at 0.40, the line gets there with rep 11.
 * The near end allows for twice the slowing. */
static void a_set_that_slows_evenly_has_its_end_inside(void **state)
{
    (void)state;
    struct bp_strength_settings own = bp_strength_defaults;
    own.minimal_m_s = (struct bp_quantity){0.20, 0.19, 0.21};
    own.most_left = 12;
    static const double speeds[6] = {0.60, 0.56, 0.52, 0.48, 0.44, 0.40};
    struct bp_strength_left left = left_of(speeds, 6, &own);
    assert_int_equal(left.reason, BP_STRENGTH_GIVEN);
    assert_near(left.line.slope, -0.04, 1e-12);
    assert_true(left.low >= 1 && left.low <= 2);
    assert_true(left.high >= 5 && left.high <= 8 && !left.or_more);
    /* counted up to less, it says "or more" */
    own.most_left = 4;
    left = left_of(speeds, 6, &own);
    assert_true(left.high == 4 && left.or_more);
    /* a rep whose speed is unknown keeps its number */
    double gap[6];
    memcpy(gap, speeds, sizeof gap);
    gap[2] = (double)NAN;
    left = left_of(gap, 6, &own);
    assert_near(left.line.slope, -0.04, 1e-12);
    assert_int_equal(left.line.count, 5);
}

static void reps_measured_less_well_widen_the_range(void **state)
{
    (void)state;
    struct bp_strength_settings own = bp_strength_defaults;
    own.minimal_m_s = bp_quantity_plain(0.20);
    own.most_left = 30;
    struct bp_quantity velocity[8];
    struct bp_strength_left left[2];
    for (int wide = 0; wide < 2; wide++) {
        for (size_t r = 0; r < 8; r++) {
            double v = 0.80 - 0.04 * (double)r, half = wide ? 0.10 : 0.005;
            velocity[r] = (struct bp_quantity){v, v - half, v + half};
        }
        assert_int_equal(bp_strength_reps_left(velocity, 8, BP_BENCH, &own, &left[wide], NULL), BP_OK);
        assert_int_equal(left[wide].reason, BP_STRENGTH_GIVEN);
    }
    assert_true(left[1].low < left[0].low && left[1].high > left[0].high);
}

/* The rep that ends a set scatters like any other: the far end is that of one new rep, not of the line. */
static void range_is_that_of_one_more_rep(void **state)
{
    (void)state;
    struct bp_strength_settings own = bp_strength_defaults;
    own.minimal_m_s = bp_quantity_plain(0.20);
    own.most_left = 60;
    struct bp_quantity velocity[8];
    for (size_t r = 0; r < 8; r++) {
        velocity[r] = bp_quantity_plain(0.45 - 0.02 * (double)r);
    }
    struct bp_strength_left left;
    struct bp_quantity of_rep, of_line;
    double scatter = 0.05 * (0.45 + 0.31) / 2;
    assert_int_equal(bp_strength_reps_left(velocity, 8, BP_BENCH, &own, &left, NULL), BP_OK);
    assert_int_equal(left.reason, BP_STRENGTH_GIVEN);
    assert_true(bp_line_crossing(&left.line, 0.20, 0, scatter, &of_rep));
    assert_true(bp_line_crossing(&left.line, 0.20, 0, 0, &of_line));
    assert_true(floor(of_rep.high - 8) > floor(of_line.high - 8));
    assert_near((double)left.high, floor(of_rep.high - 8), 0);
    assert_near((double)left.low, floor((of_rep.low - 8) / 2), 0);
}

static void a_last_rep_above_the_line_is_no_drop(void **state)
{
    (void)state;
    static const double speeds[7] = {0.60, 0.56, 0.52, 0.48, 0.44, 0.40, 0.62};
    struct bp_strength_settings own = bp_strength_defaults;
    own.minimal_m_s = bp_quantity_plain(0.20);
    assert_int_equal(left_of(speeds, 7, &own).reason, BP_STRENGTH_GIVEN);
}

static void a_set_at_its_end_has_none_or_one_left(void **state)
{
    (void)state;
    struct bp_strength_settings own = bp_strength_defaults;
    own.minimal_m_s = (struct bp_quantity){0.20, 0.19, 0.21};
    static const double speeds[7] = {0.60, 0.54, 0.47, 0.41, 0.33, 0.28, 0.21};
    struct bp_strength_left left = left_of(speeds, 7, &own);
    assert_int_equal(left.reason, BP_STRENGTH_GIVEN);
    assert_int_equal(left.low, 0);
    assert_true(left.high <= 2);
}

static void no_range_comes_with_its_reason(void **state)
{
    (void)state;
    static const double two[2] = {0.5, 0.4};
    static const double even[5] = {0.50, 0.51, 0.49, 0.50, 0.50};
    static const double faster[5] = {0.40, 0.42, 0.45, 0.47, 0.50};
    static const double drop[7] = {0.60, 0.59, 0.58, 0.57, 0.56, 0.55, 0.25};
    static const double slow[5] = {0.38, 0.36, 0.33, 0.32, 0.29};
    assert_int_equal(left_of(two, 0, NULL).reason, BP_STRENGTH_FEW_REPS);
    assert_int_equal(left_of(two, 2, NULL).reason, BP_STRENGTH_FEW_REPS);
    assert_int_equal(left_of(even, 5, NULL).reason, BP_STRENGTH_NO_SLOWING);
    assert_int_equal(left_of(faster, 5, NULL).reason, BP_STRENGTH_NO_SLOWING);
    assert_int_equal(left_of(drop, 7, NULL).reason, BP_STRENGTH_LAST_DROPS);
    assert_int_equal(left_of(slow, 5, NULL).reason, BP_STRENGTH_TOO_WIDE);
}

static void wrong_arguments_are_named(void **state)
{
    (void)state;
    struct bp_quantity velocity[BP_LINE_POINTS_MAX + 1];
    for (size_t i = 0; i < BP_LINE_POINTS_MAX + 1; i++) {
        velocity[i] = bp_quantity_plain(0.5);
    }
    struct bp_strength_left left;
    struct bp_error error;
    struct bp_strength_settings wrong = bp_strength_defaults;
    wrong.quickening = 0.5;
    memset(&left, 0x5a, sizeof left);
    assert_int_equal(bp_strength_reps_left(velocity, BP_LINE_POINTS_MAX + 1, BP_BENCH, NULL, &left, &error),
                     BP_ERR_LIMIT);
    assert_true(left.low == 0 && left.high == 0 && left.line.count == 0);
    assert_int_equal(bp_strength_reps_left(velocity, 5, BP_LIFT_COUNT, NULL, &left, NULL), BP_ERR_ARGUMENT);
    assert_int_equal(bp_strength_reps_left(velocity, 5, BP_BENCH, &wrong, &left, &error), BP_ERR_ARGUMENT);
    velocity[3].value = -0.2;
    assert_int_equal(bp_strength_reps_left(velocity, 5, BP_BENCH, NULL, &left, &error), BP_ERR_ARGUMENT);
    assert_non_null(strstr(error.text, "rep 4"));
}

/* Simulated sets: the speed falls from the first rep to the lifter's minimal velocity, which it meets at some
 * rep, by a power of the way there: 1 evenly, 2 ever faster. The set is stopped somewhere, and its truth is
 * how many more reps, scatter and all, would have stayed above the minimal velocity. */
struct world {
    double power;
    double least_cv, most_cv; /* scatter of a rep, share of the mean */
    bool own;                 /* the lifter's minimal velocity is known to ±0.02 m/s */
};
struct tally {
    size_t sets, given, inside, more, fewer; /* more: truth above the range */
};

struct fatigue {
    double first, minimal, reps, human;
};

static double rep_speed(const struct fatigue *fatigue, double power, size_t rep, struct bp_random *random)
{
    double way = (double)(rep - 1) / (fatigue->reps - 1);
    return fatigue->first - (fatigue->first - fatigue->minimal) * pow(way, power) +
           fatigue->human * bp_random_normal(random);
}

static struct fatigue some_fatigue(const struct world *world, struct bp_random *random)
{
    struct fatigue fatigue;
    do {
        fatigue.minimal = 0.17 + 0.04 * bp_random_normal(random);
    } while (fatigue.minimal < 0.06);
    fatigue.first = fatigue.minimal + bp_random_between(random, 0.15, 0.5);
    fatigue.reps = bp_random_between(random, 4, 16);
    fatigue.human =
        bp_random_between(random, world->least_cv, world->most_cv) * (fatigue.first + fatigue.minimal) / 2;
    return fatigue;
}

/* Does so many reps, then counts on; false when the set would have ended before. */
static bool do_set(const struct world *world, const struct fatigue *fatigue, size_t reps, double *speeds,
                   size_t *truth, struct bp_random *random)
{
    for (size_t r = 0; r < reps; r++) {
        double speed = rep_speed(fatigue, world->power, r + 1, random);
        if (speed < fatigue->minimal) {
            return false;
        }
        speeds[r] = speed + 0.004 * bp_random_normal(random);
    }
    *truth = 0;
    while (rep_speed(fatigue, world->power, reps + *truth + 1, random) >= fatigue->minimal) {
        (*truth)++;
    }
    return true;
}

static struct tally study(const struct world *world, uint64_t stream)
{
    struct bp_random random;
    struct tally tally = {0, 0, 0, 0, 0};
    bp_random_init(&random, 20001, stream);
    while (tally.sets < 2000) {
        struct fatigue fatigue = some_fatigue(world, &random);
        struct bp_strength_settings settings = bp_strength_defaults;
        double speeds[REPS_MOST], known = fatigue.minimal + 0.01 * bp_random_normal(&random);
        size_t reps = (size_t)bp_random_between(&random, 3, fatigue.reps), truth = 0;
        if (!do_set(world, &fatigue, reps, speeds, &truth, &random)) {
            continue;
        }
        if (world->own) {
            settings.minimal_m_s = (struct bp_quantity){known, known - 0.0196, known + 0.0196};
        }
        struct bp_strength_left left = left_of(speeds, reps, &settings);
        tally.sets++;
        if (left.reason == BP_STRENGTH_GIVEN) {
            bool more = !left.or_more && truth > left.high;
            tally.given++;
            tally.more += more;
            tally.fewer += truth < left.low;
            tally.inside += !more && truth >= left.low;
        }
    }
    print_message(
        "power %.1f, cv %.3f-%.3f, %s: given %zu of %zu, inside %.1f %%, more left %zu, fewer %zu\n",
        world->power, world->least_cv, world->most_cv, world->own ? "own" : "lift's", tally.given, tally.sets,
        100 * (double)tally.inside / (double)tally.given, tally.more, tally.fewer);
    return tally;
}

static void the_truth_lies_in_the_range(void **state)
{
    (void)state;
    static const struct world worlds[] = {
        {1, 0.02, 0.05, false},  {1.5, 0.02, 0.05, false}, {2, 0.02, 0.05, false}, {1, 0.02, 0.05, true},
        {1.5, 0.02, 0.05, true}, {2, 0.02, 0.05, true},    {1, 0.05, 0.08, true},
    };
    for (size_t i = 0; i < sizeof worlds / sizeof *worlds; i++) {
        struct tally tally = study(&worlds[i], 50 + i);
        assert_true(tally.given > 100);
        assert_true((double)tally.inside >= 0.93 * (double)tally.given);
        /* the dangerous side: it said more were left than there were */
        assert_true((double)tally.fewer <= 0.05 * (double)tally.given);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_set_that_slows_evenly_has_its_end_inside),
        cmocka_unit_test(reps_measured_less_well_widen_the_range),
        cmocka_unit_test(range_is_that_of_one_more_rep),
        cmocka_unit_test(a_last_rep_above_the_line_is_no_drop),
        cmocka_unit_test(a_set_at_its_end_has_none_or_one_left),
        cmocka_unit_test(no_range_comes_with_its_reason),
        cmocka_unit_test(wrong_arguments_are_named),
        cmocka_unit_test(the_truth_lies_in_the_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
