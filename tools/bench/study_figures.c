/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every figure of a report that has a truth.
 */
#include "bench/study.h"

#include <stddef.h>
#include <string.h>

/* The sensor's own noise above 15 Hz reads as 0.1 to 0.5 m/s^2 of clatter: under that a relative error says
 * how quiet the sensor is. */
#define LEAST_CLATTER 0.5

/* Where a light bar is braked the hands give next to nothing: under about 100 N a relative error says how
 * near to 0 the truth is. */
#define LEAST_FORCE 100
#define LEAST_POWER 30
#define LEAST_WORK 10
#define LEAST_IMPULSE 20

/* NOLINTBEGIN(bugprone-macro-parentheses): fields and whole initialisers take no parentheses */
#define AS_SPEED .factor = 1, .unit = "m/s", .scale = {.factor = 1}, .decimals = 4
#define AS_TIME .factor = 1, .unit = "ms", .scale = {.factor = 1e3}, .decimals = 1
#define AS_MM .factor = 1, .unit = "mm", .scale = {.factor = 1e3}, .decimals = 2
#define AS_IS(words, digits) .factor = 1, .unit = words, .scale = {.factor = 1}, .decimals = (digits)
#define RELATIVE(times, least)                                                                               \
    .factor = (times), .unit = "%", .scale = {.factor = 100, .relative = true, .least_truth = (least)},      \
    .decimals = 1
#define MOMENT .moment = true, AS_TIME
#define REP(label, group, field, truth_field, ...)                                                           \
    {                                                                                                        \
        .family = (group), .name = (label), .estimate = offsetof(struct bp_rep_figures, field),              \
        .truth = offsetof(struct sim_rep_truth, truth_field), __VA_ARGS__                                    \
    }
#define SAME(group, field, ...) REP(#field, group, field, field, __VA_ARGS__)
#define STICKING(field, ...)                                                                                 \
    REP("sticking." #field, "Sticking region", sticking.field, sticking.field, .scope = STUDY_STICKING,      \
        __VA_ARGS__)
#define RANGE_SPEED(number, index)                                                                           \
    REP("range_" #number ".mean_velocity_m_s", "Speed and range", ranges[index].mean_velocity_m_s,           \
        range_velocity_m_s[index], AS_SPEED)
