/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Draws of the bar's path: the smoother's own errors at the knots, spread over the samples, and the errors
 * that belong to the whole log.
 */
#include "motion/posterior.h"

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

enum bp_code bp_track_prepare_draws(struct bp_track *track, struct bp_arena *arena, struct bp_error *error)
{
    struct bp_posterior *p = track->posterior;
    p->error = bp_arena_doubles(arena, p->smoother.count * p->smoother.n);
    if (!p->error || !bp_smoother_spread(&p->smoother, arena)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the intervals");
    }
    return BP_OK;
}

/* Between two knots the error runs as the cubic through its heights and speeds there, and over it what noise
 * does in between: of a Brownian bridge that leaves the height alone the first term, √2/2π sin 2πx
 * (Karhunen-Loève), which carries 3/5 of its power, as the cubic of the same peak. */
static void add_smoother_error(const struct bp_posterior *p, double factor, struct bp_random *random,
                               struct bp_track *draw)
{
    const double BRIDGE =
        0.22507907903927651 / 0.09622504486493763; /* √2/2π over the cubic's own peak, √3/18 */
    const struct bp_smoother *s = &p->smoother;
    const double *t = draw->time_s;
    for (size_t k = 0; k + 1 < s->count; k++) {
        size_t first = p->knots.sample[k], last = p->knots.sample[k + 1];
        const double *now = p->error + k * s->n, *next = now + s->n;
        double T = t[last] - t[first];
        double h0 = now[BP_STATE_HEIGHT], v0 = now[BP_STATE_SPEED];
        double rise = next[BP_STATE_HEIGHT] - h0, v1 = next[BP_STATE_SPEED];
        double c2 = (3 * rise / T - 2 * v0 - v1) / T, c3 = (v0 + v1 - 2 * rise / T) / (T * T);
        double bridge = BRIDGE * factor * p->fit.within_m_s[k + 1] * bp_random_normal(random);
        for (size_t i = first; i < last || (i == last && k + 2 == s->count); i++) {
            double x = t[i] - t[first], y = x / T, arch = y * (1 - y);
            draw->height_m[i] += h0 + x * (v0 + x * (c2 + x * c3)) + bridge * T * arch * arch / 2;
            draw->speed_m_s[i] += v0 + x * (2 * c2 + 3 * c3 * x) + bridge * arch * (1 - 2 * y);
            draw->accel_m_s2[i] += 2 * c2 + 6 * c3 * x + bridge / T * (1 - 6 * arch);
        }
    }
}

/* The chip rides at r off the bar's axis and is r·up higher than it: the bar itself moved by so much less. */
static void add_lever(const struct bp_posterior *p, const double lever[3], struct bp_track *draw)
{
    double *const *up = p->motion->up;
    const double *t = draw->time_s;
    double before = 0;
    for (size_t i = 0; i < draw->count; i++) {
        double above = lever[0] * up[0][i] + lever[1] * up[1][i] + lever[2] * up[2][i];
        draw->height_m[i] -= above;
        if (i > 0) {
            double rate = (above - before) / (t[i] - t[i - 1]);
            draw->speed_m_s[i] -= rate;
        }
        before = above;
    }
}

static struct whole draw_whole(const struct bp_posterior *p, struct bp_random *random)
{
    struct whole whole = {.scale = p->prior->force_scale * bp_random_normal(random)};
    for (int a = 0; a < 3; a++) {
        whole.lever[a] = p->prior->lever_m * bp_random_normal(random);
    }
    return whole;
}

void bp_track_draw(const struct bp_track *about, struct bp_random *random, struct bp_track *draw)
{
    const struct bp_posterior *p = about->posterior;
    struct whole whole = draw_whole(p, random);
    double gain = 1 + whole.scale;
    draw->count = about->count;
    draw->time_s = about->time_s;
    for (size_t i = 0; i < about->count; i++) {
        draw->height_m[i] = gain * about->height_m[i];
        draw->speed_m_s[i] = gain * about->speed_m_s[i];
        draw->accel_m_s2[i] = gain * about->accel_m_s2[i];
    }
    double factor = sqrt(bp_posterior_factor(p));
    bp_smoother_draw(&p->smoother, random, factor, p->error);
    add_smoother_error(p, factor, random, draw);
    add_lever(p, whole.lever, draw);
}
