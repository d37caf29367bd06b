/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/loads.h"
#include "barplumb/text.h"
#include "barplumb/units.h"

#include <math.h>

static const double PERCENT = 100, CM = 100;
/* A tape held to a bar in a lifter's hands is good for so much, m; common practice, no source. */
static const double TAPE_M = 0.05;

struct bp_usual_heights bp_loads_heights(const struct bp_track *track, const struct bp_reps *reps)
{
    struct bp_usual_heights sum = {0, 0};
    double count = 0;
    for (size_t r = 0; r < reps->count; r++) {
        const struct bp_rep *rep = &reps->list[r];
        if (!rep->missed) {
            sum.bottom_m += track->height_m[rep->bottom];
            sum.top_m += track->height_m[rep->top];
            count++;
        }
    }
    /* 0 / 0 without a completed rep: NaN, as promised */
    return (struct bp_usual_heights){sum.bottom_m / count, sum.top_m / count};
}

void bp_loads_settle(struct bp_loads *loads, const struct bp_track *track, const struct bp_reps *reps)
{
    loads->datum_m = 0;
    if (loads->model && bp_load_varies(loads->model)) {
        struct bp_usual_heights usual = bp_loads_heights(track, reps);
        double lockout = bp_load_lockout_m(loads->model), bottom = bp_load_bottom_m(loads->model);
        loads->datum_m = isfinite(lockout) ? lockout - usual.top_m : bottom - usual.bottom_m;
    }
}

static bool take(struct bp_load_samples *samples, struct bp_arena *arena)
{
    samples->weight_n = bp_arena_doubles(arena, samples->count);
    samples->hand_n = bp_arena_doubles(arena, samples->count);
    samples->power_w = bp_arena_doubles(arena, samples->count);
    samples->calm_n = bp_arena_doubles(arena, samples->count);
    samples->push_m_s2 = bp_arena_doubles(arena, samples->count);
    return samples->weight_n && samples->hand_n && samples->power_w && samples->calm_n && samples->push_m_s2;
}

bool bp_loads_sample(const struct bp_loads *loads, const struct bp_track *track,
                     const struct bp_rep_times *times, struct bp_arena *arena,
                     struct bp_load_samples *samples)
{
    if (times->first > times->last) {
        return false;
    }
    size_t first = times->first - (times->first > 0), last = times->last + (times->last + 1 < track->count);
    samples->base = first;
    samples->count = last - first + 1;
    if (!take(samples, arena)) {
        return false;
    }
    for (size_t i = first, k = 0; i <= last; i++, k++) {
        struct bp_load_state state = {loads->datum_m + track->height_m[i], track->speed_m_s[i],
                                      track->accel_m_s2[i]};
        struct bp_load load = {.weight_n = (double)NAN, .hand_n = (double)NAN, .let_go_m_s2 = (double)NAN};
        double quicker = 0;
        if (loads->model) {
            bp_load_at(loads->model, &state, &load);
            load.hand_n += load.moving_kg * (loads->gravity_m_s2 - BP_STANDARD_GRAVITY);
            quicker = load.moving_kg * (loads->own_m_s2[i] - loads->calm_m_s2[i]);
        }
        /* where the load is not known the free weight's rule has to do */
        double let_go = isfinite(load.let_go_m_s2) ? load.let_go_m_s2 : -BP_STANDARD_GRAVITY;
        samples->weight_n[k] = load.weight_n;
        samples->hand_n[k] = load.hand_n;
        samples->power_w[k] = load.hand_n * state.speed_m_s;
        samples->calm_n[k] = load.hand_n - quicker;
        samples->push_m_s2[k] = state.accel_m_s2 - let_go;
    }
    return true;
}

/* What a stretch of the drive sums up to. */
struct sums {
    struct bp_quantity load_kg, force_n, power_w, work_j, impulse_n_s;
};

static struct sums sum_up(const struct bp_load_samples *samples, const struct bp_track *track,
                          const struct bp_rep_times *times, double from, double to)
{
    size_t base = samples->base;
    double spent = bp_range_integral(track, times, from, to, NULL, base);
    double weight = bp_range_integral(track, times, from, to, samples->weight_n, base);
    double impulse = bp_range_integral(track, times, from, to, samples->hand_n, base);
    double work = bp_range_integral(track, times, from, to, samples->power_w, base);
    if (!(spent > 0)) {
        impulse = work = (double)NAN;
    }
    return (struct sums){.load_kg = bp_quantity_plain(weight / spent / BP_STANDARD_GRAVITY),
                         .force_n = bp_quantity_plain(impulse / spent),
                         .power_w = bp_quantity_plain(work / spent),
                         .work_j = bp_quantity_plain(work),
                         .impulse_n_s = bp_quantity_plain(impulse)};
}

