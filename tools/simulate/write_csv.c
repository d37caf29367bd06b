/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write.h"

#include "attitude.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdint.h>

const struct sim_layout sim_layout_defaults = {
    .time_unit = SIM_TIME_S,
    .gravity = SIM_GRAVITY_IN,
    .separator = ',',
    .point = '.',
    .header = true,
    .decimals = 6,
};

static const char *const axis_names[3] = {"x", "y", "z"};

static void put_number(struct bp_text *text, const struct sim_layout *layout, double value, int decimals)
{
    char digits[40];
    size_t length = bp_number_write(value, decimals, digits, sizeof digits);
    for (size_t i = 0; i < length; i++) {
        bp_text_put_char(text, digits[i] == '.' ? layout->point : digits[i]);
    }
}

static void put_time(struct bp_text *text, const struct sim_layout *layout, double time_s)
{
    /* Whole nanoseconds, split, because seconds since 1970 with nine decimals do not fit a double. */
    static const struct {
        int64_t ns;
        int decimals;
    } units[SIM_TIME_UNIT_COUNT] = {{1000000000, 9}, {1000000, 6}, {1000, 3}, {1, 0}};
    int64_t per_unit = units[layout->time_unit].ns;
    int64_t whole_s = (int64_t)floor(layout->start_epoch_s);
    int64_t ns = llround((time_s + (layout->start_epoch_s - (double)whole_s)) * 1e9);
    int64_t units_whole = whole_s * (1000000000 / per_unit) + ns / per_unit, rest = ns % per_unit;
    bp_text_put_count(text, (size_t)units_whole);
    if (units[layout->time_unit].decimals == 0) {
        return;
    }
    bp_text_put_char(text, layout->point);
    for (int64_t place = per_unit / 10; place > 0; place /= 10) {
        bp_text_put_char(text, (char)('0' + rest / place % 10));
    }
}

static void put_header(struct bp_text *text, const struct sim_layout *layout, const char *quantity,
                       const char *unit)
{
    for (int i = 0; i < 3; i++) {
        bp_text_put_char(text, layout->separator);
        bp_text_put(text, quantity);
        bp_text_put_char(text, ' ');
        bp_text_put(text, axis_names[i]);
        bp_text_put(text, " (");
        bp_text_put(text, unit);
        bp_text_put_char(text, ')');
    }
}

static void put_time_header(struct bp_text *text, const struct sim_layout *layout)
{
    static const char *const names[SIM_TIME_UNIT_COUNT] = {"time (s)", "time (ms)", "time (us)", "time (ns)"};
    bp_text_put(text, names[layout->time_unit]);
}

static const char *turn_unit(const struct sim_layout *layout)
{
    return layout->degrees ? "deg/s" : "rad/s";
}

static bool turns_beside(const struct sim_log *log)
{
    return log->gyroscope && !log->turn_time_s;
}

static void put_attitude_header(struct bp_text *text, const struct sim_layout *layout)
{
    static const char *const angles[] = {"roll", "pitch", "yaw"}, *const parts[] = {"qw", "qx", "qy", "qz"};
    bool angular = layout->attitude == SIM_ATTITUDE_ANGLES;
    for (int i = 0; i < (angular ? 3 : 4); i++) {
        bp_text_put_char(text, layout->separator);
        bp_text_put(text, angular ? angles[i] : parts[i]);
        if (angular) {
            bp_text_put(text, layout->degrees ? " (deg)" : " (rad)");
        }
    }
}

static bool gravity_apart(const struct sim_layout *layout)
{
    return layout->gravity == SIM_GRAVITY_APART || layout->gravity == SIM_GRAVITY_AGAINST;
}

static void put_row_header(struct bp_text *text, const struct sim_log *log, const struct sim_layout *layout)
{
    const char *unit = layout->in_g ? "g" : "m/s^2";
    put_time_header(text, layout);
    put_header(text, layout, layout->gravity == SIM_GRAVITY_IN ? "acceleration" : "linear acceleration",
               unit);
    if (gravity_apart(layout)) {
        put_header(text, layout, "gravity", unit);
    }
    if (turns_beside(log)) {
        put_header(text, layout, "gyroscope", turn_unit(layout));
    }
    if (log->attitude[0]) {
        put_attitude_header(text, layout);
    }
    bp_text_put_char(text, '\n');
}

