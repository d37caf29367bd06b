/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Units, settled by the header and checked against the one length every log holds: gravity's.
 *
 * Sign conventions need no settling. A phone at rest face up reads +9.8 m/s^2 on z by one convention and
 * -1 g by the other; the second is -1 times the first on every axis, moving or not. The length |f| is the
 * same for both, and so is the equation that ties it to the gyroscope, df/dt = -w x f, which is linear in f:
 * only the unit is converted.
 */
#include "import/stream.h"

#include "barplumb/units.h"

#include <math.h>

#define G BP_STANDARD_GRAVITY
/* The median length over a log of lifts is gravity's within a few per cent; a phone's scale and bias add a
 * few more. The units' bands stay far apart. */
#define INFER_TOLERANCE 0.15
/* With the unit known, the same band but for long spells of hard work. */
#define STATED_LOW (0.6 * G)
#define STATED_HIGH (1.6 * G)
/* Below this, in a stated unit, gravity cannot be in the reading. */
#define REMOVED_BELOW (0.3 * G)
#define REMOVED_MOST (3.0 * G)
/* Without gravity and without a unit: a 99th percentile past this is no count of g in any lift, and one past
 * that no m/s^2. */
#define LINEAR_P99_LEAST 3.0
#define LINEAR_P99_MOST 100.0
/* No gyroscope in a phone reads past 4000 deg/s = 70 rad/s. */
#define TURN_MOST 100.0
/* A bar does not turn at 20 rad/s = 1150 deg/s for one sample in a hundred; 20 deg/s is nothing. */
#define TURN_P99_RAD 20.0

/* A header that takes gravity out is not believed where the length hardly ever falls below gravity's:
 * movement alone is next to nothing whenever the bar rests. */
#define SURE_SHARE 0.8

struct lengths {
    double median, p10, p99;
    double steadiness; /* |mean vector| / mean length */
};

static size_t stride(size_t count)
{
    return count > BP_LENGTHS_MAX ? count / BP_LENGTHS_MAX + 1 : 1;
}

size_t bp_import_lengths(const struct bp_stream *s, double *lengths)
{
    size_t n = 0;
    for (size_t i = 0; i < s->count; i += stride(s->count)) {
        double x = s->value[0][i], y = s->value[1][i], z = s->value[2][i];
        double length = sqrt(x * x + y * y + z * z);
        if (isfinite(length)) {
            lengths[n++] = length;
        }
    }
    return n;
}

static double steadiness(const struct bp_stream *s)
{
    double sum[3] = {0.0, 0.0, 0.0}, lengths = 0.0;
    for (size_t i = 0; i < s->count; i += stride(s->count)) {
        double x = s->value[0][i], y = s->value[1][i], z = s->value[2][i];
        if (isfinite(x + y + z)) {
            sum[0] += x;
            sum[1] += y;
            sum[2] += z;
            lengths += sqrt(x * x + y * y + z * z);
        }
    }
    double mean = sqrt(sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]);
    return lengths > 0.0 ? mean / lengths : 0.0;
}

static bool measure(struct bp_importer *im, const struct bp_stream *s, struct lengths *out)
{
    double *lengths = bp_arena_doubles(&im->scratch, BP_LENGTHS_MAX + 1);
    if (lengths == NULL) {
        return false;
    }
    size_t n = bp_import_lengths(s, lengths);
    *out = (struct lengths){0};
    if (n > 0) {
        out->median = bp_import_ranked(lengths, n, n / 2);
        out->p10 = bp_import_ranked(lengths, n, n / 10);
        out->p99 = bp_import_ranked(lengths, n, n - 1 - n / 100);
        out->steadiness = steadiness(s);
    }
    return true;
}

static void scale(double *values, size_t count, double factor)
{
    for (size_t i = 0; factor != 1.0 && i < count; i++) {
        values[i] *= factor;
    }
}

