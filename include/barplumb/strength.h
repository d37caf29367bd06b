/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Strength: sets at several loads → what one repetition might be at most; the reps of one set → how many
 * might have been left. Both are estimates with wide, stated ends, and both say why when they say nothing.
 * docs/strength.md tells it in plain words, with formulas and sources.
 *
 * No function here allocates, prints or keeps state: all are thread-safe. NULL is allowed only where it says
 * so.
 */
#ifndef BARPLUMB_STRENGTH_H
#define BARPLUMB_STRENGTH_H

#include "barplumb/error.h"
#include "barplumb/export.h"
#include "barplumb/lift.h"
#include "barplumb/quantity.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { BP_LINE_POINTS_MAX = 64 }; /* of a robust fit: more sets or reps than anyone puts on one line */

/* A straight line y = intercept + slope x and how well it is known. About `centre` the line's level and slope
 * are uncorrelated, so all else follows from those four numbers. */
struct bp_line {
    size_t count;                   /* points */
    double freedom;                 /* degrees of freedom of residual_sd; 0: no interval can be had */
    double centre;                  /* weighted mean of x */
    double level, level_sd;         /* y at the centre */
    double slope, slope_sd;         /* NaN sd without degrees of freedom */
    double intercept, intercept_sd; /* y at x = 0 */
    double correlation;             /* of intercept and slope */
    double residual_sd;             /* in y's unit, or as a multiple of the points' own sd where given */
    double r_squared, f;            /* of the fit; f with (1, freedom) degrees of freedom */
};

/* What is held of the points' scatter before the fit. */
struct bp_line_prior {
    double freedom; /* how firmly the points' sd are believed: worth so many residuals; 0: not at all */
    double
        least_sd; /* residual_sd is not taken to be smaller, as a multiple of the points' sd; 0: no limit */
};

/* Least squares, centred, in two passes. sd[i] > 0 is the standard deviation of y[i] up to one common factor
 * (weights 1/sd²); NULL: all alike. Errors: ARGUMENT (fewer than 2 points, all x the same, a value that is
 * not finite, an sd not above 0); *line is then all NaN, count 0. With 2 points freedom is 0 and every sd
 * NaN. */
BP_API enum bp_code bp_line_fit(const double *x, const double *y, const double *sd, size_t count,
                                struct bp_line *line);

/* The same line, not dragged away by a point far off the others: bisquare weights (Beaton & Tukey 1974) from
 * the line of median slope (Theil 1950, Sen 1968), with the scale fixed first (Yohai 1987), pooled with
 * prior. Fewer than 4 points, or no scatter at all and none held before: least squares with the pooled scale.
 * weights (count, or NULL) takes each point's share, 0 (left out) to 1. sd as above but never NULL. Errors:
 * as above, LIMIT (more than BP_LINE_POINTS_MAX points); weights are then undefined. */
BP_API enum bp_code bp_line_fit_robust(const double *x, const double *y, const double *sd, size_t count,
                                       const struct bp_line_prior *prior, double *weights,
                                       struct bp_line *line);

/* The line at x with its 95 % interval (Student's t); ends NaN without degrees of freedom. */
BP_API struct bp_quantity bp_line_at(const struct bp_line *line, double x);

/* One new y at x with its 95 % interval; own_sd: its sd as a multiple of residual_sd, 1 after an unweighted
 * fit. */
BP_API struct bp_quantity bp_line_predict(const struct bp_line *line, double x, double own_sd);

/* Where the line comes to y, with its 95 % interval after Fieller (1954). y_sd: what y itself is unsure by,
 * known apart from the fit, 0: exact; own_sd: as in bp_line_predict, 0: where the line itself gets there.
 * False, and *x unknown, where the slope cannot be told from 0: there is then no such interval. */
BP_API bool bp_line_crossing(const struct bp_line *line, double y, double y_sd, double own_sd,
                             struct bp_quantity *x);

/* Mean velocity at the heaviest load that can be lifted once. */
struct bp_strength_minimal {
    struct bp_quantity m_s; /* its interval: how far lifters differ */
    const char *source;     /* where from; begins with "from memory" where nobody looked it up */
};

/* That of a lift, of many lifters together; NULL outside the enum. */
BP_API const struct bp_strength_minimal *bp_strength_minimal(enum bp_lift lift);

