/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "summary/draws.h"
#include "summary/spread.h"
#include "summary/totals.h"
#include "summary/traces.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stddef.h>

/* Streams of the seed: the path's draws do not hang on how many numbers a sideways draw takes. */
enum { STREAM_PATH = 1, STREAM_SIDEWAYS = 2, STREAM_RIG = 3 };

/* Of a share that may be anything from none to all: about a uniform share's sd, 1/√12, and a margin for the
 * filters' own ringing. */
static const double SHARE_SD = 0.35;
/* A sticking region that is not there in so many of the draws does not stand outside the speed's interval. */
static const double STUCK_SHARE = 0.95;

/* A figure, by its place in its struct. */
struct place {
    size_t offset;
    bool never_negative;
};

#define REP(name)                                                                                            \
    {                                                                                                        \
        offsetof(struct bp_rep_figures, name), false                                                         \
    }
#define REP_SIZE(name)                                                                                       \
    {                                                                                                        \
        offsetof(struct bp_rep_figures, name), true                                                          \
    }
#define RANGE(r)                                                                                             \
    REP(ranges[r].mean_velocity_m_s), REP_SIZE(ranges[r].shake_mm), REP(ranges[r].load_kg),                  \
        REP(ranges[r].force_n), REP(ranges[r].power_w), REP(ranges[r].work_j), REP(ranges[r].impulse_n_s)
static const struct place REP_PLACES[] = {
    REP_SIZE(descent_time_s),
    REP_SIZE(pause_s),
    REP_SIZE(drive_time_s),
    REP_SIZE(range_m),
    REP(mean_velocity_m_s),
    REP(peak_velocity_m_s),
    REP(propulsive_velocity_m_s),
    REP(sticking.start_pct),
    REP(sticking.end_pct),
    REP(sticking.peak_before_m_s),
    REP(sticking.low_m_s),
    REP_SIZE(shake_mm),
    REP_SIZE(shake_mm_s),
    REP_SIZE(shake_m_s2),
    REP_SIZE(shake_hz),
    REP_SIZE(descent_shake_mm),
    REP_SIZE(clatter_m_s2),
    REP_SIZE(clatter_crest),
    REP_SIZE(sway_area_cm2),
    REP(smoothness),
    REP_SIZE(tilt_deg),
    REP(load_kg),
    REP(force_n),
    REP(peak_force_n),
    REP(power_w),
    REP(peak_power_w),
    REP(work_j),
    REP(impulse_n_s),
    RANGE(0),
    RANGE(1),
    RANGE(2),
    RANGE(3),
    RANGE(4),
    RANGE(5),
    RANGE(6),
    RANGE(7),
};
#undef REP
#undef REP_SIZE
#undef RANGE
#define SET(name, size)                                                                                      \
    {                                                                                                        \
        offsetof(struct bp_set_figures, name), size                                                          \
    }
static const struct place SET_PLACES[] = {
    SET(mean_velocity_m_s, false), SET(best_velocity_m_s, false), SET(velocity_loss_pct, false),
    SET(shake_mm, true),           SET(shake_m_s2, true),         SET(shake_hz, true),
    SET(clatter_m_s2, true),       SET(smoothness, false),        SET(load_bottom_kg, false),
    SET(load_halfway_kg, false),   SET(load_lockout_kg, false),   SET(share_pct, false),
};
#undef SET
_Static_assert(BP_RANGES_MAX == 8, "every range has its places");
enum {
    REP_COUNT = sizeof REP_PLACES / sizeof *REP_PLACES,
    SET_COUNT = sizeof SET_PLACES / sizeof *SET_PLACES
};

struct work {
    struct bp_measure measure; /* of the draw at hand */
    const struct bp_track *about;
    struct bp_track track;
    struct bp_spell stretch; /* all reps with their descents */
    struct bp_sideways sideways;
    struct bp_loads loads;
    const struct bp_reps *reps;
    struct bp_summary *summary;
    struct bp_arena scratch;
    struct bp_rep_figures *drawn; /* [reps] */
    size_t *stuck;                /* [reps] draws in which the rep has its sticking region */
    struct bp_spread *rep_spread; /* [reps * REP_COUNT] */
    struct bp_spread set_spread[SET_COUNT];
};

static struct bp_quantity *at(void *record, size_t offset)
{
    void *place = (char *)record + offset;
    return place;
}

