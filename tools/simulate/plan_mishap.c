/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mishaps in the middle of a set: the bar hits the rack, a spotter touches it.
 */
#include "plan.h"

#include "barplumb/units.h"

#include <math.h>

/* The largest acceleration of a piece, to a thousandth of its ring. */
static double largest_accel(const struct sim_piece *piece)
{
    enum { LOOKS = 1000 };
    double largest = 0.0;
    for (int i = 0; i <= LOOKS; i++) {
        double time = piece->from_s + piece->length_s * (double)i / LOOKS;
        largest = fmax(largest, fabs(sim_piece_at(piece, time).accel));
    }
    return largest;
}

/* A window times a sinusoid: the bar is struck, rings for two or three periods and is where it was. Quick as
 * it is, a few g take it no farther than a millimetre. */
static struct sim_piece make_ring(struct bp_random *random, double from_s, double length_s)
{
    const double rise = 0.15; /* struck at once, dies away slowly */
    double periods = bp_random_between(random, 1.5, 3.0);
    return (struct sim_piece){.kind = SIM_WAVE,
                              .from_s = from_s,
                              .length_s = length_s,
                              .size = 1.0,
                              .rise_s = rise * length_s,
                              .fall_s = (1.0 - rise) * length_s,
                              .omega = 2.0 * BP_PI * periods / length_s,
                              .phase = bp_random_between(random, 0.0, 2.0 * BP_PI)};
}

/* Fore-aft for the most part: that is where the uprights stand. */
static void draw_direction(struct bp_random *random, double direction[3])
{
    direction[0] = bp_random_between(random, -0.5, 0.5);
    direction[1] = sim_random_chance(random, 0.5) ? 1.0 : -1.0;
    direction[2] = bp_random_between(random, -0.5, 0.5);
    double length = sqrt(direction[0] * direction[0] + 1.0 + direction[2] * direction[2]);
    for (int i = 0; i < 3; i++) {
        direction[i] /= length;
    }
}

static void plan_hit(struct sim_plan *plan, struct bp_random *random)
{
    const struct sim_scenario *s = plan->scenario;
    double part = bp_random_between(random, 0.2, 0.8), direction[3];
    draw_direction(random, direction);
    if (s->hit_rep <= 0 || s->hit_m_s2 <= 0.0) {
        return;
    }
    const struct sim_planned_rep *rep = &plan->motion->reps[s->hit_rep - 1];
    double from = s->hit_in_hold ? rep->drive_to_s : rep->drive_from_s;
    double to = s->hit_in_hold ? rep->top_to_s : rep->drive_to_s;
    struct sim_piece ring = make_ring(random, from + part * (to - from), s->hit_s);
    double size = s->hit_m_s2 / largest_accel(&ring);
    for (int i = 0; i < 3; i++) {
        ring.size = size * direction[i];
        sim_path_add(&plan->motion->rattle[i], &ring);
    }
}

/* The bar moves, so all of this is truth: it gets ahead of the lifter's own pace while it is pushed, and the
 * lifter is as much slower after that; and it goes aside and comes back. All is over while the drive still
 * has its speed, or the bar would pass its lockout and sink back to it. */
static void plan_spotter(struct sim_plan *plan, struct bp_random *random)
{
    const double fore_share = 0.5, over = 0.75, ramp = 0.2;
    const struct sim_scenario *s = plan->scenario;
    double begin = bp_random_between(random, 0.15, 0.25), part = bp_random_between(random, 0.2, 0.3);
    if (s->spotter_rep <= 0) {
        return;
    }
    const struct sim_planned_rep *rep = &plan->motion->reps[s->spotter_rep - 1];
    double length = rep->drive_to_s - rep->drive_from_s, from = rep->drive_from_s + begin * length;
    double push = part * length, rest = (over - begin - part) * length;
    sim_path_stroke(&plan->motion->height, from, push, s->spotter_lift_m, 0.5, 0.5);
    sim_path_stroke(&plan->motion->height, from + push, rest, -s->spotter_lift_m, ramp, ramp);
    sim_path_bump(&plan->motion->along, from, 2.0 * push, s->spotter_aside_m);
    sim_path_bump(&plan->motion->fore, from, 2.0 * push, fore_share * s->spotter_aside_m);
}

void sim_plan_mishaps(struct sim_plan *plan)
{
    struct bp_random random;
    bp_random_init(&random, plan->scenario->seed, SIM_STREAM_MISHAP);
    plan_spotter(plan, &random);
    plan_hit(plan, &random);
}
