/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A clock that is set back in the middle of a log. Late rows fill a hole that was left for them, and rows
 * sent twice were there before; but where two stretches of other rows lie over each other in time, the clock
 * was set, and sorting would shuffle one movement into another.
 */
#include "import/stream.h"

#include <math.h>

enum { ROWS_LEAST = 4, JUMPS_MOST = 8 };
static const double covered_twice = 1.6; /* rows per usual step, where 1 is a hole filled and 2 is two logs */
static const double same_share = 0.5;    /* of rows that were there before: sent twice */
static const double same_time = 1e-3;    /* of a step */
static const double back_most_s = 2.0;   /* further: another recording, which sorting refuses */

static double usual_step(struct bp_importer *im, const struct bp_stream *s)
{
    double *steps = bp_arena_doubles(&im->scratch, s->count);
    if (steps == NULL) {
        return 0.0;
    }
    for (size_t i = 1; i < s->count; i++) {
        steps[i - 1] = fabs(s->time[i] - s->time[i - 1]);
    }
    return bp_import_median(steps, s->count - 1);
}

/* Is row i one of rows [first, end), which increase, over again? */
static bool was_there(const struct bp_stream *s, size_t first, size_t end, size_t i, double near)
{
    while (first < end) {
        size_t middle = first + (end - first) / 2;
        if (s->time[middle] < s->time[i] - near) {
            first = middle + 1;
        } else if (s->time[middle] > s->time[i] + near) {
            end = middle;
        } else {
            bool same = true;
            for (size_t a = 0; a < s->width; a++) {
                same = same && (s->value[a][middle] == s->value[a][i] || isnan(s->value[a][i]));
            }
            return same;
        }
    }
    return false;
}

/* Row i is earlier than the one before: do the rows from there on lie over those before? */
static bool lies_over(const struct bp_stream *s, size_t i, double step_s)
{
    double from = s->time[i], to = s->time[i - 1];
    size_t first = i, end = i, same = 0;
    while (first > 0 && s->time[first - 1] >= from) {
        first--;
    }
    while (end < s->count && s->time[end] <= to && (end == i || s->time[end] >= s->time[end - 1])) {
        same += was_there(s, first, i, end, same_time * step_s);
        end++;
    }
    size_t rows = end - first;
    return end - i >= ROWS_LEAST && i - first >= ROWS_LEAST &&
           (double)rows > covered_twice * ((to - from) / step_s + 1.0) &&
           (double)same < same_share * (double)(end - i);
}

void bp_import_undo_set_back(struct bp_importer *im, struct bp_stream *s)
{
    char number[BP_NUMBER_TEXT];
    size_t jumps = 0;
    double step_s = 0.0;
    for (size_t i = 1; i < s->count && jumps < JUMPS_MOST; i++) {
        double back = s->time[i - 1] - s->time[i];
        if (!(back > 0.0) || back > back_most_s) {
            continue;
        }
        step_s = step_s > 0.0 ? step_s : usual_step(im, s);
        if (!(step_s > 0.0) || !lies_over(s, i, step_s)) {
            continue;
        }
        double at = s->time[i - 1];
        for (size_t k = i; k < s->count; k++) {
            s->time[k] += back + step_s;
        }
        jumps++;
        bp_findings_add(im->findings, "clock-set-back", BP_RESERVATION, at,
                        "the clock runs back by %s s here; it is taken to have been set back, and to go on "
                        "after one usual step",
                        bp_import_number(back, number));
    }
}
