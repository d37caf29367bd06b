/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/traces.h"
#include "barplumb/units.h"

#include <math.h>

/* What stands before the first rep and after the last: an unrack, a rack. */
static const double MARGIN_S = 5;
/* Stamps are rounded: a step that is short by this is no shorter step. */
static const double STAMP_SLACK = 1e-3;
static const double MM = 1e3;
/* The grid of the spectrum: fine against the resolution of any drive, and past the shake band's end. */
static const double SPECTRUM_STEP_HZ = 0.1, SPECTRUM_END_HZ = 10;

static struct bp_record *record_of(struct bp_traces *traces, enum bp_traced which)
{
    struct bp_record *const records[BP_TRACED_COUNT] = {&traces->height_m, &traces->speed_m_s,
                                                        &traces->shake_mm, &traces->shake_mm_s};
    return records[which];
}

/* Samples of the reps and a margin about them, with the phone on the bar. */
static struct bp_spell stretch_of(const struct bp_measure *m, const struct bp_reps *reps)
{
    const double *t = m->track->time_s;
    struct bp_spell whole = m->motion->on_bar, stretch = {whole.last, whole.first};
    for (size_t r = 0; r < reps->count; r++) {
        const struct bp_rep *rep = &reps->list[r];
        size_t first = rep->has_before ? rep->top_before : rep->bottom;
        size_t last = rep->has_after ? rep->bottom_after : rep->top;
        stretch.first = first < stretch.first ? first : stretch.first;
        stretch.last = last > stretch.last ? last : stretch.last;
    }
    double from = t[stretch.first] - MARGIN_S, to = t[stretch.last] + MARGIN_S;
    while (stretch.first > whole.first && t[stretch.first - 1] >= from) {
        stretch.first--;
    }
    while (stretch.last < whole.last && t[stretch.last + 1] <= to) {
        stretch.last++;
    }
    return stretch;
}

/* Every sample that lies far enough behind the point before; sample NULL: only counts them. */
static size_t pick(const double *time_s, struct bp_spell stretch, size_t *sample)
{
    double step = (1 - STAMP_SLACK) / BP_TRACES_RATE_HZ, next = -HUGE_VAL;
    size_t count = 0;
    for (size_t i = stretch.first; i <= stretch.last; i++) {
        if (time_s[i] < next) {
            continue;
        }
        if (sample) {
            sample[count] = i;
        }
        count++;
        next = time_s[i] + step;
    }
    return count;
}

static bool take(struct bp_traces_maker *maker, size_t count, struct bp_arena *arena)
{
    struct bp_traces *traces = bp_arena_zero(arena, 1, sizeof *traces);
    if (!traces) {
        return false;
    }
    maker->traces = traces;
    maker->sample = bp_arena_take(arena, count, sizeof *maker->sample);
    traces->time_s = bp_arena_doubles(arena, count);
    bool good = maker->sample && traces->time_s;
    for (int k = 0; k < BP_TRACED_COUNT && good; k++) {
        struct bp_record *record = record_of(traces, (enum bp_traced)k);
        record->value = bp_arena_doubles(arena, count);
        record->low = bp_arena_doubles(arena, count);
        record->high = bp_arena_doubles(arena, count);
        maker->spread[k] = bp_arena_zero(arena, count, sizeof *maker->spread[k]);
        good = record->value && record->low && record->high && maker->spread[k];
    }
    return good;
}

/* The record along the bar at a moment, between its even samples; NaN where it does not reach. */
static double aside_at(const struct bp_sideways_record *record, double at_s)
{
    double place = at_s / record->step_s - (double)record->first;
    double whole = floor(place);
    if (record->count == 0 || !(whole >= 0) || whole >= (double)record->count) {
        return (double)NAN;
    }
    size_t i = (size_t)whole;
    double next = i + 1 < record->count ? record->x[i + 1] : record->x[i];
    return record->x[i] + (place - whole) * (next - record->x[i]);
}

/* What hands each record of one path, estimate or draw, point by point to `put`, for points [from, to). */
typedef void put_point(struct bp_traces_maker *maker, enum bp_traced which, size_t point, double value);

static void walk(struct bp_traces_maker *maker, const struct bp_track *track,
                 const struct bp_sideways *sideways, size_t from, size_t to, put_point *put)
{
    const double *t = maker->traces->time_s;
    static const enum bp_band_output outputs[2] = {BP_BAND_DISPLACEMENT, BP_BAND_SPEED};
    for (size_t p = from; p < to; p++) {
        put(maker, BP_TRACED_HEIGHT, p, track->height_m[maker->sample[p]]);
        put(maker, BP_TRACED_SPEED, p, track->speed_m_s[maker->sample[p]]);
    }
    for (int k = 0; k < 2; k++) {
        /* An even sample more on either side, to stand between. */
        struct bp_sideways_record record =
            bp_sideways_along(sideways, outputs[k], t[from] - sideways->step_s, t[to - 1] + sideways->step_s);
        for (size_t p = from; p < to; p++) {
            put(maker, (enum bp_traced)(BP_TRACED_SHAKE + k), p, MM * aside_at(&record, t[p]));
        }
    }
}

