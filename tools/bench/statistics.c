/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/statistics.h"

#include <math.h>
#include <stdlib.h>

static const double NORMAL_975 = 1.959963984540054; /* quantile of the normal distribution */
static const double WRONG_HALF_WIDTHS = 3;

static bool has_interval(const struct bench_record *record)
{
    return isfinite(record->value) && isfinite(record->low) && isfinite(record->high);
}

bool bench_covered(const struct bench_record *record)
{
    return record->low <= record->truth && record->truth <= record->high;
}

bool bench_wrong(const struct bench_record *record)
{
    double error = record->truth - record->value;
    double half = error > 0 ? record->high - record->value : record->value - record->low;
    return fabs(error) > WRONG_HALF_WIDTHS * fmax(half, 0);
}

void bench_wilson(double share, double n, double *low, double *high)
{
    double z2 = NORMAL_975 * NORMAL_975, scale = 1 / (1 + z2 / n);
    double middle = scale * (share + 0.5 * z2 / n);
    double half = scale * NORMAL_975 * sqrt(share * (1 - share) / n + 0.25 * z2 / (n * n));
    *low = fmax(middle - half, 0);
    *high = fmin(middle + half, 1);
}

/* Intervals of one set: how many, and how many of them hold their truth. */
struct cluster {
    double count, covered;
};

/* The cluster that begins at *i; *i moves behind it. */
static struct cluster next_cluster(const struct bench_record *records, size_t count, size_t *i)
{
    struct cluster cluster = {0, 0};
    uint32_t set = records[*i].set;
    for (; *i < count && records[*i].set == set; (*i)++) {
        if (has_interval(&records[*i])) {
            cluster.count++;
            cluster.covered += bench_covered(&records[*i]);
        }
    }
    return cluster;
}

/* Sums over all records; returns the number of sets with an interval. */
static size_t count_clusters(const struct bench_record *records, size_t count, struct cluster *all)
{
    size_t sets = 0;
    *all = (struct cluster){0, 0};
    for (size_t i = 0; i < count;) {
        struct cluster cluster = next_cluster(records, count, &i);
        sets += cluster.count > 0;
        all->count += cluster.count;
        all->covered += cluster.covered;
    }
    return sets;
}

double bench_effective_trials(const struct bench_record *records, size_t count)
{
    struct cluster all;
    double sets = (double)count_clusters(records, count, &all), share = all.covered / all.count, squares = 0;
    if (sets < 2 || all.covered == 0 || all.covered == all.count) {
        return sets;
    }
    for (size_t i = 0; i < count;) {
        struct cluster cluster = next_cluster(records, count, &i);
        double excess = cluster.covered - share * cluster.count;
        squares += excess * excess;
    }
    double variance = sets / (sets - 1) * squares / (all.count * all.count);
    return fmin(share * (1 - share) / variance, all.count);
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double bench_median(double *x, size_t count)
{
    if (count == 0) {
        return (double)NAN;
    }
    qsort(x, count, sizeof *x, compare);
    return 0.5 * (x[(count - 1) / 2] + x[count / 2]);
}

/* What a difference in the figure's unit is told as; NaN when the truth is too small for a relative one. */
static double told(const struct bench_scale *scale, const struct bench_record *record, double difference)
{
    if (!scale->relative) {
        return scale->factor * difference;
    }
    return record->truth > scale->least_truth ? scale->factor * difference / record->truth : (double)NAN;
}

static void measure_errors(const struct bench_record *records, size_t count, const struct bench_scale *scale,
                           double *scratch, struct bench_statistics *out)
{
    double sum = 0, squares = 0, worst = 0, off = 0, truth = 0;
    uint32_t last = 0;
    for (size_t i = 0; i < count; i++) {
        bool given = isfinite(records[i].value);
        *(given ? &out->given : &out->not_given) += 1;
        if (given && (out->sets == 0 || records[i].set != last)) {
            last = records[i].set;
            out->sets++;
        }
        double error = told(scale, &records[i], records[i].value - records[i].truth);
        if (isfinite(error)) {
            scratch[out->errors++] = fabs(error);
            sum += error;
            squares += error * error;
            worst = fabs(error) > fabs(worst) ? error : worst;
            off += pow(records[i].value - records[i].truth, 2);
            truth += records[i].truth * records[i].truth;
        }
    }
    double n = out->errors ? (double)out->errors : (double)NAN;
    out->bias = sum / n;
    out->rms = sqrt(squares / n);
    out->worst = out->errors ? worst : (double)NAN;
    out->median = bench_median(scratch, out->errors);
    out->pooled = scale->relative && truth > 0 ? scale->factor * sqrt(off / truth) : (double)NAN;
}

static void measure_intervals(const struct bench_record *records, size_t count,
                              const struct bench_scale *scale, double *scratch, struct bench_statistics *out)
{
    size_t widths = 0, wrong = 0;
    struct cluster all;
    count_clusters(records, count, &all);
    out->intervals = (size_t)all.count;
    out->coverage = out->coverage_low = out->coverage_high = out->width = out->wrong = (double)NAN;
    if (out->intervals == 0) {
        return;
    }
    for (size_t i = 0; i < count; i++) {
        if (has_interval(&records[i])) {
            wrong += bench_wrong(&records[i]);
            double width = told(scale, &records[i], records[i].high - records[i].low);
            if (isfinite(width)) {
                scratch[widths++] = width;
            }
        }
    }
    out->coverage = all.covered / all.count;
    bench_wilson(out->coverage, bench_effective_trials(records, count), &out->coverage_low,
                 &out->coverage_high);
    out->width = bench_median(scratch, widths);
    out->wrong = (double)wrong / all.count;
}

void bench_statistics_of(const struct bench_record *records, size_t count, const struct bench_scale *scale,
                         double *scratch, struct bench_statistics *out)
{
    *out = (struct bench_statistics){0};
    measure_errors(records, count, scale, scratch, out);
    measure_intervals(records, count, scale, scratch, out);
}
