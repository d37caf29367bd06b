/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sideways_shapes.h"
#include "barplumb/units.h"

#include <math.h>
#include <string.h>

enum { LEAK_WAVES = 24 };
static const uint64_t NOISE_STREAM = 0x6e6f6973; /* signs of the noise records */
static const uint64_t LEAK_STREAM = 0x6c65616b; /* phases of the leak record; each draw enters it elsewhere */

/* A record on the log's own clock, from which one on the even clock is made. */
struct work {
    struct bp_sideways *sideways;
    const struct bp_motion *motion;
    struct bp_band_plan plan;
    size_t count;    /* of the even clock */
    double up[3];    /* the usual "up" in phone axes, at right angles to the bar */
    double fore[3];  /* and the usual fore-aft */
    double *raw;     /* [trace->count] scratch */
    double *yaw_rad; /* [trace->count] since the log began; NULL without a gyroscope */
};

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void cross(const double a[3], const double b[3], double out[3])
{
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}

static void normalise(double v[3])
{
    double length = sqrt(dot(v, v));
    for (int a = 0; length > 0 && a < 3; a++) {
        v[a] /= length;
    }
}

/* Value at time t between samples i and i+1: the cubic through four samples (Catmull-Rom on uneven times, by
 * finite-difference slopes), straight at the ends and over gaps. */
static double between(const struct bp_trace *trace, const double *x, size_t i, double t)
{
    const double *time = trace->time_s;
    double dt = time[i + 1] - time[i], s = (t - time[i]) / dt, rise = x[i + 1] - x[i];
    if (i == 0 || i + 2 >= trace->count || (trace->marks[i + 1] & BP_MARK_AFTER_GAP)) {
        return x[i] + s * rise;
    }
    double d0 = (x[i + 1] - x[i - 1]) / (time[i + 1] - time[i - 1]) * dt;
    double d1 = (x[i + 2] - x[i]) / (time[i + 2] - time[i]) * dt;
    return x[i] + s * (d0 + s * (3 * rise - 2 * d0 - d1 + s * (d0 + d1 - 2 * rise)));
}

static void resample(const struct work *w, const double *x, double *even)
{
    const struct bp_trace *trace = w->motion->trace;
    size_t i = 0;
    for (size_t k = 0; k < w->count; k++) {
        double t = (double)k * w->sideways->step_s;
        while (i + 2 < trace->count && trace->time_s[i + 1] < t) {
            i++;
        }
        even[k] = between(trace, x, i, t);
    }
}

/* x becomes its second derivative; the ends have their neighbours'. */
static void differentiate_twice(double *x, size_t count, double step_s)
{
    double before = x[0];
    for (size_t k = 1; k + 1 < count; k++) {
        double here = x[k];
        x[k] = (x[k + 1] - 2 * here + before) / (step_s * step_s);
        before = here;
    }
    x[0] = x[1];
    x[count - 1] = x[count - 2];
}

/* The bar's level direction and the one across it at sample i, in phone axes. */
static void find_level(const struct bp_motion *motion, size_t i, double level[3], double fore[3])
{
    const double up[3] = {motion->up[0][i], motion->up[1][i], motion->up[2][i]};
    double lift = dot(motion->along.axis, up);
    for (int a = 0; a < 3; a++) {
        level[a] = motion->along.axis[a] - lift * up[a];
    }
    normalise(level);
    cross(up, level, fore);
}

void bp_sideways_usual(const struct bp_motion *motion, double fore[3])
{
    double up[3] = {0};
    for (int a = 0; a < 3; a++) {
        for (size_t i = motion->on_bar.first; i <= motion->on_bar.last; i++) {
            up[a] += motion->up[a][i];
        }
    }
    cross(up, motion->along.axis, fore);
    normalise(fore);
}

static void find_usual(struct work *w)
{
    bp_sideways_usual(w->motion, w->fore);
    cross(w->motion->along.axis, w->fore, w->up);
}

static void find_roll(struct work *w)
{
    const struct bp_motion *motion = w->motion;
    for (size_t i = 0; i < motion->trace->count; i++) {
        const double up[3] = {motion->up[0][i], motion->up[1][i], motion->up[2][i]};
        w->sideways->roll_rad[i] = atan2(dot(up, w->fore), dot(up, w->up));
    }
}

static double turn_about_up(const struct bp_motion *motion, size_t i)
{
    double rate = 0;
    for (int a = 0; a < 3; a++) {
        rate += (motion->trace->turn[a][i] - motion->noise.turn_bias[a]) * motion->up[a][i];
    }
    return rate;
}

