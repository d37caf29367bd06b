/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the readings themselves show of their sensor: its limit and its rounding.
 */
#include "import/stream.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdlib.h>

/* Where sensors end: +-2, 4, 8, 16 g and +-250, 500, 1000, 2000 deg/s are what phones are set to. */
static const double force_ends[] = {2.0 * BP_STANDARD_GRAVITY, 4.0 * BP_STANDARD_GRAVITY,
                                    8.0 * BP_STANDARD_GRAVITY, 16.0 * BP_STANDARD_GRAVITY};
static const double turn_ends[] = {250.0 * BP_DEGREE, 500.0 * BP_DEGREE, 1000.0 * BP_DEGREE,
                                   2000.0 * BP_DEGREE};
enum { ENDS = 4 };
#define END_TOLERANCE 0.005 /* calibration moves the end by a few parts in a thousand */
/* At any other extreme, a flat top of RUN_ANY samples counts as clipping when it is past what rest and slow
 * movement show, where coarse readings repeat too. */
#define FORCE_CLIP_LEAST (1.8 * BP_STANDARD_GRAVITY)
#define TURN_CLIP_LEAST (200.0 * BP_DEGREE)
enum { RUN_AT_END = 2, RUN_ANY = 3, RUN_LOW = 5 };
/* Below that, readings finer than the least noise of a phone's sensor (60 µg/√Hz: component data sheets) do
 * not stand at their very extreme for RUN_LOW in a row, unless the log repeats readings anyway. */
#define QUIETEST_DENSITY (60e-6 * BP_STANDARD_GRAVITY)
#define FINE_STEPS 1.25
#define REPEATS_MOST 0.3

static bool near_end(double value, const double *ends)
{
    for (int i = 0; i < ENDS; i++) {
        if (fabs(value - ends[i]) <= END_TOLERANCE * ends[i]) {
            return true;
        }
    }
    return false;
}

static inline void widen(double *least, double *most, double low, double high)
{
    *least = low < *least ? low : *least;
    *most = high > *most ? high : *most;
}

/* Several at a time, so that no comparison waits for the one before it. */
static void find_extremes(const double *v, size_t count, double *least, double *most)
{
    enum { LANES = 8 };
    double low[LANES], high[LANES];
    size_t whole = count - count % LANES;
    for (size_t k = 0; k < LANES; k++) {
        low[k] = high[k] = v[0];
    }
    for (size_t i = 0; i < whole; i += LANES) {
        for (size_t k = 0; k < LANES; k++) {
            widen(&low[k], &high[k], v[i + k], v[i + k]);
        }
    }
    *least = *most = v[0];
    for (size_t k = 0; k < LANES; k++) {
        widen(least, most, low[k], high[k]);
    }
    for (size_t i = whole; i < count; i++) {
        widen(least, most, v[i], v[i]);
    }
}

/* Are there so many readings in a row at `at`? Every needed-th reading is looked at: such a run holds one. */
static bool stands_at(const double *v, size_t count, double at, size_t needed)
{
    for (size_t i = needed - 1; i < count; i += needed) {
        if (v[i] != at) {
            continue;
        }
        size_t first = i, end = i + 1;
        while (first > 0 && end - first < needed && v[first - 1] == at) {
            first--;
        }
        while (end < count && end - first < needed && v[end] == at) {
            end++;
        }
        if (end - first == needed) {
            return true;
        }
    }
    return false;
}

static void mark_extreme(const double *time, const double *v, size_t count, double at, uint8_t *marks,
                         uint8_t mark, struct bp_quality *q)
{
    for (size_t i = 0; i < count; i++) {
        if (v[i] != at) {
            continue;
        }
        if (q->clipped == 0 || time[i] < q->first_s) {
            q->first_s = time[i];
        }
        q->clipped++;
        marks[i] |= mark;
    }
    q->limit = isnan(q->limit) || fabs(at) < q->limit ? fabs(at) : q->limit;
}

/* Are the readings so fine, and each so new, that any flat top is a sensor's end? */
static bool telling(const double *time, const double *v, size_t count, double grid)
{
    double rate_hz = (double)(count - 1) / (time[count - 1] - time[0]);
    size_t repeats = 0;
    if (!(grid <= FINE_STEPS * QUIETEST_DENSITY * sqrt(rate_hz / 2))) {
        return false;
    }
    for (size_t i = 1; i < count; i++) {
        repeats += v[i] == v[i - 1];
    }
    return (double)repeats < REPEATS_MOST * (double)count;
}

