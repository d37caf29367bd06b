/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench.h"

#include "import/stream.h"

#include <math.h>
#include <string.h>

static bool take(struct bp_arena *arena, size_t n, double *column[3])
{
    for (int a = 0; a < 3; a++) {
        if (!(column[a] = bp_arena_doubles(arena, n))) {
            return false;
        }
    }
    return true;
}

/* The gyroscope's reading at the accelerometer's time t, straight between its own samples. */
static double turn_at(const struct sim_log *log, int axis, double t, size_t *i)
{
    const double *time = log->turn_time_s, *x = log->turn[axis];
    while (*i + 2 < log->turn_count && time[*i + 1] < t) {
        (*i)++;
    }
    double s = (t - time[*i]) / (time[*i + 1] - time[*i]);
    s = s < 0 ? 0 : s > 1 ? 1 : s;
    return x[*i] + s * (x[*i + 1] - x[*i]);
}

/* Limits and grids are what the readings show, by the importer's own judgement: a log says no more. */
static void judge(const struct sim_log *log, struct bp_trace *trace)
{
    struct bp_quality quality;
    bp_import_judge(log->time_s, log->force, log->count, false, trace->marks, BP_MARK_CLIPPED, &quality);
    trace->force_limit = quality.limit;
    trace->force_grid = quality.grid;
    if (log->gyroscope && !log->turn_time_s) {
        bp_import_judge(log->time_s, log->turn, log->count, true, trace->marks, BP_MARK_GYRO_CLIPPED,
                        &quality);
        trace->turn_limit = quality.limit;
        trace->turn_grid = quality.grid;
    }
}

bool bench_trace(const struct sim_log *log, struct bp_arena *arena, struct bp_trace *trace)
{
    size_t n = log->count;
    memset(trace, 0, sizeof *trace);
    trace->count = n;
    trace->gyroscope = log->gyroscope;
    trace->start_epoch_s = trace->force_limit = trace->turn_limit = trace->recognised.declared_rate_hz =
        (double)NAN;
    trace->recognised.rows = n;
    trace->time_s = bp_arena_doubles(arena, n);
    trace->marks = bp_arena_zero(arena, n, 1);
    if (!trace->time_s || !trace->marks || !take(arena, n, trace->force) ||
        (log->gyroscope && !take(arena, n, trace->turn))) {
        return false;
    }
    memcpy(trace->time_s, log->time_s, n * sizeof *trace->time_s);
    for (int a = 0; a < 3; a++) {
        memcpy(trace->force[a], log->force[a], n * sizeof *trace->force[a]);
        size_t at = 0;
        for (size_t i = 0; i < n && log->gyroscope; i++) {
            trace->turn[a][i] = log->turn_time_s ? turn_at(log, a, log->time_s[i], &at) : log->turn[a][i];
        }
    }
    judge(log, trace);
    struct bp_clock clock;
    if (!bp_trace_clock(trace, arena, &clock)) {
        return false;
    }
    for (size_t i = 1; i < n; i++) {
        if (trace->time_s[i] - trace->time_s[i - 1] > 2.5 * clock.step_s) {
            trace->marks[i] |= BP_MARK_AFTER_GAP;
        }
    }
    return true;
}

static double middle_of(double a, double b)
{
    return 0.5 * (a + b);
}

/* Since when the bar was at the bottom of true rep t: the end of its own descent, or of the rep's before. A
 * turnaround may fall anywhere in a pause. */
static double down_since(const struct sim_truth *truth, size_t t)
{
    const struct sim_rep_truth *rep = &truth->reps[t];
    double end = rep->descent_end_s < rep->turnaround_s ? rep->descent_end_s
                 : t > 0                                ? truth->reps[t - 1].descent_end_s
                                                        : (double)NAN;
    return isfinite(end) ? fmin(end, rep->turnaround_s) : rep->turnaround_s;
}

/* The moment a rep is known by: its turnaround, which missed reps have as well. */
size_t bench_match(const struct sim_truth *truth, const struct bp_summary *summary, size_t *found)
{
    size_t matched = 0;
    for (size_t t = 0; t < truth->rep_count; t++) {
        const struct sim_rep_truth *rep = &truth->reps[t];
        found[t] = SIZE_MAX;
        for (size_t r = 0; r < summary->rep_count; r++) {
            const struct bp_rep_figures *figures = &summary->reps[r];
            double at =
                rep->missed ? figures->turnaround_s : middle_of(figures->drive_start_s, figures->drive_end_s);
            double from = rep->missed ? down_since(truth, t) - 1 : rep->drive_start_s;
            double to = rep->missed ? fmax(rep->turnaround_s, rep->drive_start_s) + 1 : rep->drive_end_s;
            if (figures->missed == rep->missed && at >= from && at <= to) {
                found[t] = r;
                matched++;
                break;
            }
        }
    }
    return summary->rep_count - (matched < summary->rep_count ? matched : summary->rep_count);
}