static void find_yaw(struct work *w)
{
    const struct bp_motion *motion = w->motion;
    const double *t = motion->trace->time_s;
    w->yaw_rad[0] = 0;
    for (size_t i = 1; i < motion->trace->count; i++) {
        double mean = 0.5 * (turn_about_up(motion, i - 1) + turn_about_up(motion, i));
        w->yaw_rad[i] = w->yaw_rad[i - 1] + mean * (t[i] - t[i - 1]);
    }
}

/* How a chip a metre off the bar's axis in direction `arm` (phone axes) moves along the bar (or across it),
 * as an acceleration on the even clock. Directions are held against the room by taking the yaw out. */
static void lever(const struct work *w, const double arm[3], bool across, double *even)
{
    for (size_t i = 0; i < w->motion->trace->count; i++) {
        double level[3], fore[3], c = cos(w->yaw_rad[i]), s = sin(w->yaw_rad[i]);
        find_level(w->motion, i, level, fore);
        w->raw[i] =
            across ? s * dot(level, arm) + c * dot(fore, arm) : c * dot(level, arm) - s * dot(fore, arm);
    }
    resample(w, w->raw, even);
    differentiate_twice(even, w->count, w->sideways->step_s);
}

/* Two records, in each one's first output array, become all three outputs of each. b may be NULL. */
static void filter_pair(struct work *w, double *const a[3], double *const b[3])
{
    bp_shake_filter(&w->plan, a[BP_BAND_ACCELERATION], b ? b[BP_BAND_ACCELERATION] : NULL, NULL, a, b);
}

static void fill_with_gyroscope(struct work *w)
{
    struct bp_sideways *s = w->sideways;
    find_roll(w);
    find_yaw(w);
    for (size_t i = 0; i < w->motion->trace->count; i++) {
        w->raw[i] = BP_STANDARD_GRAVITY * s->roll_rad[i];
    }
    resample(w, w->raw, s->shape[BP_SHAPE_ROLL][0]);
    resample(w, w->motion->rise_m_s2, s->shape[BP_SHAPE_RISE][0]);
    filter_pair(w, s->shape[BP_SHAPE_ROLL], s->shape[BP_SHAPE_RISE]);
    resample(w, w->motion->fore_m_s2, s->shape[BP_SHAPE_FORE][0]);
    lever(w, w->up, false, s->shape[BP_SHAPE_LEVER_UP][0]);
    filter_pair(w, s->shape[BP_SHAPE_FORE], s->shape[BP_SHAPE_LEVER_UP]);
    lever(w, w->fore, false, s->shape[BP_SHAPE_LEVER_FORE][0]);
    lever(w, w->up, true, s->fore_lever_m[0]);
    double *const up[3] = {NULL, NULL, s->fore_lever_m[0]}, *const fore[3] = {NULL, NULL, s->fore_lever_m[1]};
    bp_shake_filter(&w->plan, s->shape[BP_SHAPE_LEVER_FORE][0], s->fore_lever_m[0], NULL,
                    s->shape[BP_SHAPE_LEVER_FORE], up);
    lever(w, w->fore, true, s->fore_lever_m[1]);
    bp_shake_filter(&w->plan, s->fore_lever_m[1], NULL, NULL, fore, NULL);
    s->bands.fore_m = s->shape[BP_SHAPE_FORE][BP_BAND_DISPLACEMENT];
}

static double rms_of(const double *x, size_t count)
{
    double sum = 0;
    for (size_t k = 0; k < count; k++) {
        sum += x[k] * x[k];
    }
    return sqrt(sum / (double)count);
}

