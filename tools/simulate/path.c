/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "path.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdlib.h>

static const double slice_s = 0.25; /* short against a rep, long against a sample */

/* The smooth step with four zero derivatives at 0 and 1: value, first and second derivative. */
static struct sim_jet smooth_step(double x)
{
    if (x <= 0.0) {
        return (struct sim_jet){0.0, 0.0, 0.0};
    }
    if (x >= 1.0) {
        return (struct sim_jet){1.0, 0.0, 0.0};
    }
    double y = x * (1.0 - x);
    return (struct sim_jet){
        .value = x * x * x * x * x * (126.0 + x * (-420.0 + x * (540.0 + x * (-315.0 + x * 70.0)))),
        .rate = 630.0 * y * y * y * y,
        .accel = 2520.0 * y * y * y * (1.0 - 2.0 * x),
    };
}

/* Its integral from 0. */
static double smooth_step_integral(double x)
{
    if (x <= 0.0) {
        return 0.0;
    }
    if (x >= 1.0) {
        return x - 0.5;
    }
    double x2 = x * x;
    return x2 * x2 * x2 * (21.0 + x * (-60.0 + x * (67.5 + x * (-35.0 + x * 7.0))));
}

static struct sim_jet min_jerk_at(const struct sim_piece *piece, double since)
{
    double length = piece->length_s, x = since / length, size = piece->size;
    double y = x * (1.0 - x);
    return (struct sim_jet){
        .value = size * x * x * x * (10.0 + x * (-15.0 + x * 6.0)),
        .rate = size * 30.0 * y * y / length,
        .accel = size * 60.0 * y * (1.0 - 2.0 * x) / (length * length),
    };
}

static struct sim_jet stroke_at(const struct sim_piece *piece, double since)
{
    double rise = piece->rise_s, fall = piece->fall_s;
    double speed = piece->size / (piece->length_s - 0.5 * (rise + fall));
    double up = since / rise, down = (since - (piece->length_s - fall)) / fall;
    struct sim_jet a = smooth_step(up), b = smooth_step(down);
    return (struct sim_jet){
        .value = speed * (rise * smooth_step_integral(up) - fall * smooth_step_integral(down)),
        .rate = speed * (a.value - b.value),
        .accel = speed * (a.rate / rise - b.rate / fall),
    };
}

static struct sim_jet wave_at(const struct sim_piece *piece, double since)
{
    double rise = piece->rise_s, fall = piece->fall_s, omega = piece->omega;
    struct sim_jet a = smooth_step(since / rise);
    struct sim_jet b = smooth_step((since - (piece->length_s - fall)) / fall);
    double window = a.value - b.value;
    double window_rate = a.rate / rise - b.rate / fall;
    double window_accel = a.accel / (rise * rise) - b.accel / (fall * fall);
    double angle = omega * since + piece->phase;
    double s = sin(angle), c = cos(angle);
    return (struct sim_jet){
        .value = piece->size * window * s,
        .rate = piece->size * (window_rate * s + window * omega * c),
        .accel =
            piece->size * (window_accel * s + 2.0 * window_rate * omega * c - window * omega * omega * s),
    };
}

static double settled_value(const struct sim_piece *piece)
{
    return piece->kind == SIM_WAVE ? 0.0 : piece->size;
}

struct sim_jet sim_piece_at(const struct sim_piece *piece, double time_s)
{
    double since = time_s - piece->from_s;
    if (since <= 0.0) {
        return (struct sim_jet){0.0, 0.0, 0.0};
    }
    if (since >= piece->length_s) {
        return (struct sim_jet){settled_value(piece), 0.0, 0.0};
    }
    switch (piece->kind) {
    case SIM_MIN_JERK:
        return min_jerk_at(piece, since);
    case SIM_STROKE:
        return stroke_at(piece, since);
    case SIM_WAVE:
        break;
    }
    return wave_at(piece, since);
}

void sim_path_init(struct sim_path *path)
{
    *path = (struct sim_path){0};
}

void sim_path_free(struct sim_path *path)
{
    free(path->pieces);
    free(path->settled);
    free(path->first);
    free(path->members);
    sim_path_init(path);
}

