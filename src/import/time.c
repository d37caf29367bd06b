/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The time column: bad cells mended, its unit settled, wrapped clocks unrolled, rows put in order.
 */
#include "import/stream.h"

#include <math.h>

/* A stated unit is believed further, but not beyond all sense. */
#define STATED_STEP_MOST_S 2.0
#define STATED_STEP_LEAST_S 1e-5
enum { STEPS_MAX = 20000, BAD_RUN_MAX = 3 };
#define MINUTE_S 60.0
#define DAY_S 86400.0

static void fill_from_rate(struct bp_importer *im, const struct bp_table *t, double *time)
{
    char number[BP_NUMBER_TEXT];
    for (size_t i = 0; i < t->rows; i++) {
        time[i] = (double)i / t->layout.rate_hz;
    }
    if (t->layout.rate_told) {
        bp_findings_add(im->findings, "rate-told", BP_RESERVATION, (double)NAN,
                        "the rows have no time; the lines above them tell of %s samples a second, which is "
                        "taken: samples that were left out do not show (--rate overrides it)",
                        bp_import_number(t->layout.rate_hz, number));
    }
}

/* A time that cannot be read lies between its neighbours. */
static enum bp_code mend_times(struct bp_importer *im, const struct bp_table *t, double *time)
{
    for (size_t i = 0; i < t->rows; i++) {
        if (!isnan(time[i])) {
            continue;
        }
        size_t next = i;
        while (next < t->rows && isnan(time[next])) {
            next++;
        }
        if (next - i > BAD_RUN_MAX || i == 0 || next == t->rows) {
            return bp_import_fail(im, BP_ERR_NUMBER, bp_import_row_line(t, i),
                                  (size_t)t->layout.column[BP_ROLE_TIME] + 1,
                                  "the time cannot be read, and not mended from its neighbours");
        }
        double before = time[i - 1], step = (time[next] - before) / (double)(next - i + 1);
        for (size_t k = 0; i < next; i++) {
            time[i] = before + step * (double)(++k);
        }
    }
    return BP_OK;
}

/* The usual distance of rows: the median of the steps, or, where most rows repeat the time before, the mean.
 */
static double usual_step(struct bp_importer *im, const double *time, size_t rows)
{
    size_t count = rows - 1 < STEPS_MAX ? rows - 1 : STEPS_MAX, steps = 0;
    double *scratch = bp_arena_doubles(&im->scratch, count);
    if (scratch == NULL) {
        return -1.0;
    }
    for (size_t i = 0; i < count; i++) {
        double step = fabs(time[i + 1] - time[i]);
        if (step > 0.0) {
            scratch[steps++] = step;
        }
    }
    if (steps == 0) {
        return 0.0;
    }
    if (steps * 2 < count) {
        return fabs(time[count] - time[0]) / (double)count;
    }
    return bp_import_median(scratch, steps);
}

static const struct bp_unit *unit_by_factor(double factor)
{
    const struct bp_unit *unit;
    for (size_t i = 0; (unit = bp_import_unit_at(BP_KIND_TIME, i)) != NULL; i++) {
        if (unit->factor == factor) {
            return unit;
        }
    }
    return NULL;
}

/* NULL, with the error set, when no unit fits. */
static const struct bp_unit *infer_unit(struct bp_importer *im, double first, double step)
{
    char number[BP_NUMBER_TEXT];
    double epoch = bp_import_epoch_factor(first);
    /* Nanoseconds since the phone was started half an hour ago look like a date, but not their steps. */
    bool dated = epoch > 0.0 && step * epoch <= STATED_STEP_MOST_S;
    const struct bp_unit *unit = dated ? unit_by_factor(epoch) : NULL, *trial;
    for (size_t i = 0; unit == NULL && (trial = bp_import_unit_at(BP_KIND_TIME, i)) != NULL; i++) {
        double rate = 1.0 / (step * trial->factor);
        if (rate >= BP_RATE_LEAST_HZ && rate <= BP_RATE_MOST_HZ) {
            unit = trial;
        }
    }
    if (unit == NULL) {
        bp_import_fail(im, BP_ERR_TIME, 0, 0,
                       "the time column's steps (usually %s) fit no unit at 5 to 2000 samples a second: "
                       "give it with --units t=…",
                       bp_import_number(step, number));
        return NULL;
    }
    bp_findings_add(im->findings, "units-inferred", BP_NOTE, (double)NAN,
                    "the unit of time is not stated; the steps say %s", unit->name);
    return unit;
}

static enum bp_code check_step(struct bp_importer *im, double step_s)
{
    char number[BP_NUMBER_TEXT];
    if (step_s > STATED_STEP_MOST_S || step_s < STATED_STEP_LEAST_S) {
        return bp_import_fail(
            im, BP_ERR_TIME, 0, 0,
            "the usual step of time is %s s, which no log of a lift has: is the unit right, "
            "or was the file rewritten by a spreadsheet?",
            bp_import_number(step_s, number));
    }
    return BP_OK;
}

static enum bp_code settle_unit(struct bp_importer *im, struct bp_table *t, const double *time,
                                struct bp_times *times)
{
    double factor = 1.0, step = usual_step(im, time, t->rows);
    if (step < 0.0) {
        return bp_import_no_memory(im);
    }
    if (step == 0.0) {
        return bp_import_fail(im, BP_ERR_TIME, 0, 0, "every row has the same time");
    }
    if (!t->layout.time_stamp) {
        times->unit = t->layout.time_unit;
        if (times->unit == NULL) {
            times->unit = infer_unit(im, time[0], step);
        }
        if (times->unit == NULL) {
            return BP_ERR_TIME;
        }
        factor = times->unit->factor;
        if (t->layout.epoch == t->layout.column[BP_ROLE_TIME] && factor != bp_import_epoch_factor(time[0])) {
            t->epoch_first_s = (double)NAN; /* it looked like a date in another unit */
        }
    }
    times->step_s = step * factor;
    return check_step(im, times->step_s);
}

