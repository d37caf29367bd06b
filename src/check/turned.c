/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Turned: from one calm moment to the next, does the phone turn as far as its gyroscope times the log's clock
 * says? Gravity shows its direction at both. A clock that runs k times too long makes every angle of the
 * gyroscope k times as large, every speed k times and every range k² times, and nothing but this shows it; a
 * gyroscope's own gain is off by a few parts in a hundred at most. One gain for all turns, by least squares
 * that hold outliers down (Cauchy's weights; Holland & Welsch 1977, Commun Stat A6:813-27).
 */
#include "check/parts.h"

#include "barplumb/units.h"
#include "motion/calm.h"
#include "motion/rotation.h"

#include <math.h>

/* Common practice, no source, for all bounds. Of 496 good simulated logs with a gyroscope 173 told as much as
 * the least here, and in the worst of them the gain, less three of its errors, was off 1 by 0.6 of the bound;
 * of some 1500 others, in the worst by 0.8.
 */
static const double window_s = 0.3, apart_most_s = 12, step_most_s = 0.1;
static const double sway_most = 0.6;  /* m/s^2 about the window's mean, and twice its length off gravity's */
static const double turn_most = 0.15; /* rad/s */
/* Sd of a direction: that of a bar which is held, and a part of the sway. */
static const double still_rad = 0.01, sway_share = 0.25;
enum { PAIRS_LEAST = 4, ROUNDS = 6 };
/* Cauchy's constant, squared, times 1.24, from the geometric mean of two squared normals to their median. */
static const double held_down = 3 * 1.24;
static const double information_least = 5, off_least = 0.03, off_times = 2.2, errors_clear = 3;

struct window {
    size_t first;
    double force[3], turn[3]; /* means; the turn's less its bias */
    double sway;
};

/* What a pair says: gravity's direction less the gyroscope's, and how the latter goes with the gain. */
struct pair {
    double off[3], slope[3], weight;
};

struct gain {
    double off, error, information; /* gain less 1, its sd, 1 over the sd that the weights alone would give */
};

static void read_window(const struct bp_trace *trace, const struct bp_check *check, size_t n,
                        struct window *window)
{
    size_t end = window->first + n;
    window->sway = sqrt(3 * bp_calm_variance(trace->force, window->first, end - 1, window->force));
    for (size_t a = 0; a < 3; a++) {
        double turn = 0;
        for (size_t i = window->first; i < end; i++) {
            turn += trace->turn[a][i];
        }
        window->turn[a] = turn / (double)n - check->noise.turn_bias[a];
    }
}

/* Of each two windows the calmer one, where it is calm. Returns how many. */
static size_t calm_windows(const struct bp_trace *trace, const struct bp_check *check, size_t n, size_t count,
                           struct window *windows)
{
    double calmest = HUGE_VAL, gravity = 0;
    size_t kept = 0;
    for (size_t k = 0; k < count; k++) {
        windows[k].first = k * n;
        read_window(trace, check, n, &windows[k]);
        gravity = windows[k].sway < calmest ? bp_length(windows[k].force) : gravity;
        calmest = fmin(calmest, windows[k].sway);
    }
    for (size_t k = 0; k < count; k++) {
        windows[k].sway += 2 * fabs(bp_length(windows[k].force) - gravity);
    }
    for (size_t k = 0; k + 1 < count; k += 2) {
        struct window window = windows[k].sway <= windows[k + 1].sway ? windows[k] : windows[k + 1];
        if (window.sway < sway_most && bp_length(window.turn) < turn_most) {
            windows[kept++] = window;
        }
    }
    return kept;
}

/* Carries gravity's direction by the gyroscope from one window to another, and its slope: were all turns by 1
 * + g as large, it would be off by g times that. False across a hole. */
static bool read_pair(const struct bp_trace *trace, const struct bp_check *check, size_t n,
                      const struct window *from, const struct window *to, struct pair *pair)
{
    const double *t = trace->time_s;
    double u[3], seen[3], added[3];
    size_t end = to->first + n / 2;
    for (size_t a = 0; a < 3; a++) {
        u[a] = from->force[a];
        seen[a] = to->force[a];
        pair->slope[a] = 0;
    }
    bp_normalise(u);
    bp_normalise(seen);
    for (size_t i = from->first + n / 2; i < end; i++) {
        double step = t[i + 1] - t[i], turn[3];
        if (step > step_most_s) {
            return false;
        }
        for (size_t a = 0; a < 3; a++) {
            turn[a] = (0.5 * (trace->turn[a][i] + trace->turn[a][i + 1]) - check->noise.turn_bias[a]) * step;
        }
        struct bp_quaternion turned = bp_quaternion_of(turn);
        bp_turn_in(turned, u, u);
        bp_turn_in(turned, pair->slope, pair->slope);
        bp_cross(u, turn, added);
        for (size_t a = 0; a < 3; a++) {
            pair->slope[a] += added[a];
        }
    }
    double sd = still_rad + sway_share * (from->sway + to->sway) / BP_STANDARD_GRAVITY;
    pair->weight = 1 / (sd * sd);
    for (size_t a = 0; a < 3; a++) {
        pair->off[a] = seen[a] - u[a];
    }
    return true;
}

static double left_of(const struct pair *pair, double gain)
{
    double left = 0;
    for (size_t a = 0; a < 3; a++) {
        double off = pair->off[a] - gain * pair->slope[a];
        left += off * off;
    }
    return left * pair->weight;
}

static struct gain fit(const struct pair *pairs, size_t count)
{
    const double NOTHING = 1e-12;
    struct gain gain = {.off = 0};
    double scale = HUGE_VAL; /* the first round holds nothing down */
    for (int round = 0; round < ROUNDS; round++) {
        double slopes = 0, both = 0, spread = 0, logs = 0;
        for (size_t p = 0; p < count; p++) {
            double weight = pairs[p].weight / (1 + left_of(&pairs[p], gain.off) / scale);
            double along = bp_dot(pairs[p].slope, pairs[p].off),
                   slope = bp_dot(pairs[p].slope, pairs[p].slope);
            double left = weight * (along - gain.off * slope);
            slopes += weight * slope;
            both += weight * along;
            spread += left * left;
        }
        gain = (struct gain){both / slopes, sqrt(spread) / slopes, sqrt(slopes)};
        for (size_t p = 0; p < count; p++) {
            logs += log(left_of(&pairs[p], gain.off) + NOTHING) / (double)count;
        }
        scale = held_down * exp(logs);
    }
    return gain;
}

static void judge(const struct gain *gain, struct bp_check *check)
{
    double most = off_least + off_times / gain->information;
    if (!(gain->information >= information_least && fabs(gain->off) - errors_clear * gain->error > most)) {
        return;
    }
    bp_findings_add(
        &check->findings, "turned-otherwise", BP_RESERVATION, (double)NAN,
        "from one calm moment to the next the phone turns %s times as far as its gyroscope and the log's "
        "clock say: one of the two is off, and if it is the clock, every speed is off by as much",
        bp_digits(1 + gain->off, 2).text);
}

bool bp_check_turned(const struct bp_trace *trace, struct bp_arena *arena, struct bp_check *check)
{
    size_t n = (size_t)lround(window_s * check->clock.rate_hz), found = 0;
    if (!trace->gyroscope || trace->gravity_removed || check->gyroscope_wrong || check->still.count == 0 ||
        n < 3 || trace->count < 2 * n) {
        return true;
    }
    size_t count = trace->count / n;
    struct window *windows = bp_arena_take(arena, count, sizeof *windows);
    struct pair *pairs = bp_arena_take(arena, count, sizeof *pairs);
    if (!windows || !pairs) {
        return false;
    }
    size_t calm = calm_windows(trace, check, n, count, windows);
    for (size_t k = 0; k + 1 < calm; k++) {
        const double *t = trace->time_s;
        bool near = t[windows[k + 1].first] - t[windows[k].first] <= apart_most_s;
        found += near && read_pair(trace, check, n, &windows[k], &windows[k + 1], &pairs[found]);
    }
    if (found >= PAIRS_LEAST) {
        struct gain gain = fit(pairs, found);
        judge(&gain, check);
    }
    return true;
}
