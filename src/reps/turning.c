/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reps/turning.h"

struct scan {
    const double *height;
    size_t high, low; /* candidates since the last turning point */
    int direction;    /* +1 rising, -1 falling, 0 not yet known */
    size_t count;
    struct bp_turning *list;
};

static void put(struct scan *s, size_t sample, bool top)
{
    if (s->list) {
        s->list[s->count] = (struct bp_turning){sample, s->height[sample], top};
    }
    s->count++;
}

static void step(struct scan *s, size_t i, double least)
{
    const double *h = s->height;
    if (h[i] > h[s->high]) {
        s->high = i;
    }
    if (h[i] < h[s->low]) {
        s->low = i;
    }
    if (s->direction >= 0 && h[s->high] - h[i] >= least) {
        if (s->direction == 0 && s->low < s->high && h[s->high] - h[s->low] >= least) {
            put(s, s->low, false);
        }
        put(s, s->high, true);
        s->direction = -1;
        s->low = i;
        s->high = i;
    } else if (s->direction <= 0 && h[i] - h[s->low] >= least) {
        put(s, s->low, false);
        s->direction = 1;
        s->high = i;
        s->low = i;
    }
}

size_t bp_turning_find(const double *height, size_t first, size_t last, double least_m,
                       struct bp_turning *list)
{
    struct scan s = {.height = height, .high = first, .low = first, .list = list};
    for (size_t i = first; i <= last; i++) {
        step(&s, i, least_m);
    }
    if (s.direction > 0) {
        put(&s, s.high, true);
    } else if (s.direction < 0) {
        put(&s, s.low, false);
    }
    return s.count;
}
