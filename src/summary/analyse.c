/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The whole way from a trace to its summary.
 */
#include "barplumb/analyse.h"
#include "barplumb/ranges.h"
#include "barplumb/reps.h"
#include "summary/doubts.h"
#include "summary/draws.h"
#include "summary/findings.h"
#include "summary/measure.h"
#include "summary/part.h"
#include "summary/path.h"
#include "summary/sense.h"
#include "summary/sideways.h"
#include "summary/slip.h"
#include "summary/totals.h"
#include "summary/traces.h"

#include <math.h>
#include <string.h>

const struct bp_analyse_settings bp_analyse_defaults = {
    .path = "",
    .lift = BP_BENCH,
    .setup = "",
    .edge_speed_m_s = BP_EDGE_SPEED_M_S,
    .along_axis = BP_AXIS_AUTO,
    .seed = 1,
    .check = {.latitude_deg = (double)NAN, .height_m = 0},
};

static const double EDGE_LEAST = 0.005, EDGE_MOST = 0.2;

struct work {
    const struct bp_trace *trace;
    const struct bp_analyse_settings *settings;
    struct bp_arena *arena;
    struct bp_error *error;
    struct bp_check check;
    struct bp_trace own; /* as analysed: its clock even, without a gyroscope that the check found wrong */
    struct bp_motion motion;
    struct bp_track track;
    struct bp_reps reps;
    struct bp_doubts uncounted;
    struct bp_slip slip;
    struct bp_sideways sideways;
    struct bp_loads loads;
};

static enum bp_code check_settings(const struct bp_analyse_settings *settings, struct bp_error *error)
{
    if (!bp_lift_facts(settings->lift)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "no such lift");
    }
    if (!(settings->edge_speed_m_s >= EDGE_LEAST && settings->edge_speed_m_s <= EDGE_MOST)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the edge speed must lie between 0.005 and 0.2 m/s");
    }
    if (settings->along_axis < BP_AXIS_AUTO || settings->along_axis > 2) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "the axis along the bar is x, y, z or auto");
    }
    return BP_OK;
}

/* A log that is not fit gives no figure: its first refusal is the error. */
static enum bp_code refuse_unfit(struct work *w)
{
    enum bp_code code = bp_check_trace(w->trace, &w->settings->check, w->arena, &w->check, w->error);
    if (code != BP_OK || w->check.verdict != BP_NOT_FIT) {
        return code;
    }
    for (size_t f = 0; f < w->check.findings.count; f++) {
        const struct bp_finding *finding = &w->check.findings.list[f];
        if (finding->severity == BP_REFUSAL) {
            bp_error_set(w->error, BP_ERR_MOTION, "not fit to use: %s", finding->text);
            bp_error_place(w->error, NULL, 0, 0, finding->at_s);
            break;
        }
    }
    return BP_ERR_MOTION;
}

/* The check has told of the log as it is; from here on it is the trace of our own. */
static enum bp_code even_clock(struct work *w)
{
    w->own = *w->trace;
    w->trace = &w->own;
    if (!bp_motion_even_clock(w->trace, w->check.clock.step_s, w->arena, &w->own.time_s)) {
        return bp_error_set(w->error, BP_ERR_MEMORY, "out of memory for the log's clock");
    }
    return BP_OK;
}

/* A gyroscope that turns otherwise than gravity would be believed. The accelerometer alone does not care
 * which of its axes is which, nor about their signs. */
static enum bp_code leave_out_gyroscope(struct work *w)
{
    if (!w->check.gyroscope_wrong) {
        return BP_OK;
    }
    w->own.gyroscope = false;
    for (size_t a = 0; a < 3; a++) {
        w->own.turn[a] = NULL;
    }
    return bp_still_find(w->trace, &bp_still_defaults, w->arena, &w->check.still, &w->check.noise, NULL,
                         w->error);
}