void sim_path_add(struct sim_path *path, const struct sim_piece *piece)
{
    if (path->failed) {
        return;
    }
    if (path->count == path->capacity) {
        size_t capacity = path->capacity ? 2 * path->capacity : 16;
        struct sim_piece *grown = realloc(path->pieces, capacity * sizeof *grown);
        if (!grown) {
            path->failed = true;
            return;
        }
        path->pieces = grown;
        path->capacity = capacity;
    }
    path->pieces[path->count++] = *piece;
}

void sim_path_stroke(struct sim_path *path, double from_s, double length_s, double size, double rise_fraction,
                     double fall_fraction)
{
    sim_path_add(path, &(struct sim_piece){.kind = SIM_STROKE,
                                           .from_s = from_s,
                                           .length_s = length_s,
                                           .size = size,
                                           .rise_s = rise_fraction * length_s,
                                           .fall_s = fall_fraction * length_s});
}

void sim_path_wave(struct sim_path *path, double from_s, double length_s, double size, double ramp_s,
                   double hz, double phase)
{
    double ramp = fmin(ramp_s, 0.5 * length_s);
    sim_path_add(path, &(struct sim_piece){.kind = SIM_WAVE,
                                           .from_s = from_s,
                                           .length_s = length_s,
                                           .size = size,
                                           .rise_s = ramp,
                                           .fall_s = ramp,
                                           .omega = 2.0 * BP_PI * hz,
                                           .phase = phase});
}

void sim_path_bump(struct sim_path *path, double from_s, double length_s, double size)
{
    sim_path_wave(path, from_s, length_s, size, 0.5 * length_s, 0.0, 0.5 * BP_PI);
}

static bool under_way(const struct sim_piece *piece, double from, double to)
{
    return piece->from_s < to && piece->from_s + piece->length_s > from;
}

/* Lists the pieces under way in slice k from members[*used] on; the list may be NULL to count only. */
static void fill_slice(struct sim_path *path, size_t k, size_t *used)
{
    double from = (double)k * slice_s, to = from + slice_s;
    double settled = path->start;
    for (size_t i = 0; i < path->count; i++) {
        const struct sim_piece *piece = &path->pieces[i];
        if (under_way(piece, from, to)) {
            if (path->members) {
                path->members[*used] = i;
            }
            ++*used;
        } else if (piece->from_s < from) {
            settled += settled_value(piece);
        }
    }
    path->settled[k] = settled;
    path->first[k + 1] = *used;
}

bool sim_path_seal(struct sim_path *path, double end_s)
{
    size_t slices = (size_t)ceil(fmax(end_s, slice_s) / slice_s) + 1, used = 0;
    path->settled = calloc(slices, sizeof *path->settled);
    path->first = calloc(slices + 1, sizeof *path->first);
    if (path->failed || !path->settled || !path->first) {
        return false;
    }
    for (size_t k = 0; k < slices; k++) {
        fill_slice(path, k, &used);
    }
    path->members = malloc((used + 1) * sizeof *path->members);
    if (!path->members) {
        return false;
    }
    used = 0;
    for (size_t k = 0; k < slices; k++) {
        fill_slice(path, k, &used);
    }
    path->slices = slices;
    return true;
}

static void accumulate(struct sim_jet *sum, struct sim_jet jet)
{
    sum->value += jet.value;
    sum->rate += jet.rate;
    sum->accel += jet.accel;
}

struct sim_jet sim_path_at(const struct sim_path *path, double time_s)
{
    struct sim_jet sum = {path->start, 0.0, 0.0};
    if (time_s >= 0.0 && time_s < (double)path->slices * slice_s) {
        size_t k = (size_t)(time_s / slice_s);
        sum.value = path->settled[k];
        for (size_t i = path->first[k]; i < path->first[k + 1]; i++) {
            accumulate(&sum, sim_piece_at(&path->pieces[path->members[i]], time_s));
        }
        return sum;
    }
    for (size_t i = 0; i < path->count; i++) {
        accumulate(&sum, sim_piece_at(&path->pieces[i], time_s));
    }
    return sum;
}
