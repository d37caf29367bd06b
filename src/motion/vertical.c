/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/vertical.h"
#include "barplumb/units.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

enum { N = BP_STATE_COUNT };

/* A vanishing walk on states that hardly change keeps every predicted covariance invertible. */
static const double TINY_WALK = 1e-14;
/* sd of the levels before anything is seen: anywhere in reach. */
static const double LEVEL_ANYWHERE_M = 1.5;
/* Variance of a level that is known, m^2. */
static const double LEVEL_EXACT = 1e-8;

struct work {
    const struct bp_motion *motion;
    const struct bp_closures *closures;
    const struct bp_first_pass *first_pass; /* NULL in a second pass */
    const struct bp_knots *knots;
    const struct bp_prior *prior;
    struct bp_smoother *smoother;
    double noise;        /* velocity random walk beside what the knots show, m/s per sqrt(s) */
    double last_reach_s; /* when the reach was last taken in */
    double last_hold_s;
    size_t spell, closure; /* next ones to look at */
    size_t holding;        /* first pass: the next stretch of even speed */
    size_t hold;           /* the closure of the last hold; SIZE_MAX before */
    size_t rested;         /* the last still spell that was taken in; SIZE_MAX before */
    struct bp_fit fit;
    bool level_seen[BP_LEVEL_COUNT];
    size_t rack[2]; /* first pass: samples at which the bar rests in the rack; SIZE_MAX if none */
};

/* Near the spell that is looked at. */
static bool is_still(const struct work *w, size_t sample)
{
    const struct bp_spells *still = &w->motion->still;
    size_t s = w->spell;
    while (s > 0 && still->list[s - 1].last >= sample) {
        s--;
    }
    while (s < still->count && still->list[s].last < sample) {
        s++;
    }
    return s < still->count && still->list[s].first <= sample;
}

/* Readings rounded to a coarse step stand still with the bar: their error, that of a uniform within the step,
 * is then a bias that no mean takes out, and that a moving bar does not have. */
static double rounding_variance(const struct work *w, size_t k)
{
    const double UNIFORM = 12; /* its variance is the step's square over this */
    double grid = w->motion->trace->force_grid;
    bool was = is_still(w, w->knots->sample[k - 1]), is = is_still(w, w->knots->sample[k]);
    return was != is ? grid * grid / UNIFORM : 0;
}

/* Which part of the roughness above the white noise is an error of the integral: a little always; what lies
 * past half the rate folds back as far as the sensor let it through; and where steps differ, readings that
 * add up to nothing do not when each is weighed with its step. */
static double rough_share(const struct work *w, size_t k)
{
    const struct bp_knots *knots = w->knots;
    double rate_hz = (double)knots->steps[k] / knots->length_s[k];
    double folds = fmax(1 - 0.5 * rate_hz / w->prior->ring_hz, 0);
    return fmin(w->prior->rough_share + w->prior->fold_share * folds + knots->uneven[k], 1);
}