/* From the first sample a rep is measured by to the last, and one more on either side for neighbours. */
static struct bp_spell stretch_of(const struct bp_reps *reps, const double *time_s, size_t count)
{
    struct bp_spell stretch = {count - 1, 0};
    for (size_t r = 0; r < reps->count; r++) {
        const struct bp_rep *rep = &reps->list[r];
        size_t first = bp_rep_first(time_s, rep);
        size_t last = rep->has_after ? rep->bottom_after : rep->top;
        stretch.first = first < stretch.first ? first : stretch.first;
        stretch.last = last > stretch.last ? last : stretch.last;
    }
    stretch.first -= stretch.first > 0;
    stretch.last += stretch.last + 1 < count;
    return stretch;
}

static bool take(struct work *w, struct bp_arena *arena)
{
    size_t n = w->about->count, reps = w->reps->count;
    w->track.height_m = bp_arena_doubles(arena, n);
    w->track.speed_m_s = bp_arena_doubles(arena, n);
    w->track.accel_m_s2 = bp_arena_doubles(arena, n);
    w->drawn = bp_arena_zero(arena, reps, sizeof *w->drawn);
    w->stuck = bp_arena_zero(arena, reps, sizeof *w->stuck);
    w->rep_spread = bp_arena_zero(arena, reps * REP_COUNT, sizeof *w->rep_spread);
    return w->track.height_m && w->track.speed_m_s && w->track.accel_m_s2 && w->drawn && w->stuck &&
           w->rep_spread;
}

/* The gain's errors, standard normal: it rules most speeds, all of a set's alike, so that chance in its few
 * draws would be chance in every interval's width. Hence one from each of as many equal parts of the normal
 * (stratified sampling), to a mean square of 1. */
static void spread_gains(double gain[BP_DRAWS])
{
    double squares = 0;
    for (int d = 0; d < BP_DRAWS; d++) {
        gain[d] = gsl_cdf_ugaussian_Pinv((d + 0.5) / BP_DRAWS);
        squares += gain[d] * gain[d];
    }
    for (int d = 0; d < BP_DRAWS; d++) {
        gain[d] /= sqrt(squares / BP_DRAWS);
    }
}

/* What smoothing took out was mostly clatter, but a sharp turn of speed was rounded with it, and a sensor
 * that averages over up to a sample to either side has rounded it before: to second order by w²/6 of the
 * second difference of speed or acceleration, w in samples. How much of either was the bar's own is not
 * known. Of what is quicker than a drive and was left in, some is clatter too, as like to have raised the
 * speed as to have lowered it. */
static void add_rounding(struct work *w, struct bp_random *random)
{
    double share = 0.5 + SHARE_SD * bp_random_normal(random), left = SHARE_SD * bp_random_normal(random);
    double turn = (0.5 + SHARE_SD * bp_random_normal(random)) / 6;
    const double *rough = w->measure.rough->speed_m_s, *v = w->about->speed_m_s, *calm = w->measure.calm_m_s;
    const double *a = w->loads.calm_m_s2;
    size_t last = w->stretch.last < w->about->count - 1 ? w->stretch.last : w->about->count - 2;
    for (size_t i = w->stretch.first > 0 ? w->stretch.first : 1; i <= last; i++) {
        w->track.speed_m_s[i] +=
            share * (rough[i] - v[i]) + left * (v[i] - calm[i]) - turn * (v[i - 1] - 2 * v[i] + v[i + 1]);
        w->track.accel_m_s2[i] -= turn * (a[i - 1] - 2 * a[i] + a[i + 1]);
    }
}

/* Do both have a sticking region, at the same time? A dip that is now here and now there is none. */
static bool same_region(const struct bp_sticking_figures *a, const struct bp_sticking_figures *b)
{
    return a->present && b->present && a->start_s < b->end_s && b->start_s < a->end_s;
}

void bp_draws_forget(struct bp_rep_figures *rep)
{
    for (size_t f = 0; f < REP_COUNT; f++) {
        *at(rep, REP_PLACES[f].offset) = bp_quantity_unknown();
    }
    rep->sticking = (struct bp_sticking_figures){.present = false};
    for (size_t p = 0; p < BP_PROFILE_POINTS; p++) {
        rep->profile_m_s[p] = (double)NAN;
    }
}

static void measure_draw(struct work *w)
{
    struct bp_set_figures set = w->summary->set;
    for (size_t r = 0; r < w->reps->count; r++) {
        struct bp_rep_figures *drawn = &w->drawn[r], *rep = &w->summary->reps[r];
        bp_measure_rep(&w->measure, &w->reps->list[r], r > 0 ? &w->reps->list[r - 1] : NULL, &w->scratch,
                       drawn);
        if (w->reps->list[r].spoilt) {
            bp_draws_forget(drawn);
        }
        w->stuck[r] += same_region(&rep->sticking, &drawn->sticking);
        for (size_t f = 0; f < REP_COUNT; f++) {
            size_t offset = REP_PLACES[f].offset;
            bp_spread_add(&w->rep_spread[r * REP_COUNT + f], at(rep, offset)->value,
                          at(drawn, offset)->value);
        }
    }
    bp_totals_of(w->drawn, w->reps->count, &set);
    bp_loads_totals(&w->loads, &w->track, w->reps, &set);
    for (size_t f = 0; f < SET_COUNT; f++) {
        size_t offset = SET_PLACES[f].offset;
        bp_spread_add(&w->set_spread[f], at(&w->summary->set, offset)->value, at(&set, offset)->value);
    }
}

