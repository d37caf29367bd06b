/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole numbers all through, so that equal misses are equal and the same plan comes out everywhere. No load
 * passes 1e7 g (the limits in plan.h), share_load_g 2e7, a share's numerator 2e11: products stay under 2^63.
 */
#include "plan/search.h"

#include <math.h>
#include <stdlib.h>

static const int64_t WHOLE = 10000; /* 100 % in hundredths of a percent */

/* One combination of counts, and what it weighs without plates. */
struct hung {
    size_t units[BP_PLAN_KINDS_MAX];
    size_t pieces;
    int64_t lockout_g, bottom_g;
};

/* Plate loads that can be as good as the best so far, both ends included. */
struct window {
    int64_t low_g, high_g;
};

struct misses search_misses(const struct wants *wants, int64_t lockout_g, int64_t bottom_g)
{
    struct misses misses = {0, 0, 0};
    if (wants->lockout_g >= 0) {
        misses.lockout_g = llabs(lockout_g - wants->lockout_g);
    }
    if (wants->bottom_g >= 0) {
        misses.bottom_g = llabs(bottom_g - wants->bottom_g);
    }
    if (wants->share_pct_100 >= 0) {
        /* load * |share - (lockout - bottom) / lockout|, half a gram rounded up */
        int64_t off = llabs((lockout_g - bottom_g) * WHOLE - wants->share_pct_100 * lockout_g);
        int64_t whole = lockout_g * WHOLE;
        misses.share_g = (wants->share_load_g * off + whole / 2) / whole;
    }
    return misses;
}

static void narrow(struct window *window, int64_t low_g, int64_t high_g)
{
    window->low_g = low_g > window->low_g ? low_g : window->low_g;
    window->high_g = high_g < window->high_g ? high_g : window->high_g;
}

/* Where the share alone misses by no more than `most_g`: share ± x, so lockout from change / (share + x) to
 * change / (share - x). A gram wider than need be, since these are doubles; the count itself decides. */
static void narrow_to_share(const struct wants *wants, const struct hung *hung, int64_t most_g,
                            struct window *window)
{
    double change_g = (double)(hung->lockout_g - hung->bottom_g);
    double share = (double)wants->share_pct_100 / (double)WHOLE;
    double slack = ((double)most_g + 1) / (double)wants->share_load_g;
    if (change_g <= 0) {
        if (share > slack) {
            window->high_g = window->low_g - 1; /* the plates cannot turn a falling load into a rising one */
        }
        return;
    }
    narrow(window, (int64_t)floor(change_g / (share + slack)) - 1 - hung->lockout_g, window->high_g);
    if (share - slack > 1e-6) { /* nearer 0 the bound is past any stock */
        narrow(window, window->low_g, (int64_t)ceil(change_g / (share - slack)) + 1 - hung->lockout_g);
    }
}

static struct window may_be_best(const struct wants *wants, const struct hung *hung, const struct found *best,
                                 int64_t most_plates_g)
{
    /* The bar has to weigh something all the way. */
    int64_t lighter_g = hung->lockout_g < hung->bottom_g ? hung->lockout_g : hung->bottom_g;
    struct window window = {lighter_g > 0 ? 0 : 1 - lighter_g, most_plates_g};
    if (best->miss_g == INT64_MAX) {
        return window;
    }
    if (wants->lockout_g >= 0) {
        int64_t exact = wants->lockout_g - hung->lockout_g;
        narrow(&window, exact - best->miss_g, exact + best->miss_g);
    }
    if (wants->bottom_g >= 0) {
        int64_t exact = wants->bottom_g - hung->bottom_g;
        narrow(&window, exact - best->miss_g, exact + best->miss_g);
    }
    if (wants->share_pct_100 >= 0) {
        narrow_to_share(wants, hung, best->miss_g, &window);
    }
    return window;
}

/* Combinations come in order of their counts, the first kind slowest: of what is equal otherwise the first
 * found stays. */
