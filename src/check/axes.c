/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check/parts.h"

#include "barplumb/units.h"

#include <math.h>

/* A knock clips a few readings; a log that clips more often than this was made in too small a range. */
static const double clipped_share_most = 0.05;

/* A step this wide adds as much noise, step/√12 = 0.014 m/s², as the sensor's own 180 µg/√Hz at 100 Hz. */
static const double grid_coarse = 0.05; /* m/s^2 */

/* One reading over and over for this long is a log that stands still, not a sensor. Both are needed: at 12.5
 * Hz the time alone is four readings, which chance repeats. */
static const double frozen_least_s = 0.3;
enum { FROZEN_LEAST_READINGS = 15 };
static const double frozen_share_most = 0.2; /* of the log's length */
enum { FROZEN_NAMED_MOST = 4 };
/* One axis repeats by chance now and then, as often as its own grid and noise make it, and more often where
 * it hardly moves: the share is taken as no less than this. Chance shall do it in one log of a million. */
static const double axis_repeats_least = 0.3, axis_repeats_most = 0.7, chance_a_log = 1e-6;
static const double frozen_axis_least_s = 0.1;

/* The quietest phone accelerometers have 60 µg/√Hz (component data sheets). Rounded to steps of up to 2.5
 * times the noise that makes, three axes repeat together in a fifth of readings at rest; on a coarser grid
 * repeats are natural and tell nothing. The log's own noise cannot be asked: a stretch that stands still
 * passes for its quietest. */
static const double quietest_density = 60e-6 * BP_STANDARD_GRAVITY; /* m/s^2/√Hz */
static const double telling_steps = 2.5;

static const char *const axis_names[3] = {"x", "y", "z"};

struct marked {
    size_t count, first, last;
};

static struct marked find_marked(const struct bp_trace *trace, unsigned bit)
{
    struct marked marked = {0, 0, 0};
    for (size_t i = 0; i < trace->count; i++) {
        if (trace->marks[i] & bit) {
            marked.first = marked.count == 0 ? i : marked.first;
            marked.last = i;
            marked.count++;
        }
    }
    return marked;
}

static void report_clipping(const struct bp_trace *trace, const struct marked *marked, const char *code,
                            const char *sensor, double limit, const char *unit, struct bp_check *check)
{
    if (marked->count == 0) {
        return;
    }
    bool too_many = (double)marked->count > clipped_share_most * (double)trace->count;
    bp_findings_add(&check->findings, code, too_many ? BP_REFUSAL : BP_RESERVATION,
                    trace->time_s[marked->first],
                    "the %s stands at its limit%s%s%s in %zu readings from here to %s s: %s", sensor,
                    isfinite(limit) ? " of " : "", isfinite(limit) ? bp_digits(limit, 1).text : "",
                    isfinite(limit) ? unit : "", marked->count,
                    bp_digits(trace->from_s + trace->time_s[marked->last], 2).text,
                    too_many ? "too many to measure by; set the logger to a wider range"
                             : "the movement was harder than what is written");
}

static void check_clipping(const struct bp_trace *trace, struct bp_check *check)
{
    struct marked force = find_marked(trace, BP_MARK_CLIPPED);
    struct marked turn = find_marked(trace, BP_MARK_GYRO_CLIPPED);
    struct marked either = find_marked(trace, BP_MARK_CLIPPED | BP_MARK_GYRO_CLIPPED);
    check->clipped = either.count;
    report_clipping(trace, &force, "clipped", "accelerometer", trace->force_limit, " m/s²", check);
    report_clipping(trace, &turn, "gyro-clipped", "gyroscope", trace->turn_limit, " rad/s", check);
}

static bool never_changes(const double *x, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        if (x[i] != x[0]) {
            return false;
        }
    }
    return true;
}

static void check_stuck(const struct bp_trace *trace, struct bp_check *check)
{
    for (size_t axis = 0; axis < 3; axis++) {
        check->stuck[axis] = never_changes(trace->force[axis], trace->count);
        if (check->stuck[axis]) {
            bp_findings_add(&check->findings, "stuck", BP_REFUSAL, (double)NAN,
                            "the accelerometer's %s axis never changes: it is not measuring",
                            axis_names[axis]);
        }
        check->stuck[3 + axis] = trace->gyroscope && never_changes(trace->turn[axis], trace->count);
        if (check->stuck[3 + axis]) {
            /* Used, it would say that the bar never turned, and be believed. */
            bp_findings_add(&check->findings, "gyro-stuck", BP_REFUSAL, (double)NAN,
                            "the gyroscope's %s axis never changes: it is not measuring; name only the "
                            "accelerometer's columns to measure without it",
                            axis_names[axis]);
        }
    }
}

static bool repeats(const struct bp_trace *trace, size_t i)
{
    return trace->force[0][i] == trace->force[0][i - 1] && trace->force[1][i] == trace->force[1][i - 1] &&
           trace->force[2][i] == trace->force[2][i - 1];
}