/* Why there is no estimate. */
enum bp_strength_reason {
    BP_STRENGTH_GIVEN,        /* there is one */
    BP_STRENGTH_MIXED,        /* sets of different lifts or setups */
    BP_STRENGTH_FEW_LOADS,    /* fewer than two different loads */
    BP_STRENGTH_CLOSE_LOADS,  /* too close together */
    BP_STRENGTH_RISES,        /* the heavier, the faster */
    BP_STRENGTH_NOT_FALLING,  /* the fall is lost in the scatter */
    BP_STRENGTH_BELOW_LIFTED, /* less than what was lifted */
    BP_STRENGTH_TOO_FAR,      /* too far beyond the heaviest load */
    BP_STRENGTH_FEW_REPS,     /* too few reps to see a set slow down */
    BP_STRENGTH_NO_SLOWING,   /* no slowing beyond the reps' scatter */
    BP_STRENGTH_LAST_DROPS,   /* the last rep fell far below the line of the others */
    BP_STRENGTH_TOO_WIDE,     /* from none to as many as counted: says nothing */
    BP_STRENGTH_REASON_COUNT
};

/* One sentence in plain words; "" for GIVEN, "unknown reason" outside the enum. */
BP_API const char *bp_strength_reason_text(enum bp_strength_reason reason);

/* What has to stand beside every estimate: one paragraph in plain words. */
BP_API const char *bp_strength_caution(void);

struct bp_strength_settings {
    struct bp_quantity
        minimal_m_s;        /* the lifter's own minimal velocity, no interval: exact; unknown: the lift's */
    double scatter_pct;     /* human scatter of mean velocity expected, % of the mean velocity, > 0 */
    double scatter_freedom; /* how firmly: worth so many residuals, >= 1 */
    double least_span;      /* heaviest less lightest load, share of the heaviest, >= 0 */
    double most_reach;      /* estimate beyond the heaviest load, in spans, > 0 */
    double quickening;      /* a set may slow so many times as fast as its line says, >= 1 */
    size_t most_left;       /* reps left are counted up to here, >= 2 */
};
BP_API extern const struct bp_strength_settings bp_strength_defaults;

/* One set as a point of the profile. */
struct bp_strength_set {
    enum bp_lift lift;
    const char *setup;               /* how the bar was loaded; NULL: as "" */
    struct bp_quantity load_kg;      /* > 0; no interval: exact */
    struct bp_quantity velocity_m_s; /* mean velocity of the fastest completed rep, > 0; unknown: left out */
};

struct bp_strength_profile {
    enum bp_strength_reason reason;
    struct bp_quantity one_rep_max_kg;  /* unknown unless reason is GIVEN */
    struct bp_quantity minimal_m_s;     /* the minimal velocity it rests on */
    struct bp_line line;                /* mean velocity over load; count 0 where none was fitted */
    double scatter_pct;                 /* scatter about the line, pooled, % of the mean velocity */
    double reach;                       /* estimate beyond the heaviest load, in spans; NaN: none */
    size_t sets;                        /* with a known velocity */
    size_t odd;                         /* of them, so far off the others that they count less than half */
    double weights[BP_LINE_POINTS_MAX]; /* of each set given, 0 to 1; 0 where its velocity is unknown */
};

/* The load-velocity profile of sets[0..count) and the one-repetition maximum on the day they were done.
 * settings NULL: defaults. Returns OK with a reason in *profile, or ARGUMENT (a setting, load or velocity out
 * of its range), LIMIT (more than BP_LINE_POINTS_MAX sets) with a profile of unknowns. error may be NULL. */
BP_API enum bp_code bp_strength_profile_fit(const struct bp_strength_set *sets, size_t count,
                                            const struct bp_strength_settings *settings,
                                            struct bp_strength_profile *profile, struct bp_error *error);

/* Repetitions that may have been left at the end of a set: always a range, and never wider than it helps. */
struct bp_strength_left {
    enum bp_strength_reason reason;
    size_t low, high;    /* low < high; 0, 0 unless reason is GIVEN */
    bool or_more;        /* high is as far as is counted: "or more" */
    struct bp_line line; /* mean velocity over rep number; count 0 where none was fitted */
};

/* velocity_m_s[0..reps): mean velocity of each completed rep in order, unknown ones left out. Meant for a set
 * without a missed rep, each rep as fast as the lifter can. lift and settings give the minimal velocity.
 * Returns as bp_strength_profile_fit does. */
BP_API enum bp_code bp_strength_reps_left(const struct bp_quantity *velocity_m_s, size_t reps,
                                          enum bp_lift lift, const struct bp_strength_settings *settings,
                                          struct bp_strength_left *left, struct bp_error *error);

#ifdef __cplusplus
}
#endif
#endif
