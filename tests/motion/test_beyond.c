/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/beyond.h"

#include "barplumb/random.h"
#include "barplumb/units.h"

#include <math.h>
#include <string.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>

enum { COUNT = 100 };
static const double limit = 2 * BP_STANDARD_GRAVITY, step_s = 0.01;

static double time_s[COUNT], axis[3][COUNT], up[3][COUNT], rise[COUNT], whole[COUNT];
static uint8_t marks[COUNT];
static struct bp_trace trace;
static struct bp_motion motion;

/* A push of `peak` over gravity, half a sine from 0.3 s on for length_s, on the axis that is up; its sign is
 * the phone's way round. */
static void push(double peak, double length_s, double sign)
{
    memset(axis, 0, sizeof axis);
    memset(up, 0, sizeof up);
    memset(marks, 0, sizeof marks);
    for (size_t i = 0; i < COUNT; i++) {
        time_s[i] = (double)i * step_s;
        double x = (time_s[i] - 0.3) / length_s;
        whole[i] = x > 0 && x < 1 ? peak * sin(BP_PI * x) : 0;
        up[2][i] = sign;
        axis[2][i] = sign * fmin(BP_STANDARD_GRAVITY + whole[i], limit);
        rise[i] = sign * axis[2][i] - BP_STANDARD_GRAVITY;
        marks[i] = BP_STANDARD_GRAVITY + whole[i] >= limit ? BP_MARK_CLIPPED : 0;
    }
    trace = (struct bp_trace){
        .count = COUNT, .time_s = time_s, .marks = marks, .force_limit = limit, .gyroscope = true};
    motion = (struct bp_motion){.trace = &trace, .rise_m_s2 = rise};
    for (int a = 0; a < 3; a++) {
        trace.force[a] = axis[a];
        motion.up[a] = up[a];
    }
}

static double sum(const double *v)
{
    double total = 0;
    for (size_t i = 0; i < COUNT; i++) {
        total += v[i];
    }
    return total;
}

/* The speed that the limit takes away comes back to within a tenth, whichever way the phone lies. */
static void a_short_clipped_push_is_made_whole(void **state)
{
    (void)state;
    const double signs[] = {1, -1};
    for (size_t n = 0; n < 2; n++) {
        push(15, 0.2, signs[n]);
        double lost = sum(whole) - sum(rise);
        assert_true(lost > 10);
        bp_beyond_add(&motion);
        assert_true(fabs(sum(whole) - sum(rise)) < 0.1 * lost);
    }
}

static void readings_under_the_limit_are_left_alone(void **state)
{
    (void)state;
    push(15, 0.2, 1);
    double before[COUNT];
    memcpy(before, rise, sizeof rise);
    bp_beyond_add(&motion);
    for (size_t i = 0; i < COUNT; i++) {
        assert_true(rise[i] >= before[i]);
        assert_true(marks[i] == BP_MARK_CLIPPED || rise[i] == before[i]);
    }
}

static void nothing_is_made_up(void)
{
    double before = sum(rise);
    bp_beyond_add(&motion);
    assert_true(sum(rise) == before);
}

static void long_runs_torn_ones_and_unknown_limits_stay_as_they_are(void **state)
{
    (void)state;
    push(30, 0.3, 1); /* over the limit for 0.24 s */
    nothing_is_made_up();
    push(15, 0.2, 1);
    marks[40] |= BP_MARK_AFTER_GAP; /* in the middle of it */
    nothing_is_made_up();
    push(15, 0.2, 1);
    trace.force_limit = (double)NAN;
    nothing_is_made_up();
    push(15, 0.2, 1);
    trace.gyroscope = false;
    nothing_is_made_up();
    push(5, 0.2, 1);
    nothing_is_made_up();
}

enum { LONG = 20000 };
static double long_time[LONG], long_axis[3][LONG], long_up[3][LONG], long_rise[LONG];
static uint8_t long_marks[LONG];

/* Clatter that comes and goes from sample to sample: of either sign, its size exponential of mean `size`, on
 * an axis that is up. Returns what the limit takes away of it, summed. */
static double rattle(double size)
{
    struct bp_random random;
    double lost = 0;
    bp_random_init(&random, 7, 11);
    for (size_t i = 0; i < LONG; i++) {
        double a = -size * log(bp_random_between(&random, 1e-12, 1));
        double f = BP_STANDARD_GRAVITY + (bp_random_between(&random, 0, 1) < 0.5 ? -a : a);
        double read = fmax(fmin(f, limit), -limit);
        long_time[i] = (double)i * step_s;
        long_axis[2][i] = read;
        long_up[2][i] = 1;
        long_rise[i] = read - BP_STANDARD_GRAVITY;
        long_marks[i] = fabs(f) >= limit ? BP_MARK_CLIPPED : 0;
        lost += f - read;
    }
    trace = (struct bp_trace){
        .count = LONG, .time_s = long_time, .marks = long_marks, .force_limit = limit, .gyroscope = true};
    motion = (struct bp_motion){.trace = &trace, .rise_m_s2 = long_rise, .on_bar = {0, LONG - 1}};
    for (int a = 0; a < 3; a++) {
        trace.force[a] = long_axis[a];
        motion.up[a] = long_up[a];
    }
    return lost;
}

/* Gravity leaves less room to one side of the limit than to the other: what clatter loses there would pull
 * the speed down without end. The mean excess is the scale it was drawn with. */
static void check_clatter(bool gyroscope)
{
    const double size = 4;
    double lost = rattle(size), before = 0, after = 0;
    trace.gyroscope = gyroscope;
    for (size_t i = 0; i < LONG; i++) {
        before += long_rise[i];
    }
    bp_beyond_add(&motion);
    for (size_t i = 0; i < LONG; i++) {
        after += long_rise[i];
    }
    assert_true(lost > 2000);
    assert_true(fabs(motion.past_limit_m_s2 / size - 1) < 0.03);
    assert_true(fabs(after - before - lost) < 0.1 * lost);
}

static void clatter_past_the_limit_is_made_whole_on_average(void **state)
{
    (void)state;
    check_clatter(true);
    check_clatter(false);
}

/* Nothing is said from a few high readings. */
static void a_calm_log_says_nothing_of_what_lies_past_the_limit(void **state)
{
    (void)state;
    rattle(0.3);
    bp_beyond_add(&motion);
    assert_true(motion.past_limit_m_s2 == 0);
}

static void a_log_that_begins_or_ends_at_the_limit_is_left_alone(void **state)
{
    (void)state;
    push(0, 0.2, 1);
    axis[2][0] = axis[2][1] = axis[2][2] = limit;
    axis[2][COUNT - 1] = axis[2][COUNT - 2] = axis[2][COUNT - 3] = limit;
    nothing_is_made_up();
    axis[2][0] = axis[2][COUNT - 1] = BP_STANDARD_GRAVITY; /* one sample to go by is too few */
    nothing_is_made_up();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_short_clipped_push_is_made_whole),
        cmocka_unit_test(readings_under_the_limit_are_left_alone),
        cmocka_unit_test(long_runs_torn_ones_and_unknown_limits_stay_as_they_are),
        cmocka_unit_test(clatter_past_the_limit_is_made_whole_on_average),
        cmocka_unit_test(a_calm_log_says_nothing_of_what_lies_past_the_limit),
        cmocka_unit_test(a_log_that_begins_or_ends_at_the_limit_is_left_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