/* A record of tilt like a lifter's, of rms 1 rad over the waves, as the gravity it leaks. */
static void make_leak(struct work *w)
{
    const struct bp_sideways_prior *prior = w->sideways->prior;
    double *leak = w->sideways->leak[0], size[LEAK_WAVES], hz[LEAK_WAVES], square = 0;
    struct bp_random random;
    bp_random_init(&random, 0, LEAK_STREAM);
    for (int j = 0; j < LEAK_WAVES; j++) {
        double ratio = prior->tilt_high_hz / prior->tilt_low_hz;
        hz[j] = prior->tilt_low_hz * pow(ratio, (j + bp_random_between(&random, 0, 1)) / LEAK_WAVES);
        size[j] = pow(hz[j], -prior->tilt_power);
        square += 0.5 * size[j] * size[j];
    }
    for (size_t k = 0; k < w->count; k++) {
        leak[k] = 0;
    }
    for (int j = 0; j < LEAK_WAVES; j++) {
        double phase = bp_random_between(&random, 0, 2 * BP_PI),
               turn = 2 * BP_PI * hz[j] * w->sideways->step_s;
        double c = cos(turn), s = sin(turn), x = cos(phase), y = sin(phase);
        double by = BP_STANDARD_GRAVITY * size[j] / sqrt(square);
        for (size_t k = 0; k < w->count; k++) { /* a phasor turned on by one step at a time */
            leak[k] += by * x;
            double next = c * x - s * y;
            y = s * x + c * y;
            x = next;
        }
    }
    filter_pair(w, w->sideways->leak, NULL);
    for (int output = 0; output < 3; output++) {
        w->sideways->leak_rms[output] = rms_of(w->sideways->leak[output], w->count);
    }
}

/* The force along a fixed direction in the phone, into raw. */
static void force_along(const struct work *w, const double direction[3])
{
    const struct bp_trace *trace = w->motion->trace;
    for (size_t i = 0; i < trace->count; i++) {
        const double force[3] = {trace->force[0][i], trace->force[1][i], trace->force[2][i]};
        w->raw[i] = dot(force, direction);
    }
}

/* Without a gyroscope "level" is where a bar on the move lies on average: in the rack it lies as the rack
 * does. */
static void level_alone(const struct work *w, double *along)
{
    const struct bp_motion *motion = w->motion;
    double lying = 0, standing = 0;
    size_t s = 0;
    force_along(w, w->up);
    for (size_t i = motion->on_bar.first; i <= motion->on_bar.last; i++) {
        for (; s < motion->still.count && motion->still.list[s].last < i; s++) {
        }
        if (s == motion->still.count || i < motion->still.list[s].first) {
            lying += motion->along_m_s2[i];
            standing += w->raw[i];
        }
    }
    double lift = standing != 0 ? lying / standing : 0;
    for (size_t i = 0; i < motion->trace->count; i++) {
        w->raw[i] = motion->along_m_s2[i] - lift * w->raw[i];
    }
    resample(w, w->raw, along);
}

static void fill_alone(struct work *w)
{
    struct bp_sideways *s = w->sideways;
    force_along(w, w->up);
    resample(w, w->raw, s->shape[BP_SHAPE_RISE][0]);
    force_along(w, w->fore);
    resample(w, w->raw, s->shape[BP_SHAPE_FORE][0]);
    filter_pair(w, s->shape[BP_SHAPE_RISE], s->shape[BP_SHAPE_FORE]);
    make_leak(w);
}

/* What was missed at each sample with two sets of signs: their sums and differences in a draw are independent
 * for any two samples. */
static void make_missed(struct work *w)
{
    double *const *one = w->sideways->missed[0], *const *two = w->sideways->missed[1];
    struct bp_random random;
    bp_random_init(&random, 1, NOISE_STREAM);
    for (size_t k = 0; k < w->count; k++) {
        uint64_t bits = bp_random_next(&random) >> 32;
        two[0][k] = bits & 1 ? one[0][k] : -one[0][k];
        one[0][k] = bits & 2 ? one[0][k] : -one[0][k];
    }
    filter_pair(w, one, two);
}

static bool take_three(struct bp_arena *arena, size_t count, double *out[3])
{
    for (int output = 0; output < 3; output++) {
        out[output] = bp_arena_doubles(arena, count);
    }
    return out[0] && out[1] && out[2];
}

/* The noise records; those of what was missed only where something was. */
static bool make_noise(struct work *w, struct bp_arena *arena)
{
    struct bp_sideways *s = w->sideways;
    struct bp_random random;
    double *missed = s->scratch.along_m;
    bp_random_init(&random, 0, NOISE_STREAM);
    for (size_t k = 0; k < w->count; k++) {
        s->noise[0][k] = bp_random_normal(&random);
    }
    filter_pair(w, s->noise, NULL);
    if (!bp_sideways_noise(s, w->count, w->raw, s->noise_sd, missed)) {
        return true;
    }
    for (size_t j = 0; j < BP_MISSES; j++) {
        if (!take_three(arena, w->count, s->missed[j])) {
            return false;
        }
    }
    memcpy(s->missed[0][0], missed, w->count * sizeof *missed);
    make_missed(w);
    return true;
}

