/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Logs and truths as text and files. Used by the program and by tests.
 */
#ifndef SIMULATE_WRITE_H
#define SIMULATE_WRITE_H

#include "simulate.h"

#include "barplumb/text.h"

enum sim_time_unit { SIM_TIME_S, SIM_TIME_MS, SIM_TIME_US, SIM_TIME_NS, SIM_TIME_UNIT_COUNT };
enum sim_gravity_columns {
    SIM_GRAVITY_IN,      /* acceleration with gravity in it */
    SIM_GRAVITY_REMOVED, /* without, and no gravity column */
    SIM_GRAVITY_APART,   /* without, gravity in columns of its own */
    SIM_GRAVITY_AGAINST, /* the same, gravity with the other sign */
    SIM_GRAVITY_COUNT
};

enum sim_attitude_columns {
    SIM_ATTITUDE_QUATERNION, /* w x y z, phone to world */
    SIM_ATTITUDE_INVERSE,    /* the same turn the other way: world to phone */
    SIM_ATTITUDE_ANGLES,     /* roll, pitch and yaw about x, y and z, yaw outermost; in deg with `degrees` */
    SIM_ATTITUDE_COUNT
};

/* How a CSV log is laid out. Where the log has an attitude, gravity is what the phone's filter believes. */
struct sim_layout {
    enum sim_time_unit time_unit;
    double start_epoch_s; /* added to every time */
    bool in_g;            /* acceleration in g instead of m/s^2 */
    bool minus;           /* every acceleration with the opposite sign: -1 g upward at rest */
    enum sim_gravity_columns gravity;
    enum sim_attitude_columns attitude; /* where the log has one */
    bool degrees;                       /* rate of turn in deg/s instead of rad/s */
    char separator;                     /* ',' ';' or '\t' */
    char point;                         /* '.' or ',' */
    bool header;
    int decimals; /* of the readings, 0 to 9 */
};
extern const struct sim_layout sim_layout_defaults;

/* The accelerometer's rows; with a gyroscope at the same instants its columns too. Marks text failed when
 * memory is out. */
void sim_write_csv(const struct sim_log *log, const struct sim_layout *layout, struct bp_text *text);
/* The gyroscope's rows alone. */
void sim_write_turn_csv(const struct sim_log *log, const struct sim_layout *layout, struct bp_text *text);
/* The truth, schema "barplumb.truth/1", and every setting. */
void sim_write_truth(const struct sim_scenario *scenario, const struct sim_log *log,
                     const struct sim_truth *truth, struct bp_text *text);
/* The rig file a coach would write for it, its values off by rig.errors times what their ± say. Only for a
 * rig that has a bar. */
void sim_write_rig(const struct sim_scenario *scenario, struct bp_text *text);
/* A 32-bit float WAV in SI units, 3 or 6 channels; the clock's unevenness is lost. False when rate_hz is no
 * whole number, the gyroscope has its own rate, or the file cannot be written; it is then removed. */
bool sim_write_wav(const struct sim_log *log, const char *path);

#endif
