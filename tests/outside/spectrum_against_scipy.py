# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds src/shake against scipy and numpy. Usage: spectrum_against_scipy.py DRIVER

Each check names where its reference comes from. Exit status 77: scipy is not installed, nothing was checked.
"""
import subprocess
import sys

try:
    import numpy as np
    import scipy
    from scipy import fft, signal, stats
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

RELATIVE = 1e-9  # of the largest value of the reference
driver = sys.argv[1]
rng = np.random.default_rng(20240611)
failures = 0


def run(action, *numbers, x=()):
    """The driver's answer to one call, as an array."""
    call = [driver, action, *(repr(float(number)) for number in numbers)]
    answer = subprocess.run(call, input=np.asarray(x, dtype=np.float64).tobytes(), stdout=subprocess.PIPE, check=True)
    return np.frombuffer(answer.stdout, dtype=np.float64)


def hold(what, got, want, relative=RELATIVE):
    """Counts a failure unless got is want to `relative` of want's largest value."""
    global failures
    got, want = np.asarray(got, dtype=float), np.asarray(want, dtype=float)
    if got.shape != want.shape:
        off = np.inf
    else:
        off = float(np.max(np.abs(got - want)) / np.max(np.abs(want)))
    good = off <= relative  # false for NaN too
    failures += not good
    print(f"{'ok  ' if good else 'FAIL'} {what}: off by {off:.1e} of the largest, at most {relative:.0e}")


def check_biquads():
    """scipy.signal.butter; for two passes at Winter's corrected cutoff (Biomechanics and Motor Control of Human
    Movement, from memory): tan(pi fc/fs) divided by, or for a high-pass times, (sqrt(2) - 1)^(1/4)."""
    for cutoff, rate in [(10, 100), (5, 100), (0.7, 200), (24, 50), (15, 1000)]:
        for passes in (1, 2, 3):
            correction = (2 ** (1 / passes) - 1) ** 0.25
            for kind, warped in [("low", np.tan(np.pi * cutoff / rate) / correction),
                                 ("high", np.tan(np.pi * cutoff / rate) * correction)]:
                design = np.arctan(warped) * rate / np.pi
                b, a = signal.butter(2, design, kind, fs=rate)
                hold(f"biquad {kind}pass {cutoff} of {rate} Hz, {passes} passes",
                     run(kind + "pass", cutoff, rate, passes), [*b, *a[1:]], 1e-12)


def check_both_ways():
    """scipy.signal.filtfilt with the same odd extension, started from lfilter_zi."""
    for cutoff, rate, count in [(6, 100, 900), (2, 200, 3000), (1, 400, 700), (10, 50, 40)]:
        x = rng.normal(size=count).cumsum() + 9.8
        answer = run("both-ways", cutoff, rate, x=x)
        correction = (2**0.5 - 1) ** 0.25
        design = np.arctan(np.tan(np.pi * cutoff / rate) / correction) * rate / np.pi
        b, a = signal.butter(2, design, fs=rate)
        reach = min(int(answer[0]), count - 1)
        want = signal.filtfilt(b, a, x, padtype="odd", padlen=reach)
        hold(f"both ways {cutoff} of {rate} Hz, {count} samples, reach {reach}", answer[1:], want)


def butterworth_gain(f, low, high, order):
    """Magnitude of analogue Butterworth filters, from scipy.signal.butter's transfer functions."""
    gain = np.ones_like(f)
    at = np.maximum(f, 1e-9)  # freqs at exactly 0 divides 0 by 0 for the high-pass
    if low > 0:
        gain *= np.abs(signal.freqs(*signal.butter(order, low, "high", analog=True), worN=at)[1])
        gain[f == 0] = 0
    if np.isfinite(high):
        gain *= np.abs(signal.freqs(*signal.butter(order, high, "low", analog=True), worN=at)[1])
    return gain


def band_reference(x, low, high, order, rate):
    """The documented method on numpy's real transform: mean taken out, ends reflected oddly over three periods of the
    lowest edge under half a cosine, gain and (2 pi i f)^-k applied to the spectrum."""
    count, mean = len(x), x.mean()
    wanted = int(np.ceil(3 * rate / (low if low > 0 else high)))
    reach = min(wanted, count - 1)
    taper = 0.5 + 0.5 * np.cos(np.pi * np.arange(1, reach + 1) / (reach + 1))
    before = taper * (2 * x[0] - x[1 : reach + 1] - mean)
    after = taper * (2 * x[-1] - x[-2 : -2 - reach : -1] - mean)
    length = fft.next_fast_len(count + 2 * wanted, real=True)
    gap = np.zeros(length - count - 2 * reach)
    spectrum = np.fft.rfft(np.concatenate([x - mean, after, gap, before[::-1]]))
    f = np.fft.rfftfreq(length, 1 / rate)
    spectrum = spectrum * butterworth_gain(f, low, high, order)
    outputs = []
    for k in range(3 if low > 0 else 1):
        divisor = np.where(f > 0, (2j * np.pi * f) ** k, 1)
        outputs.append(np.fft.irfft(spectrum / divisor, length)[:count] + (mean if low == 0 else 0))
    return outputs


