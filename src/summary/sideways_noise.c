/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * How noisy the record of the movement along the bar is from moment to moment: the sensor's own noise,
 * clatter that folded back into the band, and what happened in samples that are missing or clipped.
 */
#include "summary/sideways_shapes.h"

#include <math.h>

static const double WINDOW_S = 1; /* noise in the band is of about the last second */
/* What stands out of the straight line between its neighbours has 1.5 times a white noise's variance. */
static const double WHITE = 1.5;
static const double GAP_STEPS = 1.5; /* a step of more than this many has lost a sample */
/* (m/s^2)^2: a gap of under two steps hides nothing to speak of. */
static const double missed_least = 1e-2;
static const double STROKE_S = 0.25; /* within this a bar's acceleration changes */

/* x[i] squared against the line between its neighbours: clatter and noise the rate does not resolve. */
static double roughness(const struct bp_trace *trace, const double *x, size_t i)
{
    const double *t = trace->time_s;
    if (i == 0 || i + 1 >= trace->count) {
        return 0;
    }
    double share = (t[i] - t[i - 1]) / (t[i + 1] - t[i - 1]);
    double rest = x[i] - (x[i - 1] + share * (x[i + 1] - x[i - 1]));
    return rest * rest;
}

/* Mean roughness about each sample, into rough [trace->count]. */
static void find_roughness(const struct bp_sideways *s, double *rough)
{
    const struct bp_trace *trace = s->motion->trace;
    const double *x = s->motion->along_m_s2, *t = trace->time_s;
    size_t from = 0, to = 0; /* [from, to) is summed */
    double sum = 0;
    for (size_t i = 0; i < trace->count; i++) {
        for (; to < trace->count && t[to] <= t[i] + WINDOW_S / 2; to++) {
            sum += roughness(trace, x, to);
        }
        for (; t[from] < t[i] - WINDOW_S / 2; from++) {
            sum -= roughness(trace, x, from);
        }
        rough[i] = fmax(sum, 0) / (double)(to - from);
    }
}

/* Variance of the speed that is missed between samples i-1 and i, (m/s)^2: of lost samples, for what of
 * clatter fell into them; */
static double lost_speed(const struct bp_sideways *s, const double *rough, size_t i)
{
    const double *time = s->motion->trace->time_s;
    double dt = time[i] - time[i - 1];
    return dt > GAP_STEPS * s->step_s ? (dt / s->step_s - 1) * s->step_s * s->step_s * rough[i] : 0;
}

/* and of a gap or a clipped reading, for the movement itself. */
static double hidden_speed(const struct bp_sideways *s, size_t i)
{
    const struct bp_trace *trace = s->motion->trace;
    double dt = trace->time_s[i] - trace->time_s[i - 1], variance = 0;
    if (dt > GAP_STEPS * s->step_s) {
        double part = fmin(dt / STROKE_S, 1), hidden = s->prior->gap_accel_m_s2 * dt * part * part;
        variance += hidden * hidden;
    }
    if (trace->marks[i] & BP_MARK_CLIPPED) {
        variance += s->prior->clip_accel_m_s2 * s->prior->clip_accel_m_s2 * dt * dt;
    }
    return variance;
}

static size_t even_of(const struct bp_sideways *s, size_t i, size_t count)
{
    size_t k = (size_t)lround(s->motion->trace->time_s[i] / s->step_s);
    return k < count ? k : count - 1;
}

/* Which part of the roughness is noise in the band. A ring of links that the rate resolves leaves little of
 * itself so far below its own frequency; what lies past half the rate folds back, as far as the sensor let it
 * through. */
static double share_in_band(const struct bp_sideways *s)
{
    double folds = fmax(1 - 0.5 / (s->step_s * s->prior->ring_hz), 0);
    return s->prior->rough_share + s->prior->fold_share * folds;
}

/* Adds what was lost to the variance about it. */
static void spread_lost(const struct bp_sideways *s, size_t count, const double *lost, double *variance)
{
    size_t reach = (size_t)(WINDOW_S / 2 / s->step_s);
    double sum = 0, length = (double)(2 * reach + 1);
    for (size_t k = 0; k < count + reach; k++) {
        sum += k < count ? lost[k] : 0;
        sum -= k > 2 * reach ? lost[k - 2 * reach - 1] : 0;
        if (k >= reach) {
            variance[k - reach] += fmax(sum, 0) / length;
        }
    }
}

bool bp_sideways_noise(const struct bp_sideways *sideways, size_t count, double *rough, double *sd,
                       double *missed)
{
    const struct bp_trace *trace = sideways->motion->trace;
    double white = sideways->motion->noise.force_sd * sideways->motion->noise.force_sd;
    double share = share_in_band(sideways), per_step = 1 / (sideways->step_s * sideways->step_s);
    bool any = false;
    find_roughness(sideways, rough);
    size_t i = 0;
    for (size_t k = 0; k < count; k++) {
        for (; i + 1 < trace->count && trace->time_s[i] < (double)k * sideways->step_s; i++) {
        }
        sd[k] = white + share * fmax(rough[i] / WHITE - white, 0);
        missed[k] = 0;
    }
    for (i = 1; i < trace->count; i++) {
        missed[even_of(sideways, i, count)] += per_step * lost_speed(sideways, rough, i);
    }
    spread_lost(sideways, count, missed, sd);
    for (size_t k = 0; k < count; k++) {
        sd[k] = sqrt(sideways->prior->noise * sd[k]);
        missed[k] = 0;
    }
    for (i = 1; i < trace->count; i++) {
        double variance = sideways->prior->noise * per_step * hidden_speed(sideways, i);
        size_t k = even_of(sideways, i, count);
        missed[k] = hypot(missed[k], sqrt(variance));
        any = any || variance > missed_least;
    }
    return any;
}
