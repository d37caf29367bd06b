/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength/line.h"
#include "strength/settings.h"

#include <math.h>
#include <string.h>

/* A set whose share is below this is called odd. */
static const double HALF = 0.5;

/* The sets with a known velocity, as points. */
struct points {
    size_t count;
    size_t from[BP_LINE_POINTS_MAX]; /* index of the set */
    double load[BP_LINE_POINTS_MAX], load_sd[BP_LINE_POINTS_MAX];
    double speed[BP_LINE_POINTS_MAX], speed_sd[BP_LINE_POINTS_MAX];
    double sd[BP_LINE_POINTS_MAX], share[BP_LINE_POINTS_MAX];
    double mean_speed;
};

struct span {
    double light, heavy;
};

static const char *setup_of(const struct bp_strength_set *set)
{
    return set->setup ? set->setup : "";
}

static enum bp_code gather(const struct bp_strength_set *sets, size_t count, struct points *points,
                           struct bp_error *error)
{
    points->count = 0;
    points->mean_speed = 0;
    for (size_t i = 0; i < count; i++) {
        if (!bp_strength_usable(sets[i].load_kg)) {
            return bp_error_set(error, BP_ERR_ARGUMENT, "set %zu: a load is above 0 and inside its interval",
                                i + 1);
        }
        if (isnan(sets[i].velocity_m_s.value)) {
            continue;
        }
        if (!bp_strength_usable(sets[i].velocity_m_s)) {
            return bp_error_set(error, BP_ERR_ARGUMENT,
                                "set %zu: a velocity is above 0 and inside its interval", i + 1);
        }
        size_t p = points->count++;
        points->from[p] = i;
        points->load[p] = sets[i].load_kg.value;
        points->load_sd[p] = bp_line_sd_of(sets[i].load_kg);
        points->speed[p] = sets[i].velocity_m_s.value;
        points->speed_sd[p] = bp_line_sd_of(sets[i].velocity_m_s);
        points->share[p] = 1;
        points->mean_speed += points->speed[p];
    }
    points->mean_speed /= (double)points->count;
    return BP_OK;
}

static bool mixed(const struct bp_strength_set *sets, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        if (sets[i].lift != sets[0].lift || strcmp(setup_of(&sets[i]), setup_of(&sets[0])) != 0) {
            return true;
        }
    }
    return false;
}

/* Lightest and heaviest load among the points that count at least so much. */
static struct span span_of(const struct points *points, double least_share)
{
    struct span span = {(double)INFINITY, -(double)INFINITY};
    for (size_t i = 0; i < points->count; i++) {
        if (points->share[i] >= least_share) {
            span.light = fmin(span.light, points->load[i]);
            span.heavy = fmax(span.heavy, points->load[i]);
        }
    }
    return span;
}

/* Fits the line: each point's sd is the lifter's scatter, the measurement's and the load's, this one by way
 * of the slope (effective variance: Orear 1982, Am J Phys 50:912-916; from memory). */
static bool fit(struct points *points, const struct bp_strength_settings *settings, struct bp_line *line)
{
    struct bp_line plain;
    if (bp_line_fit(points->load, points->speed, NULL, points->count, &plain) != BP_OK) {
        return false;
    }
    double human = settings->scatter_pct / 100 * points->mean_speed;
    struct bp_line_prior prior = {settings->scatter_freedom, 0};
    for (size_t i = 0; i < points->count; i++) {
        double measured = hypot(points->speed_sd[i], plain.slope * points->load_sd[i]);
        points->sd[i] = hypot(human, measured);
        /* However well the points may lie, the measurement is not better than it is. */
        prior.least_sd = fmax(prior.least_sd, measured / points->sd[i]);
    }
    return bp_line_fit_robust(points->load, points->speed, points->sd, points->count, &prior, points->share,
                              line) == BP_OK;
}

static enum bp_strength_reason loads_reason(const struct points *points, double least_span)
{
    struct span all = span_of(points, 0);
    if (points->count < 2 || !(all.heavy > all.light)) {
        return BP_STRENGTH_FEW_LOADS;
    }
    return all.heavy - all.light < least_span * all.heavy ? BP_STRENGTH_CLOSE_LOADS : BP_STRENGTH_GIVEN;
}

/* From the line to the maximum, or why not. */
static enum bp_strength_reason estimate(const struct points *points,
                                        const struct bp_strength_settings *settings,
                                        struct bp_strength_profile *profile)
{
    struct span all = span_of(points, 0), kept = span_of(points, HALF);
    struct bp_quantity most;
    if (profile->line.slope >= 0) {
        return BP_STRENGTH_RISES;
    }
    if (!bp_line_crossing(&profile->line, settings->minimal_m_s.value, bp_line_sd_of(settings->minimal_m_s),
                          0, &most)) {
        return BP_STRENGTH_NOT_FALLING;
    }
    if (most.value < all.heavy) {
        return BP_STRENGTH_BELOW_LIFTED;
    }
    profile->reach = (most.value - kept.heavy) / (kept.heavy - kept.light);
    if (!(profile->reach <= settings->most_reach)) { /* also when one load alone is kept */
        return BP_STRENGTH_TOO_FAR;
    }
    /* What was lifted can be lifted. */
    most.low = fmax(most.low, all.heavy);
    profile->one_rep_max_kg = most;
    return BP_STRENGTH_GIVEN;
}

static void blank(struct bp_strength_profile *profile)
{
    memset(profile, 0, sizeof *profile);
    profile->reason = BP_STRENGTH_FEW_LOADS;
    profile->one_rep_max_kg = profile->minimal_m_s = bp_quantity_unknown();
    profile->scatter_pct = profile->reach = (double)NAN;
    bp_line_unknown(&profile->line);
}

enum bp_code bp_strength_profile_fit(const struct bp_strength_set *sets, size_t count,
                                     const struct bp_strength_settings *settings,
                                     struct bp_strength_profile *profile, struct bp_error *error)
{
    struct bp_strength_settings used;
    struct points points;
    blank(profile);
    bp_error_clear(error);
    if (count > BP_LINE_POINTS_MAX) {
        return bp_error_set(error, BP_ERR_LIMIT, "more than %d sets on one line", (int)BP_LINE_POINTS_MAX);
    }
    enum bp_code code = bp_strength_settle(settings, count ? sets[0].lift : BP_BENCH, &used, error);
    code = code == BP_OK ? gather(sets, count, &points, error) : code;
    if (code != BP_OK) {
        return code;
    }
    profile->sets = points.count;
    profile->reason = mixed(sets, count) ? BP_STRENGTH_MIXED : loads_reason(&points, used.least_span);
    if (profile->reason != BP_STRENGTH_GIVEN) {
        return BP_OK;
    }
    profile->minimal_m_s = used.minimal_m_s;
    if (!fit(&points, &used, &profile->line)) {
        return bp_error_set(error, BP_ERR_ARGUMENT, "no line through these sets");
    }
    profile->scatter_pct = used.scatter_pct * profile->line.residual_sd;
    for (size_t i = 0; i < points.count; i++) {
        profile->weights[points.from[i]] = points.share[i];
        profile->odd += points.share[i] < HALF;
    }
    profile->reason = estimate(&points, &used, profile);
    return BP_OK;
}
