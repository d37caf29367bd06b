/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Parts to trace: the gyroscope on the accelerometer's clock, times from 0, marks and findings.
 */
#include "import/stream.h"

#include <math.h>
#include <string.h>

#define GYRO_SHARE_LEAST 0.5 /* of the acceleration's time that the gyroscope must cover to be of use */
enum { GAPS_NAMED = 6 };

/* ---- the gyroscope's own clock ---- */

struct turning {
    struct bp_stream *stream;
    double shift_s; /* gyroscope time = acceleration time + shift */
    double step_s;
};

static double clock_shift(struct bp_importer *im, const struct bp_part *f, const struct bp_part *t,
                          const char **tie)
{
    *tie = "the log's one clock";
    if (f == t) {
        return 0.0;
    }
    double epoch = f->zero_epoch_s - t->zero_epoch_s, elapsed = f->zero_elapsed_s - t->zero_elapsed_s;
    if (isfinite(epoch) && f->epoch_zoned == t->epoch_zoned) {
        *tie = "the date in both";
        return epoch;
    }
    if (isfinite(elapsed)) {
        *tie = "the elapsed time in both";
        return elapsed;
    }
    *tie = "nothing but their beginnings";
    bp_findings_add(
        im->findings, "clocks-assumed", BP_RESERVATION, (double)NAN,
        "nothing ties the gyroscope's clock to the accelerometer's; both are taken to start at once");
    return 0.0;
}

static bool usual_step(struct bp_importer *im, const struct bp_stream *s, double *step)
{
    double *steps = bp_arena_doubles(&im->scratch, s->count);
    if (steps == NULL) {
        return false;
    }
    for (size_t i = 1; i < s->count; i++) {
        steps[i - 1] = s->time[i] - s->time[i - 1];
    }
    *step = bp_import_median(steps, s->count - 1);
    return true;
}

static void cut_stream(struct bp_stream *s, size_t first, size_t end)
{
    s->time += first;
    s->marks += first;
    for (size_t a = 0; a < s->width; a++) {
        s->value[a] += first;
    }
    s->count = end - first;
}

/* Leaves of force what the gyroscope covers. False when that is too little: the gyroscope is then left out.
 */
static bool cut_to_overlap(struct bp_importer *im, struct bp_stream *force, const struct turning *t)
{
    double from = t->stream->time[0] - t->step_s - t->shift_s;
    double to = t->stream->time[t->stream->count - 1] + t->step_s - t->shift_s;
    size_t first = 0, end = force->count;
    double whole = force->time[end - 1] - force->time[0];
    while (first < end && force->time[first] < from) {
        first++;
    }
    while (end > first && force->time[end - 1] > to) {
        end--;
    }
    if (end - first < 2 || force->time[end - 1] - force->time[first] < GYRO_SHARE_LEAST * whole) {
        bp_findings_add(im->findings, "gyro-short", BP_RESERVATION, (double)NAN,
                        "the gyroscope covers less than half of the acceleration's time; it was left out");
        return false;
    }
    double left = whole - (force->time[end - 1] - force->time[first]);
    if (left > 0.0) {
        char number[BP_NUMBER_TEXT];
        bp_findings_add(im->findings, "gyro-span", BP_NOTE, (double)NAN,
                        "%s s at the ends have no gyroscope and were left out",
                        bp_import_number(left, number));
    }
    cut_stream(force, first, end);
    return true;
}

/* What stands at the gyroscope's samples around each acceleration sample: its limit, or a hole. */
static void carry_marks(struct bp_importer *im, struct bp_stream *force, const struct turning *t)
{
    const struct bp_stream *s = t->stream;
    size_t k = 0, gaps = 0, inside = 0;
    double first_gap = (double)NAN;
    for (size_t i = 0; i < force->count; i++) {
        double at = force->time[i] + t->shift_s;
        while (k + 1 < s->count && s->time[k + 1] <= at) {
            k++;
        }
        size_t next = k + 1 < s->count ? k + 1 : k;
        force->marks[i] |=
            (uint8_t)((s->marks[k] | s->marks[next]) & (BP_MARK_GYRO_CLIPPED | BP_MARK_MENDED));
        if (s->time[next] - s->time[k] > BP_GAP_STEPS * t->step_s && at > s->time[k]) {
            force->marks[i] |= BP_MARK_MENDED;
            inside++;
        }
    }
    for (size_t i = 1; i < s->count; i++) {
        if (s->time[i] - s->time[i - 1] > BP_GAP_STEPS * t->step_s) {
            first_gap = gaps == 0 ? s->time[i - 1] - t->shift_s : first_gap;
            gaps++;
        }
    }
    if (inside > 0) {
        bp_findings_add(im->findings, "gyro-gap", BP_RESERVATION, first_gap,
                        "the gyroscope has %zu gaps; it was interpolated over %zu samples", gaps, inside);
    }
}

