/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "strength/line.h"
#include "strength/settings.h"

#include <math.h>

enum { REPS_LEAST = 3 }; /* two reps always lie on a line */
static const double HALF = 0.5;

struct points {
    size_t count;
    double number[BP_LINE_POINTS_MAX]; /* of the rep, from 1 */
    double speed[BP_LINE_POINTS_MAX], sd[BP_LINE_POINTS_MAX], share[BP_LINE_POINTS_MAX];
};

/* sd first takes the measurement's alone. */
static enum bp_code gather(const struct bp_quantity *velocity, size_t reps, struct points *points,
                           struct bp_error *error)
{
    points->count = 0;
    for (size_t r = 0; r < reps; r++) {
        if (isnan(velocity[r].value)) {
            continue;
        }
        if (!bp_strength_usable(velocity[r])) {
            return bp_error_set(error, BP_ERR_ARGUMENT,
                                "rep %zu: a velocity is above 0 and inside its interval", r + 1);
        }
        size_t p = points->count++;
        points->number[p] = (double)(r + 1);
        points->speed[p] = velocity[r].value;
        points->sd[p] = bp_line_sd_of(velocity[r]);
        points->share[p] = 1;
    }
    return BP_OK;
}

static enum bp_code fit(struct points *points, const struct bp_strength_settings *settings,
                        struct bp_line *line)
{
    struct bp_line_prior prior = {settings->scatter_freedom, 0};
    double mean = 0;
    for (size_t i = 0; i < points->count; i++) {
        mean += points->speed[i] / (double)points->count;
    }
    double human = settings->scatter_pct / 100 * mean;
    for (size_t i = 0; i < points->count; i++) {
        double measured = points->sd[i];
        points->sd[i] = hypot(human, measured);
        prior.least_sd = fmax(prior.least_sd, measured / points->sd[i]);
    }
    return bp_line_fit_robust(points->number, points->speed, points->sd, points->count, &prior, points->share,
                              line);
}

/* Whole reps in so much room, at most so many. */
static size_t whole(double room, size_t most)
{
    return room >= (double)most ? most : (size_t)fmax(floor(room), 0);
}

static enum bp_strength_reason range(const struct points *points, size_t reps,
                                     const struct bp_strength_settings *settings,
                                     struct bp_strength_left *left)
{
    size_t last = points->count - 1;
    double expected = bp_line_at(&left->line, points->number[last]).value;
    struct bp_quantity end;
    /* The robust line would leave out the very rep that says the set is nearly over. */
    if (points->share[last] < HALF && points->speed[last] < expected) {
        return BP_STRENGTH_LAST_DROPS;
    }
    if (left->line.slope >= 0 ||
        !bp_line_crossing(&left->line, settings->minimal_m_s.value, bp_line_sd_of(settings->minimal_m_s),
                          points->sd[last], &end)) {
        return BP_STRENGTH_NO_SLOWING;
    }
    /* Hard sets slow down faster toward their end than a line does: the near end has to allow for it. */
    size_t low = whole((end.low - (double)reps) / settings->quickening, settings->most_left);
    size_t high = whole(end.high - (double)reps, settings->most_left);
    if (low == settings->most_left) {
        low--; /* "4 or more" is all that is counted */
    }
    high = high > low ? high : low + 1; /* never one number */
    if (low == 0 && high == settings->most_left) {
        return BP_STRENGTH_TOO_WIDE;
    }
    left->low = low;
    left->high = high;
    left->or_more = high == settings->most_left;
    return BP_STRENGTH_GIVEN;
}

enum bp_code bp_strength_reps_left(const struct bp_quantity *velocity_m_s, size_t reps, enum bp_lift lift,
                                   const struct bp_strength_settings *settings, struct bp_strength_left *left,
                                   struct bp_error *error)
{
    struct bp_strength_settings used;
    struct points points;
    *left = (struct bp_strength_left){.reason = BP_STRENGTH_FEW_REPS};
    bp_line_unknown(&left->line);
    bp_error_clear(error);
    if (reps > BP_LINE_POINTS_MAX) {
        return bp_error_set(error, BP_ERR_LIMIT, "more than %d reps on one line", (int)BP_LINE_POINTS_MAX);
    }
    enum bp_code code = bp_strength_settle(settings, lift, &used, error);
    code = code == BP_OK ? gather(velocity_m_s, reps, &points, error) : code;
    if (code != BP_OK || points.count < REPS_LEAST) {
        return code;
    }
    code = fit(&points, &used, &left->line);
    if (code != BP_OK) {
        return bp_error_set(error, code, "no line through these reps");
    }
    left->reason = range(&points, reps, &used, left);
    return BP_OK;
}
