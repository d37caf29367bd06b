/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/stretch.h"
#include "barplumb/units.h"
#include "motion/rotation.h"

#include <math.h>
#include <string.h>

/* While on the bar, "up" stays within this of its usual direction in the phone: bars roll, but not over. */
static const double ON_BAR_RAD = 45 * BP_DEGREE;
/* Past this on either side of the set, the phone was being handled; bars roll less and rests are this long.
 */
static const double HANDLED_RAD = 25 * BP_DEGREE, LONG_REST_S = 1.5;

struct work {
    const struct bp_motion *motion;
    size_t first, last;
};

/* How far "up" at sample i lies along the usual one: the cosine between them. */
static double along_usual(const struct bp_motion *motion, const double usual[3], size_t i)
{
    const double up[3] = {motion->up[0][i], motion->up[1][i], motion->up[2][i]};
    return bp_dot(usual, up);
}

/* The usual "up": the mean direction over all samples, then twice over those near the one before. */
static void usual_up(const struct bp_motion *motion, double usual[3])
{
    memset(usual, 0, 3 * sizeof *usual);
    double limit = -1;
    for (int pass = 0; pass < 3; pass++) {
        double sum[3] = {0};
        for (size_t i = 0; i < motion->trace->count; i++) {
            bool near = along_usual(motion, usual, i) >= limit;
            for (int a = 0; near && a < 3; a++) {
                sum[a] += motion->up[a][i];
            }
        }
        bp_normalise(sum);
        memcpy(usual, sum, sizeof sum);
        limit = cos(ON_BAR_RAD);
    }
}

/* Whether "up" leaves its usual direction by more than a bar would roll anywhere in [from, to). */
static bool handled(const struct work *w, const double usual[3], size_t from, size_t to)
{
    double limit = cos(HANDLED_RAD);
    for (size_t i = from; i < to; i++) {
        if (along_usual(w->motion, usual, i) < limit) {
            return true;
        }
    }
    return false;
}

/* Whether the still spell lies in the stretch. */
static bool inside(const struct work *w, const struct bp_spell *spell)
{
    return spell->first >= w->first && spell->last <= w->last;
}

static bool is_long(const struct work *w, const struct bp_spell *spell)
{
    const double *t = w->motion->trace->time_s;
    return t[spell->last] - t[spell->first] >= LONG_REST_S;
}

/* Where no rest parts the set from the handling: the sample after the last one before half_s, and the one
 * before the first one after it, at which the phone was turned further than a bar rolls. */
static size_t last_handled(const struct work *w, const double usual[3], double half_s)
{
    size_t first = w->first;
    for (size_t i = w->first; i < w->last && w->motion->trace->time_s[i] < half_s; i++) {
        first = handled(w, usual, i, i + 1) ? i + 1 : first;
    }
    return first;
}

static size_t first_handled(const struct work *w, const double usual[3], double half_s)
{
    size_t last = w->last;
    for (size_t i = w->last; i > w->first && w->motion->trace->time_s[i] > half_s; i--) {
        last = handled(w, usual, i, i + 1) ? i - 1 : last;
    }
    return last;
}

/* Where the set may begin: the first rest with no handling between it and the first long one; where no rest
 * is long, the first. Only in the stretch's first half. Its first sample where nothing was handled. */
static size_t cut_before(const struct work *w, const double usual[3])
{
    const struct bp_spells *still = &w->motion->still;
    const double *t = w->motion->trace->time_s;
    double half_s = 0.5 * (t[w->first] + t[w->last]);
    size_t sure = SIZE_MAX;
    for (size_t s = 0; s < still->count && (sure == SIZE_MAX || !is_long(w, &still->list[sure])); s++) {
        if (inside(w, &still->list[s]) && t[still->list[s].first] < half_s &&
            (sure == SIZE_MAX || is_long(w, &still->list[s]))) {
            sure = s;
        }
    }
    if (sure == SIZE_MAX) {
        return last_handled(w, usual, half_s);
    }
    if (!handled(w, usual, w->first, still->list[sure].first)) {
        return w->first;
    }
    while (sure > 0 && inside(w, &still->list[sure - 1]) &&
           !handled(w, usual, still->list[sure - 1].first, still->list[sure].first)) {
        sure--;
    }
    return still->list[sure].first;
}

/* The same from the end. */
static size_t cut_after(const struct work *w, const double usual[3])
{
    const struct bp_spells *still = &w->motion->still;
    const double *t = w->motion->trace->time_s;
    double half_s = 0.5 * (t[w->first] + t[w->last]);
    size_t sure = SIZE_MAX;
    for (size_t s = still->count; s-- > 0 && (sure == SIZE_MAX || !is_long(w, &still->list[sure]));) {
        if (inside(w, &still->list[s]) && t[still->list[s].last] > half_s &&
            (sure == SIZE_MAX || is_long(w, &still->list[s]))) {
            sure = s;
        }
    }
    if (sure == SIZE_MAX) {
        return first_handled(w, usual, half_s);
    }
    if (!handled(w, usual, still->list[sure].last, w->last)) {
        return w->last;
    }
    while (sure + 1 < still->count && inside(w, &still->list[sure + 1]) &&
           !handled(w, usual, still->list[sure].last, still->list[sure + 1].last)) {
        sure++;
    }
    return still->list[sure].last;
}

/* Cuts off what comes before the first rest and after the last where it is the phone being put on or taken
 * off: it turns it further than a bar rolls. */
static void cut_handling(struct work *w, const double usual[3])
{
    size_t first = cut_before(w, usual), last = cut_after(w, usual);
    w->first = first;
    w->last = last;
}

/* The longest stretch of samples with "up" near its usual direction. */
static void stretch_on_bar(struct work *w)
{
    double usual[3], limit = cos(ON_BAR_RAD), longest = -1;
    const double *t = w->motion->trace->time_s;
    usual_up(w->motion, usual);
    size_t first = 0;
    bool within = false;
    for (size_t i = 0; i <= w->motion->trace->count; i++) {
        bool on = i < w->motion->trace->count && along_usual(w->motion, usual, i) >= limit;
        if (on && !within) {
            first = i;
        }
        if (!on && within && t[i - 1] - t[first] > longest) {
            longest = t[i - 1] - t[first];
            w->first = first;
            w->last = i - 1;
        }
        within = on;
    }
    cut_handling(w, usual);
}

struct bp_spell bp_stretch_find(const struct bp_motion *motion)
{
    struct work w = {motion, 0, motion->trace->count - 1};
    stretch_on_bar(&w);
    return (struct bp_spell){w.first, w.last};
}
