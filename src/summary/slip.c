/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/slip.h"
#include "barplumb/units.h"

#include <math.h>

/* At rest the bar lies as the rack does, to well within this. */
static const double SLIP_DEG = 1.5;

/* Mean "up" over a spell, of unit length; false when it does not point anywhere. */
static bool rest_up(const struct bp_motion *motion, struct bp_spell spell, double up[3])
{
    double length = 0;
    for (int a = 0; a < 3; a++) {
        up[a] = 0;
        for (size_t i = spell.first; i <= spell.last; i++) {
            up[a] += motion->up[a][i];
        }
        length += up[a] * up[a];
    }
    for (int a = 0; a < 3; a++) {
        up[a] /= sqrt(length);
    }
    return length > 0;
}

/* How far above level the phone's axis along the bar points, rad. */
static double lean(const struct bp_motion *motion, const double up[3])
{
    double sine = 0;
    for (int a = 0; a < 3; a++) {
        sine += up[a] * motion->along.axis[a];
    }
    return asin(fmin(fmax(sine, -1), 1));
}

struct bp_slip bp_slip_find(const struct bp_motion *motion, const struct bp_reps *reps)
{
    const struct bp_spells *still = &motion->still;
    const struct bp_rep *first = &reps->list[0], *last = &reps->list[reps->count - 1];
    size_t start = first->has_before ? first->top_before : first->bottom, before = SIZE_MAX, after = SIZE_MAX;
    for (size_t s = 0; s < still->count; s++) {
        before = still->list[s].last < start ? s : before;
        after = after == SIZE_MAX && still->list[s].first > last->top ? s : after;
    }
    double was[3], is[3];
    if (!motion->along.known || before == SIZE_MAX || after == SIZE_MAX ||
        !rest_up(motion, still->list[before], was) || !rest_up(motion, still->list[after], is)) {
        return (struct bp_slip){.slipped = false};
    }
    double turned = lean(motion, is) - lean(motion, was);
    return (struct bp_slip){.slipped = fabs(turned) > SLIP_DEG * BP_DEGREE,
                            .turned_rad = turned,
                            .from_s = motion->trace->time_s[still->list[before].last],
                            .at_s = motion->trace->time_s[still->list[after].first]};
}
