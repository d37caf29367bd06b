/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Mutations of readings.
 */
#include "bench/mutate.h"

#include "barplumb/units.h"

#include <math.h>

enum { ALL = -1 };

/* Scales, then shifts, an axis of the accelerometer (0 to 2; ALL) from row `first` on. */
static void change_force(struct mutant *m, int axis, size_t first, double factor, double by)
{
    for (size_t i = first; i < m->count; i++) {
        for (int a = 0; a < 3; a++) {
            if (axis == ALL || axis == a) {
                m->rows[i].v[a] = m->rows[i].v[a] * factor + by;
            }
        }
    }
}

static void change_turn(struct mutant *m, size_t first, double factor)
{
    for (size_t i = first; i < m->count; i++) {
        for (int a = 3; a < 6; a++) {
            m->rows[i].v[a] *= factor;
        }
    }
}

static double factor_off_one(struct mutant *m)
{
    double factor = mutate_ratio(m, 1.03, 2.0);
    return mutate_between(m, 0, 1) < 0.5 ? factor : 1 / factor;
}

static double either_sign(struct mutant *m, double low, double high)
{
    return mutate_ratio(m, low, high) * (mutate_between(m, 0, 1) < 0.5 ? 1 : -1);
}

static int any_axis(struct mutant *m)
{
    return mutate_count(m, 0, 2);
}

static void scaled(struct mutant *m)
{
    double factor = factor_off_one(m);
    change_force(m, ALL, 0, factor, 0);
    mutate_say(m, "accelerations times %.3f", factor);
}

static void scaled_half(struct mutant *m)
{
    double factor = factor_off_one(m), at = mutate_time(m);
    change_force(m, ALL, mutate_row(m, at), factor, 0);
    mutate_say(m, "accelerations times %.3f from %.2f s on", factor, at);
}

static void axis_scaled(struct mutant *m)
{
    double factor = factor_off_one(m);
    int axis = any_axis(m);
    change_force(m, axis, 0, factor, 0);
    mutate_say(m, "acceleration of axis %d times %.3f", axis, factor);
}

static void shifted(struct mutant *m)
{
    double by = either_sign(m, 0.2, 5);
    int axis = any_axis(m);
    change_force(m, axis, 0, 1, by);
    mutate_say(m, "%+.2f m/s2 on axis %d throughout", by, axis);
}

static void shifted_half(struct mutant *m)
{
    double by = either_sign(m, 0.2, 5), at = mutate_time(m);
    int axis = any_axis(m);
    change_force(m, axis, mutate_row(m, at), 1, by);
    mutate_say(m, "%+.2f m/s2 on axis %d from %.2f s on", by, axis, at);
}

/* The axis that gravity lies along, as nearly as one does. */
static int upright_axis(const struct mutant *m)
{
    int axis = 0;
    for (int a = 1; a < 3; a++) {
        axis = fabs(m->rows[0].gravity[a]) > fabs(m->rows[0].gravity[axis]) ? a : axis;
    }
    return axis;
}

static void clipped(struct mutant *m)
{
    int axis = upright_axis(m);
    double limit = fabs(m->rows[0].v[axis]) + mutate_ratio(m, 0.3, 4.0);
    for (size_t i = 0; i < m->count; i++) {
        for (int a = 0; a < 3; a++) {
            m->rows[i].v[a] = fmax(-limit, fmin(limit, m->rows[i].v[a]));
        }
    }
    mutate_say(m, "accelerations clipped at %.2f m/s2", limit);
}

static void freeze(struct mutant *m, int from, int to, double at, double length)
{
    size_t first = mutate_row(m, at), end = mutate_row(m, at + length);
    for (size_t i = first + 1; i < end; i++) {
        for (int c = from; c <= to; c++) {
            m->rows[i].v[c] = m->rows[first].v[c];
        }
    }
}

static void frozen(struct mutant *m)
{
    double at = mutate_time(m), length = mutate_ratio(m, 0.05, 2);
    freeze(m, 0, 5, at, length);
    mutate_say(m, "every reading frozen for %.2f s at %.2f s", length, at);
}

static void frozen_axis(struct mutant *m)
{
    double at = mutate_time(m), length = mutate_ratio(m, 0.05, 3);
    int axis = any_axis(m);
    freeze(m, axis, axis, at, length);
    mutate_say(m, "acceleration of axis %d frozen for %.2f s at %.2f s", axis, length, at);
}

static void frozen_turn(struct mutant *m)
{
    double at = mutate_time(m), length = mutate_ratio(m, 0.1, 4);
    freeze(m, 3, 5, at, length);
    mutate_say(m, "gyroscope frozen for %.2f s at %.2f s", length, at);
}

static void unit_half(struct mutant *m)
{
    static const double factors[] = {1 / BP_STANDARD_GRAVITY, BP_STANDARD_GRAVITY,
                                     1000 / BP_STANDARD_GRAVITY};
    double factor = factors[mutate_count(m, 0, 2)], at = mutate_time(m);
    change_force(m, ALL, mutate_row(m, at), factor, 0);
    mutate_say(m, "accelerations in another unit (times %.4g) from %.2f s on", factor, at);
}

static void turn_unit(struct mutant *m)
{
    double factor = mutate_between(m, 0, 1) < 0.5 ? BP_DEGREE : 1 / BP_DEGREE;
    change_turn(m, 0, factor);
    mutate_say(m, "gyroscope in the wrong unit (times %.4g)", factor);
}

static void turn_unit_half(struct mutant *m)
{
    double factor = mutate_between(m, 0, 1) < 0.5 ? BP_DEGREE : 1 / BP_DEGREE, at = mutate_time(m);
    change_turn(m, mutate_row(m, at), factor);
    mutate_say(m, "gyroscope in another unit (times %.4g) from %.2f s on", factor, at);
}

