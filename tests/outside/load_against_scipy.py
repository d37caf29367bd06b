# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds src/load against scipy and numpy. Usage: load_against_scipy.py DRIVER

Bands: Steffen's curve built anew from the paper's formulas as a Hermite spline (scipy), its energy integrated,
and the force on the bar taken as the gradient of that energy in space: no formula of the library is used.
Chains: the force on the bar as the rate of change of the chain's momentum along a path, by finite differences.
Exit status 77: scipy is not installed, nothing was checked.
"""
import subprocess
import sys

try:
    import numpy as np
    from scipy.interpolate import CubicHermiteSpline
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

G = 9.80665  # m/s², exact: 3rd CGPM 1901
IRON_KG = 100.0  # the driver's bar and plates
driver = sys.argv[1]
rng = np.random.default_rng(19900239)
failures = 0


def run(action, *numbers):
    """Rows of weight, hands, let go, aside."""
    call = np.concatenate([np.ravel(number) for number in numbers]).astype(np.float64)
    answer = subprocess.run([driver, action], input=call.tobytes(), stdout=subprocess.PIPE, check=True)
    return np.frombuffer(answer.stdout, dtype=np.float64).reshape(-1, 4)


def hold(what, got, want, most):
    """Counts a failure unless got is want to `most`."""
    global failures
    off = float(np.max(np.abs(np.asarray(got) - np.asarray(want))))
    good = off <= most  # false for NaN too
    failures += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: off by {off:.1e} N, at most {most:.0e}")


def steffen(x, y):
    """M. Steffen 1990, A&A 239:443-450: slopes of eq. 11 inside and eq. 24-26 at the ends."""
    h, s = np.diff(x), np.diff(y) / np.diff(x)
    slope = np.empty(len(x))
    for i in range(1, len(x) - 1):
        p = (s[i - 1] * h[i] + s[i] * h[i - 1]) / (h[i - 1] + h[i])
        slope[i] = (np.sign(s[i - 1]) + np.sign(s[i])) * min(abs(s[i - 1]), abs(s[i]), 0.5 * abs(p))
    for end, a, b in [(0, 0, 1), (-1, -1, -2)]:
        p = s[a] * (1 + h[a] / (h[a] + h[b])) - s[b] * h[a] / (h[a] + h[b])
        slope[end] = 0 if p * s[a] <= 0 else 2 * s[a] if abs(p) > 2 * abs(s[a]) else p
    return CubicHermiteSpline(x, y, slope)


def check_curves():
    for count in (3, 4, 7, 24):
        x = 0.4 + np.cumsum(rng.uniform(0.02, 0.3, count))
        y = rng.uniform(0, 50) + np.cumsum(np.maximum(0, rng.uniform(-40, 200, count)))
        inside = np.linspace(x[0], x[-1], 1001)
        states = np.column_stack([inside, 0 * inside, 0 * inside])
        weight = run("band", [1, count, 1], np.column_stack([x, y]), [0, 0, 0], states)[:, 0]
        hold(f"curve of {count} points", weight - IRON_KG * G, steffen(x, y)(inside), 1e-12 * max(y))


def check_directions():
    """The end of the bar is moved a little up and a little outward; energy by way is the force."""
    step = 1e-5
    for folds in (1, 2):
        for pegs in ([[0.3, 0.2, 0.1]], [[-0.2, 0.35, 0.1], [0.4, 0.1, 0.05]],
                     [[0.1, 0.0, 2.6], [0.3, -0.2, 2.7], [0.3, 0.4, 2.2]]):
            pegs = np.asarray(pegs)
            x = np.linspace(0.2, 7.0, 9)
            y = 90 * (x - 0.2) ** 0.8
            energy = steffen(x, y).antiderivative()

            def stored(end):
                way = np.linalg.norm(end - pegs[0]) + np.linalg.norm(np.diff(pegs, axis=0), axis=1).sum()
                return energy(folds * way)

            heights = np.linspace(0.4, 1.4, 21)
            states = np.column_stack([heights, 0 * heights, 0 * heights])
            got = run("band", [folds, len(x), len(pegs)], np.column_stack([x, y]), pegs, states)
            gradient = np.array([[(stored(np.array([0, 0, z]) + d) - stored(np.array([0, 0, z]) - d)) / (2 * step)
                                  for d in (np.array([0, 0, step]), np.array([-step, 0, 0]))] for z in heights])
            hold(f"down, {len(pegs)} pegs, {folds} folds", got[:, 0] - IRON_KG * G, gradient[:, 0], 1e-6)
            hold(f"aside, {len(pegs)} pegs, {folds} folds", got[:, 3], gradient[:, 1], 1e-6)


def check_chains():
    """Up: hands = d(momentum)/dt + weight. Down the floor takes the landing links' momentum, λ v² of it. The
    chain touches the floor from 0.3 m on and hangs clear from 0.9 m on."""
    line_kg_m, length, leader, dt = 4.2, 0.6, 0.3, 1e-5
    t = np.linspace(0.02, 0.98, 481)

    def height(at):
        return 0.2 + 0.9 * at**3 * (10 - 15 * at + 6 * at**2)

    def momentum(at, way):
        h = height(at if way > 0 else 1 - at)
        v = (height(at + dt) - height(at - dt)) / (2 * dt) if way > 0 else \
            (height(1 - at - dt) - height(1 - at + dt)) / (2 * dt)
        return (IRON_KG + line_kg_m * np.clip(h - leader, 0, length)) * v, h, v

    for way in (1, -1):
        now, h, v = momentum(t, way)
        a = (momentum(t + dt, way)[2] - momentum(t - dt, way)[2]) / (2 * dt)
        rate = (momentum(t + dt, way)[0] - momentum(t - dt, way)[0]) / (2 * dt)
        partly = (h > leader) & (h < leader + length)
        floor = np.where(partly & (v < 0), line_kg_m * v**2, 0)
        want = rate + (IRON_KG + line_kg_m * np.clip(h - leader, 0, length)) * G - floor
        away = np.minimum(abs(h - leader), abs(h - leader - length)) > 1e-4  # from the two jumps of λ v²
        got = run("chain", [line_kg_m, length, leader], np.column_stack([h, v, a]))
        hold(f"chain on the way {'up' if way > 0 else 'down'}", got[away, 1], want[away], 1e-6)
        still = run("chain", [line_kg_m, length, leader], np.column_stack([h, v, got[:, 2]]))
        hold("hands at the let-go acceleration", still[:, 1], 0 * h, 1e-9)


check_curves()
check_directions()
check_chains()
sys.exit(1 if failures else 0)
