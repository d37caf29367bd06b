/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Wild readings: one that stands alone, far off the calm course before and after it. A knock rings for longer
 * than one reading, and what a hand does takes tens of milliseconds. Such a reading is interpolated.
 */
#include "import/stream.h"

#include <math.h>

/* A straight line through so many readings on either side. */
enum { SIDE = 6, NAMED_MOST = 3, AXES = 3 };
/* Times what the lines leave unexplained. 600 random logs and every open recording the tests use stay under
 * 12. */
static const double strange = 20;
static const double span_most = 2; /* of the usual time of so many readings: more has a gap in it */

struct course {
    const double *time;
    double *const *value;
    size_t count;
    double step_s, least;
};

/* Readings [first, first + SIDE) of one axis on a straight line, carried to t; adds its squared residuals. */
static double carry(const double *time, const double *v, size_t first, double t, double *squares)
{
    double mean_t = 0.0, mean = 0.0, tt = 0.0, tv = 0.0;
    for (size_t i = first; i < first + SIDE; i++) {
        mean_t += time[i] / SIDE;
        mean += v[i] / SIDE;
    }
    for (size_t i = first; i < first + SIDE; i++) {
        tt += (time[i] - mean_t) * (time[i] - mean_t);
        tv += (time[i] - mean_t) * (v[i] - mean);
    }
    double slope = tv / tt;
    for (size_t i = first; i < first + SIDE; i++) {
        double off = v[i] - mean - slope * (time[i] - mean_t);
        *squares += off * off;
    }
    return mean + slope * (t - mean_t);
}

/* How far reading i stands off; 0 where it belongs to the course. */
static double stands_off(const struct course *c, size_t i)
{
    double t = c->time[i], before2 = 0.0, after2 = 0.0, apart2 = 0.0, off2 = 0.0;
    if (!(c->time[i + SIDE] - c->time[i - SIDE] < span_most * 2 * SIDE * c->step_s)) {
        return 0.0;
    }
    for (size_t a = 0; a < AXES; a++) {
        double before = carry(c->time, c->value[a], i - SIDE, t, &before2);
        double after = carry(c->time, c->value[a], i + 1, t, &after2);
        double off = c->value[a][i] - 0.5 * (before + after);
        apart2 += (before - after) * (before - after);
        off2 += off * off;
    }
    double left2 = fmax(fmax(before2, after2) / (AXES * (SIDE - 2)), apart2 / AXES);
    double limit = fmax(c->least, strange * sqrt(left2));
    return off2 > limit * limit ? sqrt(off2) : 0.0;
}

static double bend(const double *v, size_t i)
{
    return v[i] - 0.5 * (v[i - 1] + v[i + 1]);
}

/* The next reading from i on that leaves its neighbours and so is worth a look; or the last but SIDE. */
static size_t next_leaving(const struct course *c, size_t i)
{
    const double *x = c->value[0], *y = c->value[1], *z = c->value[2];
    const double least2 = 0.25 * c->least * c->least;
    while (i + SIDE < c->count &&
           !(bend(x, i) * bend(x, i) + bend(y, i) * bend(y, i) + bend(z, i) * bend(z, i) > least2)) {
        i++;
    }
    return i;
}

static void bridge(const struct course *c, size_t i)
{
    double part = (c->time[i] - c->time[i - 1]) / (c->time[i + 1] - c->time[i - 1]);
    for (size_t a = 0; a < AXES; a++) {
        double *v = c->value[a];
        v[i] = v[i - 1] + part * (v[i + 1] - v[i - 1]);
    }
}

void bp_import_mend_spikes(struct bp_importer *im, const double *time, double *const value[3], size_t count,
                           uint8_t *marks, bool gyroscope)
{
    const double least[2] = {0.3, 0.05}; /* m/s^2, rad/s: less does no harm in one reading */
    char number[BP_NUMBER_TEXT];
    size_t found = 0;
    if (count < 2 * SIDE + 1) {
        return;
    }
    struct course c = {time, value, count, (time[count - 1] - time[0]) / (double)(count - 1),
                       least[gyroscope]};
    for (size_t i = next_leaving(&c, SIDE); i + SIDE < count; i = next_leaving(&c, i + 1)) {
        double off = stands_off(&c, i);
        if (!(off > 0.0 && isfinite(off))) { /* what a unit made infinite is refused, not mended */
            continue;
        }
        bridge(&c, i);
        marks[i] |= BP_MARK_MENDED;
        if (++found <= NAMED_MOST) {
            bp_findings_add(im->findings, "spike", BP_RESERVATION, time[i],
                            "one reading of the %s stands %s %s off those before and after it; it was "
                            "interpolated",
                            gyroscope ? "gyroscope" : "accelerometer", bp_import_number(off, number),
                            gyroscope ? "rad/s" : "m/s²");
        }
    }
    if (found > NAMED_MOST) {
        bp_findings_add(im->findings, "spike", BP_RESERVATION, (double)NAN,
                        "%zu more such readings were interpolated", found - NAMED_MOST);
    }
}
