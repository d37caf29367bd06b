/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Analyse: trace → summary, the whole way in one call. What `barplumb set` does with each log.
 */
#ifndef BARPLUMB_ANALYSE_H
#define BARPLUMB_ANALYSE_H

#include "barplumb/check.h"
#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/import.h"
#include "barplumb/lift.h"
#include "barplumb/rig.h"
#include "barplumb/summary.h"

#include <stdbool.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Which of the phone's axes lies along the bar: 0 x, 1 y, 2 z, or found from the log. */
enum { BP_AXIS_AUTO = -1 };

struct bp_analyse_settings {
    const char *path;      /* the log's name in the summary and in errors; NULL: "" */
    enum bp_lift lift;     /* what the reps look like */
    bool lift_given;       /* false: nobody named the lift; lift is then the default and a finding says so */
    const char *setup;     /* how the bar was loaded, free text of up to 63 bytes; NULL or "": not given */
    double edge_speed_m_s; /* where a drive begins and ends, 0.005 to 0.2 m/s */
    int along_axis;        /* BP_AXIS_AUTO, 0, 1 or 2 */
    uint64_t seed;         /* of the posterior draws behind every interval; the same seed, the same bytes */
    const struct bp_rig
        *rig;         /* what the bar is loaded with; NULL: not known, nor any load, force and power */
    bool keep_traces; /* fill summary->traces: the set over time, for a page */
    struct bp_import_settings import; /* for the caller's bp_import_log; bp_analyse_trace reads none of it */
    struct bp_check_settings check;
};
extern BP_API const struct bp_analyse_settings
    bp_analyse_defaults; /* bench not given, 0.04 m/s, auto, seed 1 */

/* Measures the set in trace. summary's arrays live in arena. settings NULL: the defaults.
 * A part of a longer log (split.h) is measured like any trace; its summary's times are log time.
 * Errors: ARGUMENT (a setting out of range), EMPTY, RATE, TIME, MOTION (the log is not fit; the text says
 * why), NO_REP, MEMORY, each with settings->path as its place; summary is then all zero and unknown. Never
 * a figure from a log that is not fit. Thread-safe for different arenas. */
BP_API enum bp_code bp_analyse_trace(const struct bp_trace *trace, const struct bp_analyse_settings *settings,
                                     struct bp_arena *arena, struct bp_summary *summary,
                                     struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
