/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check/parts.h"

#include "barplumb/units.h"
#include "motion/rotation.h"

#include <math.h>

/* How far gravity's length may be off. A phone's accelerometer carries an offset of some 20 mg; 60 mg is the
 * most its makers allow over its life (component data sheets); what is off by 15 % is not gravity. */
static const double gravity_off_noted = BP_GRAVITY_OFF_ORDINARY;
static const double gravity_off_reserved = 0.6; /* m/s^2 */
static const double gravity_off_refused = 1.5;  /* m/s^2 */
/* Of what is off by no more than an offset may be, the share that is gain is anything from none to all: a
 * uniform's sd, 1/√12. */
static const double gain_share_sd = 0.28867513459481287;
static const double gravity_strange = 5.0; /* m/s^2, on average over a log that never rests: half of g */
static const double gravity_gone = 3.0;    /* m/s^2: no lift averages less with gravity in it */

/* A gyroscope's reading at rest: 3 °/s is typical of phone parts, 10 °/s the most (component data sheets). */
static const double bias_noted = 3 * BP_DEGREE, bias_reserved = 10 * BP_DEGREE;
static const double bias_refused = 60 * BP_DEGREE; /* no gyroscope at all, or another unit */

/* How far the gyroscope may turn gravity away from where it is found next: its noise and strap, its bias's
 * drift, its scale error over what it turned in between, the last up to a limit. */
static const double disagree_base = 5 * BP_DEGREE, disagree_rate = 0.1 * BP_DEGREE;
static const double disagree_scale = 0.05, disagree_scale_most = 25 * BP_DEGREE;
static const double disagree_span_s = 60; /* still spells further apart say little */

static const double moving_least_s = 1; /* no rep is shorter */

