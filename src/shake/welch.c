/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "barplumb/units.h"
#include "shake/fft.h"

#include <math.h>

enum { SEGMENT_MIN = 8 }; /* shorter ones leave the Hann window no bin of its own */

struct scratch {
    double *window;      /* [segment] periodic Hann */
    double *points;      /* [2 * segment] two segments as one complex record */
    double *sum;         /* [segment] of |Z|² over the pairs of segments */
    double window_power; /* sum of squares of the window */
};

/* Fills one lane of points with a windowed segment less its mean, or with zeros for x NULL. */
static void load_segment(const struct scratch *scratch, const double *x, size_t segment, double *lane)
{
    double mean = 0;
    for (size_t i = 0; x != NULL && i < segment; i++) {
        mean += x[i];
    }
    mean /= (double)segment;
    for (size_t i = 0; i < segment; i++) {
        lane[2 * i] = x == NULL ? 0 : scratch->window[i] * (x[i] - mean);
    }
}

/* Adds the power of every segment to scratch->sum, two at a time: of Z = A + iB, |Z(k)|² + |Z(-k)|² is twice
 * |A|² + |B|². Returns the number of segments. */
static size_t sum_power(const double *x, size_t count, size_t segment, fftw_plan plan,
                        const struct scratch *scratch)
{
    size_t hop = segment - segment / 2, segments = (count - segment) / hop + 1;
    for (size_t s = 0; s < segments; s += 2) {
        const double *first = x + s * hop;
        load_segment(scratch, first, segment, scratch->points);
        load_segment(scratch, s + 1 < segments ? first + hop : NULL, segment, scratch->points + 1);
        bp_fft_run(plan, scratch->points);
        for (size_t k = 0; k < segment; k++) {
            double re = scratch->points[2 * k], im = scratch->points[2 * k + 1];
            scratch->sum[k] += re * re + im * im;
        }
    }
    return segments;
}

static enum bp_code take_scratch(size_t segment, struct bp_arena *arena, struct scratch *scratch)
{
    scratch->window = bp_arena_doubles(arena, segment);
    scratch->points = bp_arena_zero(arena, segment, 2 * sizeof(double));
    scratch->sum = bp_arena_zero(arena, segment, sizeof(double));
    if (scratch->window == NULL || scratch->points == NULL || scratch->sum == NULL) {
        return BP_ERR_MEMORY;
    }
    scratch->window_power = 0;
    for (size_t i = 0; i < segment; i++) {
        double w = 0.5 - 0.5 * cos(2 * BP_PI * (double)i / (double)segment);
        scratch->window[i] = w;
        scratch->window_power += w * w;
    }
    return BP_OK;
}

enum bp_code bp_welch_density(const double *x, size_t count, double rate_hz, size_t segment,
                              struct bp_arena *arena, double *psd)
{
    if (segment < SEGMENT_MIN || count < segment || !(rate_hz > 0) || !isfinite(rate_hz)) {
        return BP_ERR_ARGUMENT;
    }
    struct scratch scratch;
    if (take_scratch(segment, arena, &scratch) != BP_OK) {
        return BP_ERR_MEMORY;
    }
    fftw_plan plan = bp_fft_make(segment, scratch.points);
    if (plan == NULL) {
        return BP_ERR_MEMORY;
    }
    size_t segments = sum_power(x, count, segment, plan, &scratch);
    bp_fft_free(plan);
    double scale = 1 / (rate_hz * scratch.window_power * (double)segments);
    for (size_t k = 0; k <= segment / 2; k++) {
        size_t mirror = k == 0 ? 0 : segment - k;
        double both = 0.5 * (scratch.sum[k] + scratch.sum[mirror]);
        /* One-sided: every bin stands for its mirror too, but for those that are their own. */
        psd[k] = scale * both * (k == mirror ? 1 : 2);
    }
    return BP_OK;
}
