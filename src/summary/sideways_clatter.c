/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sideways_clatter.h"
#include "barplumb/units.h"

#include <math.h>

/* At either end of a rest the clatter filter still rings from what was before and after. */
static const double RING_S = 0.3;
enum { AXES = 3 };

static double power_at(double *const clatter[AXES], size_t k)
{
    double sum = 0;
    for (int a = 0; a < AXES; a++) {
        sum += clatter[a][k] * clatter[a][k];
    }
    return sum;
}

/* Mean square of the clatter band over the rests, and over how many samples; 0 where there is no rest. */
static double power_at_rest(const struct bp_sideways *s, double *count)
{
    const struct bp_motion *motion = s->motion;
    const double *time = motion->trace->time_s;
    double sum = 0;
    *count = 0;
    for (size_t r = 0; r < motion->still.count; r++) {
        double from = time[motion->still.list[r].first] + RING_S,
               to = time[motion->still.list[r].last] - RING_S;
        for (size_t k = (size_t)ceil(from / s->step_s); (double)k * s->step_s <= to && k < s->bands.count;
             k++) {
            sum += power_at(s->bands.clatter_m_s2, k);
            ++*count;
        }
    }
    return *count > 0 ? sum / *count : 0;
}

/* Of the readings on the bar, rests left out, the part that differ from the one before. */
static double changing_part(const struct bp_motion *motion)
{
    const struct bp_trace *trace = motion->trace;
    double changed = 0, count = 0;
    size_t rest = 0;
    for (size_t i = motion->on_bar.first + 1; i <= motion->on_bar.last; i++) {
        while (rest < motion->still.count && motion->still.list[rest].last < i) {
            rest++;
        }
        if (rest < motion->still.count && motion->still.list[rest].first <= i) {
            continue;
        }
        for (int a = 0; a < AXES; a++) {
            changed += trace->force[a][i] != trace->force[a][i - 1];
        }
        count += AXES;
    }
    return count > 0 ? changed / count : 0;
}

/* Readings that are rounded to a coarse step stand still at rest; on the move rounding is a noise of its own:
 * white, of step^2/12, from reading to reading that is another, and nothing while they stay the same. */
void bp_sideways_hiss(struct bp_sideways *sideways)
{
    const struct bp_noise *noise = &sideways->motion->noise;
    struct bp_hiss *hiss = &sideways->hiss;
    double samples, grid = sideways->motion->trace->force_grid;
    *hiss = (struct bp_hiss){.share = 1 - 2 * BP_CLATTER_HZ * sideways->step_s};
    if (!sideways->bands.clatter_m_s2[0]) {
        return;
    }
    double rest = power_at_rest(sideways, &samples);
    if (!(samples > 0)) {
        rest = AXES * noise->force_sd * noise->force_sd * hiss->share;
        samples = 1 / (sideways->prior->hiss_alone * sideways->prior->hiss_alone);
    }
    double rounded = fmax(AXES * grid * grid / 12 * hiss->share, rest);
    double changing = rounded > rest ? changing_part(sideways->motion) : 0; /* mostly the step is fine */
    hiss->power = rest + changing * (rounded - rest);
    hiss->sd = hypot(rest * sqrt(2 / (AXES * hiss->share * samples)), (rounded - rest) / sqrt(12));
}

/* Which part of a ring's frequencies lies past half the rate. */
static double past_half(const struct bp_sideways *s)
{
    return fmax(1 - s->bands.rate_hz / 2 / s->prior->ring_hz, 0);
}

double bp_sideways_clatter_spread(const struct bp_sideways *sideways)
{
    const struct bp_sideways_prior *prior = sideways->prior;
    return hypot(prior->clatter_band, prior->force_scale);
}

/* The power of what is not the sensor's own. Noise of power P, n independent values of it, beside a signal of
 * power S makes the power of a stretch scatter by (2 P² + 4 S P) / n. z: one number per stretch. */
static double power_without_hiss(const struct bp_sideways *s, double power, size_t count, double z)
{
    const struct bp_hiss *hiss = &s->hiss;
    double signal = fmax(power - hiss->power, 0);
    if (!s->now.noisy) {
        return signal;
    }
    double values = AXES * hiss->share * (double)count;
    double scatter = sqrt((2 * hiss->power * hiss->power + 4 * signal * hiss->power) / values);
    return fmax(signal + s->prior->noise * (hiss->sd * s->now.hiss + scatter * z), 0);
}

/* What acceleration past the sensor's limit adds to the mean square of samples [first, first + count), by how
 * much it may have been past it. */
static double power_past_limit(const struct bp_sideways *s, size_t first, size_t count)
{
    const struct bp_trace *trace = s->motion->trace;
    double limit = trace->force_limit, clipped = 0;
    if (!isfinite(limit) || !s->now.noisy) {
        return 0;
    }
    double from = (double)first * s->step_s, to = (double)(first + count) * s->step_s;
    size_t low = 0, high = trace->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        low = trace->time_s[middle] < from ? middle + 1 : low;
        high = trace->time_s[middle] < from ? high : middle;
    }
    for (size_t i = low; i < trace->count && trace->time_s[i] < to; i++) {
        clipped += (trace->marks[i] & BP_MARK_CLIPPED) != 0;
    }
    double past = s->prior->clip_accel_m_s2 * fabs(s->now.clatter_peak);
    return s->prior->noise * clipped / (double)count * (2 * limit + past) * past;
}

/* The sum of a ring's squares is its energy wherever the samples fell, as long as it lies under half the rate
 * and they come evenly (Parseval). What does not hangs on where they fell: part of the ring. */
static double hangs_on_samples(const struct bp_sideways *s)
{
    return fmin(hypot(past_half(s), 2 * BP_PI * s->prior->ring_hz * s->uneven_s), 1);
}

/* A draw has the sensor's band and gain, and what fell between the samples: the mean of count squares p has a
 * relative variance of at most sum p^2 / (sum p)^2, its root half of that. */
void bp_sideways_put_clatter(const struct bp_sideways *sideways, size_t first,
                             const struct bp_shake_bands *now, struct bp_shake_figures *figures)
{
    const struct bp_sideways_state *state = &sideways->now;
    double squares = 0, sum = 0, rms = figures->clatter_rms_m_s2;
    if (!(rms > 0)) {
        return;
    }
    for (size_t i = 0; state->noisy && i < now->count; i++) {
        double p = power_at(now->clatter_m_s2, i);
        sum += p;
        squares += p * p;
    }
    double off = sum > 0 ? hangs_on_samples(sideways) * sqrt(squares) / sum / 2 : 0;
    /* Numbers of mean square 1, one per stretch and draw, without a generator of their own. */
    double z = sqrt(2) * sin(state->clatter_phase + (double)first);
    double noise = sqrt(2) * sin(state->hiss_phase + (double)first);
    double scale = state->clatter_gain * (1 + off * z);
    double power = power_without_hiss(sideways, rms * rms, now->count, noise) +
                   power_past_limit(sideways, first, now->count);
    figures->clatter_rms_m_s2 = fmax(scale, 0) * sqrt(power);
    if (state->noisy) {
        double between = fmin(2 * sideways->prior->ring_hz / now->rate_hz, 1);
        figures->clatter_crest *=
            (1 + sideways->prior->peak_share * between * fabs(state->clatter_peak)) / fmax(1 + off * z, 0.5);
    }
}