static bool take(struct work *w, struct bp_arena *arena)
{
    struct bp_sideways *s = w->sideways;
    size_t trace_count = w->motion->trace->count;
    bool gyroscope = w->motion->trace->gyroscope;
    bool ok = (w->raw = bp_arena_doubles(arena, trace_count)) != NULL;
    for (size_t j = 0; j < s->shape_count; j++) {
        ok = take_three(arena, w->count, s->shape[j]) && ok;
    }
    ok = take_three(arena, w->count, s->noise) && ok;
    ok = (s->noise_sd = bp_arena_doubles(arena, w->count)) != NULL && ok;
    double *now[3];
    ok = take_three(arena, w->count, now) && ok;
    s->scratch.along_m_s2 = now[BP_BAND_ACCELERATION];
    s->scratch.along_m_s = now[BP_BAND_SPEED];
    s->scratch.along_m = now[BP_BAND_DISPLACEMENT];
    if (!gyroscope) {
        return take_three(arena, w->count, s->leak) && ok;
    }
    w->yaw_rad = bp_arena_doubles(arena, trace_count);
    s->roll_rad = bp_arena_doubles(arena, trace_count);
    s->fore_lever_m[0] = bp_arena_doubles(arena, w->count);
    s->fore_lever_m[1] = bp_arena_doubles(arena, w->count);
    s->scratch.fore_m = bp_arena_doubles(arena, w->count);
    return ok && w->yaw_rad && s->roll_rad && s->fore_lever_m[0] && s->fore_lever_m[1] && s->scratch.fore_m;
}

/* A ring near half the rate is lost on the way between samples, up to all of it: what a short binomial window
 * lets pass is interpolated, the rest comes from the nearest sample as it is. A moment late or early does
 * nothing to a ring's power, where it would to a push's. */
static void resample_ring(struct work *w, const double *x, double *even)
{
    const struct bp_trace *trace = w->motion->trace;
    size_t last = trace->count - 1, i = 0;
    for (size_t j = 0; j <= last; j++) {
        bool inner = j >= 2 && j + 2 <= last;
        w->raw[j] = inner ? (x[j - 2] + 4 * x[j - 1] + 6 * x[j] + 4 * x[j + 1] + x[j + 2]) / 16 : x[j];
    }
    resample(w, w->raw, even);
    double square = 0;
    for (size_t k = 0; k < w->count; k++) {
        double t = (double)k * w->sideways->step_s;
        while (i < last && fabs(trace->time_s[i + 1] - t) <= fabs(trace->time_s[i] - t)) {
            i++;
        }
        even[k] += x[i] - w->raw[i];
        square += (trace->time_s[i] - t) * (trace->time_s[i] - t);
    }
    w->sideways->uneven_s = sqrt(square / (double)w->count);
}

/* The bands as measured. The records are resampled into arrays that are filled with shapes afterwards. */
static enum bp_code make_bands(struct work *w, struct bp_arena *arena)
{
    struct bp_sideways *s = w->sideways;
    const struct bp_motion *motion = w->motion;
    double *along = s->scratch.along_m;
    double *clatter[3] = {s->shape[0][0], s->shape[0][1], s->shape[0][2]};
    if (motion->trace->gyroscope) {
        resample(w, motion->along_m_s2, along);
    } else {
        level_alone(w, along);
    }
    for (int a = 0; a < 3; a++) {
        resample_ring(w, motion->trace->force[a], clatter[a]);
    }
    const double *const records[3] = {clatter[0], clatter[1], clatter[2]};
    return bp_shake_make_planned(&w->plan, along, NULL, records, NULL, arena, &s->bands);
}

enum bp_code bp_sideways_fill(struct bp_sideways *sideways, size_t count, struct bp_arena *arena)
{
    struct work w = {.sideways = sideways, .motion = sideways->motion, .count = count};
    if (!take(&w, arena)) {
        return BP_ERR_MEMORY;
    }
    enum bp_code code = bp_band_plan_make(count, 1 / sideways->step_s, BP_SHAKE_LOW_HZ, arena, &w.plan);
    if (code == BP_OK) {
        find_usual(&w);
        code = make_bands(&w, arena);
    }
    if (code == BP_OK) {
        if (w.motion->trace->gyroscope) {
            fill_with_gyroscope(&w);
        } else {
            fill_alone(&w);
        }
        code = make_noise(&w, arena) ? BP_OK : BP_ERR_MEMORY;
    }
    bp_band_plan_free(&w.plan);
    return code;
}