/* True when acceleration samples lie between the gyroscope's, by more than a thousandth of a step. */
static bool between_samples(const struct bp_stream *force, const struct turning *t)
{
    size_t k = 0, last = t->stream->count - 1;
    for (size_t i = 0; i < force->count; i++) {
        double at = force->time[i] + t->shift_s;
        while (k < last && t->stream->time[k + 1] <= at) {
            k++;
        }
        double next = t->stream->time[k < last ? k + 1 : k];
        if (fmin(fabs(at - t->stream->time[k]), fabs(next - at)) > 1e-3 * t->step_s) {
            return true;
        }
    }
    return false;
}

/* Up to a step beyond the gyroscope's ends its last reading stands: off by its slope there. */
static double end_error(const struct bp_stream *force, const struct turning *t)
{
    const struct bp_stream *s = t->stream;
    size_t last = s->count - 1;
    double first_at = force->time[0] + t->shift_s, last_at = force->time[force->count - 1] + t->shift_s;
    double early = fmax(0.0, s->time[0] - first_at) / (s->time[1] - s->time[0]);
    double late = fmax(0.0, last_at - s->time[last]) / (s->time[last] - s->time[last - 1]);
    double error = 0.0;
    for (int a = 0; a < 3; a++) {
        const double *v = s->value[a];
        error = fmax(error, fmax(early * fabs(v[1] - v[0]), late * fabs(v[last] - v[last - 1])));
    }
    return error;
}

static void note_merge(struct bp_importer *im, const struct bp_stream *force, const struct turning *t,
                       const char *tie)
{
    char usual[BP_NUMBER_TEXT], most[BP_NUMBER_TEXT];
    if (between_samples(force, t)) {
        struct bp_line_error error = bp_import_line_error(t->stream);
        error.most = fmax(error.most, end_error(force, t));
        bp_findings_add(
            im->findings, "merged", BP_NOTE, (double)NAN,
            "the gyroscope was put on the accelerometer's clock by straight lines, off by %s rad/s "
            "at most, usually %s; what ties the clocks: %s",
            bp_import_number(error.most, most), bp_import_number(error.usual, usual), tie);
    }
}

static void note_turn(struct bp_importer *im, const struct bp_quality *q, struct bp_trace *trace)
{
    char number[BP_NUMBER_TEXT];
    trace->turn_limit = q->limit;
    trace->turn_grid = q->grid;
    if (q->clipped > 0) {
        bp_findings_add(im->findings, "gyro-clipped", BP_RESERVATION, q->first_s,
                        "the gyroscope stands at its limit of %s rad/s in %zu samples",
                        bp_import_number(q->limit, number), q->clipped);
    }
}

static enum bp_code join_turn(struct bp_importer *im, struct bp_part *fp, struct bp_part *tp,
                              struct bp_trace *trace)
{
    const char *tie;
    struct turning t = {&tp->turn, clock_shift(im, fp, tp, &tie), 0.0};
    struct bp_quality q;
    double *const turn[3] = {t.stream->value[0], t.stream->value[1], t.stream->value[2]};
    if (!usual_step(im, t.stream, &t.step_s)) {
        return bp_import_no_memory(im);
    }
    if (!cut_to_overlap(im, &fp->force, &t)) {
        return BP_OK;
    }
    enum bp_code code = bp_import_settle_turn(im, &fp->force, -t.shift_s, turn, t.stream->time,
                                              t.stream->count, tp->turn_unit, &tp->turn_unit);
    if (code != BP_OK) {
        return code;
    }
    bp_import_mend_spikes(im, t.stream->time, turn, t.stream->count, t.stream->marks, true);
    bp_import_judge(t.stream->time, turn, t.stream->count, true, t.stream->marks, BP_MARK_GYRO_CLIPPED, &q);
    q.first_s -= t.shift_s;
    note_turn(im, &q, trace);
    for (int a = 0; a < 3; a++) {
        trace->turn[a] = bp_arena_doubles(im->arena, fp->force.count);
        if (trace->turn[a] == NULL) {
            return bp_import_no_memory(im);
        }
    }
    bp_import_resample(t.stream, fp->force.time, fp->force.count, t.shift_s, trace->turn);
    carry_marks(im, &fp->force, &t);
    note_merge(im, &fp->force, &t, tie);
    trace->gyroscope = true;
    return BP_OK;
}