static void report_frozen(const struct bp_trace *trace, size_t spells, double total_s, struct bp_check *check)
{
    if (spells > FROZEN_NAMED_MOST) {
        bp_findings_add(&check->findings, "frozen", BP_RESERVATION, (double)NAN,
                        "%zu more such stretches where the log repeats one reading",
                        spells - FROZEN_NAMED_MOST);
    }
    double whole_s = trace->time_s[trace->count - 1];
    if (total_s > frozen_share_most * whole_s) {
        bp_findings_add(&check->findings, "frozen", BP_REFUSAL, (double)NAN,
                        "the log repeats itself for %s of its %s s: what the bar did then is unknown",
                        bp_digits(total_s, 1).text, bp_digits(whole_s, 1).text);
    }
}

/* Stretches where one reading is repeated: they would pass for a bar that is perfectly still. */
static void check_frozen(const struct bp_trace *trace, struct bp_check *check)
{
    size_t spells = 0, start = 0;
    double total_s = 0;
    for (size_t i = 1; i <= trace->count; i++) {
        if (i < trace->count && repeats(trace, i)) {
            continue;
        }
        double length_s = trace->time_s[i - 1] - trace->time_s[start];
        if (length_s >= frozen_least_s && i - start >= FROZEN_LEAST_READINGS) {
            total_s += length_s;
            bp_check_doubt(check, trace->time_s[start], trace->time_s[i - 1]);
            if (++spells <= FROZEN_NAMED_MOST) {
                bp_findings_add(&check->findings, "frozen", BP_RESERVATION, trace->time_s[start],
                                "the log repeats one reading for %s s from here: what the bar did then is "
                                "unknown",
                                bp_digits(length_s, 2).text);
            }
        }
        start = i;
    }
    report_frozen(trace, spells, total_s, check);
}

/* How many equal readings in a row chance does not make anywhere in the log, where a share of all repeat. */
static size_t run_beyond_chance(double share, size_t count)
{
    double each = fmin(fmax(share, axis_repeats_least), axis_repeats_most);
    return (size_t)ceil(log(chance_a_log / (double)count) / log(each));
}

/* One axis alone that stands still where the others go on. */
static void check_frozen_axis(const struct bp_trace *trace, size_t axis, struct bp_check *check)
{
    const double *x = trace->force[axis];
    size_t repeated = 0, start = 0, longest = 0, at = 0;
    bool others = false;
    for (size_t i = 1; i < trace->count; i++) {
        repeated += x[i] == x[i - 1];
        if (x[i] != x[i - 1]) {
            start = i;
            others = false;
        }
        others = others || (x[i] == x[i - 1] && !repeats(trace, i));
        if (others && i - start > longest) {
            longest = i - start;
            at = start;
        }
    }
    double share = (double)repeated / (double)(trace->count - 1);
    double length_s = trace->time_s[at + longest] - trace->time_s[at];
    if (!check->stuck[axis] && !(trace->marks[at] & BP_MARK_CLIPPED) && length_s >= frozen_axis_least_s &&
        longest >= run_beyond_chance(share, trace->count)) {
        bp_check_doubt(check, trace->time_s[at], trace->time_s[at + longest]);
        bp_findings_add(
            &check->findings, "frozen", BP_RESERVATION, trace->time_s[at],
            "the accelerometer's %s axis repeats one reading for %s s from here while the others go "
            "on: what it measured then is unknown",
            axis_names[axis], bp_digits(length_s, 2).text);
    }
}

static void check_repeats(const struct bp_trace *trace, struct bp_check *check)
{
    double least_noise = quietest_density * sqrt(check->clock.rate_hz / 2);
    bool telling = trace->force_grid <= telling_steps * least_noise;
    check->repeated_share = 0;
    if (!telling || (check->stuck[0] && check->stuck[1] && check->stuck[2])) {
        return;
    }
    size_t repeated = 0;
    for (size_t i = 1; i < trace->count; i++) {
        repeated += repeats(trace, i);
    }
    check_frozen(trace, check);
    for (size_t axis = 0; axis < 3; axis++) {
        check_frozen_axis(trace, axis, check);
    }
    check->repeated_share = (double)repeated / (double)(trace->count - 1);
    if (check->repeated_share > BP_CHECK_REPEATED_SHARE_MOST) {
        bp_findings_add(&check->findings, "repeated", BP_RESERVATION, (double)NAN,
                        "%s %% of the readings repeat the one before: the sensor gave about %s new ones a "
                        "second",
                        bp_digits(100 * check->repeated_share, 0).text,
                        bp_digits((1 - check->repeated_share) * check->clock.rate_hz, 0).text);
    }
}

void bp_check_axes(const struct bp_trace *trace, struct bp_check *check)
{
    check_clipping(trace, check);
    check_stuck(trace, check);
    check_repeats(trace, check);
    if (trace->force_grid >= grid_coarse) {
        bp_findings_add(&check->findings, "coarse", BP_RESERVATION, (double)NAN,
                        "accelerations are rounded to steps of %s m/s², as web pages do: every interval is "
                        "wider",
                        bp_digits(trace->force_grid, 3).text);
    }
}
