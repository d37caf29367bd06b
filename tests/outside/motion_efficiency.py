# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds the errors of a track against the least that any estimator can have. Usage: motion_efficiency.py DRIVER

Logs are made for which the motion stage's model holds: a phone that does not turn, white accelerometer noise, a constant
bias of the prior's spread, speeds at rest and heights of the levels with the spreads that the stage is told. For a random
parameter no estimator's mean square error is less than the inverse of the total information, the data's and the prior's
(Van Trees 1968, Detection, Estimation, and Modulation Theory I, section 2.4; from memory); for Gaussian errors that
inverse is reached by the best. Exit status 77: scipy is not installed, nothing was checked.
"""
import subprocess
import sys

try:
    import numpy as np
    import scipy
    from scipy import linalg
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

LEAST, MOST = 0.9, 1.3  # of rms error over the bound: below only by chance or by a wrong bound, above by waste
TRIALS, AT_ONCE = 720, 12

RATE, STEP = 256, 32  # Hz, samples a knot: both exact in binary
KNOTS = 129
COUNT = (KNOTS - 1) * STEP + 1
T = np.arange(COUNT) / RATE
STILL = [(0, 24), (104, 128)]  # knots
# What the stage takes for granted (src/motion/prior.h) and the logs are made with.
STILL_SD, START_SD, BIAS_SD, LEVEL_ANYWHERE, HEIGHT_START_VAR = 0.004, 0.5, 0.3, 1.5, 1e-8
NOISE = 0.15  # m/s^2 a sample: so loud that the stage's own floor of 0.003 m/s^2 sqrt(s) is a tenth of its power
G = 9.80665
LEVEL, RACK, TOP, BOTTOM = 1, 0, 1, 2
# Knot, level, its height, sd: three reps of 0.4 m.
LEVELS = [(12, RACK, 0.0, 0.015), (36, TOP, 0.4, 0.01), (48, BOTTOM, 0.0, 0.01), (60, TOP, 0.4, 0.01),
          (72, BOTTOM, 0.0, 0.01), (84, TOP, 0.4, 0.01), (116, RACK, 0.0, 0.015)]
DRIVES = [(25, 36), (48, 60), (72, 84)]

driver = sys.argv[1]
rng = np.random.default_rng(20251125)
failures = 0


def minimum_jerk(t, start, length, rise):
    """Height, speed and acceleration: Flash & Hogan 1985, J Neurosci 5:1688-1703."""
    x = np.clip((t - start) / length, 0, 1)
    return np.array([rise * x**3 * (10 - 15 * x + 6 * x * x), rise / length * 30 * x**2 * (1 - x) ** 2,
                     rise / length**2 * 60 * x * (1 - x) * (1 - 2 * x)])


def resting(first, last):
    """Speeds at the knots of a still spell: independent, as the stage has it; straight between them."""
    at = np.arange(first, last + 1) * STEP / RATE
    v = rng.normal(scale=STILL_SD, size=last - first + 1)
    speed = np.interp(T, at, v) * ((T >= at[0]) & (T <= at[-1]))
    slopes = np.diff(v) / np.diff(at)
    before = np.searchsorted(at, T, side="left") - 1
    after = np.searchsorted(at, T, side="right") - 1
    side = [np.where((k >= 0) & (k < len(slopes)), slopes[np.clip(k, 0, len(slopes) - 1)], 0) for k in (before, after)]
    height = np.concatenate([[0], np.cumsum((speed[1:] + speed[:-1]) / 2)]) / RATE
    return np.array([height, speed, (side[0] + side[1]) / 2])


def make_path():
    """Height, speed and acceleration on the samples, levels and rests spread as the stage takes them to be."""
    path = sum(resting(*spell) for spell in STILL)
    # The speed at rest ends in a jump to the stroke's 0; a short straight run brings it there.
    for knot, to in [(24, 25), (104, 103)]:
        v, a, b = path[1, knot * STEP], *sorted([knot * STEP, to * STEP])
        ramp = np.interp(np.arange(COUNT), [a, b], [v, 0] if to > knot else [0, v])
        inside = (np.arange(COUNT) > a) & (np.arange(COUNT) < b)
        slope = (-v if to > knot else v) / (STEP / RATE)
        path[1] += np.where(inside, ramp, 0)
        path[2] += np.where(inside, slope, 0)
        path[2, a] += slope / 2
        path[2, b] += slope / 2
    path[0] = np.concatenate([[0], np.cumsum((path[1, 1:] + path[1, :-1]) / 2)]) / RATE
    heights = [height + rng.normal(scale=sd) for _, _, height, sd in LEVELS]
    starts = [25] + [level[0] for level in LEVELS[1:-1]]
    ends = [level[0] for level in LEVELS[1:-1]] + [103]
    for i, (start, end) in enumerate(zip(starts, ends)):
        k0, k1 = LEVELS[i][0] * STEP, LEVELS[i + 1][0] * STEP
        rise = heights[i + 1] - heights[i] - (path[0, k1] - path[0, k0])
        path += minimum_jerk(T, start * STEP / RATE, (end - start) * STEP / RATE, rise)
    return path


def make_log(path):
    """The numbers of one log for the driver."""
    bias = rng.normal(scale=BIAS_SD)
    force = rng.normal(scale=NOISE, size=(3, COUNT))
    force[2] += G + bias + path[2]
    still = np.concatenate([np.arange(a * STEP, b * STEP + 1) for a, b in STILL])
    gravity = np.linalg.norm(force[:, still].mean(axis=1))
    head = [COUNT, len(STILL), len(LEVELS), NOISE, gravity]
    spells = [sample for a, b in STILL for sample in (a * STEP, b * STEP)]
    closures = [number for knot, level, _, sd in LEVELS for number in (LEVEL, level, knot * STEP, knot * STEP, sd)]
    return np.concatenate([head, T, force.ravel(), spells, closures])


def bound():
    """Inverse of the information on height and speed at every knot, the bias and the three levels."""
    size = 2 * KNOTS + 4
    bias, level = 2 * KNOTS, 2 * KNOTS + 1
    rows = []

    def know(sd, **cells):
        row = np.zeros(size)
        for place, cell in cells.items():
            row[int(place[1:])] = cell
        rows.append(row / sd)

    know(HEIGHT_START_VAR**0.5, _0=1)
    know(START_SD, _1=1)
    know(BIAS_SD, **{f"_{bias}": 1})
    for i in range(3):
        know(LEVEL_ANYWHERE, **{f"_{level + i}": 1})
    dt, q = STEP / RATE, NOISE**2 / RATE
    Q = q * np.array([[dt**3 / 3, dt**2 / 2], [dt**2 / 2, dt]])
    whiten = linalg.inv(linalg.cholesky(Q, lower=True))
    for k in range(1, KNOTS):
        step = np.zeros((2, size))
        step[:, 2 * k : 2 * k + 2] = np.eye(2)
        step[:, 2 * k - 2 : 2 * k] = -np.array([[1, dt], [0, 1]])
        step[:, bias] = [dt * dt / 2, dt]
        rows.extend(whiten @ step)
    for a, b in STILL:
        for k in range(a, b + 1):
            know(STILL_SD, **{f"_{2 * k + 1}": 1})
    for knot, which, _, sd in LEVELS:
        know(sd, **{f"_{2 * knot}": 1, f"_{level + which}": -1})
    r = linalg.qr(np.array(rows), mode="r")[0][:size]
    inverse = linalg.solve_triangular(r, np.eye(size))
    return inverse @ inverse.T


def run_trials():
    """Errors of height and speed at the knots [trials, knots], and the stated sd of both [trials, 2]."""
    height, speed, stated = [], [], []
    for _ in range(TRIALS // AT_ONCE):
        paths = [make_path() for _ in range(AT_ONCE)]
        data = np.concatenate([make_log(path) for path in paths]).tobytes()
        answer = subprocess.run([driver, "track"], input=data, stdout=subprocess.PIPE, check=True).stdout
        answer = np.frombuffer(answer).reshape(AT_ONCE, 2 * COUNT + 2)
        for path, out in zip(paths, answer):
            height.append((out[:COUNT] - path[0] + path[0, 0])[::STEP])
            speed.append((out[COUNT : 2 * COUNT] - path[1])[::STEP])
            stated.append(out[2 * COUNT :])
    return np.array(height), np.array(speed), np.array(stated)


def hold(what, errors, variance, unit):
    """Ratio of the rms of errors [trials, …] to the bound; its own standard error by the jackknife over trials."""
    global failures
    square = np.mean(errors.reshape(TRIALS, -1) ** 2, axis=1)
    ratio = np.sqrt(square.mean() / variance)
    without = np.sqrt((square.sum() - square) / (TRIALS - 1) / variance)
    chance = np.sqrt((TRIALS - 1) * np.mean((without - without.mean()) ** 2))
    good = LEAST <= ratio <= MOST and chance < 0.04
    failures += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: rms error {np.sqrt(square.mean()):.5f} {unit}, "
          f"bound {np.sqrt(variance):.5f}, ratio {ratio:.3f} ± {chance:.3f}, to lie in {LEAST} to {MOST}")


print(f"scipy {scipy.__version__}, numpy {np.__version__}, {TRIALS} trials")
covariance = bound()
height, speed, stated = run_trials()
variance = np.diag(covariance)
moving = np.arange(STILL[0][1], STILL[1][0] + 1)
hold("height while moving", height[:, moving], variance[2 * moving].mean(), "m")
hold("speed while moving", speed[:, moving], variance[2 * moving + 1].mean(), "m/s")
for first, last in DRIVES:
    seconds = (last - first) * STEP / RATE
    g = np.zeros(len(covariance))
    g[2 * last], g[2 * first] = 1 / seconds, -1 / seconds
    hold(f"mean velocity, knots {first} to {last}", (height[:, last] - height[:, first]) / seconds,
         g @ covariance @ g, "m/s")
# And the stage knows what it does: its own stated sd over the log against the errors it made.
hold("height over the whole log, against the sd it states", height, np.mean(stated[:, 0] ** 2), "m")
hold("speed over the whole log, against the sd it states", speed, np.mean(stated[:, 1] ** 2), "m/s")
print(f"{failures} failed")
sys.exit(1 if failures else 0)
