/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What a band pulls: its points as they were measured, stretching and slackening.
 */
#include "rig/parts.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

static const struct bp_rule rule_length = {BP_UNIT_LENGTH, {1.0, 100.0}, 10.0, "10 m", false, true};
static const struct bp_rule rule_pull = {
    BP_UNIT_PULL, {BP_STANDARD_GRAVITY, 1.0}, 5000.0, "5000 N, some 500 kg", true, false};

/* The ± of every pull that has none of its own. */
struct give {
    double amount; /* N, or %; 0: none */
    bool percent;
};

/* A list of points while it is read. */
struct curve_reader {
    struct bp_rig_field field;
    bool stretches; /* lengths count from rest */
    double rest_m;  /* 0: not said */
    struct give give;
};

/* A pull, or a share as "2 %". */
static enum bp_code read_give(const struct bp_rig_field *field, struct give *give)
{
    const char *text = bp_rig_entry(field)->value;
    if (text == NULL) {
        return BP_OK;
    }
    size_t length = strlen(text);
    struct bp_rule rule = rule_pull;
    rule.exact = true;
    give->percent = length > 0 && text[length - 1] == '%';
    if (give->percent) {
        rule = (struct bp_rule){BP_UNIT_SHARE, {1.0, 1.0}, 100.0, "100 %", true, true};
    }
    struct bp_measured amount = {0.0, 0.0};
    enum bp_code code = bp_value_measured(field, &rule, true, &amount);
    give->amount = amount.value;
    return code;
}

static enum bp_code apply_give(const struct curve_reader *reader, struct bp_band_point *point)
{
    const struct give *give = &reader->give;
    const struct bp_rig_field field =
        bp_rig_field(reader->field.file, reader->field.section, BP_KEY_PULL_UNCERTAINTY);
    double half_width = give->percent ? point->pull_n.value * give->amount / 100.0 : give->amount;
    point->pull_n.sd = half_width / BP_HALF_WIDTH_SD;
    if (point->pull_n.value > 0.0 && half_width >= point->pull_n.value) {
        return bp_rig_fail(&field, NULL, BP_ERR_ARGUMENT, "it is as large as a pull it belongs to");
    }
    return BP_OK;
}

/* "80 cm: 12.5 kg ± 0.3" */
static enum bp_code read_point(const struct curve_reader *reader, struct bp_span piece,
                               struct bp_band_point *point)
{
    const struct bp_rig_field *field = &reader->field;
    const char *colon = memchr(piece.at, ':', (size_t)(piece.end - piece.at));
    if (colon == NULL) {
        return bp_rig_fail(field, piece.at, BP_ERR_FORMAT,
                           "'%.*s': write length: pull, as 80 cm: 12.5 kg, points parted by commas",
                           bp_span_shown(piece), piece.at);
    }
    struct bp_measured length = {0.0, 0.0};
    struct bp_rule rule = rule_length;
    rule.zero = reader->stretches;
    struct bp_span pull = bp_span_of(colon + 1, piece.end);
    enum bp_code code = bp_value_span(field, bp_span_of(piece.at, colon), &rule, &length);
    code = code != BP_OK ? code : bp_value_span(field, pull, &rule_pull, &point->pull_n);
    if (code == BP_OK && !bp_span_has_give(pull)) {
        code = apply_give(reader, point);
    }
    point->length_m = length.value + (reader->stretches ? reader->rest_m : 0.0);
    return code;
}

/* Points must go one way, so that a slip of the pen is seen; which way is the coach's choice. */
static enum bp_code check_order(const struct curve_reader *reader, const struct bp_band_point *points,
                                size_t count, struct bp_span piece)
{
    if (count < 2) {
        return BP_OK;
    }
    double step = points[count - 1].length_m - points[count - 2].length_m;
    if (step == 0.0) {
        return bp_rig_fail(&reader->field, piece.at, BP_ERR_ARGUMENT, "'%.*s': the same length twice",
                           bp_span_shown(piece), piece.at);
    }
    if (step * (points[1].length_m - points[0].length_m) < 0.0) {
        return bp_rig_fail(&reader->field, piece.at, BP_ERR_ARGUMENT,
                           "'%.*s' is out of order: points go from short to long or from long to short",
                           bp_span_shown(piece), piece.at);
    }
    /* The longer of the two must not pull less. */
    if (step * (points[count - 1].pull_n.value - points[count - 2].pull_n.value) < 0.0) {
        return bp_rig_fail(&reader->field, piece.at, BP_ERR_ARGUMENT,
                           "'%.*s': the pull falls as the band gets longer; a slip, or a band about to tear",
                           bp_span_shown(piece), piece.at);
    }
    return BP_OK;
}

static void turn_round(struct bp_band_curve *curve)
{
    for (size_t i = 0, k = curve->count; i + 1 < k; i++) {
        struct bp_band_point kept = curve->points[i];
        curve->points[i] = curve->points[--k];
        curve->points[k] = kept;
    }
}

/* At rest the band pulls nothing: one more point, and an exact one. */
static enum bp_code add_rest(const struct curve_reader *reader, struct bp_band_curve *curve)
{
    const struct bp_band_point *first = &curve->points[0];
    if (!(reader->rest_m > 0.0) || (first->length_m == reader->rest_m && first->pull_n.value == 0.0)) {
        return BP_OK;
    }
    if (first->length_m <= reader->rest_m) {
        return bp_rig_fail(&reader->field, NULL, BP_ERR_ARGUMENT,
                           "a point pulls at rest, or is shorter than that");
    }
    if (curve->count == BP_BAND_POINTS_MAX) {
        return bp_rig_fail(&reader->field, NULL, BP_ERR_LIMIT,
                           "a band has at most 24 points, rest among them");
    }
    memmove(curve->points + 1, curve->points, curve->count * sizeof curve->points[0]);
    curve->points[0] = (struct bp_band_point){reader->rest_m, {0.0, 0.0}};
    curve->count++;
    return BP_OK;
}

