/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/measure.h"
#include "barplumb/spectrum.h"
#include "barplumb/units.h"

#include <math.h>
#include <string.h>

/* Links and plates ring above 15 Hz, where clatter is counted from. Where they ring past LOUD, m/s rms above
 * that over the drives, what 15 Hz leaves would still lift the peaks, and rounding the drive's ends is the
 * lesser harm. */
static const double CLATTER_HZ = 15, LOUD_HZ = 10, LOUD_M_S = 0.01, HIGHEST_SHARE = 0.4;
/* Where the shake band ends too: past it nothing is the lifter's. */
static const double CALM_HZ = 8;
/* A sticking region must dip by this, m/s, and in nearly all draws. */
static const double LEAST_DIP_M_S = 0.02;
static const double MM = 1e3, CM2 = 1e4, PERCENT = 100;
enum { THIRDS = 3 };
/* The spectral arc length hangs a little on the step: one that the slowest useful log still has. */
static const double SMOOTHNESS_STEP_S = 0.02;

static void lowpass(const double *x, size_t count, double cutoff_hz, double rate_hz, double *out)
{
    double cutoff = fmin(cutoff_hz, HIGHEST_SHARE * rate_hz);
    struct bp_biquad section = bp_biquad_lowpass(cutoff, rate_hz, 2);
    memcpy(out, x, count * sizeof *out);
    bp_biquad_both_ways(&section, out, count);
}

/* What smoothing took out of the speed over the middle half of the drives, as rms: from its mean size, in
 * which the few samples of a sharp turn weigh less than a ring does; a drive's ends are sharp turns. */
static double ripple(const struct bp_track *track, const struct bp_track *smooth, const struct bp_reps *reps)
{
    const double NORMAL = 1.2533141373155003; /* √(π/2): a normal's sd over its mean size */
    double sum = 0, count = 0;
    for (size_t r = 0; r < reps->count; r++) {
        size_t quarter = (reps->list[r].top - reps->list[r].bottom) / 4;
        for (size_t i = reps->list[r].bottom + quarter; i + quarter <= reps->list[r].top; i++) {
            sum += fabs(track->speed_m_s[i] - smooth->speed_m_s[i]);
            count++;
        }
    }
    return count > 0 ? NORMAL * sum / count : 0;
}

bool bp_measure_smooth(const struct bp_track *track, const struct bp_reps *reps, double rate_hz,
                       struct bp_arena *arena, struct bp_track *smooth)
{
    size_t n = track->count;
    *smooth = *track;
    smooth->speed_m_s = bp_arena_doubles(arena, n);
    smooth->accel_m_s2 = bp_arena_doubles(arena, n);
    if (!smooth->speed_m_s || !smooth->accel_m_s2) {
        return false;
    }
    lowpass(track->speed_m_s, n, CLATTER_HZ, rate_hz, smooth->speed_m_s);
    double cutoff = CLATTER_HZ;
    if (ripple(track, smooth, reps) >= LOUD_M_S) {
        cutoff = LOUD_HZ;
        lowpass(track->speed_m_s, n, cutoff, rate_hz, smooth->speed_m_s);
    }
    lowpass(track->accel_m_s2, n, cutoff, rate_hz, smooth->accel_m_s2);
    return true;
}

double *bp_measure_calm(const double *x, size_t count, double rate_hz, struct bp_arena *arena)
{
    double *calm = bp_arena_doubles(arena, count);
    if (calm) {
        lowpass(x, count, CALM_HZ, rate_hz, calm);
    }
    return calm;
}

static void measure_rhythm(const struct bp_measure *m, const struct bp_rep *rep, const struct bp_rep *before,
                           const struct bp_rep_times *times, struct bp_rep_figures *out)
{
    out->descent_start_s = times->descent_start.time_s;
    out->turnaround_s = times->turnaround.time_s;
    out->drive_start_s = times->drive_start.time_s;
    out->drive_end_s = times->drive_end.time_s;
    out->descent_time_s = bp_quantity_plain(times->descent_end.time_s - times->descent_start.time_s);
    double rested_since = times->descent_end.time_s;
    if (!rep->has_before) {
        rested_since = (double)NAN;
        if (before && before->has_after) {
            struct bp_rep_times then = bp_rep_times(m->track, before, m->settings->edge_speed_m_s);
            rested_since = then.descent_end.time_s;
        }
    }
    out->pause_s = bp_quantity_plain(fmax(times->drive_start.time_s - rested_since, 0));
    if (!isfinite(rested_since)) {
        out->pause_s = bp_quantity_unknown();
    }
}

