/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sideways.h"
#include "barplumb/units.h"
#include "summary/sideways_clatter.h"
#include "summary/sideways_shapes.h"
#include "summary/sideways_tilt.h"

#include <math.h>

/* A descent or a drive, with the hold after it. */
static const double STROKE_S = 2.5;

/* How well the wander of "up" shows the bar's direction: its part along the bar beside that across it, tilt /
 * roll, each stroke a piece of evidence of its own. A phone that slipped shows as a tilt that has no end. */
static double axis_spread(const struct bp_motion *motion)
{
    double mean[3] = {0}, usual[3], square[2] = {0, 0}, count = 0;
    size_t first = motion->on_bar.first, last = motion->on_bar.last;
    for (int a = 0; a < 3; a++) {
        for (size_t i = first; i <= last; i++) {
            mean[a] += motion->up[a][i];
        }
    }
    bp_sideways_usual(motion, usual);
    for (int a = 0; a < 3; a++) {
        mean[a] /= (double)(last - first + 1);
    }
    for (size_t i = first; i <= last; i++) {
        double tilt = 0, roll = 0;
        for (int a = 0; a < 3; a++) {
            tilt += (motion->up[a][i] - mean[a]) * motion->along.axis[a];
            roll += (motion->up[a][i] - mean[a]) * usual[a];
        }
        square[0] += tilt * tilt;
        square[1] += roll * roll;
        count++;
    }
    double length = motion->trace->time_s[last] - motion->trace->time_s[first];
    double strokes = fmax(length / STROKE_S, 1);
    return square[1] > 0 ? sqrt(square[0] / square[1] / strokes) : HUGE_VAL;
}

static void set_spreads(struct bp_sideways *s)
{
    const struct bp_sideways_prior *prior = s->prior;
    double axis = prior->axis_assumed_rad;
    if (s->motion->along.known) {
        double shown = hypot(prior->axis_rad, prior->axis_evidence * axis_spread(s->motion));
        s->axis_seen = !(shown > axis);
        axis = fmin(shown, axis);
    }
    s->sd[BP_SHAPE_RISE] = hypot(prior->level_rad, prior->force_cross);
    s->sd[BP_SHAPE_FORE] = hypot(axis, prior->force_cross);
    /* Cross-axis gain looks like a direction that is off, but turns no roll into tilt. */
    double fore = s->sd[BP_SHAPE_FORE];
    s->axis_part = fore > 0 ? axis / fore * (axis / fore) : 0;
    s->axis_rest_rad = fore > 0 ? axis * prior->force_cross / fore : 0;
    s->sd[BP_SHAPE_ROLL] = hypot(prior->turn_cross, prior->force_cross);
    s->sd[BP_SHAPE_LEVER_UP] = s->sd[BP_SHAPE_LEVER_FORE] = prior->lever_m;
}

enum bp_code bp_sideways_make_with(const struct bp_sideways_prior *prior, const struct bp_motion *motion,
                                   const struct bp_clock *clock, struct bp_arena *arena,
                                   struct bp_sideways *sideways, struct bp_error *error)
{
    const struct bp_trace *trace = motion->trace;
    /* The even clock runs at the mean rate, so that it ends where the log ends. */
    double duration = trace->time_s[trace->count - 1];
    size_t count = (size_t)lround(duration / clock->step_s) + 1;
    *sideways = (struct bp_sideways){.known = clock->rate_hz >= BP_SHAKE_RATE_MIN_HZ && count >= 3,
                                     .step_s = count > 1 ? duration / (double)(count - 1) : clock->step_s,
                                     .motion = motion,
                                     .prior = prior,
                                     .shape_count = trace->gyroscope ? BP_SHAPES : BP_SHAPES_ALONE};
    sideways->known = sideways->known && 1 / sideways->step_s >= BP_SHAKE_RATE_MIN_HZ;
    if (!sideways->known) {
        return BP_OK;
    }
    set_spreads(sideways);
    enum bp_code code = bp_sideways_fill(sideways, count, arena);
    if (code != BP_OK || !bp_sideways_fit(sideways, arena)) {
        sideways->known = false;
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the bar's shake");
    }
    bp_sideways_hiss(sideways);
    if (sideways->roll_rad) {
        bp_sideways_find_rest(sideways);
    }
    bp_sideways_rest(sideways);
    return BP_OK;
}

enum bp_code bp_sideways_make(const struct bp_motion *motion, const struct bp_clock *clock,
                              struct bp_arena *arena, struct bp_sideways *sideways, struct bp_error *error)
{
    return bp_sideways_make_with(&bp_sideways_prior_defaults, motion, clock, arena, sideways, error);
}

void bp_sideways_rest(struct bp_sideways *sideways)
{
    sideways->now = (struct bp_sideways_state){
        .gain = 1, .clatter_gain = 1, .leak_rms_rad = sideways->prior->tilt_rad, .slip_part = 1};
    for (size_t j = 0; j < sideways->shape_count; j++) {
        sideways->now.share[j] = sideways->sd[j] * sideways->best[j];
    }
}

