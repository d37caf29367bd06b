/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Could this movement be a lift? The bar goes up and down by decimetres while the phone on it stays nearly as
 * it lay: steps with a phone in a pocket go up and down by 4 cm, and a phone that is strapped on or carried
 * about is turned over.
 */
#include "split/parts.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

/* On the bar "up" stays within this of where it was at rest: bars roll, but not over (motion/stretch.c). */
static const double ON_BAR_RAD = 45 * BP_DEGREE;
static const double SAME_BAR_RAD = 25 * BP_DEGREE; /* from one rest to the next bars roll less than this */
static const double TURN_TIME_S = 0.5; /* gravity's side follows the roll of a bar, not its jerks */
/* The integrals of speed and way forget with this time: 0.1 m/s^2 of offset that comes with another roll
 * makes 5 cm, and of a rep of 0.3 m in 5 s some 13 cm are left. */
static const double FORGET_S = 0.7;
static const double STEP_MOST_S = 0.1; /* over a hole in the log */
/* A phone taken off the bar without a rest there is turned over sooner than a set is done. */
static const double LONG_S = 6;

struct run {
    double way_m, time_s;
    bool arrived; /* the phone lay as at the start all the way */
};

/* From sample at, where the phone lay as in calm, to sample to, either way. */
static struct run follow(const struct bp_trace *trace, const double calm[3], size_t at, size_t to)
{
    const double *t = trace->time_s;
    double side[3] = {calm[0], calm[1], calm[2]}, limit = cos(ON_BAR_RAD);
    double gravity = sqrt(calm[0] * calm[0] + calm[1] * calm[1] + calm[2] * calm[2]);
    double speed = 0, height = 0, low = 0, high = 0, begin_s = t[at];
    while (at != to) {
        size_t next = at < to ? at + 1 : at - 1;
        double step = fmin(fabs(t[next] - t[at]), STEP_MOST_S), length2 = 0, along = 0;
        for (int a = 0; a < 3; a++) {
            double f = trace->force[a][next];
            side[a] += (f - side[a]) * step / (TURN_TIME_S + step);
            length2 += side[a] * side[a];
            along += side[a] * f;
        }
        if (bp_calm_cosine(side, calm) < limit) {
            break;
        }
        speed = (speed + (along / sqrt(length2) - gravity) * step) * (1 - step / FORGET_S);
        height = (height + speed * step) * (1 - step / FORGET_S);
        low = fmin(low, height);
        high = fmax(high, height);
        at = next;
    }
    return (struct run){high - low, fabs(t[at] - begin_s), at == to};
}

static bool is_lift(const struct run *run, double least_way_m)
{
    return run->way_m >= least_way_m && (run->arrived || run->time_s >= LONG_S);
}

struct bp_movement bp_movement_read(const struct bp_trace *trace, const struct bp_calm *before,
                                    const struct bp_calm *after, double least_way_m)
{
    size_t from = before ? before->last : 0, to = after ? after->first : trace->count - 1;
    struct bp_movement movement = {false, false, before || after};
    bool same = !before || !after || bp_calm_cosine(before->force, after->force) >= cos(SAME_BAR_RAD);
    if (before) {
        struct run run = follow(trace, before->force, from, to);
        run.arrived = run.arrived && same;
        movement.lift_before = is_lift(&run, least_way_m);
        movement.on_bar = run.arrived;
    }
    if (after) {
        struct run run = follow(trace, after->force, to, from);
        run.arrived = run.arrived && same;
        movement.lift_after = is_lift(&run, least_way_m);
        movement.on_bar = movement.on_bar && run.arrived;
    }
    return movement;
}
