/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Summary: every figure of one set, as reports read it. Field names are the JSON names.
 */
#ifndef BARPLUMB_SUMMARY_H
#define BARPLUMB_SUMMARY_H

#include "barplumb/finding.h"
#include "barplumb/lift.h"
#include "barplumb/quantity.h"
#include "barplumb/rig.h"
#include "barplumb/trace.h"
#include "barplumb/traces.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { BP_RANGES_MAX = 8, BP_PROFILE_POINTS = 24 };

struct bp_range_figures {
    const char *name;        /* "off the chest", … */
    double from_pct, to_pct; /* of the drive's rise */
    struct bp_quantity mean_velocity_m_s;
    struct bp_quantity shake_mm; /* rms displacement along the bar, 0.7-8 Hz */
    /* Unknown without a rig or bar mass: */
    struct bp_quantity load_kg; /* what would hold the bar still, mean over the time in the range, over g_n */
    struct bp_quantity force_n; /* the hands' vertical force, mean over that time */
    struct bp_quantity power_w; /* work over that time */
    struct bp_quantity work_j;  /* force times way */
    struct bp_quantity impulse_n_s; /* force times time */
};

struct bp_sticking_figures {
    bool present;
    double start_s, end_s;                 /* log time */
    struct bp_quantity start_pct, end_pct; /* height, % of the rep's range */
    struct bp_quantity peak_before_m_s, low_m_s;
};

struct bp_rep_figures {
    size_t index; /* 1-based */
    bool missed;  /* the drive ended short of lockout; velocity figures are then unknown */
    double descent_start_s, turnaround_s, drive_start_s, drive_end_s; /* log time, s; NaN if absent */
    struct bp_quantity descent_time_s, pause_s, drive_time_s;
    struct bp_quantity range_m;
    struct bp_quantity mean_velocity_m_s, peak_velocity_m_s, propulsive_velocity_m_s;
    struct bp_sticking_figures sticking;
    size_t range_count;
    struct bp_range_figures ranges[BP_RANGES_MAX];
    struct bp_quantity shake_mm, shake_mm_s, shake_m_s2, shake_hz; /* over the drive */
    struct bp_quantity descent_shake_mm;                           /* over the descent */
    struct bp_quantity clatter_m_s2, clatter_crest;
    struct bp_quantity sway_area_cm2;
    struct bp_quantity smoothness;
    struct bp_quantity tilt_deg;
    /* Over the drive, as in its ranges; unknown without a rig or bar mass. */
    struct bp_quantity load_kg, force_n, peak_force_n, power_w, peak_power_w, work_j, impulse_n_s;
    /* Speed at BP_PROFILE_POINTS heights, evenly spread over the drive's rise, m/s: the small picture. */
    double profile_m_s[BP_PROFILE_POINTS];
};

struct bp_set_figures {
    enum bp_lift lift;
    bool lift_given; /* false: nobody named the lift and the default was taken */
    char setup[64];  /* "" if not given */
    size_t reps;     /* completed */
    size_t missed;
    struct bp_quantity mean_velocity_m_s; /* mean over completed reps */
    struct bp_quantity best_velocity_m_s; /* fastest completed rep */
    struct bp_quantity velocity_loss_pct; /* (best - last) / best * 100 */
    struct bp_quantity shake_mm, shake_m_s2, shake_hz;
    struct bp_quantity clatter_m_s2;
    struct bp_quantity smoothness;
    /* What would hold the bar still at the completed reps' mean turnaround, lockout and halfway between, over
     * g_n; unknown without a rig or bar mass. */
    struct bp_quantity load_bottom_kg, load_halfway_kg, load_lockout_kg;
    struct bp_quantity share_pct; /* (lockout - bottom) / lockout: what chains and bands do of the load */
    bool loaded;                  /* a rig or bar mass was given */
    bool load_varies;             /* chains or bands hang on it */
    enum bp_matched matched;      /* where the coach means it to be as heavy as another setup */
    char rig[BP_RIG_NAME];        /* the rig's name, "" if it has none */
};

struct bp_log_facts {
    char path[512];
    size_t rows;
    double rate_hz, duration_s;
    bool gyroscope;
    bool shake_apparent; /* no gyroscope: tilt could not be told from shake */
    bool axis_known;     /* the axis along the bar was given or found */
    struct bp_recognised recognised;
    size_t part, parts; /* of a log of several sets: which, from 1, and how many; 0: the log is one set's */
    double part_from_s; /* log time of the part's first sample; every other time here is log time too */
    size_t recording, recordings; /* of a log of several: which, from 1; log time is then its own; else 0 */
};

struct bp_summary {
    struct bp_log_facts log;
    struct bp_findings findings;
    struct bp_set_figures set;
    size_t rep_count; /* completed and missed, in time order */
    struct bp_rep_figures *reps;
    struct bp_traces *traces; /* NULL unless asked for */
    /* Between the sound reps on either side of a spoilt part, log time: reps in here have no figures, and may
     * be missing or too many. Each has its finding, "reps-doubtful". Not in a report's JSON. */
    struct bp_doubts doubts;
};

#ifdef __cplusplus
}
#endif
#endif
