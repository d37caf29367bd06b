/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Draws of the bar's path: the smoother's own errors at the knots, spread over the samples, and the errors
 * that belong to the whole log.
 */
#include "motion/posterior.h"
#include "barplumb/units.h"

#include <math.h>

/* Errors of one draw that hold for the whole log. */
struct whole {
    double scale;    /* of acceleration, and so of height and speed */
    double lever[3]; /* the chip's place off the bar's axis, phone axes, m */
};

double bp_posterior_factor(const struct bp_posterior *posterior)
{
    double weight = posterior->prior->factor_weight;
    return (weight + posterior->fit.sum) / (weight + (double)posterior->fit.count);
}

/* Terms 3 to 8 of the Brownian bridge (Karhunen-Loève): up to 20 Hz between knots a fifth of a second apart,
 * where the speed's low-pass ends. They move no height to speak of, but they say how surely a flat top's
 * highest moment is known. */
static void make_ripples(double *ripple)
{
    const uint64_t STREAM = 0x726970706c65;
    enum { FIRST = 3, LAST = 8 };
    struct bp_random random;
    bp_random_init(&random, 0, STREAM);
    for (int r = 0; r < BP_RIPPLES; r++, ripple += BP_RIPPLE_POINTS) {
        for (int term = FIRST; term <= LAST; term++) {
            double turn = term * BP_PI, size = sqrt(2) / turn * bp_random_normal(&random);
            for (int j = 0; j < BP_RIPPLE_POINTS; j++) {
                ripple[j] += size * sin(turn * j / (BP_RIPPLE_POINTS - 1));
            }
        }
    }
}

enum bp_code bp_track_prepare_draws(struct bp_track *track, struct bp_arena *arena, struct bp_error *error)
{
    struct bp_posterior *p = track->posterior;
    p->error = bp_arena_doubles(arena, p->smoother.count * p->smoother.n);
    p->ripple = bp_arena_zero(arena, (size_t)BP_RIPPLES * BP_RIPPLE_POINTS, sizeof *p->ripple);
    if (!p->error || !p->ripple || !bp_smoother_spread(&p->smoother, arena)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the intervals");
    }
    make_ripples(p->ripple);
    return BP_OK;
}

/* The error between two knots: the cubic through its heights and speeds there, and over it what noise does in
 * between. */
struct piece {
    double T, h0, v0, c2, c3, bridge;
    double noise;         /* m/s: what the ripple is told in */
    const double *ripple; /* [BP_RIPPLE_POINTS] */
};

/* Of a Brownian bridge that leaves the height alone the first term, √2/2π sin 2πx (Karhunen-Loève), which
 * carries most of its power, as the cubic of the same peak. */
static struct piece piece_at(const struct bp_posterior *p, size_t k, double T, double factor,
                             struct bp_random *random)
{
    const double BRIDGE =
        0.22507907903927651 / 0.09622504486493763; /* √2/2π over the cubic's own peak, √3/18 */
    const double *now = p->error + k * p->smoother.n, *next = now + p->smoother.n;
    double h0 = now[BP_STATE_HEIGHT], v0 = now[BP_STATE_SPEED], v1 = next[BP_STATE_SPEED];
    double mean = (next[BP_STATE_HEIGHT] - h0) / T, noise = factor * p->fit.within_m_s[k + 1];
    uint64_t choice = bp_random_next(random) >> 32;
    return (struct piece){.T = T,
                          .h0 = h0,
                          .v0 = v0,
                          .c2 = (3 * mean - 2 * v0 - v1) / T,
                          .c3 = (v0 + v1 - 2 * mean) / (T * T),
                          .bridge = BRIDGE * noise * bp_random_normal(random),
                          .noise = choice & 1 ? noise : -noise,
                          .ripple = p->ripple + (choice >> 1) % BP_RIPPLES * BP_RIPPLE_POINTS};
}

