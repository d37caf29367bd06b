/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Compare: sets' figures → how much groups of sets differ (setups, lifters, sessions), each difference with
 * an interval that carries the scatter from rep to rep, from set to set and from day to day, and the
 * measurement's.
 *
 * Method, in short (docs/compare.md has the reasons and the measured coverage): the unit is the smallest
 * thing that differs between the two sides by more than chance would make it: the day where one lifter did
 * both on the same days (paired), the set where there is one such day, the day where days differ, the lifter
 * where lifters differ. Units are compared with t intervals: paired, or Welch's with Satterthwaite's degrees
 * of freedom, the variance moderated by a prior where a figure has one (Smyth 2004, Stat Appl Genet Mol Biol
 * 3:3).
 */
#ifndef BARPLUMB_COMPARE_H
#define BARPLUMB_COMPARE_H

#include "barplumb/arena.h"
#include "barplumb/error.h"
#include "barplumb/quantity.h"
#include "barplumb/text.h"

#include <limits.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { BP_COMPARE_GROUPS_MAX = 32 };                /* 496 pairs: past any sheet a coach can read */
#define BP_COMPARE_OBSERVATIONS_MAX ((size_t)20000) /* sets */
#define BP_DAY_UNKNOWN LONG_MIN                     /* no date: never the same day as another group's */

/* ---- what goes in ---- */

/* One set's figure. */
struct bp_observation {
    const char *group;              /* what is compared: setup, lifter or session; not NULL */
    const char *lifter;             /* NULL or "": one unnamed lifter */
    long day;                       /* since 1970-01-01, or BP_DAY_UNKNOWN */
    const char *set_id;             /* for the caller; not looked at */
    const struct bp_quantity *reps; /* each rep's value and measurement interval; NULL: none */
    size_t rep_count;
    struct bp_quantity set; /* the set's; unknown: the mean of the known reps is taken */
};

enum bp_compare_scale {
    BP_SCALE_DIFFERENCE, /* judged by the difference, in the figure's unit */
    BP_SCALE_RATIO       /* positive and skewed: judged by the ratio, worked out on logarithms */
};

/* What is known of a figure before the first set. */
struct bp_compare_figure {
    const char *name;  /* as in JSON: "mean_velocity_m_s" */
    const char *words; /* as in a sentence: "speed at lockout" */
    const char *unit;  /* "m/s"; "" if none */
    const char *deed;  /* for ratios: "shook" ("chains shook 1.8 times as much as bands"); NULL: none */
    const char *where; /* for loads: "at lockout"; makes the sentence one about loads; NULL otherwise */
    int decimals;      /* of the unit, in sentences, 0 to 9 */
    enum bp_compare_scale scale;
    double worth; /* smallest difference (or ratio, > 1) worth naming; 0: not said */
    /* Prior scatter from unit to unit (day to day, set to set) of one lifter, as a coefficient of variation,
     * and how many degrees of freedom it is worth; 0: no prior, and one unit a side then says nothing. */
    double scatter_cv, scatter_df;
    /* The measurement error is the same in all sets of a group (a load worked out from one rig file): it does
     * not average out, and one set a side is enough. */
    bool error_in_common;
};

/* Ready-made. Speeds: judged by difference, worth 0.03 m/s, prior scatter 5 % with 6 degrees of freedom (the
 * middle of what PLoS ONE 2019 14(2):e0212085 found from day to day, and about its reach). Shakes: judged by
 * ratio, worth 1.25 (ours, no source), no prior. Loads: by difference, worth 1 kg (ours, no source), error in
 * common. Name, words and where are the caller's to set. */
extern BP_API const struct bp_compare_figure bp_compare_speed, bp_compare_shake, bp_compare_load;

enum bp_compare_by {
    BP_BY_SETUP,  /* groups are setups: lifter and day make a block */
    BP_BY_LIFTER, /* groups are lifters: each lifter's days are the units */
    BP_BY_SESSION /* groups are sessions: each session's sets are the units */
};

