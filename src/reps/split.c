/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reps/split.h"

#include <math.h>
#include <stdint.h>

const double bp_split_rest_m_s = 0.1;
/* A bar rests that moves slower for so long; a rest nearer a stroke's ends than this share is its end. */
static const double REST_S = 0.25, REST_SHARE = 0.15;
/* A stroke that goes further than the one beside it by this is more than a rep's own. */
static const double FURTHER = 1.3;

/* The sample in a rest at which the bar last stood before its stroke went on, or first stood after coming so
 * far: where its speed last, or first, was 0 or the other way; where a drift hides that, where it was
 * slowest. way 1: the stroke rises, -1: it falls. */
static size_t standing_in(const struct bp_track *track, struct bp_spell rest, double way, bool last)
{
    const double *v = track->speed_m_s;
    size_t slowest = rest.first, found = SIZE_MAX;
    for (size_t i = rest.first; i <= rest.last; i++) {
        slowest = fabs(v[i]) < fabs(v[slowest]) ? i : slowest;
        bool stands = way * v[i] <= 0;
        found = stands && (last || found == SIZE_MAX) ? i : found;
    }
    return found == SIZE_MAX ? slowest : found;
}

/* Where the bar rested longest on its way through a long stroke between samples a and b, away from its ends;
 * 0 if it nowhere rested. A stall in the drive is shorter than the hang. */
static size_t rest_within(const struct bp_track *track, size_t a, size_t b, bool last)
{
    const double *t = track->time_s, *v = track->speed_m_s, *h = track->height_m;
    double low = fmin(h[a], h[b]), stroke = fabs(h[b] - h[a]), longest = REST_S;
    struct bp_spell rest = {0, 0};
    size_t since = a;
    for (size_t i = a; i < b; i++) {
        double share = (h[i] - low) / stroke;
        bool rests = fabs(v[i]) < bp_split_rest_m_s && share > REST_SHARE && share < 1 - REST_SHARE;
        since = rests ? since : i + 1;
        if (rests && t[i] - t[since] >= longest) {
            longest = t[i] - t[since];
            rest = (struct bp_spell){since, i};
        }
    }
    return rest.last ? standing_in(track, rest, h[b] > h[a] ? 1 : -1, last) : 0;
}

/* Moves the turning point `at` to where the bar rested between it and its neighbour `next`. */
static void move_to_rest(const struct bp_track *track, struct bp_turning *at, const struct bp_turning *next)
{
    bool before = at->sample < next->sample;
    size_t a = before ? at->sample : next->sample, b = before ? next->sample : at->sample;
    size_t rest = rest_within(track, a, b, before);
    if (rest) {
        *at = (struct bp_turning){rest, track->height_m[rest], at->top};
    }
}

void bp_split_pickup(const struct bp_track *track, struct bp_turning *turning, size_t count)
{
    size_t up = 0, down = count;
    while (up + 1 < count && turning[up].top) {
        up++;
    }
    while (down > 0 && turning[down - 1].top) {
        down--;
    }
    if (up + 1 < count) {
        move_to_rest(track, &turning[up], &turning[up + 1]);
    }
    /* The last fall is a putting down only where it goes further than the rise before it. */
    if (down > 2 && down - 1 > up &&
        turning[down - 2].height_m - turning[down - 1].height_m >
            FURTHER * (turning[down - 2].height_m - turning[down - 3].height_m)) {
        move_to_rest(track, &turning[down - 1], &turning[down - 2]);
    }
}

void bp_split_walkout(const struct bp_track *track, struct bp_turning *turning, size_t count)
{
    size_t top = 0;
    while (top < count && !turning[top].top) {
        top++;
    }
    if (top + 2 < count && turning[top].height_m - turning[top + 1].height_m >
                               FURTHER * (turning[top + 2].height_m - turning[top + 1].height_m)) {
        move_to_rest(track, &turning[top], &turning[top + 1]);
    }
}
