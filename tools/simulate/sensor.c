/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sensor.h"

#include "attitude.h"
#include "plan.h"
#include "random.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdlib.h>

/* One sensor's instants: when each sample was taken, and what the log says. */
struct clock {
    size_t count;
    double *taken_s, *stamp_s;
};

/* What a sensor makes of the true value. */
struct errors {
    double gain[3][3]; /* 1 + scale on the diagonal, cross-axis beside it */
    double bias[3];
    double drift, sd, grid, limit;
};

static void clock_free(struct clock *clock)
{
    free(clock->taken_s);
    free(clock->stamp_s);
    *clock = (struct clock){0};
}

/* Jitter of sample and of stamp together stay under half a step, so that samples keep their order. */
static double jitter(struct bp_random *random, double sd, double step_s)
{
    const double most = 0.24;
    double drawn = sd * bp_random_normal(random);
    return fmax(-most * step_s, fmin(most * step_s, drawn));
}

/* Instants first_s, first_s + step, … to end_s, less the lost ones; the first is kept and has no jitter, so
 * that true time and log time share their zero. */
static bool clock_make(const struct sim_scenario *s, double rate_hz, double first_s, double end_s,
                       struct bp_random *random, struct clock *clock)
{
    double step = 1.0 / (rate_hz * (1.0 + 1e-6 * s->rate_ppm));
    size_t most = (size_t)floor((end_s - first_s) / step) + 1;
    *clock = (struct clock){0};
    clock->taken_s = malloc(most * sizeof(double));
    clock->stamp_s = malloc(most * sizeof(double));
    if (!clock->taken_s || !clock->stamp_s) {
        clock_free(clock);
        return false;
    }
    for (size_t i = 0; i < most; i++) {
        double taken = first_s + (double)i * step + (i ? jitter(random, s->jitter_s, step) : 0.0);
        double stamp = taken + (i ? jitter(random, s->stamp_jitter_s, step) : 0.0);
        bool lost = sim_random_chance(random, s->loss);
        bool hole = s->gap_s > 0.0 && taken >= s->gap_at_s && taken < s->gap_at_s + s->gap_s;
        if (i && (lost || hole)) {
            continue;
        }
        clock->taken_s[clock->count] = taken;
        clock->stamp_s[clock->count++] = stamp * (1.0 + 1e-6 * s->clock_ppm);
    }
    return true;
}

static double clip_and_round(const struct errors *errors, double value)
{
    if (errors->limit > 0.0) {
        value = fmax(-errors->limit, fmin(errors->limit, value));
    }
    return errors->grid > 0.0 ? errors->grid * round(value / errors->grid) : value;
}

static void read_sensor(const struct errors *errors, const double truth[3], double walk[3], double step_s,
                        struct bp_random *random, double reading[3])
{
    double gained[3];
    sim_rotate(errors->gain, truth, gained);
    for (int i = 0; i < 3; i++) {
        walk[i] += errors->drift * sqrt(step_s) * bp_random_normal(random);
        double noise = errors->sd * bp_random_normal(random);
        reading[i] = clip_and_round(errors, gained[i] + errors->bias[i] + walk[i] + noise);
    }
}

static void make_force_errors(const struct sim_scenario *s, struct bp_random *random, struct errors *errors)
{
    /* One-sided density over the bandwidth up to half the rate. */
    double density = 1e-6 * BP_STANDARD_GRAVITY * s->force_noise_ug;
    *errors = (struct errors){.drift = s->force_drift,
                              .sd = density * sqrt(0.5 * s->rate_hz),
                              .grid = s->force_grid_m_s2,
                              .limit = s->force_limit_m_s2};
    for (int i = 0; i < 3; i++) {
        errors->bias[i] = s->force_bias_m_s2[i];
        for (int k = 0; k < 3; k++) {
            errors->gain[i][k] = i == k ? 1.0 + s->force_scale[i] : s->force_cross * bp_random_normal(random);
        }
    }
}

/* Without cross-axis gains none are drawn: older scenarios keep their noise. */
static void make_turn_errors(const struct sim_scenario *s, double rate_hz, struct bp_random *random,
                             struct errors *errors)
{
    double density = 1e-3 * BP_DEGREE * s->turn_noise_mdps;
    *errors = (struct errors){.drift = s->turn_drift_deg_s * BP_DEGREE,
                              .sd = density * sqrt(0.5 * rate_hz),
                              .grid = s->turn_grid_deg_s * BP_DEGREE,
                              .limit = s->turn_limit_deg_s * BP_DEGREE};
    for (int i = 0; i < 3; i++) {
        errors->bias[i] = s->turn_bias_deg_s[i] * BP_DEGREE;
        for (int k = 0; k < 3 && s->turn_cross > 0.0; k++) {
            errors->gain[i][k] = s->turn_cross * bp_random_normal(random);
        }
        errors->gain[i][i] = 1.0 + s->turn_scale[i];
    }
}

static bool allocate_axes(double *axes[3], size_t count)
{
    for (int i = 0; i < 3; i++) {
        axes[i] = malloc((count ? count : 1) * sizeof(double));
    }
    return axes[0] && axes[1] && axes[2];
}

static double step_before(const struct clock *clock, size_t i)
{
    return i ? clock->taken_s[i] - clock->taken_s[i - 1] : 0.0;
}

/* One sensor at work: its errors, its random numbers, how far its bias has walked. */
struct sensor {
    struct errors errors;
    struct bp_random random;
    double walk[3];
};