static void measure_shake(const struct bp_measure *m, const struct bp_rep_times *times,
                          struct bp_arena *arena, struct bp_rep_figures *out)
{
    struct bp_shake_figures drive =
        bp_sideways_measure(m->sideways, times->drive_start.time_s, times->drive_end.time_s, arena);
    double descent_m = bp_sideways_rms(m->sideways, times->descent_start.time_s, times->descent_end.time_s);
    out->shake_mm = bp_quantity_plain(MM * drive.rms_m);
    out->shake_mm_s = bp_quantity_plain(MM * drive.rms_m_s);
    out->shake_m_s2 = bp_quantity_plain(drive.rms_m_s2);
    out->shake_hz = bp_quantity_plain(drive.dominant_hz);
    out->descent_shake_mm = bp_quantity_plain(MM * descent_m);
    out->clatter_m_s2 = bp_quantity_plain(drive.clatter_rms_m_s2);
    out->clatter_crest = bp_quantity_plain(drive.clatter_crest);
    out->sway_area_cm2 = bp_quantity_plain(CM2 * drive.sway_area_m2);
}

static void measure_tilt(const struct bp_measure *m, const struct bp_rep_times *times,
                         struct bp_rep_figures *out)
{
    out->tilt_deg = bp_quantity_plain(bp_sideways_tilt_deg(m->sideways, times->first, times->last));
}

static void measure_ranges(const struct bp_measure *m, const struct bp_rep_times *times,
                           struct bp_rep_figures *out)
{
    const struct bp_lift_facts *facts = bp_lift_facts(m->lift);
    out->range_count = THIRDS;
    for (int r = 0; r < THIRDS; r++) {
        double from = (double)r / THIRDS, to = (double)(r + 1) / THIRDS;
        struct bp_range_figures *range = &out->ranges[r];
        size_t first = 1, last = 0;
        double speed = bp_range_speed(m->track, times, from, to, &first, &last);
        *range = (struct bp_range_figures){.name = facts->range_names[r],
                                           .from_pct = PERCENT * from,
                                           .to_pct = PERCENT * to,
                                           .mean_velocity_m_s = bp_quantity_plain(speed),
                                           .shake_mm = bp_quantity_unknown(),
                                           .load_kg = bp_quantity_unknown(),
                                           .force_n = bp_quantity_unknown(),
                                           .power_w = bp_quantity_unknown(),
                                           .work_j = bp_quantity_unknown(),
                                           .impulse_n_s = bp_quantity_unknown()};
        if (first <= last) {
            double shake = bp_sideways_rms(m->sideways, m->track->time_s[first], m->track->time_s[last]);
            range->shake_mm = bp_quantity_plain(MM * shake);
        }
    }
}

static void measure_sticking(const struct bp_measure *m, const struct bp_rep_times *times,
                             struct bp_rep_figures *out)
{
    struct bp_sticking found = bp_sticking_find(m->track, times, LEAST_DIP_M_S);
    struct bp_sticking_figures *sticking = &out->sticking;
    *sticking = (struct bp_sticking_figures){.present = found.present};
    if (found.present) {
        double bottom = times->turnaround.height_m;
        sticking->start_s = found.start.time_s;
        sticking->end_s = found.end.time_s;
        sticking->start_pct = bp_quantity_plain(PERCENT * (found.start.height_m - bottom) / times->range_m);
        sticking->end_pct = bp_quantity_plain(PERCENT * (found.end.height_m - bottom) / times->range_m);
        sticking->peak_before_m_s = bp_quantity_plain(found.peak_before_m_s);
        sticking->low_m_s = bp_quantity_plain(found.low_m_s);
    }
}