static bool is_better(const struct found *a, const struct found *b)
{
    if (a->miss_g != b->miss_g) {
        return a->miss_g < b->miss_g;
    }
    if (a->pieces != b->pieces) {
        return a->pieces < b->pieces;
    }
    if (a->lockout_g != b->lockout_g) {
        return a->lockout_g < b->lockout_g;
    }
    return a->bottom_g < b->bottom_g;
}

static size_t first_from(const struct plates *plates, int64_t grams)
{
    size_t low = 0, high = plates->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (plates->totals[middle].grams < grams) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* Tries every load of plates in the window. Returns how many were tried. */
static size_t try_plates(const struct hung *hung, const struct plates *plates, const struct wants *wants,
                         struct found *best)
{
    struct window window = may_be_best(wants, hung, best, plates->totals[plates->count - 1].grams);
    size_t first = first_from(plates, window.low_g), at = first;
    for (; at < plates->count && plates->totals[at].grams <= window.high_g; at++) {
        struct found found = {.pieces = hung->pieces + plates->totals[at].plates,
                              .lockout_g = hung->lockout_g + plates->totals[at].grams,
                              .bottom_g = hung->bottom_g + plates->totals[at].grams,
                              .total = at};
        struct misses misses = search_misses(wants, found.lockout_g, found.bottom_g);
        found.miss_g = misses.lockout_g + misses.bottom_g + misses.share_g;
        if (is_better(&found, best)) {
            found.combinations = best->combinations;
            for (size_t k = 0; k < BP_PLAN_KINDS_MAX; k++) {
                found.units[k] = hung->units[k];
            }
            *best = found;
        }
    }
    return at - first;
}

/* The next combination, as an odometer counts: the last kind fastest. False after the last one. */
static bool hang_next(const struct stock *stock, struct hung *hung)
{
    for (size_t k = stock->count; k-- > 0;) {
        const struct stock_kind *kind = &stock->kinds[k];
        size_t each = kind->pair ? 2 : 1;
        if (hung->units[k] < kind->units) {
            hung->units[k]++;
            hung->pieces += each;
            hung->lockout_g += kind->lockout_g;
            hung->bottom_g += kind->bottom_g;
            return true;
        }
        hung->pieces -= each * kind->units;
        hung->lockout_g -= kind->lockout_g * (int64_t)kind->units;
        hung->bottom_g -= kind->bottom_g * (int64_t)kind->units;
        hung->units[k] = 0;
    }
    return false;
}

static enum bp_code count_combinations(const struct stock *stock, size_t *count, struct bp_error *error)
{
    *count = 1;
    for (size_t k = 0; k < stock->count; k++) {
        if (stock->kinds[k].units >= BP_PLAN_COMBINATIONS_MAX / *count) {
            return bp_error_set(error, BP_ERR_LIMIT,
                                "the chains and bands owned can be combined in more than %d ways: "
                                "too many to plan with",
                                (int)BP_PLAN_COMBINATIONS_MAX);
        }
        *count *= stock->kinds[k].units + 1;
    }
    return BP_OK;
}

enum bp_code search_best(const struct stock *stock, const struct plates *plates, const struct wants *wants,
                         struct found *best, struct bp_error *error)
{
    *best = (struct found){.miss_g = INT64_MAX};
    enum bp_code code = count_combinations(stock, &best->combinations, error);
    if (code != BP_OK) {
        return code;
    }
    struct hung hung = {.lockout_g = stock->bare_g, .bottom_g = stock->bare_g};
    size_t trials = 0;
    do {
        trials += try_plates(&hung, plates, wants, best);
        if (trials > BP_PLAN_TRIALS_MAX) {
            return bp_error_set(error, BP_ERR_LIMIT,
                                "more than %d ways to load the bar: too many to plan with",
                                (int)BP_PLAN_TRIALS_MAX);
        }
    } while (hang_next(stock, &hung));
    return BP_OK;
}
