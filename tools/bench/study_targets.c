/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the project wants of its figures, held against what was measured.
 */
#include "bench/study.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

/* Most rms error, in the told unit: the median over conditions; no condition worse than WORST_FACTOR times.
 */
static const struct {
    const char *figure;
    double most[STUDY_SIDES]; /* NaN: no target */
} TARGETS[] = {
    {"mean_velocity_m_s", {[STUDY_GYROSCOPE] = 0.006, [STUDY_ALONE] = 0.018}},
    {"peak_velocity_m_s", {[STUDY_GYROSCOPE] = 0.012, [STUDY_ALONE] = 0.030}},
    {"range_m", {[STUDY_GYROSCOPE] = 6, [STUDY_ALONE] = 15}},
    {"missed.range_m", {[STUDY_GYROSCOPE] = 6, [STUDY_ALONE] = 15}},
    {"range_1.mean_velocity_m_s", {[STUDY_GYROSCOPE] = 0.012, [STUDY_ALONE] = 0.030}},
    {"range_2.mean_velocity_m_s", {[STUDY_GYROSCOPE] = 0.012, [STUDY_ALONE] = 0.030}},
    {"range_3.mean_velocity_m_s", {[STUDY_GYROSCOPE] = 0.012, [STUDY_ALONE] = 0.030}},
    {"shake_mm", {[STUDY_GYROSCOPE] = 10, [STUDY_ALONE] = (double)NAN}},
};
enum { TARGET_COUNT = sizeof TARGETS / sizeof *TARGETS, CONDITIONS_MAX = 64 };
static const double WORST_FACTOR = 2;
static const double COVER_LOW = 0.93, COVER_HIGH = 0.97;         /* of each figure over all sets */
static const double CONDITION_LOW = 0.90, CONDITION_HIGH = 0.99; /* of each figure in each condition */
static const double WRONG_MOST = 0.005, PERFECT_LEAST = 0.995, PERCENT = 100;

double study_target(size_t figure, enum study_side side)
{
    for (size_t t = 0; t < TARGET_COUNT; t++) {
        if (strcmp(study_figures[figure].name, TARGETS[t].figure) == 0) {
            return TARGETS[t].most[side];
        }
    }
    return (double)NAN;
}

/* Significantly: the whole interval of the coverage lies outside. */
static bool misses_bounds(const struct bench_statistics *s)
{
    return s->intervals > 0 && (s->coverage_high < CONDITION_LOW || s->coverage_low > CONDITION_HIGH);
}

/* Rows of a table: cells between bars, or in columns. */
struct table {
    struct bp_text *text;
    bool markdown;
};

static void put_cell(const struct table *table, const char *words, size_t width)
{
    if (table->markdown) {
        bp_text_put(table->text, "| ");
        bp_text_put(table->text, words);
        bp_text_put_char(table->text, ' ');
    } else {
        study_put_words(table->text, words, width);
    }
}

static void put_number_cell(const struct table *table, double value, int decimals)
{
    enum { WIDTH = 10 };
    bp_text_put(table->text, table->markdown ? "| " : "");
    study_put_number(table->text, value, decimals, table->markdown ? 0 : WIDTH);
    bp_text_put(table->text, table->markdown ? " " : "  ");
}

static void end_row(const struct table *table)
{
    bp_text_put(table->text, table->markdown ? "|\n" : "\n");
}

enum { SIDE_WIDTH = 21, NAME_WIDTH = 28, WHAT_WIDTH = 30 };

static bool out_of_bounds(const struct bench_statistics *s, size_t figure, enum study_side side)
{
    bool inexact = s->rms > WORST_FACTOR * study_target(figure, side);
    return s->sets >= STUDY_SETS_MIN && (inexact || misses_bounds(s));
}

static void put_condition(const struct table *table, const struct study *study, size_t figure,
                          enum study_side side, size_t condition)
{
    const struct bench_statistics *s = study_cell(study, figure, side, condition);
    put_cell(table, study_side_names[side], SIDE_WIDTH);
    put_cell(table, study_figures[figure].name, NAME_WIDTH);
    put_cell(table, study_conditions[condition].group, 0);
    put_cell(table, study_conditions[condition].name, 0);
    put_number_cell(table, PERCENT * s->coverage, 1);
    put_number_cell(table, PERCENT * s->coverage_low, 1);
    put_number_cell(table, PERCENT * s->coverage_high, 1);
    put_number_cell(table, s->rms, study_figures[figure].decimals);
    put_cell(table, study_figures[figure].unit, 0);
    end_row(table);
}

