/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which column is the time. Logs often carry two: a wall clock, sometimes rounded to seconds, and the time
 * since the start. The finer is taken.
 */
#include "import/columns.h"

#include <math.h>

enum { BACK_SHARE = 20 }; /* steps of which one may go back: late rows, a clock that wraps */

struct run {
    size_t up, down, filled;
    double first;
};

static struct run measure(const struct bp_sample *s, size_t c)
{
    struct run r = {0, 0, 0, (double)NAN};
    double before = (double)NAN;
    for (size_t i = 0; i < s->rows; i++) {
        double v = s->value[i * s->columns + c];
        if (!isfinite(v)) {
            continue;
        }
        if (r.filled == 0) {
            r.first = v;
        }
        r.up += r.filled > 0 && v > before;
        r.down += r.filled > 0 && v < before;
        r.filled++;
        before = v;
    }
    return r;
}

bool bp_import_runs(const struct bp_sample *sample, size_t c)
{
    struct run r = measure(sample, c);
    size_t against = r.up > r.down ? r.down : r.up;
    return r.filled * 2 > sample->rows && r.up + r.down > 0 && against <= r.filled / BACK_SHARE;
}

bool bp_import_counts_rows(const struct bp_sample *sample, size_t c)
{
    double before = (double)NAN;
    for (size_t i = 0; i < sample->rows; i++) {
        double v = sample->value[i * sample->columns + c];
        if (!isfinite(v) || v != floor(v) || (i > 0 && v != before + 1.0)) {
            return false;
        }
        before = v;
    }
    return sample->rows > 1 && !sample->stamp[c];
}

double bp_import_epoch_factor(double value)
{
    /* 1986 to 2096: wide enough for any phone's clock, narrow enough that no elapsed time looks like it. */
    const double first_s = 5e8, last_s = 4e9;
    static const double factors[] = {1.0, 1e-3, 1e-6, 1e-9};
    for (size_t i = 0; i < sizeof factors / sizeof factors[0]; i++) {
        double s = value * factors[i];
        if (s > first_s && s < last_s) {
            return factors[i];
        }
    }
    return 0.0;
}

/* Among equally fine columns: what counts rows is none if another will do; time since the start, then any
 * other count, then since 1970, then text. */
static int preference(const struct bp_heading *h, const struct bp_sample *s, size_t c, double first)
{
    if (s->stamp[c]) {
        return 0;
    }
    if (bp_import_counts_rows(s, c) && (h == NULL || h->unit == NULL)) {
        return -1;
    }
    if (bp_import_epoch_factor(first) > 0.0) {
        return 1;
    }
    return h != NULL && h->elapsed ? 3 : 2;
}

static bool is_candidate(const struct bp_heading *headings, const struct bp_sample *s, size_t c)
{
    bool runs = bp_import_runs(s, c);
    return headings != NULL ? headings[c].kind == BP_KIND_TIME && (!headings[c].steps || runs)
                            : runs || s->stamp[c];
}

/* Whole numbers, some of them one apart: a count of rows or frames with holes in it. */
static bool may_count(const struct bp_sample *s, size_t c)
{
    bool one = false;
    for (size_t i = 0; i < s->rows; i++) {
        double v = s->value[i * s->columns + c];
        if (v != floor(v)) {
            return false;
        }
        one = one || (i > 0 && v - s->value[(i - 1) * s->columns + c] == 1.0);
    }
    return one;
}

int bp_import_guess_time(const struct bp_heading *headings, const struct bp_sample *sample, size_t columns)
{
    int found = -1;
    for (size_t c = 0; c < columns; c++) {
        struct run r = measure(sample, c);
        bool whole = r.filled == sample->rows && r.filled > 1;
        bool plain = headings[c].kind == BP_KIND_NONE && headings[c].axis < 0;
        bool better = sample->stamp[c] ? found < 0 || !sample->stamp[found]
                                       : found < 0 && r.up + 1 == r.filled && !may_count(sample, c);
        found = plain && whole && better ? (int)c : found;
    }
    return found;
}

/* Every row but the first, which may have no step, comes after the one before. */
static bool goes_on(const struct bp_sample *s, size_t c)
{
    for (size_t i = 1; i < s->rows; i++) {
        if (!(s->value[i * s->columns + c] > 0.0)) {
            return false;
        }
    }
    return s->rows > 1;
}

int bp_import_choose_steps(const struct bp_heading *headings, const struct bp_sample *sample, size_t columns)
{
    for (size_t c = 0; c < columns; c++) {
        if (headings[c].steps && !sample->stamp[c] && goes_on(sample, c)) {
            return (int)c;
        }
    }
    return -1;
}

int bp_import_choose_time(const struct bp_heading *headings, const struct bp_sample *sample, size_t columns)
{
    int best = -1, best_preference = -2;
    size_t best_steps = 0;
    for (size_t c = 0; c < columns; c++) {
        struct run r = measure(sample, c);
        if (!is_candidate(headings, sample, c) || r.filled * 2 < sample->rows || r.filled == 0) {
            continue;
        }
        size_t steps = r.up + r.down, slack = sample->rows / 50 + 1;
        int p = preference(headings != NULL ? &headings[c] : NULL, sample, c, r.first);
        bool finer = steps > best_steps + slack;
        bool alike = steps + slack >= best_steps;
        if (best < 0 || finer || (alike && p > best_preference)) {
            best = (int)c;
            best_preference = p;
            best_steps = steps;
        }
    }
    return best;
}

int bp_import_choose_epoch(const struct bp_heading *headings, const struct bp_sample *sample, int time)
{
    int best = -1;
    size_t best_steps = 0;
    for (size_t c = 0; c < sample->columns; c++) {
        struct run r = measure(sample, c);
        bool dated = sample->stamp[c] ? sample->dated[c] : bp_import_epoch_factor(r.first) > 0.0;
        if (r.filled == 0 || !dated || !((int)c == time || is_candidate(headings, sample, c))) {
            continue;
        }
        size_t steps = r.up + r.down;
        if (best < 0 || (int)c == time || (steps > best_steps && best != time)) {
            best = (int)c;
            best_steps = steps;
        }
    }
    return best;
}