/* How many readings in a row at an extreme of this size are clipping. */
static size_t run_needed(double size, bool gyroscope, bool fine)
{
    if (size < (gyroscope ? TURN_CLIP_LEAST : FORCE_CLIP_LEAST)) {
        return fine && !gyroscope ? RUN_LOW : SIZE_MAX;
    }
    return near_end(size, gyroscope ? turn_ends : force_ends) ? RUN_AT_END : RUN_ANY;
}

static void judge_clipping(const double *time, const double *v, size_t count, bool gyroscope, double grid,
                           uint8_t *marks, uint8_t mark, struct bp_quality *q)
{
    double most, least;
    find_extremes(v, count, &least, &most);
    const double extremes[2] = {most, least};
    q->finite = q->finite && isfinite(most) && isfinite(least);
    bool fine = !gyroscope && most > least && telling(time, v, count, grid);
    for (int k = 0; k < 2; k++) {
        double size = k == 0 ? extremes[0] : -extremes[1];
        if (extremes[k] != 0.0 && /* no sensor ends there; a log may be filled up with it */
            stands_at(v, count, extremes[k], run_needed(size, gyroscope, fine))) {
            mark_extreme(time, v, count, extremes[k], marks, mark, q);
        }
    }
}

/* ---- the rounding step ---- */

enum { GRID_SAMPLES = 2048, GRID_FIRST = 256, GRID_LEVELS = 6, GRID_PARTS = 4, GRID_TOLERANCES = 20 };
#define GRID_FIT 0.05 /* of a step: how far a reading may lie off the grid */

static int ascending(const void *a, const void *b)
{
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

/* All levels lie on first + k step; the step is corrected as k grows, so that its own rounding does not add
 * up. Returns the step, 0 when they do not. */
static double confirm_step(const double *levels, size_t count, double step)
{
    for (size_t i = 1; i < count; i++) {
        double k = round((levels[i] - levels[0]) / step);
        if (k < 1.0 || fabs(levels[i] - levels[0] - k * step) > GRID_FIT * step) {
            return 0.0;
        }
        step = (levels[i] - levels[0]) / k;
    }
    return step;
}

/* The first most unmended readings, sorted, those that are the same but for their text's rounding taken once.
 */
static size_t sort_levels(const double *v, size_t count, const uint8_t *marks, size_t most, double *levels,
                          double *tolerance)
{
    size_t n = 0, kept = 0;
    for (size_t i = 0; i < count && n < most; i++) {
        if ((marks[i] & BP_MARK_MENDED) == 0) {
            levels[n++] = v[i];
        }
    }
    if (n < GRID_LEVELS) {
        return 0;
    }
    qsort(levels, n, sizeof levels[0], ascending);
    *tolerance = 1e-6 * fmax(fabs(levels[0]), fabs(levels[n - 1])) + 1e-9;
    for (size_t i = 0; i < n; i++) {
        if (kept == 0 || levels[i] - levels[kept - 1] > *tolerance) {
            levels[kept++] = levels[i];
        }
    }
    return kept;
}

static double least_step(const double *levels, size_t count)
{
    double least = levels[1] - levels[0];
    for (size_t i = 2; i < count; i++) {
        double step = levels[i] - levels[i - 1];
        least = step < least ? step : least;
    }
    return least;
}

/* The step all readings of one axis are rounded to; 0 when none shows. Text has six or more digits in most
 * logs: a step that small is no property worth telling, and shows in the first few readings already. */
static double find_grid(const double *v, size_t count, const uint8_t *marks)
{
    double levels[GRID_SAMPLES], tolerance = 0.0, step = 0.0;
    size_t kept = sort_levels(v, count, marks, GRID_FIRST, levels, &tolerance);
    if (kept >= GRID_LEVELS && least_step(levels, kept) <= GRID_TOLERANCES * tolerance) {
        return 0.0;
    }
    kept = sort_levels(v, count, marks, GRID_SAMPLES, levels, &tolerance);
    if (kept < GRID_LEVELS) {
        return 0.0;
    }
    /* Hundreds of readings hold two that are one step apart, or two and three steps. */
    double least = least_step(levels, kept);
    for (int k = 1; k <= GRID_PARTS && step == 0.0 && least > GRID_TOLERANCES * k * tolerance; k++) {
        step = confirm_step(levels, kept, least / k);
    }
    return step;
}

void bp_import_judge(const double *time, double *const value[3], size_t count, bool gyroscope, uint8_t *marks,
                     uint8_t mark, struct bp_quality *quality)
{
    *quality = (struct bp_quality){.limit = (double)NAN, .first_s = (double)NAN, .finite = true};
    for (int a = 0; a < 3 && count > 0; a++) {
        double grid = find_grid(value[a], count, marks);
        quality->grid = grid > quality->grid ? grid : quality->grid;
        judge_clipping(time, value[a], count, gyroscope, grid, marks, mark, quality);
    }
}