static void put_value(struct bp_traces_maker *maker, enum bp_traced which, size_t point, double value)
{
    record_of(maker->traces, which)->value[point] = value;
}

static void put_drawn(struct bp_traces_maker *maker, enum bp_traced which, size_t point, double value)
{
    bp_spread_add(&maker->spread[which][point], record_of(maker->traces, which)->value[point], value);
}

/* Adds seconds times the Hann-windowed periodogram of one drive, 2|Σ w x exp(-2πift)|² / (rate Σ w²). */
static void add_drive(const struct bp_sideways_record *record, struct bp_traces *traces)
{
    double rate = 1 / record->step_s, seconds = (double)record->count * record->step_s, squares = 0;
    for (size_t i = 0; i < record->count; i++) {
        double w = 0.5 - 0.5 * cos(2 * BP_PI * ((double)i + 0.5) / (double)record->count);
        squares += w * w;
    }
    for (size_t k = 0; k < traces->spectrum_count; k++) {
        double turn = 2 * BP_PI * (double)k * traces->spectrum_step_hz * record->step_s, re = 0, im = 0;
        for (size_t i = 0; i < record->count; i++) {
            double w = 0.5 - 0.5 * cos(2 * BP_PI * ((double)i + 0.5) / (double)record->count);
            re += w * MM * record->x[i] * cos(turn * (double)i);
            im -= w * MM * record->x[i] * sin(turn * (double)i);
        }
        traces->spectrum_mm2_s2_hz[k] += seconds * 2 * (re * re + im * im) / (rate * squares);
    }
}

static bool make_spectrum(const struct bp_sideways *sideways, const struct bp_summary *summary,
                          struct bp_arena *arena, struct bp_traces *traces)
{
    double seconds = 0;
    traces->spectrum_step_hz = SPECTRUM_STEP_HZ;
    traces->spectrum_count = (size_t)lround(SPECTRUM_END_HZ / SPECTRUM_STEP_HZ) + 1;
    traces->spectrum_mm2_s2_hz =
        bp_arena_zero(arena, traces->spectrum_count, sizeof *traces->spectrum_mm2_s2_hz);
    if (!traces->spectrum_mm2_s2_hz) {
        return false;
    }
    for (size_t r = 0; r < summary->rep_count; r++) {
        const struct bp_rep_figures *rep = &summary->reps[r];
        struct bp_sideways_record record =
            bp_sideways_along(sideways, BP_BAND_SPEED, rep->drive_start_s, rep->drive_end_s);
        if (!rep->missed && record.count >= 3) {
            add_drive(&record, traces);
            seconds += (double)record.count * record.step_s;
        }
    }
    for (size_t k = 0; k < traces->spectrum_count && seconds > 0; k++) {
        traces->spectrum_mm2_s2_hz[k] /= seconds;
    }
    traces->spectrum_count = seconds > 0 ? traces->spectrum_count : 0;
    return true;
}

enum bp_code bp_traces_begin(const struct bp_measure *measure, const struct bp_reps *reps,
                             const struct bp_summary *summary, struct bp_arena *arena,
                             struct bp_traces_maker *maker, struct bp_error *error)
{
    const double *t = measure->track->time_s;
    struct bp_spell stretch = stretch_of(measure, reps);
    size_t count = pick(t, stretch, NULL);
    if (!take(maker, count, arena) || !make_spectrum(measure->sideways, summary, arena, maker->traces)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the set over time");
    }
    maker->traces->count = pick(t, stretch, maker->sample);
    for (size_t p = 0; p < count; p++) {
        maker->traces->time_s[p] = t[maker->sample[p]];
    }
    walk(maker, measure->track, measure->sideways, 0, count, put_value);
    return BP_OK;
}

void bp_traces_take_draw(struct bp_traces_maker *maker, const struct bp_track *draw, struct bp_spell stretch,
                         const struct bp_sideways *sideways)
{
    size_t from = 0, to = maker->traces->count;
    while (from < to && maker->sample[from] < stretch.first) {
        from++;
    }
    while (to > from && maker->sample[to - 1] > stretch.last) {
        to--;
    }
    if (from < to) {
        walk(maker, draw, sideways, from, to, put_drawn);
    }
}

void bp_traces_end(struct bp_traces_maker *maker)
{
    for (int k = 0; k < BP_TRACED_COUNT; k++) {
        struct bp_record *record = record_of(maker->traces, (enum bp_traced)k);
        for (size_t p = 0; p < maker->traces->count; p++) {
            struct bp_quantity q = bp_quantity_plain(record->value[p]);
            bp_spread_interval(&maker->spread[k][p], false, &q);
            record->low[p] = q.low;
            record->high[p] = q.high;
        }
    }
}