/* A drive is upward: where its mean speed cannot be told from none, no speed of the rep is worth a number. */
static void forget_unsure(struct bp_rep_figures *rep)
{
    if (rep->missed || !(rep->mean_velocity_m_s.low <= 0)) {
        return;
    }
    rep->mean_velocity_m_s = rep->peak_velocity_m_s = rep->propulsive_velocity_m_s = bp_quantity_unknown();
    rep->smoothness = bp_quantity_unknown();
    rep->sticking = (struct bp_sticking_figures){.present = false};
    rep->force_n = rep->peak_force_n = rep->power_w = rep->peak_power_w = bp_quantity_unknown();
    rep->work_j = rep->impulse_n_s = bp_quantity_unknown();
    for (size_t r = 0; r < rep->range_count; r++) {
        struct bp_range_figures *range = &rep->ranges[r];
        range->mean_velocity_m_s = range->force_n = range->power_w = bp_quantity_unknown();
        range->work_j = range->impulse_n_s = bp_quantity_unknown();
    }
    for (size_t p = 0; p < BP_PROFILE_POINTS; p++) {
        rep->profile_m_s[p] = (double)NAN;
    }
}

static void set_intervals(struct work *w)
{
    for (size_t r = 0; r < w->reps->count; r++) {
        if ((double)w->stuck[r] < STUCK_SHARE * BP_DRAWS) {
            w->summary->reps[r].sticking = (struct bp_sticking_figures){.present = false};
        }
        for (size_t f = 0; f < REP_COUNT; f++) {
            bp_spread_interval(&w->rep_spread[r * REP_COUNT + f], REP_PLACES[f].never_negative,
                               at(&w->summary->reps[r], REP_PLACES[f].offset));
        }
        forget_unsure(&w->summary->reps[r]);
    }
    for (size_t f = 0; f < SET_COUNT; f++) {
        bp_spread_interval(&w->set_spread[f], SET_PLACES[f].never_negative,
                           at(&w->summary->set, SET_PLACES[f].offset));
    }
}

enum bp_code bp_draws_fill(const struct bp_measure *measure, const struct bp_reps *reps,
                           struct bp_arena *arena, struct bp_summary *summary, struct bp_error *error)
{
    struct work w = {.measure = *measure, .about = measure->track, .reps = reps, .summary = summary};
    struct bp_random path, aside, rig;
    double gain[BP_DRAWS];
    if (!take(&w, arena)) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the intervals");
    }
    w.measure.track = &w.track;
    w.stretch = stretch_of(reps, w.about->time_s, w.about->count);
    w.sideways = *measure->sideways;
    w.measure.sideways = &w.sideways;
    w.loads = *measure->loads;
    w.measure.loads = &w.loads;
    bp_random_init(&path, measure->settings->seed, STREAM_PATH);
    bp_random_init(&aside, measure->settings->seed, STREAM_SIDEWAYS);
    bp_random_init(&rig, measure->settings->seed, STREAM_RIG);
    bp_arena_init(&w.scratch);
    spread_gains(gain);
    for (int d = 0; d < BP_DRAWS; d++) {
        bp_track_draw(w.about, w.stretch, gain[d], &path, &w.track);
        add_rounding(&w, &path);
        bp_sideways_draw(&w.sideways, &aside);
        if (w.loads.model) {
            bp_load_vary(w.loads.model, &rig);
            w.loads.gravity_m_s2 =
                measure->loads->gravity_m_s2 + w.loads.gravity_sd_m_s2 * bp_random_normal(&rig);
            bp_loads_settle(&w.loads, &w.track, reps);
        }
        measure_draw(&w);
        if (w.measure.traces) {
            bp_traces_take_draw(w.measure.traces, &w.track, w.stretch, &w.sideways);
        }
        bp_arena_reset(&w.scratch);
    }
    if (w.loads.model) {
        bp_load_vary(w.loads.model, NULL);
    }
    bool short_of_memory =
        w.scratch.failed; /* a draw then lacks a figure, and an interval would be another */
    bp_arena_free(&w.scratch);
    if (short_of_memory) {
        return bp_error_set(error, BP_ERR_MEMORY, "out of memory for the intervals");
    }
    set_intervals(&w);
    return BP_OK;
}
