# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds src/compare against scipy. Usage: against_scipy.py DRIVER

Exit status 77: scipy is not installed, nothing was checked.
"""
import subprocess
import sys

try:
    import numpy as np
    import scipy
    from scipy import stats
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

driver = sys.argv[1]
rng = np.random.default_rng(20240309)
failures = 0


def run(action, *numbers, x=()):
    """The driver's answer to one call, as an array."""
    call = [driver, action, *(repr(float(number)) for number in numbers)]
    answer = subprocess.run(call, input=np.asarray(x, dtype=np.float64).tobytes(), stdout=subprocess.PIPE, check=True)
    return np.frombuffer(answer.stdout, dtype=np.float64)


def hold(what, got, want, tolerance):
    """Counts a failure unless every number of got is within tolerance of want's."""
    global failures
    off = float(np.max(np.abs(np.asarray(got, dtype=float) - np.asarray(want, dtype=float))))
    good = off <= tolerance  # false for NaN too
    failures += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: off by {off:.1e}, at most {tolerance:.0e}")


def check_student():
    for df in (1, 1.37, 2, 3.5, 8, 33.3, 500):
        for p in (0.6, 0.975, 1 - 0.05 / 6, 0.9999):
            want = stats.t.ppf(p, df)
            hold(f"t quantile {p:.4f} at {df}", run("quantile", p, df) / want, 1, 1e-7)
        for t, shift in ((2.1, 1.0), (-1.0, 0.7), (5.0, 4.0), (12.7, 3.0), (3.0, -2.0)):
            hold(f"noncentral t {t} at {df}, {shift}", run("shifted", t, df, shift), stats.nct.cdf(t, df, shift), 1e-7)


def effect_interval(d, df, scale):
    """The shifts at which d * scale is the 2.5 and 97.5 % point, from scipy's noncentral t; times J / scale."""
    j = np.exp(scipy.special.gammaln(df / 2) - scipy.special.gammaln((df - 1) / 2)) / np.sqrt(df / 2)

    def at(p):
        return scipy.optimize.brentq(lambda shift: stats.nct.cdf(d * scale, df, shift) - p, d * scale - 15, d * scale + 15)

    return np.array([d, at(0.975) / scale, at(0.025) / scale]) * j


def check_pairs():
    for n in (4, 7, 12):
        a = 1 + rng.normal(size=n)
        b = a - 0.3 + 0.5 * rng.normal(size=n)
        got = run("pairs", n, x=np.concatenate([a, b]))
        test = stats.ttest_rel(a, b)
        d = a - b
        half = stats.t.ppf(0.975, n - 1) * stats.sem(d)
        hold(f"{n} pairs, interval", got[:3], [d.mean(), d.mean() - half, d.mean() + half], 1e-9)
        hold(f"{n} pairs, p", got[8], test.pvalue, 1e-9)
        hold(f"{n} pairs, effect", got[3:6], effect_interval(d.mean() / d.std(ddof=1), n - 1, np.sqrt(n)), 1e-4)
        flips = stats.permutation_test((a, b), lambda x, y, axis: np.mean(x - y, axis=axis), vectorized=True,
                                       permutation_type="samples", n_resamples=np.inf)
        hold(f"{n} pairs, sign flips", got[9], flips.pvalue, 1e-9)


def power(a, b, more):
    """Of the documented test with so many more on each side and the difference as seen."""
    va, vb, n, m = a.var(ddof=1), b.var(ddof=1), len(a) + more, len(b) + more
    se2 = va / n + vb / m
    welch = se2**2 / ((va / n) ** 2 / (n - 1) + (vb / m) ** 2 / (m - 1))
    df = 0.5 * (welch + (n + m - 2 if n == m else min(n, m) - 1))
    return 1 - stats.nct.cdf(stats.t.ppf(0.975, df), df, abs(a.mean() - b.mean()) / np.sqrt(se2))


def check_groups():
    for n, m in ((3, 3), (4, 7), (6, 3), (5, 5)):
        a, b = 1.4 + rng.normal(size=n), 0.3 + rng.normal(size=m)
        got = run("groups", n, x=np.concatenate([a, b]))
        test = stats.ttest_ind(a, b, equal_var=False)
        hold(f"{n} against {m}, Welch's t", got[0] / got[6], test.statistic, 1e-9)
        va, vb = a.var(ddof=1) / n, b.var(ddof=1) / m
        welch = (va + vb) ** 2 / (va**2 / (n - 1) + vb**2 / (m - 1))
        df = 0.5 * (welch + (n + m - 2 if n == m else min(n, m) - 1))  # docs/compare.md
        hold(f"{n} against {m}, degrees of freedom", got[7], df, 1e-9)
        hold(f"{n} against {m}, p", got[8], 2 * stats.t.sf(abs(test.statistic), df), 1e-9)
        pooled = np.sqrt(((n - 1) * a.var(ddof=1) + (m - 1) * b.var(ddof=1)) / (n + m - 2))
        want = effect_interval((a.mean() - b.mean()) / pooled, n + m - 2, np.sqrt(n * m / (n + m)))
        hold(f"{n} against {m}, effect", got[3:6], want, 1e-4)
        regrouped = stats.permutation_test((a, b), lambda x, y, axis: np.mean(x, axis=axis) - np.mean(y, axis=axis),
                                           vectorized=True, n_resamples=np.inf)
        # scipy doubles the smaller tail; ours counts what is as far out on either side: the same for n = m
        if n == m:
            hold(f"{n} against {m}, regroupings", got[9], regrouped.pvalue, 1e-9)
        if got[10] > 0 and got[10] < 100:
            enough = power(a, b, int(got[10])) >= 0.8 > power(a, b, int(got[10]) - 1)
            hold(f"{n} against {m}, {int(got[10])} more would tell", float(enough), 1, 0)


def check_bootstrap():
    """Another road to an interval: with 40 a side the bootstrap's is about as wide."""
    a, b = rng.gamma(4, size=40), rng.gamma(3, size=40)
    got = run("groups", 40, x=np.concatenate([a, b]))
    other = stats.bootstrap((a, b), lambda x, y, axis: np.mean(x, axis=axis) - np.mean(y, axis=axis), vectorized=True,
                            method="percentile", n_resamples=9999, random_state=1).confidence_interval
    hold("bootstrap, 40 a side, in widths", (got[1:3] - [other.low, other.high]) / (other.high - other.low), 0, 0.05)


def check_anova():
    for groups, size in ((2, 5), (5, 3), (7, 9)):
        x = rng.normal(size=(groups, size)) + rng.normal(size=(groups, 1))
        test = stats.f_oneway(*x)
        hold(f"analysis of variance, {groups} groups of {size}", run("anova", size, x=x.ravel()),
             [test.statistic, test.pvalue], 1e-9)


print(f"scipy {scipy.__version__}, numpy {np.__version__}")
for check in (check_student, check_pairs, check_groups, check_bootstrap, check_anova):
    check()
print(f"{failures} failed")
sys.exit(1 if failures else 0)