/* x_k = F x_{k-1} + input: h += v dt + ∫∫a - ∫∫up·b, v += ∫a - ∫up·b. */
static void predict(struct work *w, size_t k)
{
    const struct bp_knots *knots = w->knots;
    const struct bp_prior *prior = w->prior;
    double F[N * N] = {0}, Q[N * N] = {0}, input[N] = {0};
    double dt = knots->length_s[k], rounding = rounding_variance(w, k);
    for (int i = 0; i < N; i++) {
        F[i * N + i] = 1;
        Q[i * N + i] = TINY_WALK * dt;
    }
    F[BP_STATE_HEIGHT * N + BP_STATE_SPEED] = dt;
    for (int e = 0; e < BP_ERRORS; e++) {
        F[BP_STATE_HEIGHT * N + BP_STATE_ERROR + e] = -knots->height_error[k][e];
        F[BP_STATE_SPEED * N + BP_STATE_ERROR + e] = -knots->speed_error[k][e];
        Q[(BP_STATE_ERROR + e) * N + BP_STATE_ERROR + e] +=
            prior->force_bias_walk * prior->force_bias_walk * dt + (e < BP_ERROR_LEAN ? rounding : 0);
    }
    input[BP_STATE_HEIGHT] = knots->height[k];
    input[BP_STATE_SPEED] = knots->speed[k];
    /* White acceleration of density q over dt: var v = q dt, cov = q dt²/2, var h = q dt³/3 (Woodman 2007).
     * What a gap or clipping hides is one unknown mean acceleration: as white noise of equal var v. */
    double hidden = prior->gap_accel_m_s2 * knots->gap_s[k];
    double beyond = fmax(prior->clip_accel_m_s2, w->motion->past_limit_m_s2) * sqrt(knots->clipped_s2[k]);
    double swing =
        w->motion->swing_m_s2 ? prior->swing_spread * knots->speed_error[k][BP_ERROR_LEAN] / dt : 0;
    double white = w->motion->noise.force_sd * w->motion->noise.force_sd * dt * dt / (double)knots->steps[k];
    double rough = fmin(knots->rough[k], white) + rough_share(w, k) * fmax(knots->rough[k] - white, 0);
    double q = w->noise * w->noise + 2 * prior->swing_time_s * swing * swing +
               (rough + hidden * hidden + beyond * beyond) / dt;
    Q[BP_STATE_HEIGHT * N + BP_STATE_HEIGHT] += q * dt * dt * dt / 3;
    Q[BP_STATE_HEIGHT * N + BP_STATE_SPEED] = Q[BP_STATE_SPEED * N + BP_STATE_HEIGHT] = q * dt * dt / 2;
    Q[BP_STATE_SPEED * N + BP_STATE_SPEED] += q * dt;
    if (knots->spoilt[k]) {
        Q[BP_STATE_HEIGHT * N + BP_STATE_HEIGHT] += prior->spoilt_way_m * prior->spoilt_way_m;
        Q[BP_STATE_SPEED * N + BP_STATE_SPEED] += prior->spoilt_speed_m_s * prior->spoilt_speed_m_s;
    }
    w->fit.within_m_s[k] = sqrt(q * dt);
    bp_smoother_predict(w->smoother, k, F, input, Q);
}

/* What the sensors contradict beyond the gate is not believed, and no more wrong for being further off. */
static double surprise(const struct work *w, double innovation)
{
    return fmin(innovation * innovation, w->prior->gate * w->prior->gate);
}

/* ln N(innovation; 0, spread), in metres and metres a second. */
static void weigh(struct work *w, double innovation, double spread)
{
    w->fit.evidence -= 0.5 * (surprise(w, innovation) + log(2 * BP_PI * spread));
}

/* again: not the first of its rest or pause; it then says little new, and counts for what it contradicts
 * alone. */
static double observe_speed(struct work *w, size_t k, double sd, double gate, bool again)
{
    const double *P = w->smoother->P + k * N * N;
    double H[N] = {0}, spread = P[BP_STATE_SPEED * N + BP_STATE_SPEED] + sd * sd;
    H[BP_STATE_SPEED] = 1;
    double innovation = bp_smoother_offer(w->smoother, k, H, 0, sd * sd, gate);
    if (again) {
        w->fit.evidence -= 0.5 * (surprise(w, innovation) - 1);
    } else {
        weigh(w, innovation, spread);
    }
    return innovation;
}

static double observe_level(struct work *w, size_t k, enum bp_level level, double sd)
{
    const double *P = w->smoother->P + k * N * N;
    size_t h = BP_STATE_HEIGHT, l = BP_STATE_LEVEL + (size_t)level;
    double H[N] = {0}, spread = P[h * N + h] - 2 * P[h * N + l] + P[l * N + l] + sd * sd;
    H[h] = 1;
    H[l] = -1;
    double innovation = bp_smoother_offer(w->smoother, k, H, 0, sd * sd, w->prior->gate);
    weigh(w, innovation, spread);
    return innovation;
}

/* The bar most likely stands where its speed is even; unless the sensors deny that, as in the middle of a
 * long, slow stroke. Which stretches are offered hangs on the reading of the set, so they count for what they
 * contradict alone. */
static void observe_even(struct work *w, size_t k, double sd, bool again)
{
    double H[N] = {0}, most = -2 * log(w->prior->even_stroke);
    H[BP_STATE_SPEED] = 1;
    double speed = w->smoother->x[k * N + BP_STATE_SPEED];
    bool slow = fabs(speed) < w->prior->even_speed_m_s;
    double off = bp_smoother_offer(w->smoother, k, H, 0, sd * sd, slow ? w->prior->even_gate : 0);
    w->fit.evidence -= again ? 0 : 0.5 * (fmin(off * off, most) - 1);
}