/* The draws, and what is kept of them beside the intervals. */
static enum bp_code put_intervals(struct work *w, const struct bp_measure *estimate,
                                  struct bp_summary *summary)
{
    struct bp_measure measure = *estimate;
    struct bp_traces_maker maker;
    enum bp_code code = BP_OK;
    if (w->settings->keep_traces) {
        code = bp_traces_begin(&measure, &w->reps, summary, w->arena, &maker, w->error);
        measure.traces = &maker;
    }
    if (code == BP_OK) {
        code = bp_draws_fill(&measure, &w->reps, w->arena, summary, w->error);
    }
    if (code == BP_OK && measure.traces) {
        bp_traces_end(&maker);
        summary->traces = maker.traces;
    }
    return code;
}

/* The values, then their intervals. */
static enum bp_code measure(struct work *w, struct bp_summary *summary)
{
    struct bp_track smooth;
    double rate = w->check.clock.rate_hz;
    summary->reps = bp_arena_zero(w->arena, w->reps.count, sizeof *summary->reps);
    double *calm_m_s = bp_measure_calm(w->track.speed_m_s, w->track.count, rate, w->arena);
    w->loads.calm_m_s2 = bp_measure_calm(w->track.accel_m_s2, w->track.count, rate, w->arena);
    if (!summary->reps || !calm_m_s || !w->loads.calm_m_s2 ||
        !bp_measure_smooth(&w->track, &w->reps, rate, w->arena, &smooth)) {
        return bp_error_set(w->error, BP_ERR_MEMORY, "out of memory for the set's figures");
    }
    struct bp_measure measure = {.motion = &w->motion,
                                 .track = &smooth,
                                 .rough = &w->track,
                                 .calm_m_s = calm_m_s,
                                 .sideways = &w->sideways,
                                 .loads = &w->loads,
                                 .settings = w->settings,
                                 .lift = w->settings->lift};
    summary->rep_count = w->reps.count;
    w->loads.own_m_s2 = smooth.accel_m_s2;
    w->loads.gravity_m_s2 = (w->check.gravity_low + w->check.gravity_high) / 2;
    w->loads.gravity_sd_m_s2 =
        (w->check.gravity_high - w->check.gravity_low) / sqrt(12); /* anywhere between */
    bp_loads_settle(&w->loads, &smooth, &w->reps);
    for (size_t r = 0; r < w->reps.count; r++) {
        const struct bp_rep *before = r > 0 ? &w->reps.list[r - 1] : NULL;
        summary->reps[r].index = r + 1;
        bp_measure_rep(&measure, &w->reps.list[r], before, w->arena, &summary->reps[r]);
        if (w->reps.list[r].spoilt) {
            bp_draws_forget(&summary->reps[r]);
        }
    }
    bp_totals_of(summary->reps, summary->rep_count, &summary->set);
    bp_loads_totals(&w->loads, &smooth, &w->reps, &summary->set);
    enum bp_code code = bp_track_prepare_draws(&smooth, w->arena, w->error);
    return code == BP_OK ? put_intervals(w, &measure, summary) : code;
}

static void copy_text(char *out, size_t size, const char *text)
{
    size_t length = text ? strlen(text) : 0;
    length = length < size ? length : size - 1;
    memcpy(out, text ? text : "", length);
    out[length] = '\0';
}

static void describe(struct work *w, struct bp_summary *summary)
{
    struct bp_log_facts *log = &summary->log;
    copy_text(log->path, sizeof log->path, w->settings->path);
    log->rows = w->trace->recognised.rows;
    log->rate_hz = w->check.clock.rate_hz;
    log->duration_s = w->check.clock.duration_s;
    log->gyroscope = w->trace->gyroscope;
    log->shake_apparent = !w->trace->gyroscope;
    log->axis_known = w->motion.along.known;
    log->recognised = w->trace->recognised;
    summary->findings = w->check.findings;
    summary->set.lift = w->settings->lift;
    summary->set.lift_given = w->settings->lift_given;
    copy_text(summary->set.setup, sizeof summary->set.setup, w->settings->setup);
    const struct bp_rig *rig = w->settings->rig;
    if (rig) {
        summary->set.loaded = true;
        summary->set.load_varies = bp_load_varies(w->loads.model);
        summary->set.matched = rig->matched;
        copy_text(summary->set.rig, sizeof summary->set.rig, rig->name);
    }
    bp_loads_findings(&w->loads, w->settings->rig, &w->track, &w->reps, &summary->findings);
    bp_doubts_report(&w->check.doubts, w->trace->time_s, w->trace->count, &w->reps, summary);
    bp_doubts_report_uncounted(&w->uncounted, w->trace->time_s, w->trace->count, &w->reps, summary);
    bp_summary_findings(&w->motion, &w->track, &w->reps, &w->slip, w->settings, summary);
}

