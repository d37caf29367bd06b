/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pace: does the clock, or the sensor, change its step in the middle of the log? A sensor's own clock keeps
 * its rate to a thousandth, and sensors change theirs by powers of two (component data sheets), as does a
 * logger that drops every other row. Anything else is a clock that runs otherwise from there on, and on which
 * side of it the speeds are right the log does not say.
 */
#include "check/parts.h"

#include <math.h>

/* Steps are compared in blocks of so many readings: long enough for a median, short enough to find where. */
enum { BLOCK = 48, BLOCKS_LEAST = 3 };
/* 1.5 % of rate is 1.5 % of every speed and 3 % of every range, what their intervals just hold. */
static const double pace_share = 0.015;
/* Times the blocks' own scatter: chance reaches 5 in the best of a thousand places to cut a log. */
static const double pace_scatter = 8;
/* Rates of a sensor keep their ratio, 2, 4 or so, this well. */
static const double ratio_share = 0.01;
/* Of a block's median: steps outside are lost or repeated readings, which say nothing of the pace. */
static const double step_short = 0.5, step_long = 1.5;

/* The mean step over one block. */
static double block_step(const struct bp_trace *trace, size_t block)
{
    double steps[BLOCK], sum = 0;
    size_t first = block * BLOCK, kept = 0;
    for (size_t k = 0; k < BLOCK; k++) {
        double step = trace->time_s[first + k + 1] - trace->time_s[first + k];
        size_t to = k;
        for (; to > 0 && steps[to - 1] > step; to--) {
            steps[to] = steps[to - 1];
        }
        steps[to] = step;
    }
    double median = steps[BLOCK / 2];
    for (size_t k = 0; k < BLOCK; k++) {
        if (steps[k] > step_short * median && steps[k] < step_long * median) {
            sum += steps[k];
            kept++;
        }
    }
    return kept > 0 ? sum / (double)kept : median;
}

struct change {
    size_t block; /* the first of the new pace */
    double before_s, after_s;
    double stands_out; /* times the scatter */
};

/* Where to cut the blocks in two so that the parts differ most. */
static struct change find_change(const double *step, size_t blocks)
{
    struct change best = {0, 0, 0, 0};
    double sum = 0, squares = 0, left = 0, most = -1;
    for (size_t b = 0; b < blocks; b++) {
        sum += step[b];
        squares += step[b] * step[b];
    }
    double n = (double)blocks;
    for (size_t b = 1; b + BLOCKS_LEAST <= blocks; b++) {
        left += step[b - 1];
        if (b < BLOCKS_LEAST) {
            continue;
        }
        double nl = (double)b, nr = n - nl, apart = left / nl - (sum - left) / nr;
        double between = apart * apart * nl * nr / n;
        if (between > most) {
            double within = fmax(squares - sum * sum / n - between, 0) / (n - 2);
            most = between;
            /* The block that holds the change itself is told from neither side. */
            best = (struct change){b, (left - step[b - 1]) / (nl - 1), (sum - left - step[b]) / (nr - 1),
                                   sqrt(between / fmax(within, 1e-18))};
        }
    }
    return best;
}

/* Is it a power of two? */
static bool sensors_own(double ratio)
{
    double powers = log2(ratio), whole = round(powers);
    return whole != 0 && fabs(exp2(powers - whole) - 1) < ratio_share;
}

static void report_change(const struct change *change, double at_s, struct bp_findings *findings)
{
    bool own = sensors_own(change->after_s / change->before_s);
    bp_findings_add(findings, "pace-changed", own ? BP_RESERVATION : BP_REFUSAL, at_s,
                    "about here readings begin to come every %s ms instead of %s: %s",
                    bp_digits(1e3 * change->after_s, 2).text, bp_digits(1e3 * change->before_s, 2).text,
                    own ? "if that is the clock and not the sensor, speeds are wrong from here on"
                        : "no sensor changes its rate by that much, so the clock did, and speeds are wrong "
                          "on one side of it");
}

bool bp_check_pace(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check)
{
    size_t blocks = (trace->count - 1) / BLOCK;
    if (blocks < 2 * BLOCKS_LEAST) {
        return true;
    }
    double *step = bp_arena_doubles(arena, blocks);
    if (!step) {
        return false;
    }
    for (size_t b = 0; b < blocks; b++) {
        step[b] = block_step(trace, b);
    }
    struct change change = find_change(step, blocks);
    double ratio = change.after_s / change.before_s;
    if (fabs(ratio - 1) > pace_share && change.stands_out > pace_scatter) {
        report_change(&change, trace->time_s[change.block * BLOCK], &check->findings);
    }
    return true;
}