static void judge(struct work *w, double innovation)
{
    double off = fmin(fabs(innovation), w->prior->gate);
    w->fit.sum += off * off;
    w->fit.count++;
}

/* The reach holds the whole path together before the reps are known: h stays near where the bar rests. */
static void observe_reach(struct work *w, size_t k, double t)
{
    double since = t - w->last_reach_s;
    if (!w->first_pass || since <= 0) {
        return;
    }
    double H[N] = {0};
    double reach = w->first_pass->reach_m;
    H[BP_STATE_HEIGHT] = 1;
    H[BP_STATE_LEVEL + BP_LEVEL_TOP] = -1;
    bp_smoother_observe(w->smoother, k, H, 0, reach * reach * w->first_pass->reach_time_s / since);
    w->last_reach_s = t;
}

/* First pass: the bar most likely went back to where it came from. Finds the middles of the first and the
 * last long still spell, once, or of a short one that is at the log's very beginning or end: a pause in the
 * set may be as long. Racks that are not there lie past the log. */
static void find_racks(struct work *w)
{
    const struct bp_spells *still = &w->motion->still;
    const double *t = w->motion->trace->time_s;
    w->rack[0] = w->rack[1] = SIZE_MAX;
    for (size_t s = 0; s < still->count; s++) {
        const struct bp_spell *spell = &still->list[s];
        bool outermost = spell->first <= w->motion->on_bar.first || spell->last >= w->motion->on_bar.last;
        if (outermost || t[spell->last] - t[spell->first] >= w->prior->long_still_s) {
            size_t middle = spell->first + (spell->last - spell->first) / 2;
            *(w->rack[0] == SIZE_MAX ? &w->rack[0] : &w->rack[1]) = middle;
        }
    }
}

/* At the knot nearest after such a middle; before: the sample of the knot before. */
static void observe_first_rack(struct work *w, size_t k, size_t before, size_t sample)
{
    for (int side = 0; side < 2; side++) {
        if (before < w->rack[side] && w->rack[side] <= sample) {
            observe_level(w, k, BP_LEVEL_RACK, w->prior->first_rack_m);
        }
    }
}

static void observe_still(struct work *w, size_t k, size_t sample)
{
    const struct bp_spells *still = &w->motion->still;
    while (w->spell < still->count && still->list[w->spell].last < sample) {
        w->spell++;
    }
    if (w->spell < still->count && still->list[w->spell].first <= sample) {
        observe_speed(w, k, w->prior->still_speed_m_s, HUGE_VAL, w->rested == w->spell);
        w->rested = w->spell;
    }
}

/* First pass: where its speed is even, the bar most likely stands; unless what is known of its speed so far
 * denies that, as in the middle of a long, slow stroke. */
static void observe_held(struct work *w, size_t k, size_t sample, double t)
{
    const struct bp_spells *held = &w->motion->held;
    while (w->holding < held->count && held->list[w->holding].last < sample) {
        w->holding++;
    }
    if (w->first_pass->holds && w->holding < held->count && held->list[w->holding].first <= sample &&
        t - w->last_hold_s >= w->prior->hold_step_s) {
        observe_even(w, k, w->prior->even_sway_m_s, true);
        w->last_hold_s = t;
    }
}

static void observe_closures(struct work *w, size_t k, size_t sample, double t)
{
    const struct bp_closures *closures = w->closures;
    if (!closures) {
        return;
    }
    while (w->closure < closures->count && closures->list[w->closure].last < sample &&
           closures->list[w->closure].first < sample) {
        w->closure++;
    }
    for (size_t c = w->closure; c < closures->count && closures->list[c].first <= sample; c++) {
        const struct bp_closure *closure = &closures->list[c];
        if (closure->kind == BP_CLOSURE_LEVEL && closure->first == sample) {
            double innovation = observe_level(w, k, closure->level, closure->sd);
            if (w->level_seen[closure->level]) { /* the first time it only says where the level is */
                judge(w, innovation);
            }
            w->level_seen[closure->level] = true;
        } else if (closure->kind == BP_CLOSURE_EVEN && closure->last >= sample &&
                   t - w->last_hold_s >= w->prior->hold_step_s) {
            observe_even(w, k, closure->sd, w->hold == c);
            w->hold = c;
            w->last_hold_s = t;
        } else if (closure->kind == BP_CLOSURE_HOLD && closure->last >= sample &&
                   t - w->last_hold_s >= w->prior->hold_step_s) {
            double innovation = observe_speed(w, k, closure->sd, w->prior->gate, w->hold == c);
            if (w->hold != c) { /* later in the same hold it would say the same again */
                judge(w, innovation);
            }
            w->hold = c;
            w->last_hold_s = t;
        }
    }
}