void bp_sideways_draw(struct bp_sideways *sideways, struct bp_random *random)
{
    const struct bp_sideways_prior *prior = sideways->prior;
    const double *L = sideways->root;
    struct bp_sideways_state *now = &sideways->now;
    double off[BP_SHAPES];
    if (!sideways->known) {
        return;
    }
    bp_sideways_rest(sideways);
    for (size_t r = sideways->shape_count; r-- > 0;) { /* L' off = normal has covariance (L L')⁻¹ */
        off[r] = bp_random_normal(random);
        for (size_t k = r + 1; k < sideways->shape_count; k++) {
            off[r] -= L[k * BP_SHAPES + r] * off[k];
        }
        off[r] /= L[r * BP_SHAPES + r];
        now->share[r] += sideways->sd[r] * off[r];
    }
    double strapped = bp_random_between(random, 0, 1);
    now->across = !sideways->motion->along.known && strapped < prior->across_chance;
    now->noisy = true;
    now->noise_shift = (size_t)(bp_random_next(random) % sideways->bands.count);
    now->clatter_gain = 1 + bp_sideways_clatter_spread(sideways) * bp_random_normal(random);
    now->clatter_phase = bp_random_between(random, 0, 2 * BP_PI);
    now->clatter_peak = bp_random_normal(random);
    now->hiss = bp_random_normal(random);
    now->hiss_phase = bp_random_between(random, 0, 2 * BP_PI);
    for (int j = 0; j < BP_MISSES; j++) {
        now->missed[j] = bp_random_normal(random) / sqrt(BP_MISSES);
    }
    now->gain += prior->force_scale * bp_random_normal(random);
    now->fore_level_rad = hypot(prior->level_rad, prior->force_cross) * bp_random_normal(random);
    now->fore_gravity = prior->turn_cross * bp_random_normal(random);
    now->turn_cross = prior->turn_cross * bp_random_normal(random);
    now->fore_axis_rad = sideways->axis_rest_rad * bp_random_normal(random);
    for (int k = 0; k < BP_WALK_TERMS; k++) {
        now->walk[k] = prior->turn_walk * bp_random_normal(random);
    }
    now->leak_rms_rad = prior->tilt_rad * exp(log(prior->tilt_factor) * bp_random_normal(random));
    now->leaks = true;
    now->leak_shift = (size_t)(bp_random_next(random) % sideways->bands.count);
    now->slip_part = bp_random_between(random, 0, 1);
}

/* Mean square of x. */
static double power_of(const double *x, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += x[i] * x[i];
    }
    return sum / (double)count;
}

/* Without a gyroscope x[count] is movement and leak. Of two processes of power m² - e² and e² the first,
 * given their sum, is k times the sum, with k = (m² - e²)/m², and a rest of power k e² that looks like the
 * second; m²/(m²
 * + e²) does for k where neither power is known well. The estimate has the power of both. */
static void take_leak_out(const struct bp_sideways *s, enum bp_band_output output, size_t first, size_t count,
                          double *x)
{
    double rms = s->now.leak_rms_rad, power = power_of(x, count), leaked = rms * s->leak_rms[output];
    if (!(power > 0)) {
        return;
    }
    double k = power / (power + leaked * leaked), kept = s->now.leaks ? k : sqrt(k);
    const double *leak = s->leak[output];
    size_t at = (first + s->now.leak_shift) % s->bands.count;
    for (size_t i = 0; i < count; i++) {
        double drawn = s->now.leaks ? sqrt(k) * rms * leak[at] : 0;
        x[i] = kept * x[i] + drawn;
        at = at + 1 < s->bands.count ? at + 1 : 0;
    }
}

static void take_off(double *x, size_t count, double share, const double *shape)
{
    for (size_t i = 0; share != 0 && i < count; i++) {
        x[i] -= share * shape[i];
    }
}

/* A record made once stands for any draw's noise: each draw enters it elsewhere. */
static void take_noise_off(const struct bp_sideways *s, const double *noise, size_t first, size_t count,
                           double *x)
{
    const double *sd = s->noise_sd + first;
    size_t at = (first + s->now.noise_shift) % s->bands.count;
    for (size_t i = 0; i < count; i++) {
        x[i] -= sd[i] * noise[at];
        at = at + 1 < s->bands.count ? at + 1 : 0;
    }
}