/* One sample of the draw: the estimate times the gain, and the error. */
static void put_sample(const struct bp_track *about, double gain, const struct piece *e, double x, size_t i,
                       struct bp_track *draw)
{
    double y = x / e->T, arch = y * (1 - y), at = y * (BP_RIPPLE_POINTS - 1);
    size_t j = at < BP_RIPPLE_POINTS - 2 ? (size_t)at : BP_RIPPLE_POINTS - 2;
    double ripple = e->ripple[j] + (at - (double)j) * (e->ripple[j + 1] - e->ripple[j]);
    draw->height_m[i] = gain * about->height_m[i] + e->h0 + x * (e->v0 + x * (e->c2 + x * e->c3)) +
                        e->bridge * e->T * arch * arch / 2;
    draw->speed_m_s[i] = gain * about->speed_m_s[i] + e->v0 + x * (2 * e->c2 + 3 * e->c3 * x) +
                         e->bridge * arch * (1 - 2 * y) + e->noise * ripple;
    draw->accel_m_s2[i] =
        gain * about->accel_m_s2[i] + 2 * e->c2 + 6 * e->c3 * x + e->bridge / e->T * (1 - 6 * arch);
}

/* The knots between which the stretch lies. Their number of normals is drawn in any case, so that a draw does
 * not hang on the stretch. */
static void put_pieces(const struct bp_posterior *p, const struct bp_track *about, struct bp_spell stretch,
                       double gain, double factor, struct bp_random *random, struct bp_track *draw)
{
    const double *t = about->time_s;
    for (size_t k = 0; k + 1 < p->smoother.count; k++) {
        size_t first = p->knots.sample[k], last = p->knots.sample[k + 1];
        struct piece piece = piece_at(p, k, t[last] - t[first], factor, random);
        last -= k + 2 < p->smoother.count; /* a knot's sample belongs to the piece it begins */
        size_t from = first > stretch.first ? first : stretch.first;
        for (size_t i = from; i <= last && i <= stretch.last; i++) {
            put_sample(about, gain, &piece, t[i] - t[first], i, draw);
        }
    }
}

static double height_over_bar(const struct bp_posterior *p, const double lever[3], size_t i)
{
    double *const *up = p->motion->up;
    return lever[0] * up[0][i] + lever[1] * up[1][i] + lever[2] * up[2][i];
}

/* The chip rides at r off the bar's axis and is r·up higher than it: the bar itself moved by so much less. */
static void take_lever(const struct bp_posterior *p, struct bp_spell stretch, const double lever[3],
                       struct bp_track *draw)
{
    const double *t = draw->time_s;
    size_t before = stretch.first > 0 ? stretch.first - 1 : 0;
    double above = height_over_bar(p, lever, before), speed = 0;
    for (size_t i = before; i <= stretch.last; i++) {
        size_t next = i + 1 < draw->count ? i + 1 : i;
        double then = height_over_bar(p, lever, next);
        double soon = next > i ? (then - above) / (t[next] - t[i]) : 0;
        if (i >= stretch.first) {
            draw->height_m[i] -= above;
            draw->speed_m_s[i] -= speed;
            draw->accel_m_s2[i] -= next > i ? (soon - speed) / (t[next] - t[i]) : 0;
        }
        above = then;
        speed = soon;
    }
}

/* How much of what "up" did in the phone was its own turning: without a gyroscope the rest was sideways
 * acceleration, in this draw. */
static double turned_share(const struct bp_posterior *p)
{
    size_t swing = BP_STATE_ERROR + BP_ERROR_LEAN;
    double aside = p->motion->swing_m_s2 ? p->smoother.x[swing] + p->error[swing] : 0;
    return fmin(fmax(1 - aside, 0), 1);
}

static struct whole draw_whole(const struct bp_posterior *p, double gain, struct bp_random *random)
{
    struct whole whole = {.scale = gain * hypot(p->prior->force_scale, p->motion->gain_off)};
    for (int a = 0; a < 3; a++) {
        whole.lever[a] = p->prior->lever_m * bp_random_normal(random);
    }
    return whole;
}

void bp_track_draw(const struct bp_track *about, struct bp_spell stretch, double gain,
                   struct bp_random *random, struct bp_track *draw)
{
    const struct bp_posterior *p = about->posterior;
    struct whole whole = draw_whole(p, gain, random);
    double factor = sqrt(bp_posterior_factor(p));
    draw->count = about->count;
    draw->time_s = about->time_s;
    bp_smoother_draw(&p->smoother, random, factor, p->error);
    put_pieces(p, about, stretch, 1 + whole.scale, factor, random, draw);
    double turned = turned_share(p);
    for (int a = 0; a < 3; a++) {
        whole.lever[a] *= turned;
    }
    take_lever(p, stretch, whole.lever, draw);
}