const struct bp_unit *bp_import_gravity_unit(double length)
{
    const struct bp_unit *unit;
    for (size_t i = 0; (unit = bp_import_unit_at(BP_KIND_FORCE, i)) != NULL; i++) {
        if (fabs(length * unit->factor - G) <= INFER_TOLERANCE * G) {
            return unit;
        }
    }
    return NULL;
}

/* A vector that keeps its length, or its direction, as gravity does and movement does not. */
static bool keeps(const struct lengths *l)
{
    return l->p10 > 0.6 * l->median || l->steadiness > 0.7;
}

/* ---- acceleration ---- */

static enum bp_code refuse_length(struct bp_importer *im, double length, const struct bp_unit *unit)
{
    char number[BP_NUMBER_TEXT];
    if (unit == NULL) {
        return bp_import_fail(
            im, BP_ERR_UNITS, 0, 0,
            "the acceleration is usually %s long, which is gravity in no known unit: give it "
            "with --units a=…",
            bp_import_number(length, number));
    }
    return bp_import_fail(im, BP_ERR_UNITS, 0, 0,
                          "the acceleration is usually %s m/s2 long if it is in %s: that is not gravity; a "
                          "wrong unit, or a file rewritten by a spreadsheet?",
                          bp_import_number(length * unit->factor, number), unit->name);
}

static enum bp_code judge_stated(struct bp_importer *im, const struct lengths *l, const struct bp_unit *unit,
                                 bool *linear)
{
    double median = l->median * unit->factor;
    if (median < REMOVED_BELOW && l->steadiness > 0.9 && bp_import_gravity_unit(l->median) != NULL) {
        return refuse_length(im, l->median, unit); /* gravity, but in another unit */
    }
    bool fits = median >= STATED_LOW && median <= STATED_HIGH;
    if (median >= REMOVED_BELOW && !fits && (keeps(l) || median > REMOVED_MOST)) {
        return refuse_length(im, l->median, unit);
    }
    *linear = !fits || !keeps(l);
    return BP_OK;
}

/* NULL, with the error set, when no unit fits. */
static const struct bp_unit *infer(struct bp_importer *im, const struct lengths *l, bool *linear)
{
    bool known = *linear; /* the caller or the header says so */
    const struct bp_unit *fits = bp_import_gravity_unit(l->median);
    if (known && (im->settings->gravity_removed || l->p10 < SURE_SHARE * l->median)) {
        fits = NULL;
    }
    if (fits != NULL && known) {
        *linear = false;
        return fits;
    }
    if (fits != NULL && (l->p10 > 0.5 * l->median || l->steadiness > 0.7)) {
        bp_findings_add(im->findings, "units-inferred", BP_NOTE, (double)NAN,
                        "the unit of acceleration is not stated; gravity's length says %s", fits->name);
        return fits;
    }
    if (im->companion_unit != NULL) { /* gravity's own file is in the same unit as what lacks it */
        *linear = true;
        return im->companion_unit;
    }
    bool moves = l->p10 <= 0.6 * l->median || l->steadiness <= 0.5;
    if ((known || moves) && l->p99 >= LINEAR_P99_LEAST && l->p99 <= LINEAR_P99_MOST) {
        *linear = true;
        bp_findings_add(im->findings, "units-inferred", BP_RESERVATION, (double)NAN,
                        "the unit of acceleration is not stated and gravity is not in it; the size of the "
                        "readings says m/s2");
        return bp_import_unit_at(BP_KIND_FORCE, 0);
    }
    refuse_length(im, l->median, NULL);
    return NULL;
}

enum bp_code bp_import_settle_force(struct bp_importer *im, struct bp_part *part,
                                    const struct bp_unit *stated, bool said_linear)
{
    struct lengths l;
    bool given = im->settings->gravity_removed;
    const struct bp_unit *unit = stated;
    enum bp_code code = BP_OK;
    if (!measure(im, &part->force, &l)) {
        return bp_import_no_memory(im);
    }
    part->linear = given || said_linear;
    if (unit == NULL) {
        unit = infer(im, &l, &part->linear);
    } else if (!given) {
        code = judge_stated(im, &l, unit, &part->linear);
    }
    if (code != BP_OK) {
        return code;
    }
    if (unit == NULL) {
        return BP_ERR_UNITS;
    }
    if (said_linear && !part->linear) {
        bp_findings_add(im->findings, "gravity-present", BP_NOTE, (double)NAN,
                        "the header says that gravity is taken out, but it is in the readings");
    }
    part->force_unit = unit;
    for (size_t a = 0; a < 3; a++) {
        scale(part->force.value[a], part->force.count, unit->factor);
    }
    return BP_OK;
}