static double length_of(const double v[3])
{
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

static void mean_force(const struct bp_trace *trace, size_t first, size_t last, double mean[3])
{
    for (size_t axis = 0; axis < 3; axis++) {
        mean[axis] = 0;
        for (size_t i = first; i <= last; i++) {
            mean[axis] += trace->force[axis][i];
        }
        mean[axis] /= (double)(last - first + 1);
    }
}

static void check_still(const struct bp_trace *trace, struct bp_check *check)
{
    check->still_total_s = 0;
    for (size_t k = 0; k < check->still.count; k++) {
        const struct bp_spell *spell = &check->still.list[k];
        check->still_total_s += trace->time_s[spell->last] - trace->time_s[spell->first];
    }
    if (check->still.count == 0) {
        bp_findings_add(&check->findings, "never-still", BP_RESERVATION, (double)NAN,
                        "the bar is never still: rest it, hands off, for 3 s before and after the set");
    } else if (check->clock.duration_s - check->still_total_s < moving_least_s) {
        bp_findings_add(&check->findings, "nothing-moves", BP_RESERVATION, (double)NAN,
                        "the bar is still throughout: there is no set in this log");
    }
}

/* Gravity's length at rest or, where nothing rests, over the whole log, in which a bar that comes back has
 * no acceleration on average. */
static double gravity_seen(const struct bp_trace *trace, const struct bp_check *check)
{
    if (isfinite(check->noise.gravity)) {
        return check->noise.gravity;
    }
    double sum = 0;
    for (size_t i = 0; i < trace->count; i++) {
        const double force[3] = {trace->force[0][i], trace->force[1][i], trace->force[2][i]};
        sum += length_of(force);
    }
    return sum / (double)trace->count;
}

static void report_gravity(double seen, double off, struct bp_check *check)
{
    bool at_rest = isfinite(check->noise.gravity);
    enum bp_severity severity = off > gravity_off_refused    ? BP_REFUSAL
                                : off > gravity_off_reserved ? BP_RESERVATION
                                                             : BP_NOTE;
    check->gain_off = (severity == BP_NOTE ? gain_share_sd : 1) * off / BP_STANDARD_GRAVITY;
    const char *so = severity == BP_REFUSAL ? "units or columns are not what they seem"
                     : severity == BP_RESERVATION
                         ? "the accelerometer is out of true, and every speed as much less sure"
                         : "taken for an offset of the sensor";
    bp_findings_add(&check->findings, "gravity-off", severity, (double)NAN,
                    "the accelerometer reads %s m/s² %s where %s to %s is right: %s", bp_digits(seen, 2).text,
                    at_rest ? "at rest" : "on average", bp_digits(check->gravity_low, 2).text,
                    bp_digits(check->gravity_high, 2).text, so);
}

static void check_gravity(const struct bp_trace *trace, struct bp_check *check)
{
    double seen = gravity_seen(trace, check);
    if (trace->gravity_removed || seen < gravity_gone) {
        bp_findings_add(&check->findings, "gravity-removed", BP_REFUSAL, (double)NAN,
                        "gravity has been taken out of this log, and with it the way down: export "
                        "acceleration with gravity, often called raw");
        return;
    }
    double off = fmax(check->gravity_low - seen, seen - check->gravity_high);
    /* Moving, the average length is only good for telling whether it is gravity at all. */
    double limit = isfinite(check->noise.gravity) ? gravity_off_noted : gravity_strange;
    if (off > limit) {
        report_gravity(seen, off, check);
    }
}

static void check_bias(const struct bp_trace *trace, struct bp_check *check)
{
    double bias = length_of(check->noise.turn_bias);
    if (!trace->gyroscope || !(bias > bias_noted)) {
        return;
    }
    enum bp_severity severity = bias > bias_refused    ? BP_REFUSAL
                                : bias > bias_reserved ? BP_RESERVATION
                                                       : BP_NOTE;
    const char *so = severity == BP_REFUSAL ? ": units or columns are not what they seem"
                     : severity == BP_RESERVATION
                         ? ", more than a sound one does; the set is measured without it"
                         : "; that much is taken out";
    check->gyroscope_wrong = check->gyroscope_wrong || severity == BP_RESERVATION;
    bp_findings_add(&check->findings, "gyro-bias", severity, (double)NAN,
                    "the gyroscope reads %s °/s at rest%s", bp_digits(bias / BP_DEGREE, 1).text, so);
}

/* Carries v from sample first to sample last with the gyroscope. Returns the whole angle turned through, or
 * NaN where readings are missing or clipped in between. */
static double carry(const struct bp_trace *trace, const double bias[3], size_t first, size_t last,
                    double v[3])
{
    double turned = 0;
    for (size_t i = first + 1; i <= last; i++) {
        if (trace->marks[i] & (BP_MARK_AFTER_GAP | BP_MARK_GYRO_CLIPPED)) {
            return (double)NAN;
        }
        double half = 0.5 * (trace->time_s[i] - trace->time_s[i - 1]), rotation[3];
        for (size_t axis = 0; axis < 3; axis++) {
            double rate = trace->turn[axis][i - 1] + trace->turn[axis][i] - 2 * bias[axis];
            rotation[axis] = half * rate;
        }
        turned += length_of(rotation);
        bp_turn_in(bp_quaternion_of(rotation), v, v); /* u' = -ω × u, exactly over the step */
    }
    return turned;
}

static double angle_between(const double a[3], const double b[3])
{
    const double cross[3] = {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
    return atan2(length_of(cross), a[0] * b[0] + a[1] * b[1] + a[2] * b[2]);
}

/* By how much the gyroscope misses gravity from spell k to the next, beyond what it may; negative: agrees. */
static double disagreement(const struct bp_trace *trace, const struct bp_check *check, size_t k,
                           double *angle)
{
    const struct bp_spell *here = &check->still.list[k], *there = here + 1;
    double span_s = trace->time_s[there->first] - trace->time_s[here->last];
    double carried[3], found[3];
    if (span_s > disagree_span_s) {
        return -1;
    }
    mean_force(trace, here->first, here->last, carried);
    mean_force(trace, there->first, there->last, found);
    double turned = carry(trace, check->noise.turn_bias, here->last, there->first, carried);
    if (!isfinite(turned)) {
        return -1;
    }
    *angle = angle_between(carried, found);
    return *angle - disagree_base - disagree_rate * span_s -
           fmin(disagree_scale * turned, disagree_scale_most);
}

static void check_agreement(const struct bp_trace *trace, struct bp_check *check)
{
    double worst = 0, worst_angle = 0;
    size_t worst_spell = 0;
    for (size_t k = 0; trace->gyroscope && k + 1 < check->still.count; k++) {
        double angle = 0, excess = disagreement(trace, check, k, &angle);
        if (excess > worst) {
            worst = excess;
            worst_angle = angle;
            worst_spell = k;
        }
    }
    if (worst > 0) {
        const struct bp_spell *spell = &check->still.list[worst_spell];
        check->gyroscope_wrong = true;
        bp_findings_add(&check->findings, "gyro-disagrees", BP_RESERVATION, trace->time_s[spell->last],
                        "gyroscope and gravity differ by %s° over the next %s s: see that its units and axes "
                        "are right; the set is measured without it",
                        bp_digits(worst_angle / BP_DEGREE, 0).text,
                        bp_digits(trace->time_s[spell[1].first] - trace->time_s[spell->last], 1).text);
    }
}

void bp_check_rest(const struct bp_trace *trace, struct bp_check *check)
{
    check_still(trace, check);
    check_gravity(trace, check);
    check_bias(trace, check);
    check_agreement(trace, check);
}
