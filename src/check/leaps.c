/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Leaps: what no bar does from one reading to the next. Muscles change a loaded bar's acceleration over tens
 * of milliseconds, and where iron meets iron it rings. It does not leap from one calm course to another:
 * then readings were cut out, a sensor froze, or unit, axis or sign are others from there on.
 */
#include "check/parts.h"

#include "barplumb/units.h"

#include <math.h>

/* A straight line through so many readings on either side. */
enum { SIDE = 6, NAMED_MOST = 3 };

/* How many times what the lines leave unexplained. 600 random logs and every open recording the tests use but
 * a ride in a lift stay under 17: by chance alone none would come past 6, curved courses do. */
static const double jump_calm = 18;
/* From one reading to the next at fewer than 80 a second a push may rise from nothing; and a knock is no calm
 * course. There a jump must stand out further; less so one that is far in itself. */
static const double jump_else = 40, jump_far = 25, quick_hz = 80;

/* A leap stays where this much of it is left in the means over so long before and after it: a bar that goes
 * up and down has little acceleration left in them, and rolls to and fro. */
static const double stays_s = 3, stays_share = 0.5;
/* A rack that is bumped may turn the phone by a few degrees at once: less is no sign of another unit or zero.
 */
static const double stays_least = 1; /* m/s^2 */

/* Gravity that turns over: by more than 120 degrees, in means over so long, in which clatter is lost. */
static const double over_s = 2, over_cosine = -0.5;
static const double over_least = 0.5 * BP_STANDARD_GRAVITY, over_leap = 1.5 * BP_STANDARD_GRAVITY;

/* One sensor, as this file looks at it. */
struct sensor {
    double *const *x;
    double noise;   /* of one axis */
    double least;   /* a step of less is not worth a look */
    double calm;    /* residual of a calm course */
    double refused; /* a jump this far changes what all figures stand on; HUGE_VAL: never */
    unsigned clipped;
    const char *name, *unit, *code;
    double scale; /* to the unit */
};

struct leap {
    double by[3], length;
};

struct line {
    double at[3];    /* carried to a moment beside it */
    double residual; /* rms about the line, one axis */
};

static double distance(const double a[3], const double b[3])
{
    return sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) +
                (a[2] - b[2]) * (a[2] - b[2]));
}

/* A straight line by least squares through readings [first, first + SIDE), carried to time t. */
static struct line carry_line(const struct bp_trace *trace, const struct sensor *s, size_t first, double t)
{
    struct line line = {{0}, 0};
    double mean_t = 0, tt = 0, squares = 0;
    for (size_t i = first; i < first + SIDE; i++) {
        mean_t += trace->time_s[i] / SIDE;
    }
    for (size_t i = first; i < first + SIDE; i++) {
        tt += (trace->time_s[i] - mean_t) * (trace->time_s[i] - mean_t);
    }
    for (size_t a = 0; a < 3; a++) {
        double mean = 0, slope = 0;
        for (size_t i = first; i < first + SIDE; i++) {
            mean += s->x[a][i] / SIDE;
        }
        for (size_t i = first; i < first + SIDE; i++) {
            slope += (trace->time_s[i] - mean_t) * (s->x[a][i] - mean) / tt;
        }
        for (size_t i = first; i < first + SIDE; i++) {
            double off = s->x[a][i] - mean - slope * (trace->time_s[i] - mean_t);
            squares += off * off;
        }
        line.at[a] = mean + slope * (t - mean_t);
    }
    line.residual = sqrt(squares / (3 * (SIDE - 2)));
    return line;
}

/* Readings [first, last] are whole: nothing is missing between them, none is clipped. */
static bool whole(const struct bp_trace *trace, const struct sensor *s, size_t first, size_t last)
{
    for (size_t i = first; i <= last; i++) {
        if ((trace->marks[i] & s->clipped) || (i > first && (trace->marks[i] & BP_MARK_AFTER_GAP))) {
            return false;
        }
    }
    return true;
}

static double step_at(const struct sensor *s, size_t i)
{
    const double here[3] = {s->x[0][i], s->x[1][i], s->x[2][i]};
    const double before[3] = {s->x[0][i - 1], s->x[1][i - 1], s->x[2][i - 1]};
    return distance(here, before);
}

/* Mean of readings [first, end). */
static void mean_over(const struct sensor *s, size_t first, size_t end, double mean[3])
{
    for (size_t a = 0; a < 3; a++) {
        mean[a] = 0;
        for (size_t i = first; i < end; i++) {
            mean[a] += s->x[a][i];
        }
        mean[a] /= (double)(end - first);
    }
}

/* Means over so long before reading i and from it on, as far as the log goes. */
static void means_beside(const struct bp_trace *trace, const struct sensor *s, size_t i, double length_s,
                         double before[3], double after[3])
{
    size_t n = (size_t)(length_s * (double)trace->count / trace->time_s[trace->count - 1]) + 1;
    mean_over(s, i > n ? i - n : 0, i, before);
    mean_over(s, i, i + n < trace->count ? i + n : trace->count, after);
}