/* The speed at `count` evenly spread moments from the drive's start to its end, edges included, so that the
 * figure hangs neither on the log's rate nor on where its samples fell: the cubic through the speeds and
 * accelerations of the samples on either side. */
static void resample_drive(const struct bp_track *track, const struct bp_rep_times *times, size_t count,
                           double *speed)
{
    const double *t = track->time_s, *v = track->speed_m_s, *a = track->accel_m_s2;
    double start = times->drive_start.time_s, step = (times->drive_end.time_s - start) / (double)(count - 1);
    size_t i = times->first > 0 ? times->first - 1 : 0;
    for (size_t k = 0; k < count; k++) {
        double at = start + (double)k * step;
        while (i + 2 < track->count && t[i + 1] < at) {
            i++;
        }
        double dt = t[i + 1] - t[i], x = (at - t[i]) / dt, rise = v[i + 1] - v[i];
        double d0 = a[i] * dt, d1 = a[i + 1] * dt;
        speed[k] = v[i] + x * (d0 + x * (3 * rise - 2 * d0 - d1 + x * (d0 + d1 - 2 * rise)));
    }
}

static double smoothness(const struct bp_measure *m, const struct bp_rep_times *times, struct bp_arena *arena)
{
    double length = times->drive_end.time_s - times->drive_start.time_s;
    if (times->first >= times->last || !(length > 0)) {
        return (double)NAN;
    }
    size_t count = (size_t)ceil(length / SMOOTHNESS_STEP_S) + 1;
    double *speed = bp_arena_doubles(arena, count);
    if (!speed) {
        return (double)NAN;
    }
    resample_drive(m->track, times, count, speed);
    return bp_spectral_arc_length(speed, count, (double)(count - 1) / length, arena);
}

/* What the hands gave, and until when: both want the load at every moment. */
static void measure_loads(const struct bp_measure *m, const struct bp_rep_times *times,
                          struct bp_arena *arena, struct bp_rep_figures *out)
{
    struct bp_load_samples samples;
    out->propulsive_velocity_m_s = bp_quantity_unknown();
    out->load_kg = out->force_n = out->peak_force_n = bp_quantity_unknown();
    out->power_w = out->peak_power_w = out->work_j = out->impulse_n_s = bp_quantity_unknown();
    if (bp_loads_sample(m->loads, m->track, times, arena, &samples)) {
        out->propulsive_velocity_m_s =
            bp_quantity_plain(bp_propulsive_speed(m->track, samples.push_m_s2, samples.base, times));
        if (m->loads->model) {
            bp_loads_measure(&samples, m->track, times, out);
        }
    }
}

void bp_measure_rep(const struct bp_measure *m, const struct bp_rep *rep, const struct bp_rep *before,
                    struct bp_arena *arena, struct bp_rep_figures *out)
{
    struct bp_rep_times times = bp_rep_times(m->track, rep, m->settings->edge_speed_m_s);
    out->missed = rep->missed;
    measure_rhythm(m, rep, before, &times, out);
    if (rep->missed) { /* a drive that never ended has no speeds; its shake would be the struggle's */
        times.drive_start.time_s = times.drive_end.time_s = (double)NAN;
        times.first = 1;
        times.last = 0;
        out->drive_start_s = out->drive_end_s = (double)NAN;
        out->pause_s = bp_quantity_unknown();
    }
    out->drive_time_s = bp_quantity_plain(out->drive_end_s - out->drive_start_s);
    out->range_m = bp_quantity_plain(times.range_m);
    out->mean_velocity_m_s = bp_quantity_plain(bp_mean_speed(&times));
    out->peak_velocity_m_s = bp_quantity_plain(bp_peak_speed(m->track, &times));
    measure_sticking(m, &times, out);
    measure_ranges(m, &times, out);
    measure_loads(m, &times, arena, out);
    measure_shake(m, &times, arena, out);
    measure_tilt(m, &times, out);
    out->smoothness = bp_quantity_plain(rep->missed ? (double)NAN : smoothness(m, &times, arena));
    bp_speed_profile(m->track, &times, BP_PROFILE_POINTS, out->profile_m_s);
}
