/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "motion/axis.h"
#include "barplumb/units.h"
#include "motion/rotation.h"

#include <math.h>

/* The wander must be plain to see (its sd) and mostly in one plane (its variance beside that across the
 * plane) before its normal is taken for known. With a gyroscope half of that is a better guess than how
 * people strap phones on; a force that is followed is turned by sideways pushes too, by a degree for each
 * 0.17 m/s^2, most of them along the bar, and then is none. */
static const double LEAST_ROLL_SD_RAD = 0.8 * BP_DEGREE, LEAST_RATIO = 4, GUESS_SHARE = 0.5;
/* About half a stroke, s; turns of less in it are noise, or rest. */
static const double HALF_STROKE_S = 0.5, LEAST_TURN_RAD = 0.3 * BP_DEGREE;
/* Past this the phone was being handled, not rolled with the bar. */
static const double MOST_ROLL_RAD = 45 * BP_DEGREE;

static void mean_up(double *const up[3], struct bp_spell on_bar, double mean[3])
{
    for (int a = 0; a < 3; a++) {
        mean[a] = 0;
        for (size_t i = on_bar.first; i <= on_bar.last; i++) {
            mean[a] += up[a][i];
        }
    }
    bp_normalise(mean);
}

/* Of how "up" turned within half a stroke: slower turns are the phone's that slips or the bar's that creeps
 * round in the hands, and where nothing moves there is nothing to see. */
static void wander(double *const up[3], const double *time_s, struct bp_spell on_bar, const double mean[3],
                   double covariance[9])
{
    double n = 0, limit = cos(MOST_ROLL_RAD);
    size_t before = on_bar.first;
    for (int c = 0; c < 9; c++) {
        covariance[c] = 0;
    }
    for (size_t i = on_bar.first; i <= on_bar.last; i++) {
        while (time_s[before + 1] <= time_s[i] - HALF_STROKE_S) {
            before++;
        }
        double d[3] = {up[0][i], up[1][i], up[2][i]};
        double then[3] = {up[0][before], up[1][before], up[2][before]};
        if (bp_dot(d, mean) < limit || bp_dot(then, mean) < limit) {
            continue;
        }
        for (int r = 0; r < 3; r++) {
            d[r] -= then[r];
        }
        double along = bp_dot(d, mean);
        for (int r = 0; r < 3; r++) {
            d[r] -= along * mean[r];
        }
        if (bp_dot(d, d) < LEAST_TURN_RAD * LEAST_TURN_RAD) {
            continue;
        }
        for (int c = 0; c < 9; c++) {
            covariance[c] += d[c / 3] * d[c % 3];
        }
        n++;
    }
    for (int c = 0; c < 9; c++) {
        covariance[c] /= fmax(n, 1);
    }
}

static struct bp_bar_axis axis_along(const double v[3], bool known)
{
    struct bp_bar_axis found = {{v[0], v[1], v[2]}, known};
    int largest = 0;
    for (int a = 1; a < 3; a++) {
        largest = fabs(v[a]) > fabs(v[largest]) ? a : largest;
    }
    if (v[largest] < 0) {
        for (int a = 0; a < 3; a++) {
            found.axis[a] = -v[a];
        }
    }
    return found;
}

/* Of the wander's variances, largest first: does one plane stand out by this share of the limits? */
static bool stands_out(const double variances[3], double share)
{
    return sqrt(variances[0]) > share * LEAST_ROLL_SD_RAD &&
           variances[0] > share * LEAST_RATIO * variances[1];
}

struct bp_bar_axis bp_axis_find(double *const up[3], const double *time_s, struct bp_spell on_bar,
                                bool gyroscope, int given)
{
    double mean[3], covariance[9], values[3], vectors[9], normal[3];
    if (given >= 0) {
        double axis[3] = {0};
        axis[given] = 1;
        return axis_along(axis, true);
    }
    mean_up(up, on_bar, mean);
    wander(up, time_s, on_bar, mean, covariance);
    bp_eigen3(covariance, values, vectors);
    bool known = stands_out(values, 1);
    if (known || (gyroscope && stands_out(values, GUESS_SHARE))) {
        bp_cross(mean, vectors, normal);
        bp_normalise(normal);
        return axis_along(normal, known);
    }
    /* Most people strap a phone lengthwise; its long side is y. If y stands upright it must be x. */
    double assumed[3] = {0, 1, 0};
    if (fabs(mean[1]) > cos(MOST_ROLL_RAD)) {
        assumed[0] = 1;
        assumed[1] = 0;
    }
    return axis_along(assumed, false);
}