static enum bp_code take_turn(struct bp_importer *im, struct bp_part *part, struct bp_trace *trace,
                              bool *known)
{
    struct bp_stream *f = &part->force;
    double *const turn[3] = {f->value[3], f->value[4], f->value[5]};
    struct bp_quality q;
    enum bp_code code =
        bp_import_settle_turn(im, f, 0.0, turn, f->time, f->count, part->turn_unit, &part->turn_unit);
    if (code != BP_OK) {
        return code;
    }
    bp_import_mend_spikes(im, f->time, turn, f->count, f->marks, true);
    bp_import_judge(f->time, turn, f->count, true, f->marks, BP_MARK_GYRO_CLIPPED, &q);
    note_turn(im, &q, trace);
    *known = *known && q.finite;
    for (int a = 0; a < 3; a++) {
        trace->turn[a] = turn[a];
    }
    trace->gyroscope = true;
    return BP_OK;
}

/* ---- the trace ---- */

/* True when the readings are known to be finite. */
static bool judge_force(struct bp_importer *im, struct bp_stream *f, struct bp_trace *trace)
{
    struct bp_quality q;
    char number[BP_NUMBER_TEXT];
    double *const value[3] = {f->value[0], f->value[1], f->value[2]};
    bp_import_mend_spikes(im, f->time, value, f->count, f->marks, false);
    bp_import_judge(f->time, value, f->count, false, f->marks, BP_MARK_CLIPPED, &q);
    trace->force_limit = q.limit;
    trace->force_grid = q.grid;
    if (q.clipped > 0) {
        bp_findings_add(im->findings, "clipped", BP_RESERVATION, q.first_s,
                        "the acceleration stands at the sensor's limit of %s m/s2 in %zu samples",
                        bp_import_number(q.limit, number), q.clipped);
    }
    bp_import_drop_frozen(im, f, q.grid);
    return f->complete && q.finite;
}

/* Numbers as large as doubles hold may have become infinite by a unit. All bits of the exponent are set in
 * what is not finite (IEEE 754). */
static bool is_finite(const double *values, size_t count)
{
    const uint64_t exponent = UINT64_C(0x7ff0000000000000);
    bool infinite = false;
    for (size_t i = 0; i < count; i++) {
        uint64_t bits;
        memcpy(&bits, &values[i], sizeof bits);
        infinite |= (bits & exponent) == exponent;
    }
    return !infinite;
}

static enum bp_code refuse_infinite(struct bp_importer *im, const struct bp_trace *t)
{
    size_t i = 0;
    for (; i + 1 < t->count; i++) {
        double sum = t->force[0][i] + t->force[1][i] + t->force[2][i];
        sum += t->gyroscope ? t->turn[0][i] + t->turn[1][i] + t->turn[2][i] : 0.0;
        if (!isfinite(sum)) {
            break;
        }
    }
    bp_import_fail(im, BP_ERR_NUMBER, 0, 0, "a reading is too large to be one");
    bp_error_place(im->error, NULL, 0, 0, t->time_s[i]);
    return BP_ERR_NUMBER;
}

/* known: the readings have been seen to be finite already. */
static enum bp_code check_trace(struct bp_importer *im, const struct bp_trace *t, bool known)
{
    size_t steps = 0;
    for (int a = 0; a < 3 && !known; a++) {
        if (!is_finite(t->force[a], t->count) || (t->gyroscope && !is_finite(t->turn[a], t->count))) {
            return refuse_infinite(im, t);
        }
    }
    for (size_t i = 1; i < t->count; i++) {
        steps += t->time_s[i] > t->time_s[i - 1];
    }
    if (steps + 1 != t->count || !isfinite(t->time_s[0]) || !isfinite(t->time_s[t->count - 1])) {
        return bp_import_fail(im, BP_ERR_TIME, 0, 0, "the times do not tell the samples apart");
    }
    return BP_OK;
}

static void start_at_zero(struct bp_importer *im, struct bp_trace *t, const struct bp_part *part)
{
    double start = t->time_s[0];
    for (size_t i = 0; start != 0.0 && i < t->count; i++) {
        t->time_s[i] -= start;
    }
    for (size_t i = 0; start != 0.0 && i < im->findings->count; i++) {
        im->findings->list[i].at_s -= start;
    }
    t->start_epoch_s = part->epoch_zoned ? part->zero_epoch_s + start : (double)NAN;
}

static void note_gap(struct bp_importer *im, double at, double length)
{
    char number[BP_NUMBER_TEXT];
    bp_findings_add(im->findings, "gap", BP_RESERVATION, at, "no samples for %s s",
                    bp_import_number(length, number));
}

/* Is no step a gap? The usual step is their median: where half of them times BP_GAP_STEPS reach the longest,
 * it does too, which is told without looking for it. */
static bool is_even(const struct bp_trace *t)
{
    double longest = 0.0;
    size_t steps = t->count - 1, enough = 0;
    for (size_t i = 0; i < steps; i++) {
        double step = t->time_s[i + 1] - t->time_s[i];
        longest = step > longest ? step : longest;
    }
    for (size_t i = 0; i < steps; i++) {
        enough += BP_GAP_STEPS * (t->time_s[i + 1] - t->time_s[i]) >= longest;
    }
    return enough >= steps - steps / 2;
}