/* Largest force and power of the samples strictly inside the drive; NaN where one is not known. */
static void find_peaks(const struct bp_load_samples *samples, const struct bp_track *track,
                       const struct bp_rep_times *times, struct bp_rep_figures *rep)
{
    double force = -HUGE_VAL, power = -HUGE_VAL;
    for (size_t i = times->first; i <= times->last; i++) {
        double n = samples->calm_n[i - samples->base];
        force = isnan(n) || n > force ? n : force;
        power = isnan(n) || n * track->speed_m_s[i] > power ? n * track->speed_m_s[i] : power;
        if (isnan(n)) {
            break;
        }
    }
    rep->peak_force_n = bp_quantity_plain(force);
    rep->peak_power_w = bp_quantity_plain(power);
}

void bp_loads_measure(const struct bp_load_samples *samples, const struct bp_track *track,
                      const struct bp_rep_times *times, struct bp_rep_figures *rep)
{
    struct sums whole = sum_up(samples, track, times, 0, 1);
    rep->load_kg = whole.load_kg;
    rep->force_n = whole.force_n;
    rep->power_w = whole.power_w;
    rep->work_j = whole.work_j;
    rep->impulse_n_s = whole.impulse_n_s;
    find_peaks(samples, track, times, rep);
    for (size_t r = 0; r < rep->range_count; r++) {
        struct bp_range_figures *range = &rep->ranges[r];
        struct sums part = sum_up(samples, track, times, range->from_pct / PERCENT, range->to_pct / PERCENT);
        range->load_kg = part.load_kg;
        range->force_n = part.force_n;
        range->power_w = part.power_w;
        range->work_j = part.work_j;
        range->impulse_n_s = part.impulse_n_s;
    }
}

static double load_kg_at(const struct bp_loads *loads, double track_height_m)
{
    struct bp_load_state state = {loads->datum_m + track_height_m, 0, 0};
    struct bp_load load;
    bp_load_at(loads->model, &state, &load);
    return load.weight_n / BP_STANDARD_GRAVITY;
}

void bp_loads_totals(const struct bp_loads *loads, const struct bp_track *track, const struct bp_reps *reps,
                     struct bp_set_figures *set)
{
    struct bp_usual_heights usual = bp_loads_heights(track, reps);
    double bottom = (double)NAN, halfway = (double)NAN, lockout = (double)NAN;
    if (loads->model && isfinite(usual.top_m)) {
        bottom = load_kg_at(loads, usual.bottom_m);
        halfway = load_kg_at(loads, (usual.bottom_m + usual.top_m) / 2);
        lockout = load_kg_at(loads, usual.top_m);
    }
    set->load_bottom_kg = bp_quantity_plain(bottom);
    set->load_halfway_kg = bp_quantity_plain(halfway);
    set->load_lockout_kg = bp_quantity_plain(lockout);
    set->share_pct = bp_quantity_plain(PERCENT * (lockout - bottom) / lockout);
}

static void heights_finding(const struct bp_load_model *model, double range_m, struct bp_findings *findings)
{
    double rig_m = bp_load_lockout_m(model) - bp_load_bottom_m(model);
    if (fabs(rig_m - range_m) > TAPE_M) { /* never with NaN: one of the two heights is enough */
        char said[40], is[40];
        bp_number_write(CM * rig_m, 0, said, sizeof said);
        bp_number_write(CM * range_m, 0, is, sizeof is);
        bp_findings_add(findings, "rig-heights", BP_RESERVATION, (double)NAN,
                        "the rig's heights are %s cm apart, but the bar moved %s cm: measure them again for "
                        "this lifter, or every load at the other end is off",
                        said, is);
    }
}

void bp_loads_findings(const struct bp_loads *loads, const struct bp_rig *rig, const struct bp_track *track,
                       const struct bp_reps *reps, struct bp_findings *findings)
{
    struct bp_usual_heights usual = bp_loads_heights(track, reps);
    struct bp_error error;
    if (!loads->model || !bp_load_varies(loads->model) || !isfinite(usual.top_m)) {
        return;
    }
    heights_finding(loads->model, usual.top_m - usual.bottom_m, findings);
    if (rig->matched == BP_MATCHED_UNSAID) {
        bp_findings_add(findings, "matched-unsaid", BP_NOTE, (double)NAN,
                        "the rig does not say where it is meant to be as heavy as other setups; every "
                        "comparison hangs on it: write matched = bottom, halfway or lockout");
    }
    double from = loads->datum_m + usual.bottom_m, to = loads->datum_m + usual.top_m;
    if (bp_load_check(loads->model, from, to, &error) != BP_OK) {
        bp_findings_add(findings, "rig-range", BP_RESERVATION, (double)NAN, "%s", error.text);
    }
}
