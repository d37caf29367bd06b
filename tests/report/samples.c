/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/samples.h"

#include <stdio.h>
#include <string.h>

static struct bp_quantity with_half(double value, double half)
{
    struct bp_quantity q = {value, value - half, value + half};
    return q;
}

static void fill_profile(struct bp_rep_figures *rep, double peak, size_t points)
{
    for (size_t i = 0; i < BP_PROFILE_POINTS; i++) {
        double height = ((double)i + 0.5) / BP_PROFILE_POINTS;
        double dip = height > 0.35 && height < 0.65 ? 0.7 : 1.0;
        rep->profile_m_s[i] = i < points ? peak * dip * 4.0 * height * (1.0 - height) : (double)NAN;
    }
}

static void fill_range(struct bp_range_figures *range, const char *name, size_t i, double speed)
{
    *range = (struct bp_range_figures){
        .name = name,
        .from_pct = 100.0 * (double)i / 3.0,
        .to_pct = 100.0 * (double)(i + 1) / 3.0,
        .mean_velocity_m_s = with_half(speed, 0.006),
        .shake_mm = with_half(4.1 - 0.9 * (double)i, 0.25),
        .load_kg = with_half(95.0 + 8.0 * (double)i, 0.6),
        .force_n = with_half(1010.0 + 60.0 * (double)i, 9.5),
        .power_w = with_half(1010.0 * speed, 12.0),
        .work_j = with_half(138.0 + 8.0 * (double)i, 1.9),
        .impulse_n_s = with_half(138.0 / speed, 2.6),
    };
}

static void fill_rep(struct bp_rep_figures *rep, size_t index, double mean)
{
    double start = 4.0 + 5.25 * (double)index;
    *rep = (struct bp_rep_figures){
        .index = index,
        .descent_start_s = start,
        .turnaround_s = start + 1.42,
        .drive_start_s = start + 1.73,
        .drive_end_s = start + 1.73 + 0.412 / mean,
        .descent_time_s = with_half(1.42, 0.012),
        .pause_s = with_half(0.31, 0.018),
        .drive_time_s = with_half(0.412 / mean, 0.011),
        .range_m = with_half(0.412, 0.0041),
        .mean_velocity_m_s = with_half(mean, 0.0042),
        .peak_velocity_m_s = with_half(mean * 1.45, 0.011),
        .propulsive_velocity_m_s = with_half(mean * 1.03, 0.0045),
        .sticking = {true, start + 2.1, start + 2.4, with_half(34.2, 1.5), with_half(52.0, 2.1),
                     with_half(mean * 1.2, 0.011), with_half(mean * 0.75, 0.013)},
        .range_count = 3,
        .shake_mm = with_half(3.42, 0.21),
        .shake_mm_s = with_half(41.5, 2.2),
        .shake_m_s2 = with_half(0.612, 0.034),
        .shake_hz = with_half(2.1, 0.2),
        .descent_shake_mm = with_half(2.05, 0.18),
        .clatter_m_s2 = with_half(1.21, 0.02),
        .clatter_crest = with_half(4.8, 0.3),
        .sway_area_cm2 = with_half(4.1, 0.5),
        .smoothness = with_half(-3.21, 0.05),
        .tilt_deg = with_half(1.2, 0.1),
        .load_kg = with_half(103.2, 0.6),
        .force_n = with_half(1068.0, 8.2),
        .peak_force_n = with_half(1345.0, 31.0),
        .power_w = with_half(1068.0 * mean, 11.0),
        .peak_power_w = with_half(1345.0 * mean, 24.0),
        .work_j = with_half(440.0, 4.4),
        .impulse_n_s = with_half(440.0 / mean, 7.5),
    };
    fill_range(&rep->ranges[0], "off the chest", 0, mean * 1.1);
    fill_range(&rep->ranges[1], "middle", 1, mean * 0.9);
    fill_range(&rep->ranges[2], "lockout", 2, mean);
    fill_profile(rep, mean * 1.45, BP_PROFILE_POINTS);
}