static void read_into(struct sensor *sensor, const double truth[3], double step_s, double *const axes[3],
                      size_t i)
{
    double reading[3];
    read_sensor(&sensor->errors, truth, sensor->walk, step_s, &sensor->random, reading);
    for (int k = 0; k < 3; k++) {
        axes[k][i] = reading[k];
    }
}

static bool allocate_attitude(struct sim_log *log, size_t count)
{
    bool ok = true;
    for (int i = 0; i < 4; i++) {
        log->attitude[i] = malloc((count ? count : 1) * sizeof(double));
        ok = ok && log->attitude[i];
    }
    return ok;
}

static void tell_attitude(struct sim_filter *filter, const struct sim_motion *motion, double time_s,
                          struct sim_log *log, size_t i)
{
    double told[4];
    sim_filter_at(filter, motion, time_s, told);
    for (int k = 0; k < 4; k++) {
        log->attitude[k][i] = told[k];
    }
}

static struct sensor make_gyroscope(const struct sim_scenario *s, double rate_hz)
{
    struct sensor sensor = {.walk = {0.0}};
    bp_random_init(&sensor.random, s->seed, SIM_STREAM_TURN);
    make_turn_errors(s, rate_hz, &sensor.random, &sensor.errors);
    return sensor;
}

/* The accelerometer's rows, and with turn_too the gyroscope's at the same instants. */
static bool sample_rows(const struct sim_scenario *s, const struct sim_motion *motion,
                        const struct clock *clock, bool turn_too, struct sim_log *log)
{
    struct sensor force = {.walk = {0.0}}, turn = make_gyroscope(s, s->rate_hz);
    struct sim_filter filter;
    struct sim_state state;
    if (!allocate_axes(log->force, clock->count) || !allocate_axes(log->gravity, clock->count) ||
        (turn_too && !allocate_axes(log->turn, clock->count)) ||
        (s->attitude && !allocate_attitude(log, clock->count))) {
        return false;
    }
    sim_filter_start(s, &filter);
    bp_random_init(&force.random, s->seed, SIM_STREAM_FORCE);
    make_force_errors(s, &force.random, &force.errors);
    log->turn_count = turn_too ? clock->count : 0;
    for (size_t i = 0; i < clock->count; i++) {
        double step_s = step_before(clock, i);
        sim_motion_at(motion, clock->taken_s[i], &state);
        read_into(&force, state.force, step_s, log->force, i);
        for (int k = 0; k < 3; k++) {
            log->gravity[k][i] = state.gravity[k];
        }
        if (turn_too) {
            read_into(&turn, state.turn, step_s, log->turn, i);
        }
        if (s->attitude) {
            tell_attitude(&filter, motion, clock->taken_s[i], log, i);
        }
    }
    return true;
}

static bool sample_turn(const struct sim_scenario *s, const struct sim_motion *motion,
                        const struct clock *clock, struct sim_log *log)
{
    struct sensor turn = make_gyroscope(s, s->turn_rate_hz);
    struct sim_state state;
    if (!allocate_axes(log->turn, clock->count)) {
        return false;
    }
    log->turn_count = clock->count;
    for (size_t i = 0; i < clock->count; i++) {
        sim_motion_at(motion, clock->taken_s[i], &state);
        read_into(&turn, state.turn, step_before(clock, i), log->turn, i);
    }
    return true;
}

/* A gyroscope on its own clock starts a little later and stamps its own times. */
static bool sample_own_turn(const struct sim_scenario *s, const struct sim_motion *motion,
                            struct bp_random *random, struct sim_log *log)
{
    struct clock clock;
    double first = 0.37 / s->turn_rate_hz;
    if (!clock_make(s, s->turn_rate_hz, first, motion->end_s, random, &clock)) {
        return false;
    }
    bool sampled = sample_turn(s, motion, &clock, log);
    log->turn_time_s = clock.stamp_s;
    clock.stamp_s = NULL;
    clock_free(&clock);
    return sampled;
}

enum sim_code sim_sensor_sample(const struct sim_scenario *scenario, const struct sim_motion *motion,
                                struct sim_log *log)
{
    struct bp_random random;
    struct clock clock;
    *log = (struct sim_log){.gyroscope = scenario->gyroscope, .nominal_rate_hz = scenario->rate_hz};
    bp_random_init(&random, scenario->seed, SIM_STREAM_CLOCK);
    if (!clock_make(scenario, scenario->rate_hz, 0.0, motion->end_s, &random, &clock)) {
        return SIM_MEMORY;
    }
    bool own_clock = scenario->gyroscope && scenario->turn_rate_hz > 0.0;
    bool sampled = sample_rows(scenario, motion, &clock, scenario->gyroscope && !own_clock, log);
    if (sampled && own_clock) {
        sampled = sample_own_turn(scenario, motion, &random, log);
    }
    log->count = clock.count;
    log->time_s = clock.stamp_s;
    clock.stamp_s = NULL;
    clock_free(&clock);
    if (sampled) {
        return SIM_OK;
    }
    sim_log_free(log);
    return SIM_MEMORY;
}

void sim_log_free(struct sim_log *log)
{
    for (int i = 0; i < 3; i++) {
        free(log->force[i]);
        free(log->gravity[i]);
        free(log->turn[i]);
    }
    for (int i = 0; i < 4; i++) {
        free(log->attitude[i]);
    }
    free(log->time_s);
    free(log->turn_time_s);
    *log = (struct sim_log){0};
}
