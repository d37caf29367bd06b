/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Where the phone lies calm: block after block with hardly any movement in it and gravity from one side.
 */
#include "motion/calm.h"

#include "barplumb/units.h"

#include <math.h>
#include <string.h>

static const double BLOCK_S = 0.5;
enum { BLOCK_LEAST = 5 }; /* samples; fewer say nothing of how calm it was */

/* Of one axis about its mean. A phone's own noise is at most about 0.08 m/s^2 and 0.006 rad/s
 * (still.c), a floor that trembles adds to it, and hands hold nothing so quiet for as long as a rest
 * lasts. */
static const double FORCE_SD_MOST = 0.12, TURN_SD_MOST = 0.02;
static const double GRID_VARIANCE = 1.0 / 12; /* of a value rounded to a grid of 1 */
static const double SAME_RAD = 3 * BP_DEGREE;
static const double KNOCK_S = 1; /* a bar that leaves its place and is back takes longer: no rep is shorter */
static const double HOLE_S = 0.25;

struct block {
    struct bp_calm calm;
    bool is_calm;
};

double bp_calm_cosine(const double a[3], const double b[3])
{
    double dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    double lengths =
        sqrt((a[0] * a[0] + a[1] * a[1] + a[2] * a[2]) * (b[0] * b[0] + b[1] * b[1] + b[2] * b[2]));
    return lengths > 0 ? dot / lengths : -1;
}

double bp_calm_variance(double *const axis[3], size_t first, size_t last, double mean[3])
{
    double n = (double)(last - first + 1), sum = 0;
    for (int a = 0; a < 3; a++) {
        double total = 0;
        for (size_t i = first; i <= last; i++) {
            total += axis[a][i];
        }
        mean[a] = total / n;
        for (size_t i = first; i <= last; i++) {
            sum += (axis[a][i] - mean[a]) * (axis[a][i] - mean[a]);
        }
    }
    return sum / (3 * n);
}

/* The block that begins at first. */
static struct block read_block(const struct bp_trace *trace, size_t first)
{
    const double *t = trace->time_s;
    struct block block = {{first, first, {0}}, true};
    size_t last = first;
    while (last + 1 < trace->count && t[last + 1] < t[first] + BLOCK_S) {
        block.is_calm = block.is_calm && t[last + 1] - t[last] <= HOLE_S;
        last++;
    }
    double force_most = FORCE_SD_MOST * FORCE_SD_MOST + GRID_VARIANCE * trace->force_grid * trace->force_grid;
    double turn_most = TURN_SD_MOST * TURN_SD_MOST + GRID_VARIANCE * trace->turn_grid * trace->turn_grid;
    double turn[3];
    block.calm.last = last;
    block.is_calm = block.is_calm && last - first + 1 >= BLOCK_LEAST &&
                    bp_calm_variance(trace->force, first, last, block.calm.force) <= force_most &&
                    (!trace->gyroscope || bp_calm_variance(trace->turn, first, last, turn) <= turn_most);
    return block;
}

static bool same_place(const struct bp_trace *trace, const struct bp_calm *one, const struct bp_calm *other,
                       double most_s)
{
    return trace->time_s[other->first] - trace->time_s[one->last] <= most_s &&
           bp_calm_cosine(one->force, other->force) >= cos(SAME_RAD);
}

bool bp_calm_find(const struct bp_trace *trace, struct bp_arena *arena, struct bp_calms *calms)
{
    calms->count = 0;
    calms->list = bp_arena_take(arena, trace->count / BLOCK_LEAST + 1, sizeof *calms->list);
    if (!calms->list) {
        return false;
    }
    for (size_t i = 0; i < trace->count;) {
        struct block block = read_block(trace, i);
        struct bp_calm *before = calms->count > 0 ? &calms->list[calms->count - 1] : NULL;
        i = block.calm.last + 1;
        if (!block.is_calm) {
            continue;
        }
        if (before && before->last + 1 == block.calm.first &&
            same_place(trace, before, &block.calm, HOLE_S)) {
            before->last = block.calm.last;
        } else {
            calms->list[calms->count++] = block.calm;
        }
    }
    return true;
}

bool bp_calm_rests(const struct bp_trace *trace, const struct bp_calms *calms, double least_s,
                   struct bp_arena *arena, struct bp_calms *rests)
{
    rests->count = 0;
    rests->list = bp_arena_take(arena, calms->count + 1, sizeof *rests->list);
    if (!rests->list) {
        return false;
    }
    for (size_t k = 0; k < calms->count;) {
        struct bp_calm rest = calms->list[k++];
        while (k < calms->count && same_place(trace, &rest, &calms->list[k], KNOCK_S)) {
            rest.last = calms->list[k++].last;
        }
        if (trace->time_s[rest.last] - trace->time_s[rest.first] >= least_s) {
            rests->list[rests->count++] = rest;
        }
    }
    return true;
}