static enum bp_code mark_gaps(struct bp_importer *im, struct bp_trace *t)
{
    struct bp_clock clock;
    char number[BP_NUMBER_TEXT];
    size_t gaps = 0;
    double rest = 0.0;
    if (is_even(t)) {
        return BP_OK;
    }
    if (!bp_trace_clock(t, &im->scratch, &clock)) {
        return bp_import_no_memory(im);
    }
    for (size_t i = 1; clock.gaps > 0 && i < t->count; i++) {
        double step = t->time_s[i] - t->time_s[i - 1];
        if (step <= BP_GAP_STEPS * clock.step_s) {
            continue;
        }
        t->marks[i] |= BP_MARK_AFTER_GAP;
        if (gaps++ < GAPS_NAMED) {
            note_gap(im, t->time_s[i - 1], step);
        } else {
            rest += step;
        }
    }
    if (gaps > GAPS_NAMED) {
        bp_findings_add(im->findings, "gap", BP_RESERVATION, (double)NAN,
                        "%zu more gaps, together %s s without samples", gaps - GAPS_NAMED,
                        bp_import_number(rest, number));
    }
    return BP_OK;
}

static const char *unit_name(const struct bp_unit *unit, const char *otherwise)
{
    return unit != NULL ? unit->name : otherwise;
}

/* Adds the units as read behind what the columns are. */
static void describe_units(struct bp_trace *t, const struct bp_part *part, const struct bp_unit *turn_unit)
{
    char *out = t->recognised.columns;
    const char *parts[] = {out[0] != '\0' ? "; units: " : "units: ",
                           unit_name(part->time_unit, "s"),
                           ", ",
                           unit_name(part->force_unit, "m/s2"),
                           t->gyroscope ? ", " : "",
                           t->gyroscope ? unit_name(turn_unit, "rad/s") : ""};
    size_t n = strlen(out);
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        size_t length = strlen(parts[i]);
        if (n + length + 1 < BP_RECOGNISED_TEXT) {
            memcpy(out + n, parts[i], length + 1);
            n += length;
        }
    }
}

/* With a gyroscope a phone's attitude tells nothing that is not in the log already (docs/method.md); it is
 * kept for a gyroscope that turns out to be wrong. */
static enum bp_code put_attitude(struct bp_importer *im, const struct bp_part *part, struct bp_trace *trace)
{
    if (part->attitude.up.width > 0 && trace->gyroscope) {
        bp_import_ignore_attitude(im, "it is worked out from acceleration and gyroscope");
    } else if (part->attitude.up.width > 0) {
        bp_findings_add(im->findings, "attitude-used", BP_NOTE, (double)NAN,
                        "the phone's own attitude is used as a prior of which way is up");
    }
    return bp_import_put_attitude(im, part, trace);
}

static void take_force(struct bp_trace *t, const struct bp_part *part)
{
    t->count = part->force.count;
    t->time_s = part->force.time;
    t->marks = part->force.marks;
    t->gravity_removed = part->linear;
    for (int a = 0; a < 3; a++) {
        t->force[a] = part->force.value[a];
    }
}

enum bp_code bp_import_assemble(struct bp_importer *im, struct bp_part *force_part, struct bp_part *turn_part,
                                struct bp_trace *trace)
{
    trace->turn_limit = trace->force_limit = (double)NAN;
    bool known = judge_force(im, &force_part->force, trace);
    enum bp_code code = bp_import_drop_copies(im, &force_part->force, trace->force_grid);
    if (code == BP_OK) {
        code = bp_import_settle_attitude(im, force_part, turn_part != NULL ? turn_part : force_part);
    }
    if (code != BP_OK) {
        return code;
    }
    if (force_part->force.width == BP_STREAM_WIDTH) {
        turn_part = force_part;
        code = take_turn(im, force_part, trace, &known);
    } else if (turn_part != NULL && turn_part->turn.width > 0) {
        known = false;
        code = join_turn(im, force_part, turn_part, trace);
    }
    if (code != BP_OK) {
        return code;
    }
    code = put_attitude(im, force_part, trace);
    if (code != BP_OK) {
        return code;
    }
    take_force(trace, force_part);
    trace->sign_assumed = force_part->sign_assumed;
    start_at_zero(im, trace, force_part);
    code = check_trace(im, trace, known);
    if (code == BP_OK) {
        code = mark_gaps(im, trace);
    }
    if (code == BP_OK && trace->gravity_removed) {
        bp_findings_add(im->findings, "gravity-removed", BP_RESERVATION, (double)NAN,
                        "gravity is not in the acceleration: which way is up must come from the motion");
    }
    describe_units(trace, force_part, turn_part != NULL ? turn_part->turn_unit : NULL);
    return code;
}