/* One output of the movement along the bar, samples [first, first + count), as it is now taken to be. */
static void put_along(const struct bp_sideways *s, enum bp_band_output output, size_t first, size_t count)
{
    double *const bands[3] = {s->bands.along_m_s2, s->bands.along_m_s, s->bands.along_m};
    double *const scratch[3] = {s->scratch.along_m_s2, s->scratch.along_m_s, s->scratch.along_m};
    /* A phone strapped on across the bar reads the two directions the wrong way round. */
    const double *measured = (s->now.across ? s->shape[BP_SHAPE_FORE][output] : bands[output]) + first;
    double *x = scratch[output];
    for (size_t i = 0; i < count; i++) {
        x[i] = s->now.gain * measured[i];
    }
    for (size_t j = 0; j < s->shape_count; j++) {
        bool own = s->now.across && j == BP_SHAPE_FORE;
        take_off(x, count, own ? 0 : s->now.gain * s->now.share[j], s->shape[j][output] + first);
    }
    for (size_t j = 0; s->missed[0][0] && j < BP_MISSES; j++) {
        take_off(x, count, s->now.missed[j], s->missed[j][output] + first);
    }
    if (s->now.noisy) {
        take_noise_off(s, s->noise[output], first, count, x);
    }
    if (s->leak[output]) {
        take_leak_out(s, output, first, count, x);
    }
}

/* The same fore-aft: a bar direction that is off turns the two movements into each other. */
static void put_fore(const struct bp_sideways *s, size_t first, size_t count)
{
    const struct bp_sideways_state *now = &s->now;
    const double *fore = s->bands.fore_m + first, *along = s->bands.along_m + first;
    const double *rise = s->shape[BP_SHAPE_RISE][BP_BAND_DISPLACEMENT] + first;
    const double *roll = s->shape[BP_SHAPE_ROLL][BP_BAND_DISPLACEMENT] + first;
    const double *up = s->fore_lever_m[0] + first, *out = s->fore_lever_m[1] + first;
    for (size_t i = 0; i < count; i++) {
        double error = now->fore_level_rad * rise[i] + now->fore_gravity * roll[i] +
                       now->share[BP_SHAPE_LEVER_UP] * up[i] + now->share[BP_SHAPE_LEVER_FORE] * out[i];
        s->scratch.fore_m[i] = now->gain * (fore[i] + now->share[BP_SHAPE_FORE] * along[i] - error);
    }
}

/* First sample at or after from_s and how many up to to_s; false when there are none. */
static bool find_stretch(const struct bp_sideways *s, double from_s, double to_s, size_t *first,
                         size_t *count)
{
    if (!s->known || !isfinite(from_s) || !isfinite(to_s) || to_s <= from_s || to_s < 0) {
        return false;
    }
    *first = (size_t)ceil(fmax(from_s, 0) / s->step_s);
    size_t last = (size_t)floor(to_s / s->step_s);
    last = last < s->bands.count ? last : s->bands.count - 1;
    *count = *first <= last ? last - *first + 1 : 0;
    return *count > 0;
}

static struct bp_shake_figures nothing(void)
{
    double nan = (double)NAN;
    return (struct bp_shake_figures){nan, nan, nan, nan, nan, nan, nan};
}

struct bp_shake_figures bp_sideways_measure(const struct bp_sideways *sideways, double from_s, double to_s,
                                            struct bp_arena *arena)
{
    struct bp_shake_figures figures = nothing();
    size_t first = 0, count = 0;
    if (!find_stretch(sideways, from_s, to_s, &first, &count)) {
        return figures;
    }
    struct bp_shake_bands now = sideways->scratch;
    now.count = count;
    now.rate_hz = sideways->bands.rate_hz;
    for (int output = BP_BAND_ACCELERATION; output <= BP_BAND_DISPLACEMENT; output++) {
        put_along(sideways, (enum bp_band_output)output, first, count);
    }
    if (now.fore_m) {
        put_fore(sideways, first, count);
    }
    for (int a = 0; a < 3; a++) {
        double *clatter = sideways->bands.clatter_m_s2[a];
        now.clatter_m_s2[a] = clatter ? clatter + first : NULL;
    }
    if (bp_shake_measure(&now, 0, count - 1, NULL, arena, &figures) != BP_OK) {
        return nothing();
    }
    bp_sideways_put_clatter(sideways, first, &now, &figures);
    return figures;
}

double bp_sideways_rms(const struct bp_sideways *sideways, double from_s, double to_s)
{
    size_t first = 0, count = 0;
    if (!find_stretch(sideways, from_s, to_s, &first, &count)) {
        return (double)NAN;
    }
    put_along(sideways, BP_BAND_DISPLACEMENT, first, count);
    return sqrt(power_of(sideways->scratch.along_m, count));
}

struct bp_sideways_record bp_sideways_along(const struct bp_sideways *sideways, enum bp_band_output output,
                                            double from_s, double to_s)
{
    double *const scratch[3] = {sideways->scratch.along_m_s2, sideways->scratch.along_m_s,
                                sideways->scratch.along_m};
    struct bp_sideways_record record = {scratch[output], 0, 0, sideways->step_s};
    if (find_stretch(sideways, from_s, to_s, &record.first, &record.count)) {
        put_along(sideways, output, record.first, record.count);
    }
    return record;
}
