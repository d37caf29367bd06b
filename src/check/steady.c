/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Steadiness: does gravity keep its length from the first rest to the last? An accelerometer's offset shows
 * in that length only as far as the phone turns in between. Where it changes by more, the sensor reads
 * otherwise from somewhere in between on: another gain, or an axis shifted. And is it there all the time?
 */
#include "check/parts.h"

#include "barplumb/units.h"
#include "motion/calm.h"

#include <math.h>

/* A bar that hangs in the hands is calm for less, or sways by little more than this, m/s^2, over so long. */
static const double rest_least_s = 1, sway = 0.5;
/* The most that makers of phone sensors allow an axis's offset to be, 60 mg (component data sheets). */
static const double offset_most = 60e-3 * BP_STANDARD_GRAVITY;
/* Turned further, the phone was in the hand. */
static const double turned_most = 35 * BP_DEGREE;

/* Nothing that is held or lies falls for so long, on average at less than this. */
static const double falls_s = 1, falls_m_s2 = 3;

static double length_of(const double v[3])
{
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

static void compare(const struct bp_trace *trace, const struct bp_calm *one, const struct bp_calm *last,
                    struct bp_findings *findings)
{
    double turned = acos(fmin(bp_calm_cosine(one->force, last->force), 1));
    double before = length_of(one->force), after = length_of(last->force);
    if (turned < turned_most && fabs(after - before) > sway + offset_most * turned) {
        bp_findings_add(
            findings, "gravity-changed", BP_REFUSAL, trace->time_s[one->last],
            "gravity reads %s m/s² before here and %s at %s s: in between the log changes to another "
            "unit, axis or zero",
            bp_digits(before, 2).text, bp_digits(after, 2).text,
            bp_digits(trace->from_s + trace->time_s[last->first], 1).text);
    }
}

/* Where gravity is gone for a while: the first reading of it, or the count of readings. */
static size_t find_gone(const struct bp_trace *trace, double rate_hz)
{
    size_t window = (size_t)lround(falls_s * rate_hz) + 1;
    double sum = 0;
    for (size_t i = 0; i < trace->count; i++) {
        const double force[3] = {trace->force[0][i], trace->force[1][i], trace->force[2][i]};
        sum += length_of(force);
        if (i >= window) {
            size_t k = i - window;
            const double gone[3] = {trace->force[0][k], trace->force[1][k], trace->force[2][k]};
            sum -= length_of(gone);
        }
        if (i + 1 >= window && sum < falls_m_s2 * (double)window) {
            return i + 1 - window;
        }
    }
    return trace->count;
}

bool bp_check_steady(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check)
{
    struct bp_calms calms, rests;
    if (!bp_calm_find(trace, arena, &calms) || !bp_calm_rests(trace, &calms, rest_least_s, arena, &rests)) {
        return false;
    }
    if (rests.count > 1) {
        compare(trace, &rests.list[0], &rests.list[rests.count - 1], &check->findings);
    }
    size_t gone = find_gone(trace, check->clock.rate_hz);
    if (gone < trace->count) {
        bp_findings_add(&check->findings, "gravity-changed", BP_REFUSAL, trace->time_s[gone],
                        "from about here on gravity is not in the readings");
    }
    return true;
}