def check_band():
    for low, high, order, rate, count in [(0.7, 8, 4, 200, 12000), (0.7, 8, 4, 100, 500), (15, np.inf, 4, 200, 3001),
                                          (0.5, 20, 2, 100, 2000), (1, 5, 8, 50, 64), (0.7, 4.5, 4, 10, 300)]:
        x = rng.normal(size=count) + np.linspace(0, 2, count)
        got = run("band", low, high, order, rate, x=x).reshape(3, count)
        for name, one, want in zip(["band", "integral", "double integral"], got,
                                   band_reference(x, low, high, order, rate)):
            hold(f"{name} {low} to {high} Hz, order {order}, {count} samples at {rate} Hz", one, want)


def check_welch():
    """scipy.signal.welch with its defaults (Hann, half overlap, constant detrend)."""
    for count, rate, segment in [(4000, 200, 256), (1000, 100, 250), (999, 50, 125), (64, 1, 8), (777, 100, 777)]:
        x = rng.normal(size=count) + np.sin(np.arange(count)) + 3
        want = signal.welch(x, rate, nperseg=segment)[1]
        hold(f"Welch {count} samples, segments of {segment}", run("welch", rate, segment, x=x), want)


def arc_length(speed, rate):
    """Balasubramanian, Melendez-Calderon, Roby-Brami & Burdet 2015, J NeuroEng Rehabil 12:112, written from the paper's
    formula with the settings of its reference program: padding 4, cutoff 10 Hz, threshold 0.05."""
    length = 2 ** (int(np.ceil(np.log2(len(speed)))) + 4)
    f = np.arange(length) * rate / length
    size = np.abs(np.fft.fft(speed, length))
    size = size / size.max()
    f, size = f[f <= 10], size[f <= 10]
    kept = np.nonzero(size >= 0.05)[0]
    f, size = f[kept[0] : kept[-1] + 1], size[kept[0] : kept[-1] + 1]
    return -np.sum(np.sqrt((np.diff(f) / (f[-1] - f[0])) ** 2 + np.diff(size) ** 2))


def check_smoothness():
    for count, rate in [(101, 100), (121, 200), (1001, 1000), (240, 200), (4000, 200)]:
        t = np.linspace(0, 1, count)
        minimum_jerk = 30 * t**2 - 60 * t**3 + 30 * t**4  # Flash & Hogan 1985, J Neurosci 5:1688-1703
        hold(f"arc length, minimum jerk, {count} samples at {rate} Hz", run("smoothness", rate, x=minimum_jerk),
             [arc_length(minimum_jerk, rate)])
        rough = minimum_jerk * (1 + 0.4 * np.sin(31 * t)) + 0.01 * rng.normal(size=count)
        hold(f"arc length, rough, {count} samples at {rate} Hz", run("smoothness", rate, x=rough),
             [arc_length(rough, rate)])


def check_dominant():
    """numpy's transform of the same window, fourfold padded, and the parabola through three logarithms."""
    for count, rate in [(240, 200), (900, 100), (9000, 200)]:
        t = np.arange(count) / rate
        x = np.sin(2 * np.pi * 3.3 * t) + 0.3 * rng.normal(size=count)
        window = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(count) + 0.5) / count)
        length = fft.next_fast_len(4 * count, real=True)
        power = np.abs(np.fft.rfft(window * (x - np.average(x, weights=window)), length)) ** 2
        f = np.fft.rfftfreq(length, 1 / rate)
        inside = np.nonzero((f >= 0.7) & (f <= 8))[0]
        k = inside[np.argmax(power[inside])]
        a, b, c = np.log(power[k - 1 : k + 2])
        want = (k + 0.5 * (a - c) / (a - 2 * b + c)) * rate / length
        hold(f"dominant frequency, {count} samples at {rate} Hz", run("dominant", rate, 0.7, 8, x=x), [want])


def check_ellipse():
    """scipy.stats.f and numpy.cov in the formula of Prieto et al. 1996, IEEE TBME 43:956-966 (from memory)."""
    for count in (3, 10, 200, 5000):
        x, y = rng.normal(size=count), 0.4 * rng.normal(size=count) + 2
        spread = np.sqrt(np.linalg.det(np.cov(x, y, bias=True)))
        want = 2 * np.pi * stats.f.ppf(0.95, 2, count - 2) * spread
        hold(f"ellipse of {count} points", run("ellipse", x=np.concatenate([x, y])), [want])


print(f"scipy {scipy.__version__}, numpy {np.__version__}")
for check in (check_biquads, check_both_ways, check_band, check_welch, check_smoothness, check_dominant, check_ellipse):
    check()
print(f"{failures} failed")
sys.exit(1 if failures else 0)
