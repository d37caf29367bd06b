/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "barplumb/spectrum.h"
#include "barplumb/units.h"

#include <math.h>
#include <stdbool.h>

/* A pole that has decayed this far no longer shows beside a phone sensor's noise, which is some 1e-3 of
 * the signal. */
static const double settled = 1e-6;

static bool in_range(double cutoff_hz, double rate_hz, int passes)
{
    return rate_hz > 0 && isfinite(rate_hz) && cutoff_hz > 0 && cutoff_hz < rate_hz / 2 && passes >= 1;
}

/* Winter: C = (2^(1/n) - 1)^(1/4) for n passes; 1 for one, 0.802 for two. */
static double pass_correction(int passes)
{
    return sqrt(sqrt(exp2(1.0 / passes) - 1));
}

/* The section of a prewarped cutoff ωc, in Winter's names: K1 = √2 ωc, K2 = ωc². gain is K2 for the
 * low-pass, 1 for the high-pass; middle is +2 or -2. */
static struct bp_biquad section_of(double warped, double gain, double middle)
{
    double k1 = sqrt(2) * warped, k2 = warped * warped;
    double below = 1 + k1 + k2;
    struct bp_biquad section = {gain / below, middle * gain / below, gain / below, 2 * (k2 - 1) / below,
                                (1 - k1 + k2) / below};
    return section;
}

struct bp_biquad bp_biquad_lowpass(double cutoff_hz, double rate_hz, int passes)
{
    if (!in_range(cutoff_hz, rate_hz, passes)) {
        return (struct bp_biquad){(double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN};
    }
    /* The correction comes after the prewarping: before it, two passes at 6 of 100 Hz have gain 0.7129. */
    double warped = tan(BP_PI * cutoff_hz / rate_hz) / pass_correction(passes);
    return section_of(warped, warped * warped, 2);
}

struct bp_biquad bp_biquad_highpass(double cutoff_hz, double rate_hz, int passes)
{
    if (!in_range(cutoff_hz, rate_hz, passes)) {
        return (struct bp_biquad){(double)NAN, (double)NAN, (double)NAN, (double)NAN, (double)NAN};
    }
    double warped = tan(BP_PI * cutoff_hz / rate_hz) * pass_correction(passes);
    return section_of(warped, 1, -2);
}

size_t bp_biquad_reach(const struct bp_biquad *section)
{
    /* Poles are the roots of z² + a1 z + a2. */
    double half = -section->a1 / 2, inner = half * half - section->a2;
    double radius = inner < 0 ? sqrt(section->a2) : fabs(half) + sqrt(inner);
    if (!(radius < 1)) {
        return 0;
    }
    double samples = radius > 0 ? ceil(log(settled) / log(radius)) : 1;
    return samples < BP_BIQUAD_REACH_MAX ? (size_t)samples : BP_BIQUAD_REACH_MAX;
}

/* Two delays of the transposed direct form II. */
struct delays {
    double one, two;
};

/* The delays after an endless run of input: the output stands at input * (b0 + b1 + b2)/(1 + a1 + a2). */
static struct delays steady(const struct bp_biquad *s, double input)
{
    double gain = (s->b0 + s->b1 + s->b2) / (1 + s->a1 + s->a2);
    struct delays delays = {input * (gain - s->b0), input * (s->b2 - s->a2 * gain)};
    return delays;
}

static double push(const struct bp_biquad *s, struct delays *delays, double input)
{
    double output = s->b0 * input + delays->one;
    delays->one = s->b1 * input - s->a1 * output + delays->two;
    delays->two = s->b2 * input - s->a2 * output;
    return output;
}

void bp_biquad_both_ways(const struct bp_biquad *section, double *x, size_t count)
{
    double beyond[BP_BIQUAD_REACH_MAX]; /* the record's continuation after its end */
    if (count == 0) {
        return;
    }
    size_t reach = bp_biquad_reach(section);
    reach = reach < count - 1 ? reach : count - 1;
    double first = x[0], last = x[count - 1];
    for (size_t i = 0; i < reach; i++) {
        beyond[i] = 2 * last - x[count - 2 - i];
    }
    struct delays delays = steady(section, 2 * first - x[reach]);
    for (size_t i = reach; i >= 1; i--) {
        push(section, &delays, 2 * first - x[i]);
    }
    for (size_t i = 0; i < count; i++) {
        x[i] = push(section, &delays, x[i]);
    }
    for (size_t i = 0; i < reach; i++) {
        beyond[i] = push(section, &delays, beyond[i]);
    }
    delays = steady(section, reach > 0 ? beyond[reach - 1] : x[count - 1]);
    for (size_t i = reach; i >= 1; i--) {
        push(section, &delays, beyond[i - 1]);
    }
    for (size_t i = count; i >= 1; i--) {
        x[i - 1] = push(section, &delays, x[i - 1]);
    }
}
