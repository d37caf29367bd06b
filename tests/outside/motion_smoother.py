# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds src/motion against numpy and scipy. Usage: motion_smoother.py DRIVER

The smoother is a way to solve one large sparse least-squares problem; here the same problem is written out densely and
solved at once. Exit status 77: scipy is not installed, nothing was checked.
"""
import subprocess
import sys

try:
    import numpy as np
    import scipy
    from scipy import linalg
    from scipy.spatial.transform import Rotation
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

RELATIVE = 1e-8
driver = sys.argv[1]
rng = np.random.default_rng(20250311)
failures = 0


def run(action, numbers):
    """The driver's answer to one call, as an array."""
    data = np.asarray(numbers, dtype=np.float64).tobytes()
    answer = subprocess.run([driver, action], input=data, stdout=subprocess.PIPE, check=True)
    return np.frombuffer(answer.stdout, dtype=np.float64)


def hold(what, off, most=RELATIVE):
    """Counts a failure unless off is at most `most`."""
    global failures
    good = off <= most  # false for NaN too
    failures += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: off by {off:.1e}, at most {most:.0e}")


class Case:
    """Height, speed and three biases of a bar at uneven knots, as src/motion puts it; or n states of no meaning."""

    def __init__(self, n, count, like_a_bar):
        self.n, self.count = n, count
        self.mean = rng.normal(size=n)
        self.variance = rng.uniform(0.01, 1, size=n)
        self.steps = [(np.eye(n), np.zeros(n), np.eye(n))]
        for _ in range(1, count):
            self.steps.append(self.bar_step() if like_a_bar else self.any_step())
        self.seen = [self.look() for _ in range(count)]

    def bar_step(self):
        dt = rng.uniform(0.02, 0.3)
        F, Q = np.eye(self.n), 1e-8 * np.eye(self.n)
        up = rng.normal(size=self.n - 2)
        up /= np.linalg.norm(up)
        F[0, 1], F[0, 2:], F[1, 2:] = dt, -up * dt * dt / 2, -up * dt
        Q[:2, :2] += 0.01 * np.array([[dt**3 / 3, dt**2 / 2], [dt**2 / 2, dt]])
        return F, np.concatenate([rng.normal(size=2) * [dt * dt, dt], np.zeros(self.n - 2)]), Q

    def any_step(self):
        half = rng.normal(size=(self.n, self.n))
        F = np.eye(self.n) + 0.3 * rng.normal(size=(self.n, self.n))
        return F, rng.normal(size=self.n), half @ half.T + 0.1 * np.eye(self.n)

    def look(self):
        return [(rng.normal(size=self.n), rng.normal(), 10 ** rng.uniform(-4, 1)) for _ in range(rng.integers(0, 4))]

    def numbers(self):
        parts = [[self.n, self.count], self.mean, self.variance]
        for (F, given, Q), seen in zip(self.steps, self.seen):
            parts += [F.ravel(), given, Q.ravel(), [len(seen)]]
            parts += [np.concatenate([H, [z, variance]]) for H, z, variance in seen]
        return np.concatenate(parts)

    def dense(self, knots):
        """Mean and covariance of all states of the first `knots` knots, from what is known of them alone."""
        n, size = self.n, self.n * knots
        rows, right = [np.eye(n, size) / np.sqrt(self.variance)[:, None]], [self.mean / np.sqrt(self.variance)]
        for k in range(knots):
            F, given, Q = self.steps[k]
            if k > 0:
                whiten = linalg.inv(linalg.cholesky(Q, lower=True))
                row = np.zeros((n, size))
                row[:, n * (k - 1) : n * k], row[:, n * k : n * (k + 1)] = -whiten @ F, whiten
                rows.append(row)
                right.append(whiten @ given)
            for H, z, variance in self.seen[k]:
                row = np.zeros((1, size))
                row[0, n * k : n * (k + 1)] = H / np.sqrt(variance)
                rows.append(row)
                right.append([z / np.sqrt(variance)])
        A, b = np.vstack(rows), np.concatenate(right)
        q, r = linalg.qr(A, mode="economic")
        inverse = linalg.solve_triangular(r, np.eye(size))
        return inverse @ (q.T @ b), inverse @ inverse.T


def check_smoother():
    for n, count, like_a_bar in [(1, 40, False), (2, 30, False), (5, 40, True), (5, 12, False), (9, 12, True),
                                 (9, 10, False)]:
        case = Case(n, count, like_a_bar)
        name = f"smoother, {n} states, {count} knots, {'like a bar' if like_a_bar else 'of no meaning'}"
        answer = run("smoother", case.numbers()).reshape(count, 3 * n * n + n)
        filtered = answer[:, : n * n].reshape(count, n, n)
        x = answer[:, n * n : n * n + n]
        P = answer[:, n * n + n : 2 * n * n + n].reshape(count, n, n)
        gain = answer[:, 2 * n * n + n :].reshape(count, n, n)
        mean, covariance = case.dense(count)
        sd = np.sqrt(np.diag(covariance))
        scale = np.outer(sd, sd)
        blocks = [slice(n * k, n * k + n) for k in range(count)]
        hold(name + ": mean, in sd", np.max(np.abs(x.ravel() - mean) / sd))
        hold(name + ": covariance",
             max(np.max(np.abs(P[k] - covariance[b, b]) / scale[b, b]) for k, b in enumerate(blocks)))
        hold(name + ": covariance of neighbours",
             max(np.max(np.abs(gain[k] @ P[k + 1] - covariance[b, c]) / scale[b, c])
                 for k, (b, c) in enumerate(zip(blocks, blocks[1:]))))
        off = 0
        for knots in (1, count // 2, count):
            last = case.dense(knots)[1][-n:, -n:]
            spread = np.sqrt(np.diag(last))
            off = max(off, np.max(np.abs(filtered[knots - 1] - last) / np.outer(spread, spread)))
        hold(name + ": filtered covariance", off)
        # A draw is linear in its normals (simulation smoothing: Carter & Kohn 1994, Biometrika 81(3):541-53), so the
        # map's columns say all of its distribution: no Monte Carlo, no Monte Carlo error.
        columns = run("draws", case.numbers()).reshape(n * count, n * count).T
        hold(name + ": joint covariance of a draw", np.max(np.abs(columns @ columns.T - covariance) / scale))


def check_rotation():
    """scipy.spatial.transform.Rotation."""
    turns = np.vstack([rng.normal(size=(200, 3)) * 10 ** rng.uniform(-9, 0.7, size=(200, 1)), np.zeros((1, 3))])
    want = Rotation.from_rotvec(turns).as_matrix()
    hold("rotation matrices", np.max(np.abs(run("rotation", turns).reshape(-1, 3, 3) - want)), 4e-15)


def check_eigen():
    """numpy.linalg.eigvalsh; a vector is right when the matrix only stretches it."""
    half = rng.normal(size=(300, 3, 3))
    matrices = half + half.transpose(0, 2, 1)
    answer = run("eigen", matrices).reshape(-1, 12)
    values, vectors = answer[:, :3], answer[:, 3:].reshape(-1, 3, 3)
    hold("eigenvalues", np.max(np.abs(values - np.linalg.eigvalsh(matrices)[:, ::-1])), 1e-13)
    stretched = np.einsum("mij,mvj->mvi", matrices, vectors)
    hold("eigenvectors", np.max(np.abs(stretched - values[:, :, None] * vectors)), 1e-13)


print(f"scipy {scipy.__version__}, numpy {np.__version__}")
for check in (check_smoother, check_rotation, check_eigen):
    check()
print(f"{failures} failed")
sys.exit(1 if failures else 0)
