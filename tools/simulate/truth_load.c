/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Load, force, power, work and impulse of one drive, from the table of it and the rig.
 */
#include "load.h"
#include "truth.h"

#include "barplumb/units.h"

#include <math.h>
#include <stdlib.h>

/* The bar's height above the floor where the simulation's own height is z. */
static double above_floor(const struct sim_motion *motion, double z)
{
    return motion->rig.lockout_m + z - motion->lockout_m;
}

/* Sums over the part of a drive between two heights. */
struct sums {
    double time_s, weight_ns, impulse_ns, work_j;
};

/* Which part of the step from row i - 1 to i lies in [low, high). */
static double part_inside(const struct sim_table *table, size_t i, double low_m, double high_m)
{
    double a = fmin(table->height[i - 1], table->height[i]);
    double b = fmax(table->height[i - 1], table->height[i]);
    if (b > a) {
        return fmax(fmin(b, high_m) - fmax(a, low_m), 0.0) / (b - a);
    }
    return a >= low_m && a < high_m ? 1.0 : 0.0;
}

static void add_step(const struct sim_table *table, const double *weight, const double *hand, size_t i,
                     double part, struct sums *sums)
{
    double time = part * table->step_s;
    sums->time_s += time;
    sums->weight_ns += 0.5 * time * (weight[i - 1] + weight[i]);
    sums->impulse_ns += 0.5 * time * (hand[i - 1] + hand[i]);
    sums->work_j += 0.5 * time * (hand[i - 1] * table->speed[i - 1] + hand[i] * table->speed[i]);
}

static struct sim_effort effort_of(const struct sums *sums, double gravity)
{
    return (struct sim_effort){.load_kg = sums->weight_ns / sums->time_s / gravity,
                               .force_n = sums->impulse_ns / sums->time_s,
                               .power_w = sums->work_j / sums->time_s,
                               .work_j = sums->work_j,
                               .impulse_n_s = sums->impulse_ns};
}

/* The row from which on the hands' force stays under 0 to the end of the drive, after the peak of speed; the
 * last row when it does not end so. */
static size_t let_go(const struct sim_table *table, const double *hand)
{
    size_t peak = 0, last = table->count - 1, start = last;
    for (size_t i = 1; i < table->count; i++) {
        if (table->speed[i] > table->speed[peak]) {
            peak = i;
        }
    }
    while (start > peak && hand[start] < 0.0) {
        start--;
    }
    return start == last ? last : start + 1;
}

/* The definition's low-pass of a peak: a second-order Butterworth run both ways, 1/sqrt(2) at 8 Hz. Its gain
 * is 1 / (1 + (w/w0)^4), w0 = 2 pi 8 Hz / (sqrt(2) - 1)^(1/4), and its response to an impulse in closed form
 *   w0 / (2 sqrt(2)) exp(-r |t|) (cos(r t) + sin(r |t|)), r = w0 / sqrt(2). */
static const double calm_hz = 8.0, calm_reach_s = 0.4; /* exp(-r reach) is 1e-8 */

static double calm_response(double t)
{
    double w0 = 2.0 * BP_PI * calm_hz / pow(sqrt(2.0) - 1.0, 0.25), r = w0 / sqrt(2.0);
    return w0 / (2.0 * sqrt(2.0)) * exp(-r * fabs(t)) * (cos(r * t) + sin(r * fabs(t)));
}

/* Largest force and power of the acceleration freed of what is quicker than that. accel: exact, a reach past
 * the table on either side. */
static void find_peaks(const struct sim_motion *motion, const struct sim_table *table, const double *accel,
                       const double *response, size_t reach, struct sim_rep_truth *rep)
{
    rep->peak_force_n = rep->peak_power_w = -HUGE_VAL;
    for (size_t i = 0; i < table->count; i++) {
        double calm = 0.0;
        for (size_t k = 0; k <= 2 * reach; k++) {
            calm += response[k] * accel[i + k];
        }
        struct sim_jet bar = {above_floor(motion, table->height[i]), table->speed[i], calm * table->step_s};
        struct sim_load load;
        sim_load_at(&motion->rig, motion->gravity, bar, &load);
        rep->peak_force_n = fmax(rep->peak_force_n, load.hand_n);
        rep->peak_power_w = fmax(rep->peak_power_w, load.hand_n * table->speed[i]);
    }
}