/* ---- gyroscope ---- */

#define WINDOW_S                                                                                             \
    0.3 /* long enough that gravity turns by more than the noise, short enough for first order               \
         */
#define HALF_MEAN_S 0.05
enum { WINDOWS_MAX = 4000, WINDOWS_LEAST = 5 };
#define WILD 1.5      /* times the 99th percentile of the rate of turn */
#define FIT_LEAST 0.5 /* correlation */
/* Times what is seen: past the one a unit is not taken, past the other a stated one is doubted. A gyroscope
 * whose clock is off altogether leaves twice what is seen. */
#define TOO_FAR 2.0
#define FAR_TOO_FAR 20.0

/* Mean of force over [t - HALF_MEAN_S, t + HALF_MEAN_S]; *k only moves on. False when no sample is there. */
static bool mean_force(const struct bp_stream *f, double t, size_t *k, double mean[3])
{
    size_t n = 0;
    mean[0] = mean[1] = mean[2] = 0.0;
    while (*k < f->count && f->time[*k] < t - HALF_MEAN_S) {
        ++*k;
    }
    for (size_t i = *k; i < f->count && f->time[i] <= t + HALF_MEAN_S; i++, n++) {
        for (size_t a = 0; a < 3; a++) {
            mean[a] += f->value[a][i];
        }
    }
    for (size_t a = 0; a < 3 && n > 0; a++) {
        mean[a] /= (double)n;
    }
    return n > 0;
}

struct fit {
    double product, predicted, seen;
    size_t windows;
};

/* One window: how far gravity turned, f1 - f0, against what the gyroscope says, -theta x f. */
static void add_window(struct fit *fit, const double f0[3], const double f1[3], const double theta[3])
{
    for (int a = 0; a < 3; a++) {
        int b = (a + 1) % 3, c = (a + 2) % 3;
        double middle_b = 0.5 * (f0[b] + f1[b]), middle_c = 0.5 * (f0[c] + f1[c]);
        double predicted = -(theta[b] * middle_c - theta[c] * middle_b);
        double seen = f1[a] - f0[a];
        fit->product += predicted * seen;
        fit->predicted += predicted * predicted;
        fit->seen += seen * seen;
    }
    fit->windows++;
}

/* fastest: turns faster than that for a whole window are no reading (spikes are mended later). */
static struct fit compare(const struct bp_stream *force, double shift, double *const turn[3],
                          const double *time, size_t count, double fastest)
{
    struct fit fit = {0};
    size_t k0 = 0, k1 = 0;
    for (size_t i = 0, end; i + 1 < count && fit.windows < WINDOWS_MAX; i = end) {
        double theta[3] = {0.0, 0.0, 0.0}, f0[3], f1[3];
        for (end = i + 1; end < count; end++) {
            double dt = time[end] - time[end - 1];
            for (int a = 0; a < 3; a++) {
                theta[a] += 0.5 * (turn[a][end] + turn[a][end - 1]) * dt;
            }
            if (time[end] - time[i] >= WINDOW_S) {
                break;
            }
        }
        double most = fastest * (time[end < count ? end : count - 1] - time[i]);
        bool wild = theta[0] * theta[0] + theta[1] * theta[1] + theta[2] * theta[2] > most * most;
        if (end < count && !wild && mean_force(force, time[i] + shift, &k0, f0) &&
            mean_force(force, time[end] + shift, &k1, f1)) {
            add_window(&fit, f0, f1, theta);
        }
    }
    return fit;
}