static void make_missed(struct bp_rep_figures *rep)
{
    rep->missed = true;
    rep->range_m = with_half(0.255, 0.005);
    rep->drive_end_s = (double)NAN;
    rep->drive_time_s = bp_quantity_unknown();
    rep->mean_velocity_m_s = bp_quantity_unknown();
    rep->peak_velocity_m_s = bp_quantity_unknown();
    rep->propulsive_velocity_m_s = bp_quantity_unknown();
    rep->sticking.present = false;
    rep->range_count = 0;
    rep->load_kg = rep->force_n = rep->peak_force_n = bp_quantity_unknown();
    rep->power_w = rep->peak_power_w = rep->work_j = rep->impulse_n_s = bp_quantity_unknown();
    fill_profile(rep, 0.35, 15);
}

static void fill_log(struct bp_log_facts *log, const char *path)
{
    *log = (struct bp_log_facts){
        .rows = 6840, .rate_hz = 199.87, .duration_s = 34.195, .gyroscope = true, .axis_known = true};
    snprintf(log->path, sizeof log->path, "%s", path);
    snprintf(log->recognised.container, sizeof log->recognised.container,
             "CSV, separator ';', decimal comma");
    snprintf(log->recognised.columns, sizeof log->recognised.columns,
             "time: 'time (ms)' in ms; x: 'ax' in g");
}

void sample_full(struct sample *sample)
{
    memset(sample, 0, sizeof *sample);
    struct bp_summary *summary = &sample->summary;
    static const double means[SAMPLE_REPS] = {0.45, 0.42, 0.37, 0.3};
    for (size_t i = 0; i < SAMPLE_REPS; i++) {
        fill_rep(&sample->reps[i], i + 1, means[i]);
    }
    sample->reps[0].sticking.present = false;
    make_missed(&sample->reps[SAMPLE_REPS - 1]);
    fill_log(&summary->log, "harbour/l1-bench-chains.csv");
    summary->set = (struct bp_set_figures){.lift = BP_BENCH,
                                           .lift_given = true,
                                           .setup = "chains, 2 x 8 kg",
                                           .reps = 3,
                                           .missed = 1,
                                           .mean_velocity_m_s = with_half(0.4133, 0.0031),
                                           .best_velocity_m_s = with_half(0.45, 0.0042),
                                           .velocity_loss_pct = with_half(17.8, 1.3),
                                           .shake_mm = with_half(3.42, 0.12),
                                           .shake_m_s2 = with_half(0.612, 0.02),
                                           .shake_hz = with_half(2.1, 0.1),
                                           .clatter_m_s2 = with_half(1.21, 0.012),
                                           .smoothness = with_half(-3.21, 0.03),
                                           .load_bottom_kg = with_half(92.1, 0.5),
                                           .load_halfway_kg = with_half(103.4, 0.6),
                                           .load_lockout_kg = with_half(114.6, 0.8),
                                           .share_pct = with_half(19.6, 0.4),
                                           .loaded = true,
                                           .load_varies = true,
                                           .matched = BP_MATCHED_LOCKOUT,
                                           .rig = "chains, 2 strands a side"};
    summary->rep_count = SAMPLE_REPS;
    summary->reps = sample->reps;
    bp_findings_add(&summary->findings, "gap", BP_RESERVATION, 12.3,
                    "0.12 s of samples are missing; the figures of the rep in which they fall are wider");
    bp_findings_add(&summary->findings, "jitter", BP_NOTE, (double)NAN, "the clock is uneven by 0.4 ms");
}

