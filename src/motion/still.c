/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Still spells. The log's quietest windows tell its noise; the likelihood test of Skog et al. (2010) with
 * that noise tells where the bar is still; the spells then tell the noise again, this time without the
 * selection of the quietest.
 */
#include "barplumb/motion.h"
#include "barplumb/units.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const struct bp_still_settings bp_still_defaults = {.window_s = 0.25, .threshold = 4.0, .least_spell_s = 0.4};

enum { LEAST_WINDOW = 5 };

/* A phone louder than this at rest is not at rest. Accelerometer: 400 µg/√Hz (the Android CDD's limit for
 * better phones) at 400 Hz is 0.055 m/s²; a coarse grid adds its own. Gyroscope: 0.014 °/s/√Hz is 0.2 °/s. */
static const double FORCE_SD_MOST = 0.08, TURN_SD_MOST = 0.006;
static const double FORCE_SD_LEAST = 1e-4, TURN_SD_LEAST = 1e-5;
static const double QUIET_SHARE = 0.02;
/* What gravity's length may differ by between two rests: an accelerometer's offset, 40 mg in a common phone
 * (data sheets), seen through the 9 degrees by which a bar rolls from one rest to the next. */
static const double GRAVITY_SLACK = 0.06;          /* m/s^2 */
static const double GRID_SD = 0.28867513459481287; /* of a value rounded to a grid of 1: 1/sqrt(12) */

/* Running sums so that any window's statistic costs the same: f, |f|², ω, |ω|². */
struct sums {
    double force[3], force2, turn[3], turn2;
};

struct test {
    const struct bp_trace *trace;
    size_t window;
    double gravity, force_sd, turn_sd;
    const double *turn_bias;
};

static void add_sample(struct sums *s, const struct bp_trace *trace, size_t i, double sign)
{
    double f2 = 0, w2 = 0;
    for (int a = 0; a < 3; a++) {
        double f = trace->force[a][i];
        s->force[a] += sign * f;
        f2 += f * f;
        if (trace->gyroscope) {
            double w = trace->turn[a][i];
            s->turn[a] += sign * w;
            w2 += w * w;
        }
    }
    s->force2 += sign * f2;
    s->turn2 += sign * w2;
}

static double length3(const double v[3])
{
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

/* Mean variance of one axis over a window of n. */
static double axis_variance(const double sum[3], double sum2, double n)
{
    double mean2 = (sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]) / (n * n);
    return fmax(0, (sum2 / n - mean2) / 3 * n / (n - 1));
}

/* Σ|f - g f̄/|f̄||² = Σ|f - f̄|² + n (|f̄| - g)², where what the offset explains of |f̄| - g does not count; else
 * the same statistic as bp_still_statistic, from sums, and with the gyroscope's bias taken out. */
static double window_statistic(const struct test *test, const struct sums *s)
{
    double n = (double)test->window;
    double length = length3(s->force) / n;
    double off = fmax(fabs(length - test->gravity) - GRAVITY_SLACK, 0);
    double force = s->force2 / n - length * length + off * off;
    double statistic = force / (test->force_sd * test->force_sd);
    if (!test->trace->gyroscope) {
        return statistic / 3;
    }
    const double *bias = test->turn_bias;
    double turn = s->turn2 / n;
    for (int a = 0; a < 3; a++) {
        turn += bias[a] * bias[a] - 2 * bias[a] * s->turn[a] / n;
    }
    return (statistic + turn / (test->turn_sd * test->turn_sd)) / 6;
}