struct bp_compare_settings {
    enum bp_compare_by by;
    double level;        /* of intervals, 0.5 to 0.999; 0: 0.95 */
    double power;        /* at which "how many more" is reckoned, 0.5 to 0.99; 0: 0.8 */
    uint64_t seed;       /* for permutations too many to go through */
    bool intervals_only; /* leave out effects, permutations and plans, which take most of the time */
};
extern BP_API const struct bp_compare_settings bp_compare_defaults;

/* ---- what comes out ---- */

enum bp_compare_unit { BP_UNIT_NONE, BP_UNIT_SET, BP_UNIT_DAY, BP_UNIT_LIFTER };

enum bp_compare_verdict {
    BP_CANNOT_TELL, /* the interval holds both no difference and one worth naming */
    BP_FIRST_MORE,  /* the first has more of it */
    BP_FIRST_LESS,
    BP_NO_DIFFERENT /* the whole interval is less than is worth naming */
};

enum bp_compare_reason {
    BP_REASON_NONE,    /* there is an interval */
    BP_REASON_FEW,     /* too few units for one */
    BP_REASON_LIFTERS, /* too few lifters, and none did both: setup and lifter cannot be told apart */
    BP_REASON_NOTHING  /* the figure is not known on one side */
};

struct bp_compare_group {
    const char *name;                 /* the observations' own string */
    size_t sets, days, lifters, reps; /* with a known figure */
    double mean;                      /* of its sets; NaN: none */
};

struct bp_compare_pair {
    size_t first, second; /* groups */
    enum bp_compare_unit unit;
    bool paired;     /* the units are pairs; units[0] == units[1] */
    size_t units[2]; /* a side */
    size_t sets[2];  /* used, a side */
    size_t left_out; /* sets with the figure that this comparison does not use */
    enum bp_compare_reason reason;
    enum bp_compare_verdict verdict; /* by difference_all or ratio_all, after the figure's scale */
    bool small;                      /* FIRST_MORE or FIRST_LESS, but surely by less than is worth naming */
    struct bp_quantity difference, ratio; /* first less second, first over second; this pair's own interval */
    struct bp_quantity difference_all, ratio_all; /* simultaneous over all pairs (Bonferroni) */
    double standard_error, df;                    /* on the figure's scale; of a ratio, of its logarithm */
    double p, holm_p;          /* two-sided, by itself and adjusted over all pairs (Holm 1979) */
    double permutation_p;      /* two-sided, free of any distribution: sign flips or regroupings; NaN: none */
    double chance_more;        /* that the first has more of it (posterior t) */
    struct bp_quantity effect; /* Hedges g of the units, with its interval; NaN: none */
    /* Units more on each side, with which it could be told with the settings' power: if the difference is
     * what it looks, and if it is what is worth naming. 0: told already, or cannot be said; BP_MORE_MAX + 1:
     * more. */
    size_t more_as_seen, more_for_worth;
};
enum { BP_MORE_MAX = 99 };

/* Where the scatter comes from, as standard deviations on the figure's scale (of logarithms for a ratio).
 * NaN: not enough to say. */
struct bp_compare_scatter {
    double rep_to_rep;  /* inside a set, without measurement */
    double set_to_set;  /* inside a group and day: what reps and measurement leave over */
    double measurement; /* of a set's figure */
    double rep_df, set_df;
};

struct bp_compare_result {
    struct bp_compare_figure figure;
    struct bp_compare_settings settings;     /* with the defaults filled in */
    size_t group_count, pair_count, skipped; /* skipped: sets that do not know the figure */
    struct bp_compare_group *groups;         /* in order of first appearance */
    struct bp_compare_pair *pairs;           /* (0,1), (0,2), …, (1,2), … */
    struct bp_compare_scatter scatter;
};

