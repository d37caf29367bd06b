/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Turns: does the gyroscope turn gravity the way the accelerometer sees it turn while the bar moves? Means
 * over a good half second hold little of the bar's own acceleration, so from one to the next their direction
 * turns with the phone, by as much as the gyroscope says. A share of -1 is a gyroscope of the other hand or a
 * flipped axis, one of 57 is degrees taken for radians.
 */
#include "check/parts.h"

#include "motion/calm.h"
#include "motion/rotation.h"

#include <math.h>

static const double window_s = 0.6;
/* Past this, small angles no longer add up: the phone is being handled. */
static const double turn_most = 0.35; /* of a direction's unit length: 20 degrees */
enum { PAIRS_LEAST = 12, ORDERS = 48 };
/* In 600 random logs the share came out between 0.1 and 1.6. It must lie past these by so many of its own
 * standard errors. */
static const double share_low = -0.1, share_high = 3.0, errors_clear = 3;

/* As the axes stand, the gyroscope leaves more of gravity's turns than no gyroscope would, and in another
 * order less than this share of that. In 1100 random logs 0.34 was the least. */
static const double order_share = 0.25;

/* Degrees and radians are 57 apart; a bar that never rests again adds to the noise of the sensor. */
static const double noise_s = 0.5, noise_times = 15, sway_most = 0.2; /* s, 1, m/s² */
enum { ENDS = 8 };                                                    /* an end is this part of the log */

/* Running sums over readings [0, i): acceleration, and the angle turned through. */
struct sums {
    double *force[3], *angle[3];
};

/* What pairs of neighbouring windows say: gyroscope's and gravity's turns, squared and multiplied. */
struct turns {
    double gyro2, both, gravity2;
    double left[ORDERS]; /* of gravity's turns, squared, by the gyroscope with its axes in another order */
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

/* Squared, what is left of gravity's turn where the gyroscope's axes stand in another order, signs and all:
 * order 0 is as they stand. */
static double left_by(const double turn[3], const double u[3], const double gravity[3], size_t order)
{
    static const size_t places[6][3] = {{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}, {1, 2, 0}, {2, 0, 1}};
    double other[3], gyro[3], left = 0;
    for (size_t a = 0; a < 3; a++) {
        other[a] = (order >> a & 1 ? -1 : 1) * turn[places[order / 8][a]];
    }
    bp_cross(u, other, gyro); /* u' = -ω × u */
    for (size_t a = 0; a < 3; a++) {
        left += (gravity[a] - gyro[a]) * (gravity[a] - gyro[a]);
    }
    return left;
}

/* Adds what the windows of n readings before and after i say: u' = -ω × u. */
static void add_pair(const struct sums *sums, size_t i, size_t n, struct turns *turns)
{
    double before[3], after[3], angle_before[3], angle_after[3], u[3], turn[3], gravity[3], gyro[3],
        gravity2 = 0;
    mean_of(sums->force, i - n, n, before);
    mean_of(sums->force, i, n, after);
    mean_of(sums->angle, i - n, n, angle_before);
    mean_of(sums->angle, i, n, angle_after);
    if (!(bp_normalise(before) > 0 && bp_normalise(after) > 0)) {
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
    bp_cross(u, turn, gyro);
    for (size_t a = 0; a < 3; a++) {
        turns->gyro2 += gyro[a] * gyro[a];
        turns->both += gyro[a] * gravity[a];
    }
    for (size_t o = 0; o < ORDERS; o++) {
        turns->left[o] += left_by(turn, u, gravity, o);
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

/* Do gravity's turns say that the gyroscope's axes, or the accelerometer's, are in another order or sign? */
static bool other_order(const struct turns *turns)
{
    double least = turns->left[0];
    for (size_t o = 1; o < ORDERS; o++) {
        least = fmin(least, turns->left[o]);
    }
    return turns->left[0] > turns->gravity2 && least < order_share * turns->left[0];
}

/* Says so where readings [first, end) disagree. Returns whether they do. */
static bool judge(const struct bp_trace *trace, const struct sums *sums, size_t first, size_t end,
                  struct bp_check *check)
{
    struct turns turns = {.pairs = 0};
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
    } else if (other_order(&turns)) {
        bp_findings_add(
            &check->findings, "gyro-disagrees", BP_RESERVATION, trace->time_s[first],
            "from here to %s s gravity turns as the gyroscope would with its axes in another order: "
            "they are mixed up; the set is measured without it",
            bp_digits(trace->time_s[end - 1], 1).text);
        return true;
    }
    return opposed || too_little;
}

/* What stands out of the line between readings beside it, rms over block [from, from + n): the sensor's
 * noise, as it is written there. */
static double noise_of(double *const axis[3], size_t from, size_t n)
{
    double squares = 0;
    for (size_t a = 0; a < 3; a++) {
        for (size_t i = from; i < from + n; i++) {
            double off = axis[a][i - 1] - 2 * axis[a][i] + axis[a][i + 1];
            squares += off * off;
        }
    }
    return sqrt(squares / (double)n);
}

struct quiet {
    double sway, noise; /* of the accelerometer, of the gyroscope */
};

/* Where the phone moves least in [first, end). */
static struct quiet quietest(const struct bp_trace *trace, size_t block, size_t first, size_t end)
{
    struct quiet least = {HUGE_VAL, HUGE_VAL};
    for (size_t from = first + 1; from + block < end; from += block) {
        double mean[3], sway = sqrt(3 * bp_calm_variance(trace->force, from, from + block - 1, mean));
        if (sway < least.sway) {
            least = (struct quiet){sway, noise_of(trace->turn, from, block)};
        }
    }
    return least;
}

static double times_apart(double a, double b)
{
    return fmax(a, b) / fmin(a, b);
}

/* A gyroscope's noise is its own. Where it is many times as large at one end of the log as at the other, and
 * the phone lay as still, the unit changed. */
static bool judge_noise(const struct bp_trace *trace, struct bp_check *check)
{
    size_t block = (size_t)lround(noise_s * check->clock.rate_hz) + 1, end = trace->count / ENDS;
    struct quiet before = quietest(trace, block, 0, end);
    struct quiet after = quietest(trace, block, trace->count - end, trace->count);
    double times = times_apart(before.noise, after.noise);
    bool changed = isfinite(times) && times > noise_times && fmax(before.sway, after.sway) < sway_most;
    if (changed) {
        bp_findings_add(&check->findings, "gyro-disagrees", BP_RESERVATION, (double)NAN,
                        "the gyroscope's noise is %s times as large at one end of the log as at the other: "
                        "its unit changed; the set is measured without it",
                        bp_digits(times, 0).text);
    }
    return changed;
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
    bool wrong = judge_noise(trace, check) || judge(trace, &sums, 0, trace->count, check) ||
                 judge(trace, &sums, 0, half, check) || judge(trace, &sums, half, trace->count, check);
    check->gyroscope_wrong = check->gyroscope_wrong || wrong;
    return true;
}
