/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/held.h"

#include <math.h>

/* Looked at this often: sway is far slower. */
static const double LOOK_S = 0.05;
/* Even is a speed that stays within this for so long: the sway of a held bar reaches 0.03 m/s, what a bias
 * adds as the bar rolls as much again, and the quickest part of a stroke is over in less. */
static const double EVEN_M_S = 0.1, EVEN_S = 1.0;
/* Left out at either end, in which the bar still comes to rest or already leaves. */
static const double MARGIN_S = 0.2;

struct look {
    size_t sample;
    double speed_m_s; /* up to a constant */
};

/* A bar that does not run away has no mean acceleration: what the log shows as one is bias. */
static double mean_rise(const struct bp_motion *motion)
{
    double sum = 0;
    for (size_t i = motion->on_bar.first; i <= motion->on_bar.last; i++) {
        sum += motion->rise_m_s2[i];
    }
    return sum / (double)(motion->on_bar.last - motion->on_bar.first + 1);
}

/* The speed from the first sample on the bar on, each LOOK_S; returns how many looks. */
static size_t look(const struct bp_motion *motion, struct look *looks)
{
    const double *t = motion->trace->time_s, *a = motion->rise_m_s2;
    double bias = mean_rise(motion), v = 0, next = t[motion->on_bar.first];
    size_t count = 0;
    for (size_t i = motion->on_bar.first; i <= motion->on_bar.last; i++) {
        v += i > motion->on_bar.first ? (t[i] - t[i - 1]) * (0.5 * (a[i - 1] + a[i]) - bias) : 0;
        if (t[i] >= next) {
            looks[count++] = (struct look){i, v};
            next = t[i] + LOOK_S;
        }
    }
    return count;
}

/* The first look past `from` at which the speed has left the band that holds all since. */
static size_t even_until(const struct look *looks, size_t count, size_t from)
{
    double low = looks[from].speed_m_s, high = low;
    size_t i = from + 1;
    for (; i < count; i++) {
        low = fmin(low, looks[i].speed_m_s);
        high = fmax(high, looks[i].speed_m_s);
        if (high - low > EVEN_M_S) {
            break;
        }
    }
    return i;
}

/* Past the margin from a spell's first sample on, and before it from its last. */
static struct bp_spell without_margins(const double *t, struct bp_spell spell)
{
    double from = t[spell.first] + MARGIN_S, to = t[spell.last] - MARGIN_S;
    while (t[spell.first] < from) {
        spell.first++;
    }
    while (t[spell.last] > to) {
        spell.last--;
    }
    return spell;
}

bool bp_held_find(const struct bp_motion *motion, struct bp_arena *arena, struct bp_spells *held)
{
    const double *t = motion->trace->time_s;
    size_t most = (size_t)((t[motion->on_bar.last] - t[motion->on_bar.first]) / LOOK_S) + 2;
    struct look *looks = bp_arena_take(arena, most, sizeof *looks);
    *held = (struct bp_spells){.list = bp_arena_take(arena, most, sizeof *held->list)};
    if (!looks || !held->list) {
        return false;
    }
    size_t count = look(motion, looks);
    for (size_t i = 0; i < count;) {
        size_t until = even_until(looks, count, i);
        struct bp_spell spell = {looks[i].sample, looks[until - 1].sample};
        bool even = t[spell.last] - t[spell.first] >= EVEN_S;
        if (even) {
            held->list[held->count++] = without_margins(t, spell);
        }
        i = even ? until : i + 1;
    }
    return true;
}