/* Gravity points the other way from reading i on: nobody turns a bar over from one reading to the next. */
static bool turns_over(const struct bp_trace *trace, const struct sensor *s, size_t i)
{
    double before[3], after[3], both = 0, before2 = 0, after2 = 0;
    means_beside(trace, s, i, over_s, before, after);
    for (size_t a = 0; a < 3; a++) {
        both += before[a] * after[a];
        before2 += before[a] * before[a];
        after2 += after[a] * after[a];
    }
    return fmin(before2, after2) > over_least * over_least && both < over_cosine * sqrt(before2 * after2);
}

/* How much of the leap at reading i is still there in the means over a while before and after it: all of it
 * where the sensor reads otherwise from there on, none where readings were cut out or the sensor stood still.
 */
static double share_left(const struct bp_trace *trace, const struct sensor *s, const struct leap *leap,
                         size_t i)
{
    double before[3], after[3], both = 0;
    means_beside(trace, s, i, stays_s, before, after);
    for (size_t a = 0; a < 3; a++) {
        both += (after[a] - before[a]) * leap->by[a];
    }
    return both / (leap->length * leap->length);
}

/* How far the course leaps between readings i - 1 and i; length 0 where it does not. */
static struct leap jump_at(const struct bp_trace *trace, const struct bp_check *check, const struct sensor *s,
                           size_t i)
{
    double t = 0.5 * (trace->time_s[i - 1] + trace->time_s[i]);
    struct line before = carry_line(trace, s, i - SIDE, t), after = carry_line(trace, s, i, t);
    double residual = fmax(fmax(before.residual, after.residual), s->noise);
    bool calm = residual < s->calm && check->clock.rate_hz >= quick_hz;
    struct leap leap = {{after.at[0] - before.at[0], after.at[1] - before.at[1], after.at[2] - before.at[2]},
                        distance(before.at, after.at)};
    double clear = calm ? jump_calm : leap.length > s->refused ? jump_far : jump_else;
    bool stands_out = leap.length > s->least && leap.length > clear * residual;
    if (!stands_out && !(leap.length > over_leap && turns_over(trace, s, i))) {
        leap.length = 0;
    }
    return leap;
}

static void report_jump(const struct sensor *s, double t, double leap, bool refused,
                        struct bp_findings *findings)
{
    bp_findings_add(findings, s->code, refused ? BP_REFUSAL : BP_RESERVATION, t,
                    "the %s leaps by %s %s from one reading to the next: %s", s->name,
                    bp_digits(leap * s->scale, 2).text, s->unit,
                    refused ? "from here on the log is in another unit, axis or sign, or a part is cut out"
                            : "readings are cut out or wrong here, and figures across it with them");
}

/* Returns whether any was found. */
static bool check_sensor(const struct bp_trace *trace, const struct sensor *s, struct bp_check *check)
{
    size_t found = 0;
    for (size_t i = SIDE; i + SIDE < trace->count; i++) {
        if (step_at(s, i) < s->least || !whole(trace, s, i - SIDE, i + SIDE - 1)) {
            continue;
        }
        struct leap leap = jump_at(trace, check, s, i);
        if (leap.length > 0) {
            bool stays = isfinite(s->refused) && leap.length > stays_least &&
                         share_left(trace, s, &leap, i) > stays_share;
            bool refused = stays || leap.length > s->refused;
            bp_check_doubt(check, trace->time_s[i - 1], trace->time_s[i]);
            if (refused || ++found <= NAMED_MOST) {
                report_jump(s, trace->time_s[i], leap.length, refused, &check->findings);
            }
            i += SIDE; /* the same one still */
        }
    }
    if (found > NAMED_MOST) {
        bp_findings_add(&check->findings, s->code, BP_RESERVATION, (double)NAN, "%zu more such leaps",
                        found - NAMED_MOST);
    }
    return found > 0;
}

void bp_check_leaps(const struct bp_trace *trace, struct bp_check *check)
{
    const struct sensor force = {.x = trace->force,
                                 .noise = fmax(check->noise.force_sd, trace->force_grid),
                                 .least = 0.3,
                                 .calm = 0.15,
                                 .refused = 4,
                                 .clipped = BP_MARK_CLIPPED,
                                 .name = "acceleration",
                                 .unit = "m/s²",
                                 .code = "jump",
                                 .scale = 1};
    bool forced = check_sensor(trace, &force, check);
    if (trace->gyroscope) {
        const struct sensor turn = {.x = trace->turn,
                                    .noise = fmax(check->noise.turn_sd, trace->turn_grid),
                                    .least = 0.05,
                                    .calm = 0.02,
                                    .refused = HUGE_VAL,
                                    .clipped = BP_MARK_GYRO_CLIPPED,
                                    .name = "rate of turn",
                                    .unit = "°/s",
                                    .code = "gyro-jump",
                                    .scale = 1 / BP_DEGREE};
        bool turned = check_sensor(trace, &turn, check);
        check->gyroscope_wrong = check->gyroscope_wrong || (turned && !forced);
    }
}
