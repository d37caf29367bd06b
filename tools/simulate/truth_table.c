/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Edges of a stroke on the exact functions, and figures of one drive from a dense table of them.
 */
#include "drive.h"
#include "truth.h"

#include "barplumb/units.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fft_real.h>

#include <math.h>
#include <stdlib.h>

static const double scan_s = 0.001; /* no edge hides between two looks this close */

struct sim_jet sim_view_height(const struct sim_view *view, double time_s)
{
    return view->middle ? sim_path_at(&view->motion->height, time_s)
                        : sim_motion_point_height(view->motion, time_s);
}

/* A question with a yes or no at each time; the change is then narrowed down by halving. */
struct question {
    const struct sim_view *view;
    double sign;
    double height; /* past this height? */
    bool slow;     /* or, at or under the edge speed? */
};

static bool answer(const struct question *question, double time_s)
{
    struct sim_jet jet = sim_view_height(question->view, time_s);
    if (question->slow) {
        return question->sign * jet.rate <= SIM_EDGE_SPEED;
    }
    return question->sign * (jet.value - question->height) >= 0.0;
}

static double narrow(const struct question *question, double no_s, double yes_s)
{
    for (int i = 0; i < 50; i++) {
        double middle = 0.5 * (no_s + yes_s);
        if (answer(question, middle)) {
            yes_s = middle;
        } else {
            no_s = middle;
        }
    }
    return yes_s;
}

/* The time of the first yes from from_s towards to_s (which may lie earlier); false when there is none. */
static bool first_yes(const struct question *question, double from_s, double to_s, double *time_s)
{
    double step = to_s >= from_s ? scan_s : -scan_s;
    size_t steps = (size_t)ceil(fabs(to_s - from_s) / scan_s);
    double before = from_s;
    for (size_t i = 0; i <= steps; i++) {
        double time = i == steps ? to_s : from_s + (double)i * step;
        if (answer(question, time)) {
            *time_s = i ? narrow(question, before, time) : time;
            return true;
        }
        before = time;
    }
    return false;
}

bool sim_view_edges(const struct sim_view *view, double from_s, double to_s, double first_m, double last_m,
                    struct sim_edges *edges)
{
    double sign = last_m > first_m ? 1.0 : -1.0, tenth_s, nine_tenths_s;
    struct question tenth = {view, sign, first_m + 0.1 * (last_m - first_m), false};
    struct question nine_tenths = {view, sign, first_m + 0.9 * (last_m - first_m), false};
    struct question slow = {view, sign, 0.0, true};
    return first_yes(&tenth, from_s, to_s, &tenth_s) && first_yes(&slow, tenth_s, from_s, &edges->start_s) &&
           first_yes(&nine_tenths, tenth_s, to_s, &nine_tenths_s) &&
           first_yes(&slow, nine_tenths_s, to_s, &edges->end_s);
}

bool sim_table_make(const struct sim_view *view, double start_s, double end_s, double step_s,
                    struct sim_table *table)
{
    size_t steps = (size_t)fmax(ceil((end_s - start_s) / step_s), 1.0);
    *table = (struct sim_table){.count = steps + 1, .start_s = start_s};
    table->step_s = (end_s - start_s) / (double)steps;
    table->height = malloc(table->count * sizeof(double));
    table->speed = malloc(table->count * sizeof(double));
    table->accel = malloc(table->count * sizeof(double));
    if (!table->height || !table->speed || !table->accel) {
        sim_table_free(table);
        return false;
    }
    for (size_t i = 0; i < table->count; i++) {
        struct sim_jet jet = sim_view_height(view, sim_table_time(table, i));
        table->height[i] = jet.value;
        table->speed[i] = jet.rate;
        table->accel[i] = jet.accel;
    }
    return true;
}

void sim_table_free(struct sim_table *table)
{
    free(table->height);
    free(table->speed);
    free(table->accel);
    *table = (struct sim_table){0};
}

double sim_table_time(const struct sim_table *table, size_t i)
{
    return table->start_s + (double)i * table->step_s;
}

