/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The sensor's own clock behind the stamps of a log.
 */
#include "barplumb/motion.h"

#include <math.h>
#include <string.h>

static const double REACH_S = 1.0;      /* either way, of the straight line through the stamps */
static const double SCATTER_MOST = 0.4; /* of a step; what lies further off an even clock is no scatter */
static const double LATE_MOST = 0.05;   /* share of such stamps within reach of an even clock */
static const double USUAL_MOST = 1.75;  /* of the median step: a longer one has lost a sample */
static const double PHASE_GAIN = 0.05;  /* of a stamp's distance from the clock, while samples are numbered */
enum { LEAST_RUN = 20 };                /* samples between two gaps; fewer tell nothing of their clock */

/* A run of samples without a gap: [first, end). */
struct run {
    const double *time;
    double step;
    size_t count;
    double *number; /* [count] of each sample, lost ones counted: whole numbers from 0 */
    double *even;   /* [count] */
};

/* Sums over a window of samples, for the straight line of stamp (less number times step) over number. */
struct sums {
    double n, x, xx, u, xu;
};

/* Mean of the steps that have lost nothing: with coarse stamps, 2 and 3 ms in turn, none is usual. */
static double usual_step(const struct bp_trace *trace, double median)
{
    double sum = 0;
    size_t count = 0;
    for (size_t i = 1; i < trace->count; i++) {
        double step = trace->time_s[i] - trace->time_s[i - 1];
        if (step <= USUAL_MOST * median) {
            sum += step;
            count++;
        }
    }
    return count > 0 ? sum / (double)count : median;
}

static double beside_even(const struct run *run, size_t i)
{
    return run->time[i] - run->time[0] - run->number[i] * run->step;
}

/* Follows the clock slowly, so that no scatter is taken for a lost sample. */
static void number_samples(struct run *run)
{
    double phase = 0;
    run->number[0] = 0;
    for (size_t i = 1; i < run->count; i++) {
        double number = round((run->time[i] - run->time[0] - phase) / run->step);
        run->number[i] = fmax(number, run->number[i - 1] + 1);
        phase += PHASE_GAIN * (beside_even(run, i) - phase);
    }
}

static void add(struct sums *sums, const struct run *run, size_t i, double sign)
{
    double x = run->number[i], u = beside_even(run, i);
    sums->n += sign;
    sums->x += sign * x;
    sums->xx += sign * x * x;
    sums->u += sign * u;
    sums->xu += sign * x * u;
}

/* The line's value at sample i. */
static double on_line(const struct sums *s, const struct run *run, size_t i)
{
    double spread = s->xx - s->x * s->x / s->n;
    double slope = spread > 0 ? (s->xu - s->x * s->u / s->n) / spread : 0;
    double x = run->number[i];
    return run->time[0] + x * run->step + s->u / s->n + slope * (x - s->x / s->n);
}

static size_t reach_of(const struct run *run)
{
    return (size_t)fmax(round(REACH_S / run->step), LEAST_RUN);
}

/* Every stamp onto the straight line through those about it. */
static void draw_lines(struct run *run)
{
    struct sums sums = {0};
    size_t reach = reach_of(run), from = 0, to = 0;
    for (size_t i = 0; i < run->count; i++) {
        for (; to < run->count && to <= i + reach; to++) {
            add(&sums, run, to, 1);
        }
        for (; from + reach < i; from++) {
            add(&sums, run, from, -1);
        }
        run->even[i] = on_line(&sums, run, i);
    }
}

/* A stamp here and there is late. Where more are off the line than that, there is no even clock within reach,
 * and the stamps are left as they are. */
static void keep_uneven(struct run *run)
{
    double *off = run->number; /* 1: off; the numbers have served */
    size_t reach = reach_of(run), from = 0, to = 0;
    double count = 0;
    for (size_t i = 0; i < run->count; i++) {
        off[i] = fabs(run->time[i] - run->even[i]) > SCATTER_MOST * run->step;
    }
    for (size_t i = 0; i < run->count; i++) {
        for (; to < run->count && to <= i + reach; to++) {
            count += off[to];
        }
        for (; from + reach < i; from++) {
            count -= off[from];
        }
        if (count > LATE_MOST * (double)(to - from)) {
            run->even[i] = run->time[i];
        }
    }
}

/* Where left stamps and even ones meet, left ones reach as far as order wants. */
static void keep_order(struct run *run)
{
    bool rises = true;
    for (size_t i = 1; i < run->count; i++) {
        run->even[i] = run->even[i] > run->even[i - 1] ? run->even[i] : run->time[i];
    }
    for (size_t i = run->count - 1; i-- > 0;) {
        run->even[i] = run->even[i] < run->even[i + 1] ? run->even[i] : run->time[i];
    }
    for (size_t i = 1; i < run->count; i++) {
        rises = rises && run->even[i] > run->even[i - 1];
    }
    if (!rises) {
        memcpy(run->even, run->time, run->count * sizeof *run->even);
    }
}

static void even_run(struct run *run)
{
    if (run->count < LEAST_RUN) {
        memcpy(run->even, run->time, run->count * sizeof *run->even);
        return;
    }
    number_samples(run);
    draw_lines(run);
    keep_uneven(run);
}

bool bp_motion_even_clock(const struct bp_trace *trace, double step_s, struct bp_arena *arena,
                          double **time_s)
{
    double *number = bp_arena_doubles(arena, trace->count);
    double *even = bp_arena_doubles(arena, trace->count);
    if (!number || !even) {
        return false;
    }
    double step = usual_step(trace, step_s);
    for (size_t first = 0, end; first < trace->count; first = end) {
        for (end = first + 1; end < trace->count && !(trace->marks[end] & BP_MARK_AFTER_GAP);) {
            end++;
        }
        struct run run = {trace->time_s + first, step, end - first, number + first, even + first};
        even_run(&run);
    }
    struct run whole = {trace->time_s, step, trace->count, number, even};
    even[0] = trace->time_s[0]; /* a trace begins at 0 */
    keep_order(&whole);
    *time_s = even;
    return true;
}
