/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Statistics of many estimates against their truths: errors, and how often an interval holds its truth. The
 * reps of one set share a phone, a bias and a lifter, so they are no independent trials: every set is a
 * cluster.
 */
#ifndef BENCH_STATISTICS_H
#define BENCH_STATISTICS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* One figure once: what is true, and what was measured, in the same unit. */
struct bench_record {
    double truth;     /* finite */
    double value;     /* NaN: not given, though there is a truth */
    double low, high; /* NaN: no interval */
    uint32_t set;     /* the cluster: index of the set */
    uint16_t figure;  /* index in the table of figures */
    uint16_t rep;     /* index of the true rep; 0 for a figure of the set */
};

/* How errors are told. */
struct bench_scale {
    double factor;      /* the figure's unit × factor is the unit told; 100 for percent when relative */
    bool relative;      /* errors and widths as parts of the truth */
    double least_truth; /* relative: a smaller truth counts for coverage alone */
};

struct bench_statistics {
    size_t given;            /* records with a value */
    size_t not_given;        /* and without */
    size_t sets;             /* that the values come from */
    size_t errors;           /* records that bias, rms and worst are of */
    double bias, rms, worst; /* worst: the error of the largest size, with its sign; NaN where errors is 0 */
    double median;           /* of the errors' sizes; NaN where errors is 0 */
    double pooled;           /* rms error over the rms truth of the same records, in what a relative figure is
                                told in: a few next to nothing do not rule it; NaN of others */
    size_t intervals;        /* records with an interval */
    double coverage;         /* part of the intervals that hold their truth; NaN where there is none */
    double coverage_low, coverage_high; /* 95 % interval of it */
    double width;                       /* median width of an interval; NaN where there is none */
    double wrong;                       /* part of the intervals that are confident and wrong */
};

/* True when truth lies in [low, high]. */
bool bench_covered(const struct bench_record *record);

/* Confident and wrong: the truth lies more than three half-widths from the value, the half-width being that
 * of the truth's side. Off a value with no width on that side every error is wrong; the exact truth never is.
 */
bool bench_wrong(const struct bench_record *record);

/* The 95 % interval of a share (Wilson 1927, J Am Stat Assoc 22:209-212), n > 0 trials, not always whole. */
void bench_wilson(double share, double n, double *low, double *high);

/* How many independent trials the records of clustered sets are worth, for the share that is covered: share
 * (1 - share) / (the linearised variance of a ratio of cluster sums: Cochran 1977, Sampling Techniques, ch.
 * 6; from memory); never more than the records, and the number of sets where all or none are covered, when
 * the variance says nothing. Records of a set follow one another. */
double bench_effective_trials(const struct bench_record *records, size_t count);

/* Median of x[count], which is sorted on return: the mean of the middle two when count is even, NaN when 0.
 */
double bench_median(double *x, size_t count);

/* All of them, of records[count] (records of a set follow one another). scratch[count] is overwritten. */
void bench_statistics_of(const struct bench_record *records, size_t count, const struct bench_scale *scale,
                         double *scratch, struct bench_statistics *out);

#endif
