/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A figure over the weeks: a robust line through the days, and what it says in one sentence.
 *
 * The days count alike: from day to day a lifter differs by more than a recording does. What the recordings
 * are unsure by is the least scatter that is believed; for speeds the prior of bp_compare_speed stands beside
 * it (5 % from day to day, worth 6 degrees of freedom).
 */
#include "survey/parts.h"

#include <string.h>

#define DAYS_A_WEEK 7.0

/* Ours: two days are always on a line, and less than a week tells of no week. */
enum { LEAST_DAYS = 3, LEAST_SPAN_DAYS = 7 };

const struct bp_survey_subject_facts *bp_survey_subject_facts(enum bp_survey_subject subject)
{
    static const struct bp_survey_subject_facts facts[] = {
        [BP_TREND_SPEED] = {"speed", "mean velocity", "m/s", "faster", "slower", 2},
        [BP_TREND_BEST] = {"best", "fastest rep", "m/s", "faster", "slower", 2},
        [BP_TREND_SHAKE] = {"shake", "shake", "mm", "more", "less", 1},
        [BP_TREND_STICKING_HEIGHT] = {"sticking_height", "height of the sticking point", "%", "higher",
                                      "lower", 0},
        [BP_TREND_STICKING_DEPTH] = {"sticking_depth", "speed lost in the sticking region", "m/s", "more",
                                     "less", 2},
        [BP_TREND_LOSS] = {"velocity_loss", "velocity loss", "%", "more", "less", 1},
        [BP_TREND_MAXIMUM] = {"one_rep_max", "one-repetition maximum, estimated", "kg", "more", "less", 1},
    };
    return (int)subject >= 0 && subject < BP_TREND_COUNT ? &facts[subject] : NULL;
}

const char *bp_survey_verdict_name(enum bp_survey_verdict verdict)
{
    static const char *const names[] = {"few", "cannot_tell", "rises", "falls"};
    return (int)verdict >= 0 && verdict <= BP_TREND_FALLS ? names[verdict] : "";
}

/* Root mean square of the points' own standard deviations; 0 where none is known. */
static double measurement_sd(const struct bp_survey_point *points, size_t count)
{
    double sum = 0;
    size_t known = 0;
    for (size_t i = 0; i < count; i++) {
        if (isfinite(points[i].sd)) {
            sum += points[i].sd * points[i].sd;
            known++;
        }
    }
    return known > 0 ? sqrt(sum / (double)known) : 0;
}

static double mean_of(const struct bp_survey_point *points, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += points[i].figure.value;
    }
    return sum / (double)count;
}

/* The common standard deviation of all points, and what is held of it. */
static double settle(const struct bp_survey_trend *trend, const struct bp_survey_point *points, size_t count,
                     struct bp_line_prior *prior)
{
    double measured = measurement_sd(points, count), sd = measured > 0 ? measured : 1.0;
    bool speed = trend->subject == BP_TREND_SPEED || trend->subject == BP_TREND_BEST;
    *prior = (struct bp_line_prior){0, 0};
    if (speed) {
        sd = hypot(measured, bp_compare_speed.scatter_cv * fabs(mean_of(points, count)));
        sd = sd > 0 ? sd : 1.0;
        prior->freedom = bp_compare_speed.scatter_df;
    }
    prior->least_sd = measured / sd;
    return sd;
}

static bool fit(struct bp_survey_trend *trend)
{
    double x[BP_LINE_POINTS_MAX], y[BP_LINE_POINTS_MAX], sds[BP_LINE_POINTS_MAX];
    size_t skipped = trend->count > BP_LINE_POINTS_MAX ? trend->count - BP_LINE_POINTS_MAX : 0;
    const struct bp_survey_point *points = trend->points + skipped; /* the latest */
    size_t count = trend->count - skipped;
    double before = (double)(points[0].day - trend->points[0].day) / DAYS_A_WEEK;
    struct bp_line_prior prior;
    struct bp_line line;
    if (count < LEAST_DAYS || points[count - 1].day - points[0].day < LEAST_SPAN_DAYS) {
        return false;
    }
    double sd = settle(trend, points, count, &prior);
    for (size_t i = 0; i < count; i++) {
        x[i] = (double)(points[i].day - points[0].day) / DAYS_A_WEEK;
        y[i] = points[i].figure.value;
        sds[i] = sd;
    }
    if (bp_line_fit_robust(x, y, sds, count, &prior, NULL, &line) != BP_OK || !(line.freedom > 0)) {
        return false;
    }
    double half = bp_student_quantile(0.975, line.freedom) * line.slope_sd;
    if (!isfinite(half)) {
        return false;
    }
    trend->per_week = (struct bp_quantity){line.slope, line.slope - half, line.slope + half};
    trend->first = bp_line_at(&line, -before);
    trend->last = bp_line_at(&line, x[count - 1]);
    return true;
}

/* As many digits as the interval supports two of. */
static int digits_of(const struct bp_survey_trend *trend)
{
    double half = (trend->per_week.high - trend->per_week.low) / 2.0;
    int decimals = bp_survey_subject_facts(trend->subject)->decimals;
    while (decimals < 4 && half < 5.0 * pow(10, -decimals)) {
        decimals++;
    }
    return decimals;
}

static void put_unit(struct bp_text *text, const char *unit)
{
    bp_text_put_char(text, ' ');
    bp_text_put(text, unit);
}

static void put_sentence(const struct bp_survey_trend *trend, struct bp_text *text)
{
    const struct bp_survey_subject_facts *facts = bp_survey_subject_facts(trend->subject);
    struct bp_quantity q = trend->per_week;
    if (trend->verdict == BP_TREND_FEW) {
        bp_text_put(text, "too little for a trend: it takes ");
        bp_text_put(text,
                    trend->subject == BP_TREND_MAXIMUM ? "three weeks" : "three days, a week or more apart");
        return;
    }
    int decimals = digits_of(trend);
    if (trend->verdict == BP_TREND_CANNOT_TELL) {
        bp_text_put(text, "no trend that can be told (");
        bp_text_put_number(text, q.low, decimals);
        bp_text_put(text, " to ");
        bp_text_put_number(text, q.high, decimals);
        put_unit(text, facts->unit);
        bp_text_put(text, " a week)");
        return;
    }
    if (trend->verdict == BP_TREND_FALLS) {
        q = (struct bp_quantity){-q.value, -q.high, -q.low};
    }
    bp_text_put_number(text, q.value, decimals);
    put_unit(text, facts->unit);
    bp_text_put(text, " a week ");
    bp_text_put(text, trend->verdict == BP_TREND_RISES ? facts->more : facts->less);
    bp_text_put(text, " (");
    bp_text_put_number(text, q.low, decimals);
    bp_text_put(text, " to ");
    bp_text_put_number(text, q.high, decimals);
    bp_text_put_char(text, ')');
}

bool survey_judge_trend(struct bp_survey_trend *trend, struct bp_arena *arena)
{
    struct bp_text text;
    trend->per_week = trend->first = trend->last = bp_quantity_unknown();
    trend->verdict = BP_TREND_FEW;
    if (fit(trend)) {
        trend->verdict = trend->per_week.low > 0    ? BP_TREND_RISES
                         : trend->per_week.high < 0 ? BP_TREND_FALLS
                                                    : BP_TREND_CANNOT_TELL;
    }
    bp_text_init(&text);
    put_sentence(trend, &text);
    trend->sentence = survey_keep(arena, &text);
    return trend->sentence != NULL;
}