/* A figure in one line: in how many conditions it is out, and the extremes over all conditions. */
static void put_extremes(const struct table *table, const struct study *study, size_t figure,
                         enum study_side side)
{
    double least = (double)NAN, most = (double)NAN, rms = (double)NAN;
    size_t out = 0, asked = 0;
    for (size_t c = 0; c < study_condition_count; c++) {
        const struct bench_statistics *s = study_cell(study, figure, side, c);
        if (s->sets >= STUDY_SETS_MIN) {
            asked++;
            out += out_of_bounds(s, figure, side);
            least = fmin(least, s->coverage);
            most = fmax(most, s->coverage);
            rms = fmax(rms, s->rms);
        }
    }
    if (out == 0) {
        return;
    }
    put_cell(table, study_side_names[side], SIDE_WIDTH);
    put_cell(table, study_figures[figure].name, NAME_WIDTH);
    put_number_cell(table, (double)out, 0);
    put_number_cell(table, (double)asked, 0);
    put_number_cell(table, PERCENT * least, 1);
    put_number_cell(table, PERCENT * most, 1);
    put_number_cell(table, rms, study_figures[figure].decimals);
    put_cell(table, study_figures[figure].unit, 0);
    end_row(table);
}

void study_put_bounds(const struct study *study, bool markdown, struct bp_text *text)
{
    struct table table = {text, markdown};
    bp_text_put(text, markdown
                          ? "| side | figure | of | condition | coverage % | from | to | rms | unit |\n"
                            "|---|---|---|---|--:|--:|--:|--:|---|\n"
                          : "side, figure, conditions out, of, coverage % lowest, highest, rms highest\n");
    size_t before = text->length;
    for (int side = STUDY_GYROSCOPE; side >= STUDY_ALONE; side--) {
        for (size_t f = 0; f < study_figure_count; f++) {
            if (!markdown) {
                put_extremes(&table, study, f, (enum study_side)side);
            }
            for (size_t c = 0; markdown && c < study_condition_count; c++) {
                if (out_of_bounds(study_cell(study, f, (enum study_side)side, c), f, (enum study_side)side)) {
                    put_condition(&table, study, f, (enum study_side)side, c);
                }
            }
        }
    }
    if (text->length == before) {
        bp_text_put(text, markdown ? "| none | | | | | | | | |\n" : "none\n");
    }
}

static void put_target(const struct table *table, enum study_side side, const char *what, double limit,
                       double measured, double worst, int decimals, const char *where, bool met)
{
    put_cell(table, study_side_names[side], SIDE_WIDTH);
    put_cell(table, what, 44);
    put_number_cell(table, limit, decimals);
    put_number_cell(table, measured, decimals);
    put_number_cell(table, worst, decimals);
    put_cell(table, where, WHAT_WIDTH);
    put_cell(table, !isfinite(measured) ? "-" : met ? "yes" : "no", 1);
    end_row(table);
}

static const char *joined(const char *a, const char *b, char *out, size_t size)
{
    out[0] = '\0';
    strncat(out, a, size - 1);
    strncat(out, b, size - 1 - strlen(out));
    return out;
}

/* How large the errors of a figure are, in one number. */
struct size {
    const char *words; /* before the unit */
    size_t offset;     /* of it in bench_statistics */
};
/* Of a relative figure an rms error is mostly that of the truths that are next to nothing: the others are
 * not.
 */
static const struct size SIZES[] = {
    {", rms in ", offsetof(struct bench_statistics, rms)},
    {", rms error over rms truth in ", offsetof(struct bench_statistics, pooled)},
    {", median error in ", offsetof(struct bench_statistics, median)},
};

/* Median over the conditions, and the worst of them, of one figure's errors. */
static void put_error_target(const struct study *study, const struct table *table, size_t f,
                             enum study_side side, const struct size *size)
{
    double sizes[CONDITIONS_MAX], worst = (double)NAN, most = study_target(f, side);
    const char *where = "-";
    size_t count = 0;
    char what[80];
    for (size_t c = 1; c < study_condition_count && count < CONDITIONS_MAX; c++) {
        const struct bench_statistics *s = study_cell(study, f, side, c);
        double error;
        memcpy(&error, (const char *)s + size->offset, sizeof error);
        if (s->sets >= STUDY_SETS_MIN && isfinite(error)) {
            sizes[count++] = error;
            where = !isfinite(worst) || error > worst ? study_conditions[c].name : where;
            worst = fmax(worst, error);
        }
    }
    double median = bench_median(sizes, count);
    char told_in[60];
    joined(size->words, study_figures[f].unit, told_in, sizeof told_in);
    put_target(table, side, joined(study_figures[f].name, told_in, what, sizeof what), most, median, worst,
               study_figures[f].decimals, where, median <= most && worst <= WORST_FACTOR * most);
}