static double base_noise(bool gyroscope, const struct bp_first_pass *first_pass, const struct bp_prior *prior)
{
    double noise = gyroscope ? prior->force_noise_floor : prior->force_noise_no_gyro;
    return first_pass ? fmax(noise, first_pass->drift) : noise;
}

static void start(struct work *w)
{
    const struct bp_prior *prior = w->prior;
    double mean[N] = {0}, variance[N];
    double speed = prior->start_speed_m_s;
    variance[BP_STATE_HEIGHT] = 1e-8; /* heights are counted from here */
    variance[BP_STATE_SPEED] = speed * speed;
    for (int a = 0; a < 3; a++) {
        variance[BP_STATE_ERROR + a] = prior->force_bias_m_s2 * prior->force_bias_m_s2;
    }
    /* With a gyroscope "up" comes from rests, where a bias of the fore-aft axis tilts it by bias over g. */
    bool swings = w->motion->swing_m_s2 != NULL;
    double lean = swings ? prior->swing_share_sd : prior->force_bias_m_s2 / BP_STANDARD_GRAVITY;
    mean[BP_STATE_ERROR + BP_ERROR_LEAN] = swings ? prior->swing_share : 0;
    variance[BP_STATE_ERROR + BP_ERROR_LEAN] = lean * lean;
    for (int level = 0; level < BP_LEVEL_COUNT; level++) {
        variance[BP_STATE_LEVEL + level] = LEVEL_ANYWHERE_M * LEVEL_ANYWHERE_M;
    }
    if (w->first_pass) { /* in which nothing else is at that level */
        mean[BP_STATE_LEVEL + BP_LEVEL_TOP] = w->first_pass->middle_m;
        variance[BP_STATE_LEVEL + BP_LEVEL_TOP] =
            w->first_pass->middle_sd_m * w->first_pass->middle_sd_m + LEVEL_EXACT;
    }
    bp_smoother_start(w->smoother, mean, variance);
    if (w->closures && w->closures->over_rack.sd_m > 0) {
        double H[N] = {0}, sd = w->closures->over_rack.sd_m;
        H[BP_STATE_LEVEL + w->closures->over_rack.level] = 1;
        H[BP_STATE_LEVEL + BP_LEVEL_RACK] = -1;
        bp_smoother_observe(w->smoother, 0, H, w->closures->over_rack.height_m, sd * sd);
    }
}

bool bp_vertical_smooth(const struct bp_motion *motion, const struct bp_closures *closures,
                        const struct bp_first_pass *first_pass, const struct bp_knots *knots,
                        const struct bp_prior *prior, struct bp_arena *arena, struct bp_smoother *smoother,
                        struct bp_fit *fit, bool *broken)
{
    struct work w = {.motion = motion,
                     .closures = closures,
                     .first_pass = first_pass,
                     .knots = knots,
                     .prior = prior,
                     .smoother = smoother,
                     .noise = base_noise(motion->trace->gyroscope, first_pass, prior),
                     .last_hold_s = -1e9,
                     .hold = SIZE_MAX,
                     .rested = SIZE_MAX};
    *broken = false;
    w.fit.within_m_s = bp_arena_doubles(arena, knots->count);
    if (!w.fit.within_m_s || !bp_smoother_make(smoother, N, knots->count, arena)) {
        return false;
    }
    w.fit.within_m_s[0] = 0;
    start(&w);
    find_racks(&w);
    for (size_t k = 0; k < knots->count; k++) {
        size_t sample = knots->sample[k];
        double t = motion->trace->time_s[sample];
        if (k > 0) {
            predict(&w, k);
        }
        observe_still(&w, k, sample);
        observe_reach(&w, k, t);
        if (first_pass) {
            observe_first_rack(&w, k, k > 0 ? knots->sample[k - 1] : 0, sample);
            observe_held(&w, k, sample, t);
        }
        observe_closures(&w, k, sample, t);
    }
    *fit = w.fit;
    *broken = !bp_smoother_back(smoother);
    return !*broken;
}