/* Seconds that start again at each minute, parts of a second at each second, times of day past midnight. */
static void unroll(struct bp_importer *im, double *time, size_t rows, double period)
{
    size_t wraps = 0, back = 0;
    for (size_t i = 0; i < rows; i++) {
        if (time[i] < 0.0 || time[i] >= period) {
            return;
        }
        if (i > 0 && time[i] < time[i - 1]) {
            back++;
            wraps += time[i - 1] - time[i] > 0.9 * period;
        }
    }
    if (wraps == 0 || wraps != back) {
        return;
    }
    double offset = 0.0, before = time[0];
    for (size_t i = 1; i < rows; i++) {
        double now = time[i];
        offset += now < before ? period : 0.0;
        before = now;
        time[i] = now + offset;
    }
    bp_findings_add(im->findings, "time-wrapped", BP_NOTE, (double)NAN,
                    "the clock wraps round in the log (%zu); it was unrolled", wraps);
}

static void place_bad_cells(struct bp_table *t, const double *time)
{
    for (size_t i = 0; i < t->bad_count && i < BP_BAD_CELLS_KEPT; i++) {
        if (t->bad[i].row < t->rows) {
            t->bad[i].at_s = time[t->bad[i].row];
        }
    }
}

/* Seconds from the earliest row on. Rows out of order stay so: in a log whose sensors have rows of their own,
 * one sensor may be written late throughout, and each is sorted by itself. */
static void finish(struct bp_importer *im, struct bp_table *t, double *time, struct bp_times *times)
{
    double factor = times->unit != NULL ? times->unit->factor : 1.0, *columns[BP_ROLE_COUNT];
    size_t width = 0;
    unroll(im, time, t->rows, t->layout.time_stamp ? DAY_S : factor == 1.0 ? MINUTE_S : 1.0 / factor);
    double zero = time[0];
    for (size_t i = 1; i < t->rows; i++) {
        zero = time[i] < zero ? time[i] : zero;
    }
    for (size_t i = 0; i < t->rows; i++) {
        time[i] = (time[i] - zero) * factor;
    }
    times->zero = zero * factor;
    place_bad_cells(t, time);
    /* The date stands in the first row of the file, which need not be the earliest. */
    t->epoch_first_s -= time[0];
    for (int r = BP_ROLE_FORCE; r < BP_ROLE_COUNT; r++) {
        if (t->column[r] != NULL) {
            columns[width++] = t->column[r];
        }
    }
    t->ordered = bp_import_turn_round(im, time, columns, width, t->rows);
}

/* A row without a step stays without a time, and is mended as such. */
static void sum_steps(double *time, size_t rows)
{
    double sum = 0.0;
    time[0] = 0.0;
    for (size_t i = 1; i < rows; i++) {
        sum += isfinite(time[i]) ? time[i] : 0.0;
        time[i] = isfinite(time[i]) ? sum : time[i];
    }
}

enum bp_code bp_import_settle_time(struct bp_importer *im, struct bp_table *table, struct bp_times *times)
{
    double *time = table->column[BP_ROLE_TIME];
    *times = (struct bp_times){NULL, (double)NAN, 0.0};
    if (table->rows < 2) {
        return bp_import_fail(im, BP_ERR_EMPTY, 0, 0,
                              table->rows == 0 ? "there is no row of numbers" : "there is only one sample");
    }
    if (time == NULL) {
        if (!(table->layout.rate_hz > 0.0) && table->layout.rows_counted) {
            return bp_import_fail(im, BP_ERR_COLUMNS, table->dialect.data_line, 0,
                                  "the time column goes up by 1 a row and no unit is stated: say what 1 is "
                                  "with --units t=ms, say, or give --rate");
        }
        if (!(table->layout.rate_hz > 0.0) && table->layout.unread_time >= 0) {
            return bp_import_fail(im, BP_ERR_COLUMNS, table->dialect.data_line,
                                  (size_t)table->layout.unread_time + 1,
                                  "the column is headed as a time, but what stands in it is neither a number "
                                  "nor a time of day in a form that is known: name another with --columns "
                                  "t=…, or give --rate");
        }
        if (!(table->layout.rate_hz > 0.0)) {
            return bp_import_fail(
                im, BP_ERR_COLUMNS, 0, 0,
                "no time column was recognised: name it with --columns t=…, or give --rate");
        }
        time = bp_arena_doubles(im->arena, table->rows);
        if (time == NULL) {
            return bp_import_no_memory(im);
        }
        table->column[BP_ROLE_TIME] = time;
        fill_from_rate(im, table, time);
        place_bad_cells(table, time);
        table->ordered = true;
        times->step_s = 1.0 / table->layout.rate_hz;
        return BP_OK;
    }
    if (table->layout.time_steps) {
        sum_steps(time, table->rows);
    }
    enum bp_code code = mend_times(im, table, time);
    if (code == BP_OK) {
        code = settle_unit(im, table, time, times);
    }
    if (code == BP_OK) {
        finish(im, table, time, times);
    }
    return code;
}
