/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "truth.h"

#include "drive.h"

#include "barplumb/units.h"

#include <math.h>

static const double table_step_s = 0.0005;    /* of a drive's figures */
static const double look_s = 0.001;           /* of the search for tops and bottoms, flat as they are */
static const double smoothness_step_s = 0.02; /* the measure depends a little on it: part of its definition */

static void clear_rep(struct sim_rep_truth *rep)
{
    const double none = (double)NAN;
    const struct sim_shake no_shake = {none, none, none};
    const struct sim_effort no_effort = {none, none, none, none, none};
    *rep = (struct sim_rep_truth){.drive = no_shake,
                                  .descent = no_shake,
                                  .effort = no_effort,
                                  .sticking = {false, none, none, none, none, none, none}};
    double *unknown[] = {&rep->descent_start_s,
                         &rep->descent_end_s,
                         &rep->turnaround_s,
                         &rep->drive_start_s,
                         &rep->drive_end_s,
                         &rep->top_s,
                         &rep->descent_time_s,
                         &rep->pause_s,
                         &rep->drive_time_s,
                         &rep->bottom_m,
                         &rep->top_m,
                         &rep->range_m,
                         &rep->mean_velocity_m_s,
                         &rep->peak_velocity_m_s,
                         &rep->propulsive_velocity_m_s,
                         &rep->unbraked_velocity_m_s,
                         &rep->rig_propulsive_velocity_m_s,
                         &rep->peak_force_n,
                         &rep->peak_power_w,
                         &rep->middle_range_m,
                         &rep->middle_mean_velocity_m_s,
                         &rep->shake_hz,
                         &rep->sway_area_m2,
                         &rep->clatter_m_s2,
                         &rep->clatter_crest,
                         &rep->tilt_deg,
                         &rep->smoothness};
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++) {
        *unknown[i] = none;
    }
    for (int i = 0; i < SIM_RANGES; i++) {
        rep->range_velocity_m_s[i] = none;
        rep->range[i] = no_shake;
        rep->range_effort[i] = no_effort;
    }
}

/* The lowest (sign -1) or highest (sign 1) point in [from_s, to_s]; the last where several are equal. */
static double extreme(const struct sim_view *view, double sign, double from_s, double to_s)
{
    double best = from_s, most = sign * sim_view_height(view, from_s).value;
    size_t steps = (size_t)ceil((to_s - from_s) / look_s);
    for (size_t i = 1; i <= steps; i++) {
        double time = from_s + (to_s - from_s) * (double)i / (double)steps;
        double height = sign * sim_view_height(view, time).value;
        if (height >= most) {
            most = height;
            best = time;
        }
    }
    return best;
}

/* The first time the bar no longer rises once it is near the planned top. */
static double find_top(const struct sim_view *view, const struct sim_planned_rep *planned)
{
    const double near = 0.9;
    double rise = planned->top_m - planned->bottom_m;
    double middle = 0.5 * (planned->drive_from_s + planned->drive_to_s);
    size_t steps = (size_t)ceil((planned->top_to_s - middle) / look_s);
    double highest = middle, most = -HUGE_VAL;
    for (size_t i = 0; i <= steps; i++) {
        double time = middle + (double)i * look_s;
        struct sim_jet jet = sim_view_height(view, time);
        if (jet.value > most) {
            most = jet.value;
            highest = time;
        }
        if (jet.rate <= 0.0 && jet.value - planned->bottom_m > near * rise) {
            return time;
        }
    }
    return highest;
}

struct stroke {
    double low_s, top_s, low_m, top_m;
    struct sim_edges drive;
    bool driven;
};

static struct stroke find_stroke(const struct sim_view *view, const struct sim_planned_rep *planned)
{
    struct stroke stroke;
    double middle = 0.5 * (planned->drive_from_s + planned->drive_to_s);
    stroke.low_s = extreme(view, -1.0, planned->low_from_s, middle);
    stroke.top_s = find_top(view, planned);
    stroke.low_m = sim_view_height(view, stroke.low_s).value;
    stroke.top_m = sim_view_height(view, stroke.top_s).value;
    stroke.driven =
        sim_view_edges(view, stroke.low_s, planned->top_to_s, stroke.low_m, stroke.top_m, &stroke.drive);
    return stroke;
}