#define RANGE_SHAKE(number, index)                                                                           \
    REP("range_" #number ".shake_mm", "Shake", ranges[index].shake_mm, range[index].rms_m, RELATIVE(1e3, 0))
#define SET(field, truth_field, total, ...)                                                                  \
    {                                                                                                        \
        .family = "Set", .name = "set." #field, .estimate = offsetof(struct bp_set_figures, field),          \
        .truth = offsetof(struct sim_rep_truth, truth_field), .scope = (total), __VA_ARGS__                  \
    }
#define SET_OWN(field, whose, ...)                                                                           \
    {                                                                                                        \
        .family = "Load and force", .name = "set." #field,                                                   \
        .estimate = offsetof(struct bp_set_figures, field), .truth = offsetof(struct sim_truth, field),      \
        .scope = (whose), __VA_ARGS__                                                                        \
    }
#define EFFORT(field, least) REP(#field, "Load and force", field, effort.field, RELATIVE(1, least))
#define RANGE_EFFORT(number, index, group, field, least)                                                     \
    REP("range_" #number "." #field, group, ranges[index].field, range_effort[index].field,                  \
        RELATIVE(1, least))
#define RANGE_EFFORTS(group, field, least)                                                                   \
    RANGE_EFFORT(1, 0, group, field, least), RANGE_EFFORT(2, 1, group, field, least),                        \
        RANGE_EFFORT(3, 2, group, field, least)
/* NOLINTEND(bugprone-macro-parentheses) */

const struct study_figure study_figures[] = {
    SAME("Moments", descent_start_s, MOMENT, .reps_of = STUDY_BOTH),
    SAME("Moments", turnaround_s, MOMENT, .reps_of = STUDY_BOTH),
    SAME("Moments", drive_start_s, MOMENT),
    SAME("Moments", drive_end_s, MOMENT),
    SAME("Speed and range", descent_time_s, AS_TIME, .reps_of = STUDY_BOTH),
    SAME("Speed and range", pause_s, AS_TIME),
    SAME("Speed and range", drive_time_s, AS_TIME),
    SAME("Speed and range", range_m, AS_MM),
    REP("missed.range_m", "Speed and range", range_m, range_m, AS_MM, .reps_of = STUDY_MISSED),
    SAME("Speed and range", mean_velocity_m_s, AS_SPEED),
    SAME("Speed and range", peak_velocity_m_s, AS_SPEED),
    /* the rig is known, so its rule holds */
    REP("propulsive_velocity_m_s", "Speed and range", propulsive_velocity_m_s, rig_propulsive_velocity_m_s,
        AS_SPEED),
    RANGE_SPEED(1, 0),
    RANGE_SPEED(2, 1),
    RANGE_SPEED(3, 2),
    STICKING(start_s, MOMENT),
    STICKING(end_s, MOMENT),
    STICKING(start_pct, AS_IS("% of range", 2)),
    STICKING(end_pct, AS_IS("% of range", 2)),
    STICKING(peak_before_m_s, AS_SPEED),
    STICKING(low_m_s, AS_SPEED),
    REP("shake_mm", "Shake", shake_mm, drive.rms_m, RELATIVE(1e3, 0)),
    REP("shake_mm_s", "Shake", shake_mm_s, drive.rms_m_s, RELATIVE(1e3, 0)),
    REP("shake_m_s2", "Shake", shake_m_s2, drive.rms_m_s2, RELATIVE(1, 0)),
    RANGE_SHAKE(1, 0),
    RANGE_SHAKE(2, 1),
    RANGE_SHAKE(3, 2),
    REP("descent_shake_mm", "Shake", descent_shake_mm, descent.rms_m, RELATIVE(1e3, 0),
        .reps_of = STUDY_BOTH),
    SAME("Shake", shake_hz, AS_IS("Hz", 3)),
    REP("sway_area_cm2", "Shake", sway_area_cm2, sway_area_m2, RELATIVE(1e4, 0)),
    SAME("Steadiness", clatter_m_s2, RELATIVE(1, LEAST_CLATTER)),
    SAME("Steadiness", clatter_crest, AS_IS("", 3)),
    SAME("Steadiness", smoothness, AS_IS("", 3)),
    SAME("Steadiness", tilt_deg, AS_IS("deg", 3)),
    EFFORT(load_kg, 0),
    EFFORT(force_n, LEAST_FORCE),
    SAME("Load and force", peak_force_n, RELATIVE(1, 0)),
    EFFORT(power_w, LEAST_POWER),
    SAME("Load and force", peak_power_w, RELATIVE(1, 0)),
    EFFORT(work_j, LEAST_WORK),
    EFFORT(impulse_n_s, LEAST_IMPULSE),
    SET_OWN(load_bottom_kg, STUDY_SET_OWN, RELATIVE(1, 0)),
    SET_OWN(load_halfway_kg, STUDY_SET_OWN, RELATIVE(1, 0)),
    SET_OWN(load_lockout_kg, STUDY_SET_OWN, RELATIVE(1, 0)),
    SET_OWN(share_pct, STUDY_SET_HUNG, AS_IS("% of lockout", 2)),
    RANGE_EFFORTS("Load and force of a third", load_kg, 0),
    RANGE_EFFORTS("Load and force of a third", force_n, LEAST_FORCE),
    RANGE_EFFORTS("Power, work and impulse of a third", power_w, LEAST_POWER),
    RANGE_EFFORTS("Power, work and impulse of a third", work_j, LEAST_WORK),
    RANGE_EFFORTS("Power, work and impulse of a third", impulse_n_s, LEAST_IMPULSE),
    SET(mean_velocity_m_s, mean_velocity_m_s, STUDY_SET_MEAN, AS_SPEED),
    SET(best_velocity_m_s, mean_velocity_m_s, STUDY_SET_BEST, AS_SPEED),
    SET(velocity_loss_pct, mean_velocity_m_s, STUDY_SET_LOSS, AS_IS("% of best", 2)),
    SET(shake_mm, drive.rms_m, STUDY_SET_MEAN, RELATIVE(1e3, 0)),
    SET(shake_m_s2, drive.rms_m_s2, STUDY_SET_MEAN, RELATIVE(1, 0)),
    SET(shake_hz, shake_hz, STUDY_SET_MEAN, AS_IS("Hz", 3)),
    SET(clatter_m_s2, clatter_m_s2, STUDY_SET_MEAN, RELATIVE(1, LEAST_CLATTER)),
    SET(smoothness, smoothness, STUDY_SET_MEAN, AS_IS("", 3)),
};

const size_t study_figure_count = sizeof study_figures / sizeof *study_figures;

size_t study_figure_named(const char *name)
{
    size_t f = 0;
    while (f < study_figure_count && strcmp(study_figures[f].name, name) != 0) {
        f++;
    }
    return f;
}