size_t sim_table_braking(const struct sim_table *table, double gravity, bool to_the_end)
{
    size_t peak = 0, last = table->count - 1;
    for (size_t i = 1; i < table->count; i++) {
        if (table->speed[i] > table->speed[peak]) {
            peak = i;
        }
    }
    size_t start = last;
    while (start > peak && table->accel[start] < -gravity) {
        start--;
    }
    if (to_the_end) {
        return start == last ? last : start + 1;
    }
    for (size_t i = peak; i < table->count; i++) {
        if (table->accel[i] < -gravity) {
            return i;
        }
    }
    return last;
}

double sim_table_speed_between(const struct sim_table *table, double low_m, double high_m)
{
    double time = 0.0;
    for (size_t i = 1; i < table->count; i++) {
        double a = fmin(table->height[i - 1], table->height[i]);
        double b = fmax(table->height[i - 1], table->height[i]);
        double inside = fmin(b, high_m) - fmax(a, low_m);
        if (b > a && inside > 0.0) {
            time += table->step_s * inside / (b - a);
        } else if (b <= a && a >= low_m && a < high_m) {
            time += table->step_s;
        }
    }
    return time > 0.0 ? (high_m - low_m) / time : (double)NAN;
}

struct sim_sticking sim_table_sticking(const struct sim_table *table, double bottom_m, double range_m)
{
    const double none = (double)NAN;
    struct sim_sticking found = {false, none, none, none, none, none, none};
    const double *v = table->speed;
    size_t peak = 0, low = 0;
    for (size_t i = 1; i < table->count; i++) {
        bool dipped = v[peak] - v[low] >= SIM_STICKING_DIP;
        if (dipped && v[i] - v[low] >= SIM_STICKING_DIP) {
            found.present = true;
            found.start_s = sim_table_time(table, peak);
            found.end_s = sim_table_time(table, low);
            found.start_pct = 100.0 * (table->height[peak] - bottom_m) / range_m;
            found.end_pct = 100.0 * (table->height[low] - bottom_m) / range_m;
            found.peak_before_m_s = v[peak];
            found.low_m_s = v[low];
            return found;
        }
        if (!dipped && v[i] >= v[peak]) {
            peak = low = i;
        } else if (v[i] < v[low]) {
            low = i;
        }
    }
    return found;
}

static double bin_size(const double *spectrum, size_t n, size_t k)
{
    if (k == 0 || k == n / 2) {
        return fabs(spectrum[k]);
    }
    return hypot(spectrum[k], spectrum[n - k]);
}

/* -Σ sqrt(Δf² + ΔM²) up to the last bin at or above the threshold, both axes scaled to 1. */
static double arc_length(const double *spectrum, size_t n, double rate_hz)
{
    const double cut_hz = 10.0, threshold = 0.05;
    size_t last = 0, most = (size_t)(cut_hz * (double)n / rate_hz);
    double largest = 0.0, sum = 0.0;
    for (size_t k = 0; k <= n / 2; k++) {
        largest = fmax(largest, bin_size(spectrum, n, k));
    }
    for (size_t k = 0; k <= most && k <= n / 2; k++) {
        if (bin_size(spectrum, n, k) >= threshold * largest) {
            last = k;
        }
    }
    for (size_t k = 1; k <= last; k++) {
        double rise = (bin_size(spectrum, n, k) - bin_size(spectrum, n, k - 1)) / largest;
        sum -= hypot(1.0 / (double)last, rise);
    }
    return sum;
}

bool sim_table_smoothness(const struct sim_table *table, double *smoothness)
{
    enum { PAD = 16 }; /* 2^4, as the paper's own code pads */
    size_t n = 1;
    while (n < table->count) {
        n *= 2;
    }
    n *= PAD;
    double *spectrum = calloc(n, sizeof *spectrum);
    if (!spectrum) {
        return false;
    }
    for (size_t i = 0; i < table->count; i++) {
        spectrum[i] = table->speed[i];
    }
    bool done = gsl_fft_real_radix2_transform(spectrum, 1, n) == GSL_SUCCESS;
    *smoothness = arc_length(spectrum, n, 1.0 / table->step_s);
    free(spectrum);
    return done;
}
