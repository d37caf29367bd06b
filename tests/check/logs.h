/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An invented log for the tests of src/check: the bar rests, moves, rests, with sensor noise; sound in every
 * way, for a test to spoil.
 */
#ifndef BARPLUMB_TESTS_LOGS_H
#define BARPLUMB_TESTS_LOGS_H

#include "barplumb/check.h"
#include "barplumb/units.h"
#include "shake/signals.h"

#include <stdbool.h>
#include <string.h>

enum { LOG_MOST = 6000 };

struct log {
    double time_s[LOG_MOST], force[3][LOG_MOST], turn[3][LOG_MOST];
    uint8_t marks[LOG_MOST];
    struct bp_trace trace;
    struct bp_arena arena;
    struct bp_check check;
    struct bp_error error;
};

static const double log_gravity = 9.81, log_force_noise = 0.012, log_turn_noise = 0.001; /* m/s^2, rad/s */
static const double log_rest_s = 4;                                                      /* at either end */

static inline void log_add_noise(double *x, size_t count, double sd, uint64_t seed)
{
    static double noise[LOG_MOST];
    signal_noise(noise, count, seed);
    for (size_t i = 0; i < count; i++) {
        x[i] += sd * noise[i];
    }
}

/* Fills log: up and down at 0.5 Hz and along the bar at 1.5 Hz between the rests, rolling to and fro with
 * gravity where it belongs at both ends. */
static inline void log_make(struct log *log, double rate_hz, double duration_s)
{
    memset(&log->trace, 0, sizeof log->trace);
    memset(log->marks, 0, sizeof log->marks);
    size_t count = (size_t)(rate_hz * duration_s) + 1;
    log->trace = (struct bp_trace){.count = count,
                                   .time_s = log->time_s,
                                   .force = {log->force[0], log->force[1], log->force[2]},
                                   .turn = {log->turn[0], log->turn[1], log->turn[2]},
                                   .marks = log->marks,
                                   .gyroscope = true,
                                   .start_epoch_s = (double)NAN,
                                   .force_limit = (double)NAN,
                                   .turn_limit = (double)NAN};
    log->trace.recognised.declared_rate_hz = (double)NAN;
    for (size_t i = 0; i < count; i++) {
        double t = (double)i / rate_hz;
        bool moves = t > log_rest_s && t < duration_s - log_rest_s;
        double since = moves ? t - log_rest_s : 0;
        log->time_s[i] = t;
        log->force[0][i] = 0.3 + (moves ? 1.5 * sin(2 * BP_PI * 1.5 * since) : 0);
        log->force[1][i] = -0.2 + (moves ? 0.8 * sin(2 * BP_PI * since) : 0);
        log->force[2][i] = sqrt(log_gravity * log_gravity - 0.3 * 0.3 - 0.2 * 0.2) +
                           (moves ? 2 * sin(2 * BP_PI * 0.5 * since) : 0);
        for (size_t axis = 0; axis < 3; axis++) {
            log->turn[axis][i] = moves && axis == 1 ? 0.3 * sin(2 * BP_PI * 0.5 * since) : 0;
        }
    }
    for (size_t axis = 0; axis < 3; axis++) {
        log_add_noise(log->force[axis], count, log_force_noise, 10 + axis);
        log_add_noise(log->turn[axis], count, log_turn_noise, 20 + axis);
    }
}

/* Checks log anew. */
static inline enum bp_code log_check(struct log *log)
{
    bp_arena_free(&log->arena);
    return bp_check_trace(&log->trace, NULL, &log->arena, &log->check, &log->error);
}

/* The first finding of that code, NULL if there is none. */
static inline const struct bp_finding *log_finding(const struct log *log, const char *code)
{
    for (size_t i = 0; i < log->check.findings.count; i++) {
        if (strcmp(log->check.findings.list[i].code, code) == 0) {
            return &log->check.findings.list[i];
        }
    }
    return NULL;
}

/* Its severity, -1 if there is none, and its text, "" if there is none. */
static inline int log_severity(const struct log *log, const char *code)
{
    const struct bp_finding *finding = log_finding(log, code);
    return finding == NULL ? -1 : (int)finding->severity;
}

static inline const char *log_text(const struct log *log, const char *code)
{
    const struct bp_finding *finding = log_finding(log, code);
    return finding == NULL ? "" : finding->text;
}

static inline size_t log_count_findings(const struct log *log, const char *code)
{
    size_t count = 0;
    for (size_t i = 0; i < log->check.findings.count; i++) {
        count += strcmp(log->check.findings.list[i].code, code) == 0;
    }
    return count;
}

/* For cmocka: a fresh 100 Hz log of 20 s as *state. */
static inline int log_setup(void **state)
{
    static struct log log;
    bp_arena_init(&log.arena);
    log_make(&log, 100, 20);
    *state = &log;
    return 0;
}

static inline int log_teardown(void **state)
{
    struct log *log = *state;
    bp_arena_free(&log->arena);
    return 0;
}

#define WITH_LOG(test) cmocka_unit_test_setup_teardown(test, log_setup, log_teardown)

#endif