static enum bp_code analyse(struct work *w, struct bp_summary *summary)
{
    double odds = 0;
    enum bp_code code = refuse_unfit(w);
    code = code == BP_OK ? even_clock(w) : code;
    code = code == BP_OK ? leave_out_gyroscope(w) : code;
    if (code == BP_OK && w->settings->rig) {
        code = bp_load_prepare(w->settings->rig, &w->loads.model, w->error);
    }
    struct bp_motion_settings settings = {.along_axis = w->settings->along_axis,
                                          .still = &w->check.still,
                                          .noise = &w->check.noise,
                                          .doubts = w->check.doubts,
                                          .gain_off = w->check.gain_off};
    if (code == BP_OK) {
        code = bp_motion_prepare(w->trace, &settings, w->arena, &w->motion, w->error);
    }
    if (code == BP_OK) {
        code = bp_path_find(&w->motion, w->settings->lift, w->check.clock.rate_hz, w->arena, &w->track,
                            &w->reps, &odds, w->error);
    }
    if (code == BP_OK && w->trace->sign_assumed) {
        code =
            bp_sense_check(&w->motion, w->settings->lift, w->check.clock.rate_hz, odds, w->arena, w->error);
    }
    if (code == BP_OK && w->reps.count == 0) {
        code = bp_error_set(w->error, BP_ERR_NO_REP, "no rep of a %s found in this log",
                            bp_lift_facts(w->settings->lift)->name);
    }
    if (code == BP_OK) {
        bp_doubts_mark(&w->check.doubts, w->trace->time_s, &w->reps);
        if (!bp_reps_uncounted(&w->motion, &w->reps, w->settings->lift, w->arena, &w->uncounted)) {
            code = bp_error_set(w->error, BP_ERR_MEMORY, "out of memory for the bar's rises");
        }
    }
    if (code == BP_OK) {
        code = bp_sideways_make(&w->motion, &w->check.clock, w->arena, &w->sideways, w->error);
        w->slip = bp_slip_find(&w->motion, &w->reps);
        w->sideways.slip = w->slip;
    }
    if (code == BP_OK) {
        code = measure(w, summary);
    }
    if (code == BP_OK) {
        describe(w, summary);
    }
    if (code == BP_OK && w->arena->failed) { /* a figure that had no memory to be worked out is not unknown */
        code = bp_error_set(w->error, BP_ERR_MEMORY, "out of memory for a figure");
    }
    return code;
}

enum bp_code bp_analyse_trace(const struct bp_trace *trace, const struct bp_analyse_settings *settings,
                              struct bp_arena *arena, struct bp_summary *summary, struct bp_error *error)
{
    struct work w = {.trace = trace,
                     .settings = settings ? settings : &bp_analyse_defaults,
                     .arena = arena,
                     .error = error};
    memset(summary, 0, sizeof *summary);
    bp_error_clear(error);
    arena->failed = false;
    enum bp_code code = check_settings(w.settings, error);
    if (code == BP_OK) {
        code = analyse(&w, summary);
    }
    bp_load_free(w.loads.model);
    if (code == BP_OK) {
        bp_part_place(trace, summary);
    } else {
        memset(summary, 0, sizeof *summary);
        bp_part_place_error(trace, error);
        bp_error_place(error, w.settings->path, 0, 0, error ? error->at_s : (double)NAN);
    }
    return code;
}