double bp_still_statistic(const struct bp_trace *trace, size_t first, size_t last, double gravity,
                          double force_sd, double turn_sd)
{
    double mean[3] = {0};
    double n = (double)(last - first + 1);
    for (size_t i = first; i <= last; i++) {
        for (int a = 0; a < 3; a++) {
            mean[a] += trace->force[a][i] / n;
        }
    }
    double scale = length3(mean) > 0 ? gravity / length3(mean) : 0;
    double sum = 0;
    for (size_t i = first; i <= last; i++) {
        for (int a = 0; a < 3; a++) {
            double d = trace->force[a][i] - mean[a] * scale;
            sum += d * d / (force_sd * force_sd);
            if (trace->gyroscope) {
                sum += trace->turn[a][i] * trace->turn[a][i] / (turn_sd * turn_sd);
            }
        }
    }
    return sum / n;
}

struct quiet {
    double variance;
    size_t first;
};

static int by_variance(const void *a, const void *b)
{
    const struct quiet *p = a, *q = b;
    if (p->variance < q->variance) {
        return -1;
    }
    if (p->variance > q->variance) {
        return 1;
    }
    return p->first < q->first ? -1 : p->first > q->first;
}

static void limit_noise(const struct bp_trace *trace, struct bp_noise *noise)
{
    double force_floor = fmax(FORCE_SD_LEAST, GRID_SD * trace->force_grid);
    double turn_floor = fmax(TURN_SD_LEAST, GRID_SD * trace->turn_grid);
    noise->force_sd = fmin(fmax(noise->force_sd, force_floor), fmax(FORCE_SD_MOST, force_floor));
    if (trace->gyroscope) {
        noise->turn_sd = fmin(fmax(noise->turn_sd, turn_floor), fmax(TURN_SD_MOST, turn_floor));
    }
}

/* Noise, bias and gravity pooled over windows of the given starts and lengths. */
struct pool {
    double force_variance, turn_variance, gravity, turn[3], weight;
};

static void pool_window(struct pool *pool, const struct bp_trace *trace, size_t first, size_t n)
{
    struct sums s = {{0}, 0, {0}, 0};
    for (size_t i = first; i < first + n; i++) {
        add_sample(&s, trace, i, 1);
    }
    double weight = (double)n;
    pool->weight += weight;
    pool->force_variance += weight * axis_variance(s.force, s.force2, weight);
    pool->turn_variance += weight * axis_variance(s.turn, s.turn2, weight);
    pool->gravity += length3(s.force);
    for (int a = 0; a < 3; a++) {
        pool->turn[a] += s.turn[a];
    }
}

static void pool_noise(const struct pool *pool, const struct bp_trace *trace, struct bp_noise *noise)
{
    noise->force_sd = sqrt(pool->force_variance / pool->weight);
    noise->turn_sd = trace->gyroscope ? sqrt(pool->turn_variance / pool->weight) : (double)NAN;
    noise->gravity = pool->gravity / pool->weight;
    for (int a = 0; a < 3; a++) {
        noise->turn_bias[a] = pool->turn[a] / pool->weight;
    }
    limit_noise(trace, noise);
}

/* First guess: from the quietest windows of the log. */
static bool quiet_noise(const struct bp_trace *trace, size_t window, struct bp_arena *arena,
                        struct bp_noise *noise)
{
    size_t windows = trace->count / window;
    struct quiet *list = bp_arena_take(arena, windows, sizeof *list);
    if (!list) {
        return false;
    }
    size_t found = 0;
    for (size_t k = 0; k < windows; k++) {
        struct sums s = {{0}, 0, {0}, 0};
        for (size_t i = k * window; i < (k + 1) * window; i++) {
            add_sample(&s, trace, i, 1);
        }
        double variance = axis_variance(s.force, s.force2, (double)window);
        /* Readings that are all the same are a frozen sensor, no rest, unless they are rounded that coarsely.
         */
        if (variance > 0 || trace->force_grid > 0) {
            list[found++] = (struct quiet){variance, k * window};
        }
    }
    if (found == 0) {
        return true;
    }
    qsort(list, found, sizeof *list, by_variance);
    size_t taken = (size_t)(QUIET_SHARE * (double)windows) + 1;
    taken = taken < found ? taken : found;
    struct pool pool = {0};
    for (size_t k = 0; k < taken; k++) {
        pool_window(&pool, trace, list[k].first, window);
    }
    pool_noise(&pool, trace, noise);
    return true;
}