static double mean_velocity(const struct sim_view *view, const struct sim_edges *edges)
{
    double rise = sim_view_height(view, edges->end_s).value - sim_view_height(view, edges->start_s).value;
    return rise / (edges->end_s - edges->start_s);
}

static double peak_speed(const struct sim_table *table)
{
    double peak = table->speed[0];
    for (size_t i = 1; i < table->count; i++) {
        peak = fmax(peak, table->speed[i]);
    }
    return peak;
}

/* Time at which the table first reaches a height. */
static double reached_s(const struct sim_table *table, double height_m)
{
    for (size_t i = 0; i < table->count; i++) {
        if (table->height[i] >= height_m) {
            return sim_table_time(table, i);
        }
    }
    return sim_table_time(table, table->count - 1);
}

static void measure_ranges(const struct sim_table *table, const struct sim_bands *bands,
                           struct sim_rep_truth *rep)
{
    double start = table->height[0], rise = table->height[table->count - 1] - start;
    for (int i = 0; i < SIM_RANGES; i++) {
        double low = start + rise * (double)i / SIM_RANGES,
               high = start + rise * (double)(i + 1) / SIM_RANGES;
        rep->range_velocity_m_s[i] = sim_table_speed_between(table, low, high);
        rep->range[i] = sim_bands_shake(bands, reached_s(table, low), reached_s(table, high));
    }
}

static double mean_speed_to(const struct sim_table *table, size_t i)
{
    return (table->height[i] - table->height[0]) / ((double)i * table->step_s);
}

static void measure_speed(const struct sim_table *table, double gravity, struct sim_rep_truth *rep)
{
    rep->mean_velocity_m_s = mean_speed_to(table, table->count - 1);
    rep->peak_velocity_m_s = peak_speed(table);
    rep->propulsive_velocity_m_s = mean_speed_to(table, sim_table_braking(table, gravity, true));
    rep->unbraked_velocity_m_s = mean_speed_to(table, sim_table_braking(table, gravity, false));
}

static void measure_tilt(const struct sim_motion *motion, struct sim_rep_truth *rep)
{
    size_t steps = (size_t)ceil((rep->drive_end_s - rep->drive_start_s) / look_s);
    double tilt = 0.0, rest = motion->tilt.start;
    for (size_t i = 0; i <= steps; i++) {
        double time = rep->drive_start_s + (double)i * look_s;
        tilt = fmax(tilt, fabs(sim_path_at(&motion->tilt, time).value - rest));
    }
    rep->tilt_deg = tilt / BP_DEGREE;
}

static bool measure_shake(const struct sim_motion *motion, const struct sim_bands *bands,
                          struct sim_rep_truth *rep)
{
    double from = rep->drive_start_s, to = rep->drive_end_s;
    struct sim_clatter clatter;
    bool done = sim_clatter_measure(motion, from, to, &clatter);
    rep->drive = sim_bands_shake(bands, from, to);
    rep->shake_hz = sim_bands_dominant(bands, from, to);
    rep->sway_area_m2 = sim_bands_area(bands, from, to);
    rep->clatter_m_s2 = clatter.rms_m_s2;
    rep->clatter_crest = clatter.crest;
    return done;
}

static bool measure_drive(const struct sim_view *view, const struct sim_bands *bands,
                          struct sim_rep_truth *rep)
{
    struct sim_table table, coarse;
    if (!sim_table_make(view, rep->drive_start_s, rep->drive_end_s, table_step_s, &table)) {
        return false;
    }
    if (!sim_table_make(view, rep->drive_start_s, rep->drive_end_s, smoothness_step_s, &coarse)) {
        sim_table_free(&table);
        return false;
    }
    bool done = true;
    if (!rep->missed) {
        measure_speed(&table, view->motion->gravity, rep);
        measure_ranges(&table, bands, rep);
        rep->sticking = sim_table_sticking(&table, rep->bottom_m, rep->range_m);
        done = sim_table_smoothness(&coarse, &rep->smoothness) && sim_effort_measure(view, &table, rep);
    }
    done = measure_shake(view->motion, bands, rep) && done;
    measure_tilt(view->motion, rep);
    sim_table_free(&table);
    sim_table_free(&coarse);
    return done;
}

