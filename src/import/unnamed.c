/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logs without a header: the numbers themselves say which columns are times; what follows is taken as the
 * acceleration's x, y, z and then the gyroscope's.
 */
#include "import/columns.h"

#include <math.h>

static double at(const struct bp_sample *s, size_t row, size_t c)
{
    return s->value[row * s->columns + c];
}

static bool leading_run(const struct bp_sample *s, size_t count)
{
    for (size_t c = 0; c < count; c++) {
        if (!bp_import_runs(s, c) && !s->stamp[c]) {
            return false;
        }
    }
    return true;
}

/* The column behind three others is their length, to the rounding of the text. */
static bool is_length(const struct bp_sample *s, size_t c)
{
    for (size_t r = 0; r < s->rows; r++) {
        double x = at(s, r, c - 3), y = at(s, r, c - 2), z = at(s, r, c - 1), length = at(s, r, c);
        if (isfinite(x + y + z + length) && fabs(sqrt(x * x + y * y + z * z) - length) > 0.02 * length) {
            return false;
        }
    }
    return true;
}

/* Or one code throughout, as that of a sensor's accuracy. */
static bool is_code(const struct bp_sample *s, size_t c)
{
    double first = at(s, 0, c);
    for (size_t r = 0; r < s->rows; r++) {
        double value = at(s, r, c);
        if (!isnan(value) && !(value == first && value == floor(value))) {
            return false;
        }
    }
    return true;
}

/* First row a start time, second row the rate, each repeated in every column, then samples alone. */
static bool rate_rows(const struct bp_sample *s, struct bp_layout *layout)
{
    if (s->columns != 3 || s->rows < 4) {
        return false;
    }
    double start = at(s, 0, 0), rate = at(s, 1, 0);
    for (size_t c = 1; c < 3; c++) {
        if (!(at(s, 0, c) == start) || !(at(s, 1, c) == rate)) {
            return false;
        }
    }
    double factor = bp_import_epoch_factor(start);
    if (factor <= 0.0 || rate < 1.0 || rate > 10000.0) {
        return false;
    }
    layout->rate_hz = rate;
    layout->start_epoch_s = start * factor;
    layout->skip_rows = 2;
    return true;
}

static void put_axes(struct bp_layout *layout, enum bp_role role, size_t first)
{
    for (int a = 0; a < 3; a++) {
        layout->column[(int)role + a] = (int)first + a;
    }
}

static bool choose(const struct bp_sample *sample, struct bp_layout *layout)
{
    enum { TIMES_MAX = 3 };
    size_t n = sample->columns;
    layout->unnamed = true;
    if (n == 3) {
        put_axes(layout, BP_ROLE_FORCE, 0);
        rate_rows(sample, layout);
        return true;
    }
    for (size_t times = 1; times <= TIMES_MAX && times + 3 <= n; times++) {
        size_t rest = n - times;
        bool more = rest == 4 && (is_length(sample, n - 1) || is_code(sample, n - 1));
        if ((rest == 3 || rest == 6 || more) && leading_run(sample, times)) {
            put_axes(layout, BP_ROLE_FORCE, times);
            if (rest == 6) {
                put_axes(layout, BP_ROLE_TURN, times + 3);
            }
            layout->column[BP_ROLE_TIME] = bp_import_choose_time(NULL, sample, times);
            return true;
        }
    }
    if (n == 6 && !leading_run(sample, 1)) {
        put_axes(layout, BP_ROLE_FORCE, 0);
        put_axes(layout, BP_ROLE_TURN, 3);
        return true;
    }
    return false;
}

/* The sample without one column. */
static void leave_out(struct bp_sample *s, size_t column)
{
    size_t n = s->columns, kept = 0;
    for (size_t i = 0; i < s->rows * n; i++) {
        if (i % n != column) {
            s->value[kept++] = s->value[i];
        }
    }
    for (size_t c = column; c + 1 < n; c++) {
        s->stamp[c] = s->stamp[c + 1];
        s->dated[c] = s->dated[c + 1];
        s->zoned[c] = s->zoned[c + 1];
    }
    s->columns--;
}

bool bp_import_choose_unnamed(struct bp_sample *sample, int selector, struct bp_layout *layout)
{
    if (selector < 0) {
        return choose(sample, layout);
    }
    leave_out(sample, (size_t)selector);
    bool told = choose(sample, layout);
    for (int r = 0; r < BP_ROLE_COUNT; r++) {
        layout->column[r] += layout->column[r] >= selector;
    }
    return told;
}