static bool measure_peaks(const struct sim_view *view, const struct sim_table *table,
                          struct sim_rep_truth *rep)
{
    size_t reach = (size_t)ceil(calm_reach_s / table->step_s), count = table->count + 2 * reach;
    double *accel = malloc((count + 2 * reach + 1) * sizeof *accel);
    if (!accel) {
        return false;
    }
    double *response = accel + count, before = (double)reach * table->step_s;
    for (size_t i = 0; i < count; i++) {
        accel[i] = sim_view_height(view, table->start_s - before + (double)i * table->step_s).accel;
    }
    for (size_t k = 0; k <= 2 * reach; k++) {
        response[k] = calm_response((double)k * table->step_s - before);
    }
    find_peaks(view->motion, table, accel, response, reach, rep);
    free(accel);
    return true;
}

static void sum_up(const struct sim_motion *motion, const struct sim_table *table, const double *weight,
                   const double *hand, struct sim_rep_truth *rep)
{
    double start = table->height[0], rise = table->height[table->count - 1] - start;
    struct sums whole = {0}, third[SIM_RANGES] = {{0}};
    for (size_t i = 1; i < table->count; i++) {
        add_step(table, weight, hand, i, 1.0, &whole);
        for (int k = 0; k < SIM_RANGES; k++) {
            double low = start + rise * (double)k / SIM_RANGES,
                   high = start + rise * (double)(k + 1) / SIM_RANGES;
            add_step(table, weight, hand, i, part_inside(table, i, low, high), &third[k]);
        }
    }
    rep->effort = effort_of(&whole, motion->gravity);
    for (int k = 0; k < SIM_RANGES; k++) {
        rep->range_effort[k] = effort_of(&third[k], motion->gravity);
    }
    size_t end = let_go(table, hand);
    rep->rig_propulsive_velocity_m_s = (table->height[end] - start) / ((double)end * table->step_s);
}

bool sim_effort_measure(const struct sim_view *view, const struct sim_table *table, struct sim_rep_truth *rep)
{
    const struct sim_motion *motion = view->motion;
    if (!(motion->rig.bar_kg > 0.0)) {
        return true;
    }
    double *weight = malloc(2 * table->count * sizeof *weight);
    if (!weight) {
        return false;
    }
    double *hand = weight + table->count;
    for (size_t i = 0; i < table->count; i++) {
        struct sim_jet bar = {above_floor(motion, table->height[i]), table->speed[i], table->accel[i]};
        struct sim_load load;
        sim_load_at(&motion->rig, motion->gravity, bar, &load);
        weight[i] = load.weight_n;
        hand[i] = load.hand_n;
    }
    sum_up(motion, table, weight, hand, rep);
    free(weight);
    return measure_peaks(view, table, rep);
}

static double still_kg(const struct sim_motion *motion, double z)
{
    struct sim_load load;
    sim_load_at(&motion->rig, motion->gravity, (struct sim_jet){above_floor(motion, z), 0.0, 0.0}, &load);
    return load.weight_n / motion->gravity;
}

void sim_effort_level(const struct sim_motion *motion, struct sim_truth *truth)
{
    double bottom = 0.0, top = 0.0, count = 0.0;
    truth->load_bottom_kg = truth->load_halfway_kg = truth->load_lockout_kg = truth->share_pct = (double)NAN;
    for (size_t i = 0; i < truth->rep_count; i++) {
        if (!truth->reps[i].missed) {
            bottom += truth->reps[i].bottom_m;
            top += truth->reps[i].top_m;
            count += 1.0;
        }
    }
    if (count == 0.0 || !(motion->rig.bar_kg > 0.0)) {
        return;
    }
    bottom /= count;
    top /= count;
    truth->load_bottom_kg = still_kg(motion, bottom);
    truth->load_halfway_kg = still_kg(motion, 0.5 * (bottom + top));
    truth->load_lockout_kg = still_kg(motion, top);
    truth->share_pct = 100.0 * (truth->load_lockout_kg - truth->load_bottom_kg) / truth->load_lockout_kg;
}