/* Marks the middle of every window that passes; statistic may be NULL. */
static void mark_still(const struct test *test, double threshold, unsigned char *still, double *statistic)
{
    const struct bp_trace *trace = test->trace;
    size_t half = test->window / 2;
    struct sums s = {{0}, 0, {0}, 0};
    for (size_t i = 0; i < trace->count; i++) {
        add_sample(&s, trace, i, 1);
        if (i + 1 < test->window) {
            continue;
        }
        size_t first = i + 1 - test->window;
        double value = window_statistic(test, &s);
        size_t from = first == 0 ? 0 : first + half;
        size_t to = i + 1 == trace->count ? i : first + half;
        for (size_t j = from; j <= to; j++) {
            still[j] = value < threshold;
            if (statistic) {
                statistic[j] = value;
            }
        }
        add_sample(&s, trace, first, -1);
    }
}

static size_t collect_spells(const struct bp_trace *trace, const unsigned char *still, double least_s,
                             struct bp_spell *list)
{
    size_t count = 0;
    for (size_t i = 0; i < trace->count;) {
        if (!still[i]) {
            i++;
            continue;
        }
        size_t first = i;
        while (i < trace->count && still[i] && !(i > first && (trace->marks[i] & BP_MARK_AFTER_GAP))) {
            i++;
        }
        if (trace->time_s[i - 1] - trace->time_s[first] >= least_s) {
            if (list) {
                list[count] = (struct bp_spell){first, i - 1};
            }
            count++;
        }
    }
    return count;
}

static void noise_of_spells(const struct bp_trace *trace, const struct bp_spells *spells,
                            struct bp_noise *noise)
{
    struct pool pool = {0};
    for (size_t k = 0; k < spells->count; k++) {
        pool_window(&pool, trace, spells->list[k].first, spells->list[k].last - spells->list[k].first + 1);
    }
    if (pool.weight > 0) {
        pool_noise(&pool, trace, noise);
    } else {
        noise->gravity = (double)NAN;
        memset(noise->turn_bias, 0, sizeof noise->turn_bias);
    }
}

enum bp_code bp_still_find(const struct bp_trace *trace, const struct bp_still_settings *settings,
                           struct bp_arena *arena, struct bp_spells *spells, struct bp_noise *noise,
                           double *statistic, struct bp_error *error)
{
    double rate = (double)(trace->count - 1) / (trace->time_s[trace->count - 1] - trace->time_s[0]);
    size_t window = (size_t)lround(settings->window_s * rate);
    window = window < LEAST_WINDOW ? LEAST_WINDOW : window;
    *spells = (struct bp_spells){0, NULL};
    *noise =
        (struct bp_noise){FORCE_SD_MOST, trace->gyroscope ? TURN_SD_MOST : (double)NAN, (double)NAN, {0}};
    if (trace->count < window) {
        return BP_OK;
    }
    unsigned char *still = bp_arena_zero(arena, trace->count, 1);
    if (!still || !quiet_noise(trace, window, arena, noise)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while looking for still spells");
    }
    if (!isfinite(noise->gravity)) {
        return BP_OK; /* not one window could be a rest */
    }
    struct test test = {trace, window, noise->gravity, noise->force_sd, noise->turn_sd, noise->turn_bias};
    mark_still(&test, settings->threshold, still, statistic);
    size_t count = collect_spells(trace, still, settings->least_spell_s, NULL);
    spells->list = bp_arena_take(arena, count ? count : 1, sizeof *spells->list);
    if (!spells->list) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory while looking for still spells");
    }
    spells->count = collect_spells(trace, still, settings->least_spell_s, spells->list);
    noise_of_spells(trace, spells, noise);
    return BP_OK;
}