/* What intervals are worth over all figures of one side. */
struct worth {
    size_t figures, inside;  /* with intervals; covering as they should over all sets */
    size_t cells, cells_out; /* figure and condition; significantly out of bounds */
    double intervals, wrong; /* over all figures */
    double worst_wrong;      /* of one figure */
    double farthest;         /* coverage farthest from 95 %, over all sets */
    const char *worst_wrong_at, *farthest_at;
};

static void weigh_figure(const struct study *study, size_t f, enum study_side side, struct worth *worth)
{
    for (size_t c = 0; c < study_condition_count; c++) {
        const struct bench_statistics *s = study_cell(study, f, side, c);
        if (s->intervals == 0 || s->sets < STUDY_SETS_MIN) {
            continue;
        }
        worth->cells++;
        worth->cells_out += misses_bounds(s);
        if (c > 0) {
            continue;
        }
        worth->figures++;
        worth->inside += s->coverage >= COVER_LOW && s->coverage <= COVER_HIGH;
        worth->intervals += (double)s->intervals;
        worth->wrong += s->wrong * (double)s->intervals;
        if (!(fabs(s->coverage - 0.95) <= fabs(worth->farthest - 0.95))) {
            worth->farthest = s->coverage;
            worth->farthest_at = study_figures[f].name;
        }
        if (!(s->wrong <= worth->worst_wrong)) {
            worth->worst_wrong = s->wrong;
            worth->worst_wrong_at = study_figures[f].name;
        }
    }
}

static void put_interval_targets(const struct study *study, const struct table *table, enum study_side side)
{
    struct worth w = {
        .worst_wrong = (double)NAN, .farthest = (double)NAN, .worst_wrong_at = "-", .farthest_at = "-"};
    for (size_t f = 0; f < study_figure_count; f++) {
        weigh_figure(study, f, side, &w);
    }
    double some = w.figures ? 1 : (double)NAN, figures = (double)w.figures * some;
    put_target(table, side, "figures that cover 93 to 97 % over all sets", figures, (double)w.inside * some,
               PERCENT * w.farthest, 1, w.farthest_at, w.figures && w.inside == w.figures);
    put_target(table, side, "conditions significantly outside 90 to 99 %", 0, (double)w.cells_out * some,
               (double)NAN, 0, "-", w.figures && w.cells_out == 0);
    double share = w.wrong / w.intervals;
    put_target(table, side, "confident and wrong, % of all intervals", PERCENT * WRONG_MOST, PERCENT * share,
               PERCENT * w.worst_wrong, 2, w.worst_wrong_at, share < WRONG_MOST);
}

static void put_reps_target(const struct study *study, const struct table *table, enum study_side side)
{
    double worst = (double)NAN;
    const char *where = "-";
    struct study_reps all = study_count_reps(study, side, 0);
    for (size_t c = 1; c < study_condition_count; c++) {
        struct study_reps reps = study_count_reps(study, side, c);
        double share = (double)reps.perfect / (double)reps.sets;
        if (reps.sets >= STUDY_SETS_MIN && !(share >= worst)) {
            worst = share;
            where = study_conditions[c].name;
        }
    }
    double share = all.sets ? (double)all.perfect / (double)all.sets : (double)NAN;
    put_target(table, side, "every rep found, none invented, % of sets", PERCENT * PERFECT_LEAST,
               PERCENT * share, PERCENT * worst, 2, where, share >= PERFECT_LEAST);
}

void study_put_targets(const struct study *study, bool markdown, struct bp_text *text)
{
    struct table table = {text, markdown};
    bp_text_put(text, markdown ? "| side | what | target | measured | worst | where | met |\n"
                                 "|---|---|--:|--:|--:|---|---|\n"
                               : "side, what, target, measured, worst and where, met\n");
    for (int k = STUDY_GYROSCOPE; k >= STUDY_ALONE; k--) {
        enum study_side side = (enum study_side)k;
        for (size_t f = 0; f < study_figure_count; f++) {
            size_t sizes = study_figures[f].scale.relative ? sizeof SIZES / sizeof *SIZES : 1;
            for (size_t i = 0; isfinite(study_target(f, side)) && i < sizes; i++) {
                put_error_target(study, &table, f, side, &SIZES[i]);
            }
        }
        put_interval_targets(study, &table, side);
        put_reps_target(study, &table, side);
    }
}
