/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/sideways_tilt.h"
#include "barplumb/units.h"

#include <math.h>

/* The rest before the set: the first still spell with the phone on the bar, however short, since a lifter's
 * holds come after it; the whole log where nothing is still. */
static struct bp_spell first_rest(const struct bp_motion *motion)
{
    for (size_t r = 0; r < motion->still.count; r++) {
        const struct bp_spell *spell = &motion->still.list[r];
        if (spell->first >= motion->on_bar.first && spell->last <= motion->on_bar.last) {
            return *spell;
        }
    }
    return (struct bp_spell){0, motion->trace->count - 1};
}

void bp_sideways_find_rest(struct bp_sideways *s)
{
    const struct bp_motion *motion = s->motion;
    struct bp_spell rest = first_rest(motion);
    double count = (double)(rest.last - rest.first + 1);
    for (size_t i = rest.first; i <= rest.last; i++) {
        s->rest_tilt_rad += motion->tilt_rad[i] / count;
        s->rest_roll_rad += s->roll_rad[i] / count;
    }
    s->rest_to_s = motion->trace->time_s[rest.last];
    s->rest_from_s = s->rest_to_s;
    if (motion->still.count > 0) {
        double last = motion->trace->time_s[motion->still.list[motion->still.count - 1].first];
        s->rest_from_s = fmax(last, s->rest_to_s);
    }
}

/* What the attitude has walked off by at time t, as Karhunen-Loève sums: a Brownian bridge between the rests,
 * and a walk that nothing ends after the last. */
static double walked_rad(const struct bp_sideways *s, double t)
{
    double end = s->motion->trace->time_s[s->motion->trace->count - 1];
    bool between = t < s->rest_from_s;
    double from = between ? s->rest_to_s : s->rest_from_s;
    double length = (between ? s->rest_from_s : end) - from, part = (t - from) / length, sum = 0;
    if (!(length > 0) || part <= 0) {
        return 0;
    }
    for (int k = 0; k < BP_WALK_TERMS; k++) {
        double turn = BP_PI * (between ? k + 1 : k + 0.5);
        sum += s->now.walk[k] * sin(turn * part) / turn;
    }
    return sqrt(2 * length) * sum;
}

/* How much of what the phone lies otherwise after the set it did by time t. Too little to be called a slip,
 * it may be one, at any moment, or readings rounded one way before the set and the other way after it. */
static double turned_rad(const struct bp_sideways *s, double t)
{
    const struct bp_slip *slip = &s->slip;
    return t - slip->from_s > s->now.slip_part * (slip->at_s - slip->from_s) ? slip->turned_rad : 0;
}

double bp_sideways_tilt_deg(const struct bp_sideways *sideways, size_t first, size_t last)
{
    const struct bp_motion *motion = sideways->motion;
    /* About an axis that was only assumed, or that the log shows no better, roll would be called tilt. */
    if (!sideways->known || !sideways->roll_rad || !sideways->axis_seen || sideways->slip.slipped ||
        first > last) {
        return (double)NAN;
    }
    const struct bp_sideways_state *now = &sideways->now;
    double direction = sideways->axis_part * now->share[BP_SHAPE_FORE] + now->fore_axis_rad;
    double rolled = direction + now->turn_cross, largest = 0;
    double middle_s = motion->trace->time_s[first + (last - first) / 2];
    double off = walked_rad(sideways, middle_s) + turned_rad(sideways, middle_s);
    for (size_t i = first; i <= last; i++) {
        double tilt = motion->tilt_rad[i] - sideways->rest_tilt_rad - off;
        double roll = sideways->roll_rad[i] - sideways->rest_roll_rad;
        largest = fmax(largest, fabs(tilt - rolled * roll));
    }
    return largest / BP_DEGREE;
}