/* Compares all groups in one figure. observations[0..count) and the strings in them must outlive result,
 * whose arrays live in arena. settings NULL: defaults. Errors: ARGUMENT (settings, figure, a NULL group),
 * LIMIT, EMPTY (no observation), MEMORY; result is then all zero. Thread-safe for different arenas. */
BP_API enum bp_code bp_compare_figure(const struct bp_compare_figure *figure,
                                      const struct bp_observation *observations, size_t count,
                                      const struct bp_compare_settings *settings, struct bp_arena *arena,
                                      struct bp_compare_result *result, struct bp_error *error);

/* One pair as a plain sentence without a full stop: "Chains shook 1.8 times as much as bands (1.4 to 2.3)".
 */
BP_API void bp_compare_put_sentence(const struct bp_compare_result *result,
                                    const struct bp_compare_pair *pair, struct bp_text *text);

/* "set", "day", "lifter", ""; "cannot_tell", "more", "less", "no_different"; "", "few", …: JSON's words. */
BP_API const char *bp_compare_unit_name(enum bp_compare_unit unit);
BP_API const char *bp_compare_verdict_name(enum bp_compare_verdict verdict);
BP_API const char *bp_compare_reason_name(enum bp_compare_reason reason);

/* ---- the statistics it stands on, each usable by itself ---- */

struct bp_moments {
    size_t count;
    double mean, sd; /* NaN where there are too few */
};
/* Two passes with the mean's remainder put back (Chan, Golub & LeVeque 1983, Am Stat 37:242-247). */
BP_API struct bp_moments bp_sample_moments(const double *values, size_t count);

struct bp_anova {
    double between_ss, within_ss;
    double between_df, within_df;
    double between_ms, within_ms, f, p, r_squared, residual_sd;
    double even_size;      /* n0, by which the between mean square holds the groups' own variance */
    double group_variance; /* (between_ms - within_ms) / n0, method of moments; may be negative */
};
/* One-way analysis of variance: values of group 0, then of group 1, …; sizes[g] >= 1. What there is too
 * little for is NaN. */
BP_API struct bp_anova bp_anova_one_way(const double *values, const size_t *sizes, size_t groups);

/* Student's t: P(T <= t) and its inverse, any df > 0; df INFINITY: normal. NaN for arguments outside. */
BP_API double bp_student_cdf(double t, double df);
BP_API double bp_student_quantile(double probability, double df);
/* Noncentral t, for effects and power: P(T <= t) with noncentrality shift (about 1e-7). */
BP_API double bp_student_shifted_cdf(double t, double df, double shift);

/* Hedges' exact factor J = gamma(df/2) / (sqrt(df/2) gamma((df-1)/2)) (Hedges 1981, J Educ Stat 6:107-128);
 * NaN for df <= 1. */
BP_API double bp_hedges_factor(double df);
/* g = J d from a standardised difference d with df, where d times scale is a noncentral t (two groups: scale
 * = sqrt(n1 n2 / (n1 + n2)); pairs: sqrt(n)): the interval comes from turning the noncentral t about. */
BP_API struct bp_quantity bp_hedges_effect(double d, double df, double scale, double level);

struct bp_permutation {
    double lower, upper; /* one-sided p: as low, as high as seen */
    double two_sided;    /* as far from 0 as seen */
    uint64_t count;      /* arrangements gone through, or drawn */
    bool exact;          /* false: drawn; p is then (b + 1) / (count + 1) (Phipson & Smyth 2010) */
};
/* Signs of pair differences flipped (Fisher 1935); exact up to 15 pairs. count 0: NaN. */
BP_API struct bp_permutation bp_sign_flips(const double *differences, size_t count, uint64_t seed);
/* Values dealt anew to two groups of these sizes; first group's mean less the second's. values: the first
 * group's, then the second's. Exact up to 200,000 ways. scratch: first + second indices. */
BP_API struct bp_permutation bp_regroupings(const double *values, size_t first, size_t second,
                                            size_t *scratch, uint64_t seed);

#ifdef __cplusplus
}
#endif
#endif
