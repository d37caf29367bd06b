/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reps/pattern.h"

#include <gsl/gsl_sort.h>
#include <math.h>

/* A stroke that comes back by between these shares of itself is a go-and-return. */
static const double RETURN_LEAST = 0.6, RETURN_MOST = 1.6;
/* Shares of the usual range: to count as lowered, as locked out, and (less) as an attempt at all. */
static const double LOWERED = 0.6, LOCKED_OUT = 0.8, ATTEMPT = 0.2;
/* Strokes smaller than this share of the largest were not completed. */
static const double COMPLETE = 0.65;
/* More than this is something else: the bar put down, the phone taken off. */
static const double TOO_FAR = 1.5;

static double stroke(const struct bp_turning *a, const struct bp_turning *b)
{
    return fabs(b->height_m - a->height_m);
}

double bp_pattern_range(const struct bp_turning *turning, size_t count, enum bp_lift lift, double *scratch)
{
    const struct bp_lift_facts *facts = bp_lift_facts(lift);
    size_t n = 0;
    for (size_t i = 0; i + 2 < count; i++) {
        if (turning[i].top != facts->descent_first) {
            continue;
        }
        double out = stroke(&turning[i], &turning[i + 1]), back = stroke(&turning[i + 1], &turning[i + 2]);
        double drive = facts->descent_first ? back : out;
        if (fmin(out, back) >= facts->least_range_m && drive <= facts->most_range_m &&
            back >= RETURN_LEAST * out && back <= RETURN_MOST * out) {
            scratch[n++] = drive;
        }
    }
    if (n == 0) {
        return (double)NAN;
    }
    gsl_sort(scratch, 1, n);
    /* Partial strokes of missed reps pull a median down; reps are the larger ones. */
    double largest = scratch[n - 1];
    size_t first = 0;
    while (scratch[first] < COMPLETE * largest) {
        first++;
    }
    return scratch[first + (n - first - 1) / 2];
}

/* An attempt from the bottom at index b: looks ahead to lockout or to where it was given up. Each try is
 * measured from the bottom before it, since a bar that was helped up comes from lower down. */
static size_t attempt_from_top(const struct bp_turning *turning, size_t count, size_t b, double range_m,
                               struct bp_rep *rep)
{
    size_t i = b + 1;
    rep->top = rep->bottom;
    rep->reached = 0;
    for (; i < count; i += 2) {
        double up = turning[i].height_m - turning[i - 1].height_m;
        bool locked_out = up >= LOCKED_OUT * range_m;
        /* After a missed try that is help to the rack: the rep's top stays the try's. */
        if (locked_out ? !rep->missed : up / range_m > rep->reached) {
            rep->top = turning[i].sample;
        }
        if (locked_out) {
            break;
        }
        rep->missed = true; /* turned back short of lockout */
        rep->reached = fmax(rep->reached, up / range_m);
    }
    rep->left_down = i >= count;
    rep->missed = rep->missed || rep->left_down;
    rep->reached = rep->missed ? rep->reached : 1;
    return i;
}

size_t bp_pattern_from_top(const struct bp_turning *turning, size_t count, double range_m, double most_m,
                           bool begins_inside, struct bp_rep *list)
{
    size_t found = 0, i = 0;
    if (begins_inside && count > 1 && stroke(&turning[0], &turning[1]) >= LOCKED_OUT * range_m &&
        stroke(&turning[0], &turning[1]) <= TOO_FAR * range_m) {
        list[found++] = (struct bp_rep){.bottom = turning[0].sample, .top = turning[1].sample, .reached = 1};
        i = 1;
    }
    while (i + 1 < count) {
        double down = turning[i].top ? turning[i].height_m - turning[i + 1].height_m : 0;
        if (!turning[i].top || down < LOWERED * range_m || down > fmin(TOO_FAR * range_m, most_m)) {
            i++;
            continue;
        }
        struct bp_rep rep = {
            .has_before = true, .top_before = turning[i].sample, .bottom = turning[i + 1].sample};
        size_t end = attempt_from_top(turning, count, i + 1, range_m, &rep);
        list[found++] = rep;
        i = end > i ? end : i + 1;
    }
    return found;
}

size_t bp_pattern_from_bottom(const struct bp_turning *turning, size_t count, double range_m,
                              bool must_return, struct bp_rep *list)
{
    size_t found = 0;
    for (size_t i = 0; i + 1 < count; i++) {
        if (turning[i].top) {
            continue;
        }
        double up = turning[i + 1].height_m - turning[i].height_m;
        double down = i + 2 < count ? turning[i + 1].height_m - turning[i + 2].height_m : 0;
        bool returns = down >= RETURN_LEAST * up && down <= RETURN_MOST * up;
        /* The last fall may go on, to where the bar is put down. */
        bool put_down = down >= RETURN_LEAST * up && i + 3 >= count;
        /* A row's bar comes back to the hang; picking it up does not. The log may end at the top. */
        bool full = up >= LOCKED_OUT * range_m && up <= TOO_FAR * range_m &&
                    (!must_return || returns || put_down || i + 2 >= count);
        /* A short one must come back down to count as an attempt: stepping back with the bar does not. */
        bool short_try = up >= ATTEMPT * range_m && up < LOCKED_OUT * range_m && returns;
        if (!full && !short_try) {
            continue;
        }
        struct bp_rep rep = {.missed = !full,
                             .reached = up / range_m,
                             .bottom = turning[i].sample,
                             .top = turning[i + 1].sample,
                             .has_after = i + 2 < count};
        rep.bottom_after = rep.has_after ? turning[i + 2].sample : 0;
        list[found++] = rep;
    }
    return found;
}