static void swap_columns(struct mutant *m, int a, int b, size_t first)
{
    for (size_t i = first; i < m->count; i++) {
        double held = m->rows[i].v[a];
        m->rows[i].v[a] = m->rows[i].v[b];
        m->rows[i].v[b] = held;
    }
}

static void axes_swapped(struct mutant *m)
{
    int a = any_axis(m), b = (a + mutate_count(m, 1, 2)) % 3;
    swap_columns(m, a, b, 0);
    mutate_say(m, "accelerations of axes %d and %d exchanged", a, b);
}

static void axes_swapped_half(struct mutant *m)
{
    int a = any_axis(m), b = (a + mutate_count(m, 1, 2)) % 3;
    double at = mutate_time(m);
    swap_columns(m, a, b, mutate_row(m, at));
    mutate_say(m, "accelerations of axes %d and %d exchanged from %.2f s on", a, b, at);
}

static void columns_exchanged(struct mutant *m)
{
    int a = any_axis(m), b = 3 + any_axis(m);
    swap_columns(m, a, b, 0);
    mutate_say(m, "acceleration %d exchanged with rate of turn %d", a, b - 3);
}

static void turn_axes_swapped(struct mutant *m)
{
    int a = any_axis(m), b = (a + mutate_count(m, 1, 2)) % 3;
    swap_columns(m, 3 + a, 3 + b, 0);
    mutate_say(m, "rates of turn of axes %d and %d exchanged", a, b);
}

static void sign_axis(struct mutant *m)
{
    int axis = any_axis(m);
    change_force(m, axis, 0, -1, 0);
    mutate_say(m, "sign of acceleration %d flipped", axis);
}

static void sign_axis_half(struct mutant *m)
{
    int axis = any_axis(m);
    double at = mutate_time(m);
    change_force(m, axis, mutate_row(m, at), -1, 0);
    mutate_say(m, "sign of acceleration %d flipped from %.2f s on", axis, at);
}

static void sign_all(struct mutant *m)
{
    change_force(m, ALL, 0, -1, 0);
    mutate_say(m, "sign of all accelerations flipped");
}

static void sign_all_half(struct mutant *m)
{
    double at = mutate_time(m);
    change_force(m, ALL, mutate_row(m, at), -1, 0);
    mutate_say(m, "sign of all accelerations flipped from %.2f s on", at);
}

static void turn_sign(struct mutant *m)
{
    change_turn(m, 0, -1);
    mutate_say(m, "gyroscope of the other hand: every sign flipped");
}

static void turn_delayed(struct mutant *m)
{
    double by = mutate_ratio(m, 0.02, 0.5);
    size_t rows = (size_t)lround(by * (double)(m->count - 1) / m->rows[m->count - 1].t);
    for (size_t i = m->count; i-- > 0;) {
        size_t from = i > rows ? i - rows : 0;
        for (int a = 3; a < 6; a++) {
            m->rows[i].v[a] = m->rows[from].v[a];
        }
    }
    mutate_say(m, "gyroscope late by %.3f s (%zu rows)", by, rows);
}

static void gravity_removed_half(struct mutant *m)
{
    double at = mutate_time(m);
    for (size_t i = mutate_row(m, at); i < m->count; i++) {
        for (int a = 0; a < 3; a++) {
            m->rows[i].v[a] -= m->rows[i].gravity[a];
        }
    }
    mutate_say(m, "gravity taken out from %.2f s on", at);
}

static void wild_value(struct mutant *m)
{
    int c = mutate_count(m, 0, m->gyroscope ? 5 : 2);
    double value = either_sign(m, 20, 1e6), at = mutate_time(m);
    m->rows[mutate_row(m, at)].v[c] = value;
    mutate_say(m, "one reading of column %d is %.5g at %.2f s", c, value, at);
}

static void wild_time(struct mutant *m)
{
    double by = either_sign(m, 0.02, 1e4);
    size_t i = mutate_row(m, mutate_time(m));
    mutate_say(m, "the time %.2f s is written %.5g s off", m->rows[i].t, by);
    m->rows[i].t += by;
}

const struct mutation mutations_of_values[] = {
    {"accelerations scaled", false, scaled},
    {"accelerations scaled half-way", false, scaled_half},
    {"one axis scaled", false, axis_scaled},
    {"one axis shifted", false, shifted},
    {"one axis shifted half-way", false, shifted_half},
    {"accelerations clipped", false, clipped},
    {"all readings frozen a while", false, frozen},
    {"one axis frozen a while", false, frozen_axis},
    {"gyroscope frozen a while", true, frozen_turn},
    {"unit changed half-way", false, unit_half},
    {"gyroscope in the wrong unit", true, turn_unit},
    {"gyroscope unit changed half-way", true, turn_unit_half},
    {"axes exchanged", false, axes_swapped},
    {"axes exchanged half-way", false, axes_swapped_half},
    {"acceleration and gyroscope exchanged", true, columns_exchanged},
    {"gyroscope axes exchanged", true, turn_axes_swapped},
    {"sign of one axis flipped", false, sign_axis},
    {"sign of one axis flipped half-way", false, sign_axis_half},
    {"every sign flipped", false, sign_all},
    {"every sign flipped half-way", false, sign_all_half},
    {"gyroscope signs flipped", true, turn_sign},
    {"gyroscope late", true, turn_delayed},
    {"gravity taken out half-way", false, gravity_removed_half},
    {"one wild reading", false, wild_value},
    {"one wild time", false, wild_time},
};
const size_t mutations_of_values_count = sizeof mutations_of_values / sizeof *mutations_of_values;