static void put_cell(struct bp_text *text, const struct sim_layout *layout, double value)
{
    bp_text_put_char(text, layout->separator);
    put_number(text, layout, value, layout->decimals);
}

static void put_turn(struct bp_text *text, const struct sim_log *log, const struct sim_layout *layout,
                     size_t i)
{
    double factor = layout->degrees ? 1.0 / BP_DEGREE : 1.0;
    for (int k = 0; k < 3; k++) {
        put_cell(text, layout, factor * log->turn[k][i]);
    }
}

/* Roll, pitch and yaw of Rz(yaw) Ry(pitch) Rx(roll). */
static void angles_of(const double q[4], double angle[3])
{
    double sine = 2 * (q[0] * q[2] - q[1] * q[3]);
    angle[0] = atan2(2 * (q[0] * q[1] + q[2] * q[3]), 1 - 2 * (q[1] * q[1] + q[2] * q[2]));
    angle[1] = asin(fmax(-1, fmin(1, sine)));
    angle[2] = atan2(2 * (q[0] * q[3] + q[1] * q[2]), 1 - 2 * (q[2] * q[2] + q[3] * q[3]));
}

static void attitude_at(const struct sim_log *log, size_t i, double q[4])
{
    for (int k = 0; k < 4; k++) {
        q[k] = log->attitude[k][i];
    }
}

static void put_attitude(struct bp_text *text, const struct sim_log *log, const struct sim_layout *layout,
                         size_t i)
{
    double q[4], angle[3], factor = layout->degrees ? 1.0 / BP_DEGREE : 1.0;
    attitude_at(log, i, q);
    if (layout->attitude == SIM_ATTITUDE_ANGLES) {
        angles_of(q, angle);
        for (int k = 0; k < 3; k++) {
            put_cell(text, layout, factor * angle[k]);
        }
        return;
    }
    for (int k = 0; k < 4; k++) {
        put_cell(text, layout, layout->attitude == SIM_ATTITUDE_INVERSE && k > 0 ? -q[k] : q[k]);
    }
}

static void gravity_at(const struct sim_log *log, size_t i, double gravity[3])
{
    double q[4];
    for (int k = 0; k < 3; k++) {
        gravity[k] = log->gravity[k][i];
    }
    if (log->attitude[0]) {
        attitude_at(log, i, q);
        sim_filter_gravity(q, gravity);
    }
}

static void put_row(struct bp_text *text, const struct sim_log *log, const struct sim_layout *layout,
                    size_t i)
{
    double factor = (layout->minus ? -1.0 : 1.0) / (layout->in_g ? BP_STANDARD_GRAVITY : 1.0);
    bool without = layout->gravity != SIM_GRAVITY_IN;
    double gravity[3];
    gravity_at(log, i, gravity);
    put_time(text, layout, log->time_s[i]);
    for (int k = 0; k < 3; k++) {
        put_cell(text, layout, factor * (log->force[k][i] - (without ? gravity[k] : 0.0)));
    }
    for (int k = 0; k < 3 && gravity_apart(layout); k++) {
        put_cell(text, layout, (layout->gravity == SIM_GRAVITY_AGAINST ? -factor : factor) * gravity[k]);
    }
    if (turns_beside(log)) {
        put_turn(text, log, layout, i);
    }
    if (log->attitude[0]) {
        put_attitude(text, log, layout, i);
    }
    bp_text_put_char(text, '\n');
}

void sim_write_csv(const struct sim_log *log, const struct sim_layout *layout, struct bp_text *text)
{
    if (layout->header) {
        put_row_header(text, log, layout);
    }
    for (size_t i = 0; i < log->count; i++) {
        put_row(text, log, layout, i);
    }
}

void sim_write_turn_csv(const struct sim_log *log, const struct sim_layout *layout, struct bp_text *text)
{
    const double *time_s = log->turn_time_s ? log->turn_time_s : log->time_s;
    if (layout->header) {
        put_time_header(text, layout);
        put_header(text, layout, "gyroscope", turn_unit(layout));
        bp_text_put_char(text, '\n');
    }
    for (size_t i = 0; i < log->turn_count; i++) {
        put_time(text, layout, time_s[i]);
        put_turn(text, log, layout, i);
        bp_text_put_char(text, '\n');
    }
}