static enum bp_code read_curve(const struct curve_reader *reader, struct bp_band_curve *curve)
{
    const struct bp_rig_field *field = &reader->field;
    const char *value = bp_rig_entry(field)->value;
    struct bp_span rest = bp_span_of(value, value + strlen(value));
    struct bp_span piece = rest;
    while (bp_span_next(&rest, &piece)) {
        if (curve->count == BP_BAND_POINTS_MAX) {
            return bp_rig_fail(field, piece.at, BP_ERR_LIMIT, "a band has at most 24 points");
        }
        enum bp_code code = read_point(reader, piece, &curve->points[curve->count]);
        curve->count += code == BP_OK;
        code = code != BP_OK ? code : check_order(reader, curve->points, curve->count, piece);
        if (code != BP_OK) {
            return code;
        }
    }
    if (curve->count < 2) {
        return bp_rig_fail(field, NULL, BP_ERR_ARGUMENT, "%s: measure two points at least, five are better",
                           curve->count == 0 ? "no point" : "one point says nothing of the lengths between");
    }
    if (curve->points[0].length_m > curve->points[1].length_m) {
        turn_round(curve);
    }
    if (curve->points[curve->count - 1].pull_n.value <= 0.0) {
        return bp_rig_fail(field, NULL, BP_ERR_ARGUMENT, "the band pulls nothing at any length");
    }
    return add_rest(reader, curve);
}

/* The pull at a length by straight lines; NaN past the ends. */
static double pull_at(const struct bp_band_curve *curve, double length_m)
{
    for (size_t i = 1; i < curve->count; i++) {
        const struct bp_band_point *a = &curve->points[i - 1];
        const struct bp_band_point *b = &curve->points[i];
        if (length_m >= a->length_m && length_m <= b->length_m) {
            double share = (length_m - a->length_m) / (b->length_m - a->length_m);
            return a->pull_n.value + share * (b->pull_n.value - a->pull_n.value);
        }
    }
    return (double)NAN;
}

/* Rubber gives back less than it took: a band that pulls more at every length while it slackens has its two
 * lists exchanged. */
static bool exchanged(const struct bp_band *band)
{
    size_t shared = 0;
    size_t higher = 0;
    for (size_t i = 0; i < band->slackening.count; i++) {
        const struct bp_band_point *point = &band->slackening.points[i];
        double taken = pull_at(&band->stretching, point->length_m);
        if (isfinite(taken) && (taken > 0.0 || point->pull_n.value > 0.0)) { /* not where both are at rest */
            shared++;
            higher += point->pull_n.value > taken;
        }
    }
    return shared >= 2 && higher == shared;
}

/* One of a pair of keys, lengths or stretches, into curve. None given: curve as it is. */
static enum bp_code take_curve(struct curve_reader *reader, enum bp_rig_key points, enum bp_rig_key stretches,
                               struct bp_band_curve *curve)
{
    const struct bp_rig_section *section = reader->field.section;
    reader->stretches = bp_rig_given(section, stretches);
    reader->field.key = reader->stretches ? stretches : points;
    if (reader->stretches && bp_rig_given(section, points)) {
        return bp_rig_fail(&reader->field, NULL, BP_ERR_FORMAT, "%s says it already: keep one of the two",
                           bp_rig_key_name(points));
    }
    if (reader->stretches && !(reader->rest_m > 0.0)) {
        return bp_rig_fail(&reader->field, NULL, BP_ERR_FORMAT,
                           "stretches need the band's length at rest: rest");
    }
    return bp_rig_given(section, reader->field.key) ? read_curve(reader, curve) : BP_OK;
}

enum bp_code bp_rig_take_pulls(const struct bp_rig_file *file, const struct bp_rig_section *section,
                               struct bp_band *band)
{
    const struct bp_rig_field rest = bp_rig_field(file, section, BP_KEY_REST);
    const struct bp_rig_field give = bp_rig_field(file, section, BP_KEY_PULL_UNCERTAINTY);
    struct curve_reader reader = {.field = bp_rig_field(file, section, BP_KEY_POINTS)};
    struct bp_measured rest_m = {0.0, 0.0};
    enum bp_code code = bp_value_measured(&rest, &rule_length, false, &rest_m);
    reader.rest_m = rest_m.value;
    code = code != BP_OK ? code : read_give(&give, &reader.give);
    code = code != BP_OK ? code : take_curve(&reader, BP_KEY_POINTS, BP_KEY_STRETCHES, &band->stretching);
    if (code == BP_OK && band->stretching.count == 0) {
        return bp_rig_fail_section(
            file, section, BP_ERR_FORMAT,
            "what does it pull? Measure it: points = 80 cm: 12 kg, 100 cm: 18 kg, ...");
    }
    code = code != BP_OK ? code
                         : take_curve(&reader, BP_KEY_SLACKENING_POINTS, BP_KEY_SLACKENING_STRETCHES,
                                      &band->slackening);
    if (code == BP_OK && exchanged(band)) {
        return bp_rig_fail(
            &reader.field, NULL, BP_ERR_ARGUMENT,
            "it pulls more at every length than while it is stretched: are the two exchanged?");
    }
    return code;
}