static bool descends_first(const struct sim_planned_rep *planned)
{
    return planned->descent_to_s > planned->descent_from_s && planned->descent_to_s <= planned->drive_to_s;
}

static void measure_descent(const struct sim_view *view, const struct sim_planned_rep *planned,
                            const struct sim_bands *bands, struct sim_rep_truth *rep)
{
    const double slack_s = 0.2; /* the bar's own small motions go on around the planned ends */
    double from = planned->descent_from_s, to = planned->descent_to_s, middle = 0.5 * (from + to);
    struct sim_edges edges;
    if (!(to > from)) {
        return;
    }
    double high_s = extreme(view, 1.0, from - slack_s, middle);
    double low_s = descends_first(planned) ? rep->turnaround_s : extreme(view, -1.0, middle, to + slack_s);
    double first = sim_view_height(view, high_s).value, last = sim_view_height(view, low_s).value;
    if (!sim_view_edges(view, high_s, low_s, first, last, &edges)) {
        return;
    }
    rep->descent_start_s = edges.start_s;
    rep->descent_end_s = edges.end_s;
    rep->descent_time_s = edges.end_s - edges.start_s;
    rep->descent = sim_bands_shake(bands, edges.start_s, edges.end_s);
}

static void measure_middle(const struct sim_motion *motion, const struct sim_planned_rep *planned,
                           struct sim_rep_truth *rep)
{
    struct sim_view view = {motion, true};
    struct stroke stroke = find_stroke(&view, planned);
    rep->middle_range_m = stroke.top_m - stroke.low_m;
    if (stroke.driven && !planned->missed) {
        rep->middle_mean_velocity_m_s = mean_velocity(&view, &stroke.drive);
    }
}

static bool measure_rep(const struct sim_motion *motion, const struct sim_planned_rep *planned,
                        const struct sim_bands *bands, struct sim_rep_truth *rep)
{
    struct sim_view view = {motion, false};
    struct stroke stroke = find_stroke(&view, planned);
    clear_rep(rep);
    rep->missed = planned->missed;
    rep->turnaround_s = stroke.low_s;
    rep->top_s = stroke.top_s;
    rep->bottom_m = stroke.low_m;
    rep->top_m = stroke.top_m;
    rep->range_m = stroke.top_m - stroke.low_m;
    measure_middle(motion, planned, rep);
    measure_descent(&view, planned, bands, rep);
    if (!stroke.driven) {
        return true;
    }
    rep->drive_start_s = stroke.drive.start_s;
    rep->drive_end_s = stroke.drive.end_s;
    rep->drive_time_s = rep->drive_end_s - rep->drive_start_s;
    return measure_drive(&view, bands, rep);
}

/* How long the bar stood before the drive: since its own descent, or since that of the rep before where a rep
 * begins at the bottom. */
static void measure_pause(const struct sim_planned_rep *planned, const struct sim_rep_truth *before,
                          struct sim_rep_truth *rep)
{
    double rested_since = before ? before->descent_end_s : (double)NAN;
    if (descends_first(planned)) {
        rested_since = rep->descent_end_s;
    }
    if (!rep->missed && isfinite(rested_since)) {
        rep->pause_s = fmax(rep->drive_start_s - rested_since, 0.0);
    }
}

bool sim_truth_make(const struct sim_motion *motion, struct sim_truth *truth)
{
    struct sim_bands bands;
    if (!sim_bands_make(motion, &bands)) {
        return false;
    }
    *truth = (struct sim_truth){.rep_count = motion->rep_count,
                                .unrack_start_s = motion->unrack_from_s,
                                .unrack_end_s = motion->unrack_to_s,
                                .rerack_start_s = motion->rerack_from_s,
                                .rerack_end_s = motion->rerack_to_s,
                                .duration_s = motion->end_s};
    bool done = true;
    for (size_t i = 0; done && i < motion->rep_count; i++) {
        done = measure_rep(motion, &motion->reps[i], &bands, &truth->reps[i]);
        measure_pause(&motion->reps[i], i ? &truth->reps[i - 1] : NULL, &truth->reps[i]);
    }
    sim_effort_level(motion, truth);
    sim_bands_free(&bands);
    return done;
}