void sample_bare(struct sample *sample)
{
    memset(sample, 0, sizeof *sample);
    struct bp_summary *summary = &sample->summary;
    struct bp_rep_figures *rep = &sample->reps[0];
    struct bp_quantity unknown = bp_quantity_unknown();
    *rep = (struct bp_rep_figures){.index = 1,
                                   .descent_start_s = (double)NAN,
                                   .turnaround_s = 3.5,
                                   .drive_start_s = 3.5,
                                   .drive_end_s = 4.625,
                                   .descent_time_s = unknown,
                                   .pause_s = unknown,
                                   .drive_time_s = bp_quantity_plain(1.125),
                                   .range_m = bp_quantity_plain(0.61),
                                   .mean_velocity_m_s = bp_quantity_plain(0.5422),
                                   .peak_velocity_m_s = bp_quantity_plain(0.9),
                                   .propulsive_velocity_m_s = bp_quantity_plain(0.56),
                                   .range_count = 0,
                                   .shake_mm = bp_quantity_plain(5.5),
                                   .shake_mm_s = unknown,
                                   .shake_m_s2 = unknown,
                                   .shake_hz = unknown,
                                   .descent_shake_mm = unknown,
                                   .clatter_m_s2 = unknown,
                                   .clatter_crest = unknown,
                                   .sway_area_cm2 = unknown,
                                   .smoothness = unknown,
                                   .tilt_deg = unknown,
                                   .load_kg = unknown,
                                   .force_n = unknown,
                                   .peak_force_n = unknown,
                                   .power_w = unknown,
                                   .peak_power_w = unknown,
                                   .work_j = unknown,
                                   .impulse_n_s = unknown};
    fill_profile(rep, (double)NAN, 0);
    fill_log(&summary->log, "-");
    summary->log.gyroscope = false;
    summary->log.shake_apparent = true;
    summary->log.axis_known = false;
    summary->set = (struct bp_set_figures){.lift = BP_SQUAT,
                                           .reps = 1,
                                           .mean_velocity_m_s = bp_quantity_plain(0.5422),
                                           .best_velocity_m_s = bp_quantity_plain(0.5422),
                                           .velocity_loss_pct = unknown,
                                           .shake_mm = bp_quantity_plain(5.5),
                                           .shake_m_s2 = unknown,
                                           .shake_hz = unknown,
                                           .clatter_m_s2 = unknown,
                                           .smoothness = unknown,
                                           .load_bottom_kg = unknown,
                                           .load_halfway_kg = unknown,
                                           .load_lockout_kg = unknown,
                                           .share_pct = unknown};
    summary->rep_count = 1;
    summary->reps = sample->reps;
}

void sample_hostile(struct sample *sample)
{
    sample_full(sample);
    struct bp_summary *summary = &sample->summary;
    snprintf(summary->log.path, sizeof summary->log.path,
             "=cmd|'/c x'!A1,\"q\"\n\033[2J\\\xE2\x96\xFF\xC3\xA9.csv");
    snprintf(summary->set.setup, sizeof summary->set.setup, "@chains\r\t\xC2\x9B\x80");
}

void sample_check(struct sample_check *sample)
{
    memset(sample, 0, sizeof *sample);
    struct bp_trace *trace = &sample->trace;
    struct bp_check *check = &sample->check;
    trace->count = 6838;
    trace->gyroscope = true;
    trace->force_limit = 78.45;
    trace->turn_limit = (double)NAN;
    snprintf(trace->recognised.container, sizeof trace->recognised.container,
             "CSV, separator ';', decimal comma");
    snprintf(
        trace->recognised.columns, sizeof trace->recognised.columns,
        "time: 'time (ms)' in ms; x: 'ax' in g; y: 'ay' in g; z: 'az' in g; turn x: 'gx' in deg/s; turn y: "
        "'gy' in deg/s; turn z: 'gz' in deg/s");
    trace->recognised.rows = 6840;
    trace->recognised.declared_rate_hz = (double)NAN;
    check->clock = (struct bp_clock){199.87, 0.005003, 0.0004, 0.0613, 2, 34.195};
    check->noise = (struct bp_noise){0.0213, 0.00121, 9.8043, {0.01, -0.004, 0.0}};
    sample->spells[0] = (struct bp_spell){0, 400};
    sample->spells[1] = (struct bp_spell){6000, 6837};
    check->still = (struct bp_spells){2, sample->spells};
    check->still_total_s = 6.2;
    check->gravity_low = 9.78;
    check->gravity_high = 9.833;
    check->clipped = 3;
    check->missing_s = 0.12;
    check->stuck[4] = true;
    check->verdict = BP_FIT_WITH_RESERVATIONS;
    bp_findings_add(&check->findings, "clipped", BP_RESERVATION, 12.305,
                    "the acceleration stands at the sensor's limit, 78.5 m/s^2, in 3 samples");
    bp_findings_add(&check->findings, "rate", BP_NOTE, (double)NAN, "199.9 samples a second");
}

/* The writers only need the verdict's words; the check stage itself stays out of their tests. */
const char *bp_verdict_name(enum bp_verdict verdict)
{
    return verdict == BP_FIT ? "fit" : verdict == BP_NOT_FIT ? "not fit" : "fit with reservations";
}