static const struct bp_unit *turn_unit(double factor_near)
{
    const struct bp_unit *unit;
    for (size_t i = 0; (unit = bp_import_unit_at(BP_KIND_TURN, i)) != NULL; i++) {
        if (factor_near > 0.4 * unit->factor && factor_near < 2.5 * unit->factor) {
            return unit;
        }
    }
    return NULL;
}

/* Gravity would turn by far more than it does: what a lift's own acceleration adds to what is seen is in
 * both, and a good gyroscope leaves less than all of it unexplained. */
static bool turns_too_far(const struct fit *fit, double factor, double times)
{
    double left = fit->seen - 2.0 * factor * fit->product + factor * factor * fit->predicted;
    return fit->windows >= WINDOWS_LEAST && left > times * fit->seen;
}

/* The largest unit that nothing speaks against: bars turn slowly, and readings that are small in one unit are
 * nothing at all in the next. */
static const struct bp_unit *largest_turn_unit(const struct fit *fit, double p99)
{
    const struct bp_unit *unit, *best = NULL, *least = NULL;
    for (size_t i = 0; (unit = bp_import_unit_at(BP_KIND_TURN, i)) != NULL; i++) {
        bool may = p99 * unit->factor <= TURN_P99_RAD && !turns_too_far(fit, unit->factor, TOO_FAR);
        best = may && (best == NULL || unit->factor > best->factor) ? unit : best;
        least = least == NULL || unit->factor < least->factor ? unit : least;
    }
    return best != NULL ? best : least;
}

static const struct bp_unit *infer_turn(struct bp_importer *im, const struct fit *fit, double p99)
{
    double correlation = fit->product / sqrt(fit->predicted * fit->seen);
    const struct bp_unit *unit = NULL;
    if (fit->windows >= WINDOWS_LEAST && correlation > FIT_LEAST) {
        unit = turn_unit(fit->product / fit->predicted);
    }
    if (unit != NULL) {
        bp_findings_add(im->findings, "units-inferred", BP_NOTE, (double)NAN,
                        "the unit of the gyroscope is not stated; the turn of gravity says %s", unit->name);
        return unit;
    }
    unit = largest_turn_unit(fit, p99);
    bp_findings_add(im->findings, "units-inferred", BP_RESERVATION, (double)NAN,
                    "the unit of the gyroscope is not stated; the size of its readings says %s", unit->name);
    return unit;
}

enum bp_code bp_import_settle_turn(struct bp_importer *im, const struct bp_stream *force,
                                   double force_shift_s, double *const turn[3], const double *time,
                                   size_t count, const struct bp_unit *stated, const struct bp_unit **unit)
{
    struct bp_stream s = {.count = count, .width = 3, .value = {turn[0], turn[1], turn[2]}};
    struct lengths l;
    struct fit fit = {0};
    if (!measure(im, &s, &l)) {
        return bp_import_no_memory(im);
    }
    fit = compare(force, force_shift_s, turn, time, count, WILD * l.p99);
    *unit = stated != NULL ? stated : infer_turn(im, &fit, l.p99);
    if (stated != NULL && turns_too_far(&fit, stated->factor, FAR_TOO_FAR)) {
        bp_findings_add(
            im->findings, "units-doubted", BP_RESERVATION, (double)NAN,
            "if the gyroscope is in %s the phone turned much further than its gravity did: is that the "
            "right unit? If not, give it with --units w=…",
            stated->name);
    }
    if (l.p99 * (*unit)->factor > TURN_MOST) {
        char number[BP_NUMBER_TEXT];
        return bp_import_fail(im, BP_ERR_UNITS, 0, 0,
                              "the gyroscope reads %s rad/s if it is in %s, which no gyroscope can: give the "
                              "unit with --units w=…",
                              bp_import_number(l.p99 * (*unit)->factor, number), (*unit)->name);
    }
    for (size_t a = 0; a < 3; a++) {
        scale(turn[a], count, (*unit)->factor);
    }
    return BP_OK;
}
