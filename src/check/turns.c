/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Turns: does the gyroscope turn gravity the way the accelerometer sees it turn while the bar moves? Means
 * over a good half second hold little of the bar's own acceleration, so from one to the next their direction
 * turns with the phone, by as much as the gyroscope says. A share of -1 is a gyroscope of the other hand or a
 * flipped axis, one of 57 is degrees taken for radians.
 */
#include "check/parts.h"

#include <math.h>

static const double window_s = 0.6;
/* Past this, small angles no longer add up: the phone is being handled. */
static const double turn_most = 0.35; /* of a direction's unit length: 20 degrees */
enum { PAIRS_LEAST = 12 };
/* In 600 random logs the share came out between 0.1 and 1.6. It must lie past these by so many of its own
 * standard errors. */
static const double share_low = -0.1, share_high = 3.0, errors_clear = 3;

/* Running sums over readings [0, i): acceleration, and the angle turned through. */
struct sums {
    double *force[3], *angle[3];
};

/* What pairs of neighbouring windows say: gyroscope's and gravity's turns, squared and multiplied. */
struct turns {
    double gyro2, both, gravity2;
    size_t pairs;
};

static bool make_sums(const struct bp_trace *trace, const struct bp_check *check, struct bp_arena *arena,
                      struct sums *sums)
{
    for (size_t a = 0; a < 3; a++) {
        double *force = sums->force[a] = bp_arena_doubles(arena, trace->count + 1);
        double *angle = sums->angle[a] = bp_arena_doubles(arena, trace->count + 1);
        double turned = 0;
        if (!force || !angle) {
            return false;
        }
        force[0] = angle[0] = 0;
        for (size_t i = 0; i < trace->count; i++) {
            if (i > 0) {
                double rate = 0.5 * (trace->turn[a][i] + trace->turn[a][i - 1]) - check->noise.turn_bias[a];
                turned += rate * (trace->time_s[i] - trace->time_s[i - 1]);
            }
            force[i + 1] = force[i] + trace->force[a][i];
            angle[i + 1] = angle[i] + turned;
        }
    }
    return true;
}

/* Mean over readings [first, first + n). */
static void mean_of(double *const sums[3], size_t first, size_t n, double mean[3])
{
    for (size_t a = 0; a < 3; a++) {
        mean[a] = (sums[a][first + n] - sums[a][first]) / (double)n;
    }
}

static bool unit_of(double v[3])
{
    double length = sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    for (size_t a = 0; a < 3 && length > 0; a++) {
        v[a] /= length;
    }
    return length > 0;
}

/* Adds what the windows of n readings before and after i say: u' = -ω × u. */
static void add_pair(const struct sums *sums, size_t i, size_t n, struct turns *turns)
{
    double before[3], after[3], angle_before[3], angle_after[3], u[3], turn[3], gravity[3], gravity2 = 0;
    mean_of(sums->force, i - n, n, before);
    mean_of(sums->force, i, n, after);
    mean_of(sums->angle, i - n, n, angle_before);
    mean_of(sums->angle, i, n, angle_after);
    if (!unit_of(before) || !unit_of(after)) {
        return;
    }
    for (size_t a = 0; a < 3; a++) {
        u[a] = 0.5 * (before[a] + after[a]);
        turn[a] = angle_after[a] - angle_before[a];
        gravity[a] = after[a] - before[a];
        gravity2 += gravity[a] * gravity[a];
    }
    if (gravity2 > turn_most * turn_most) {
        return;
    }
    const double gyro[3] = {turn[2] * u[1] - turn[1] * u[2], turn[0] * u[2] - turn[2] * u[0],
                            turn[1] * u[0] - turn[0] * u[1]};
    for (size_t a = 0; a < 3; a++) {
        turns->gyro2 += gyro[a] * gyro[a];
        turns->both += gyro[a] * gravity[a];
    }
    turns->gravity2 += gravity2;
    turns->pairs++;
}

/* How much of the gyroscope's turns gravity shows, by least squares, and the standard error. Windows overlap
 * by half, and a direction has two components: as many independent values as pairs. */
static bool share_of(const struct turns *turns, double *share, double *error)
{
    if (turns->pairs < PAIRS_LEAST || !(turns->gyro2 > 0)) {
        return false;
    }
    *share = turns->both / turns->gyro2;
    double left = fmax(turns->gravity2 - *share * turns->both, 0);
    *error = sqrt(left / (double)turns->pairs / turns->gyro2);
    return true;
}

/* Says so where readings [first, end) disagree. Returns whether they do. */
static bool judge(const struct bp_trace *trace, const struct sums *sums, size_t first, size_t end,
                  struct bp_check *check)
{
    struct turns turns = {0, 0, 0, 0};
    double share, error;
    size_t n = (size_t)lround(window_s * check->clock.rate_hz);
    for (size_t i = first + n; n > 1 && i + n <= end; i += n / 2) {
        add_pair(sums, i, n, &turns);
    }
    if (!share_of(&turns, &share, &error)) {
        return false;
    }
    bool opposed = share + errors_clear * error < share_low;
    bool too_little = share - errors_clear * error > share_high;
    if (opposed || too_little) {
        bp_findings_add(&check->findings, "gyro-disagrees", BP_RESERVATION, trace->time_s[first],
                        "gravity turns %s times as far as the gyroscope says, from here to %s s: its units, "
                        "axes or signs are wrong; the set is measured without it",
                        bp_digits(share, 1).text, bp_digits(trace->time_s[end - 1], 1).text);
    }
    return opposed || too_little;
}

bool bp_check_turns(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check)
{
    struct sums sums;
    if (!trace->gyroscope || trace->count < 2) {
        return true;
    }
    if (!make_sums(trace, check, arena, &sums)) {
        return false;
    }
    size_t half = trace->count / 2;
    check->gyroscope_wrong = judge(trace, &sums, 0, trace->count, check) ||
                             judge(trace, &sums, 0, half, check) ||
                             judge(trace, &sums, half, trace->count, check);
    return true;
}
