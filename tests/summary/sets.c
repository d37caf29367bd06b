/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "summary/sets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int set_up(void **state)
{
    struct set *set = calloc(1, sizeof *set);
    if (!set) {
        return 1;
    }
    bp_arena_init(&set->arena);
    *state = set;
    return 0;
}

int set_down(void **state)
{
    struct set *set = *state;
    bp_arena_free(&set->arena);
    free(set);
    return 0;
}

static double *copy(struct set *set, const double *values, size_t count)
{
    double *out = bp_arena_doubles(&set->arena, count);
    assert_non_null(out);
    memcpy(out, values, count * sizeof *out);
    return out;
}

void set_simulate(struct set *set, const struct sim_scenario *scenario)
{
    struct sim_log log;
    assert_null(sim_scenario_fault(scenario));
    assert_int_equal(sim_run(scenario, &log, &set->truth), SIM_OK);
    assert_null(log.turn_time_s); /* these tests log both sensors at the same instants */
    memset(&set->trace, 0, sizeof set->trace);
    set->trace.count = log.count;
    set->trace.gyroscope = log.gyroscope;
    set->trace.recognised.rows = log.count;
    set->trace.force_limit = set->trace.turn_limit = set->trace.start_epoch_s =
        set->trace.recognised.declared_rate_hz = (double)NAN;
    set->trace.time_s = copy(set, log.time_s, log.count);
    set->trace.marks = bp_arena_zero(&set->arena, log.count, 1);
    assert_non_null(set->trace.marks);
    for (int a = 0; a < 3; a++) {
        set->trace.force[a] = copy(set, log.force[a], log.count);
        set->trace.turn[a] = log.gyroscope ? copy(set, log.turn[a], log.count) : NULL;
    }
    sim_log_free(&log);
    set->settings = bp_analyse_defaults;
    set->settings.lift = scenario->lift;
    set->settings.lift_given = true;
    set->settings.path = "set.csv";
}

enum bp_code set_analyse(struct set *set)
{
    return bp_analyse_trace(&set->trace, &set->settings, &set->arena, &set->summary, &set->error);
}

bool set_found(const struct set *set, const char *code)
{
    for (size_t f = 0; f < set->summary.findings.count; f++) {
        if (strcmp(set->summary.findings.list[f].code, code) == 0) {
            return true;
        }
    }
    return false;
}
