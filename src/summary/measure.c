/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/measure.h"
#include "barplumb/spectrum.h"
#include "barplumb/units.h"

#include <math.h>

/* A drive that ends in a jerk has speed up to 10 Hz and more; links and plates ring above 15 Hz, where
 * clatter is counted from. */
static const double CLATTER_FREE_HZ = 15, CLATTER_FREE_SHARE = 0.4;
static const double MM = 1e3, CM2 = 1e4, PERCENT = 100;
enum { THIRDS = 3 };

void bp_measure_smooth(double *x, size_t count, double rate_hz)
{
    double cutoff = fmin(CLATTER_FREE_HZ, CLATTER_FREE_SHARE * rate_hz);
    struct bp_biquad section = bp_biquad_lowpass(cutoff, rate_hz, 2);
    bp_biquad_both_ways(&section, x, count);
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
                           struct bp_arena *arena, struct bp_rep_figures *out)
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
                                           .power_w = bp_quantity_unknown()};
        if (first <= last) {
            struct bp_shake_figures shake =
                bp_sideways_measure(m->sideways, m->track->time_s[first], m->track->time_s[last], arena);
            range->shake_mm = bp_quantity_plain(MM * shake.rms_m);
        }
    }
}

static void measure_sticking(const struct bp_measure *m, const struct bp_rep_times *times,
                             struct bp_rep_figures *out)
{
    struct bp_sticking found = bp_sticking_find(m->track, times, m->least_dip_m_s);
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

static double smoothness(const struct bp_measure *m, const struct bp_rep_times *times, struct bp_arena *arena)
{
    if (times->first >= times->last) {
        return (double)NAN;
    }
    size_t n = times->last - times->first + 1;
    double length = m->track->time_s[times->last] - m->track->time_s[times->first];
    return bp_spectral_arc_length(m->track->speed_m_s + times->first, n, (double)(n - 1) / length, arena);
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
    out->range_m = bp_quantity_plain(times.range_m);
    out->mean_velocity_m_s = bp_quantity_plain(bp_mean_speed(&times));
    out->peak_velocity_m_s = bp_quantity_plain(bp_peak_speed(m->track, &times));
    out->propulsive_velocity_m_s =
        bp_quantity_plain(bp_propulsive_speed(m->track, m->smooth_accel, &times, -BP_STANDARD_GRAVITY));
    measure_sticking(m, &times, out);
    measure_ranges(m, &times, arena, out);
    measure_shake(m, &times, arena, out);
    measure_tilt(m, &times, out);
    out->smoothness = bp_quantity_plain(rep->missed ? (double)NAN : smoothness(m, &times, arena));
    bp_speed_profile(m->track, &times, BP_PROFILE_POINTS, out->profile_m_s);
}
