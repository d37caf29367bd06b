#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
#
# What a straightforward script makes of a folder of logs, to hold barplumb's time against: each log read with numpy or pandas,
# the length of the acceleration less gravity low-passed, integrated, its drift taken out by a straight line, and peaks of
# speed taken for reps. No attitude, no interval, no load, no page. Prints CPU seconds, those of reading apart, and the reps found.
#   naive_block.py numpy|pandas LOG…
import sys
import time

import numpy as np
from scipy import integrate, signal


def read(reader, path):
    if reader == "pandas":
        import pandas

        return pandas.read_csv(path).to_numpy()
    return np.loadtxt(path, delimiter=",", skiprows=1)


def mean_speeds(rows):
    """Mean upward speed of each rep, m/s."""
    t = rows[:, 0]
    rate = 1.0 / np.median(np.diff(t))
    length = np.sqrt((rows[:, 1:4] ** 2).sum(axis=1))
    b, a = signal.butter(2, 10.0, fs=rate)
    upward = signal.filtfilt(b, a, length - np.median(length))
    speed = signal.detrend(integrate.cumulative_trapezoid(upward, t, initial=0.0))
    peaks, _ = signal.find_peaks(speed, height=0.2, distance=int(rate))
    reps = []
    for peak in peaks:
        low, high = peak, peak
        while low > 0 and speed[low] > 0.0:
            low -= 1
        while high < len(speed) - 1 and speed[high] > 0.0:
            high += 1
        reps.append(speed[low:high].mean())
    return reps


def main():
    reader, logs = sys.argv[1], sys.argv[2:]
    reading = reps = 0
    start = time.process_time()
    for log in logs:
        before = time.process_time()
        rows = read(reader, log)
        reading += time.process_time() - before
        reps += len(mean_speeds(rows))
    print("%.2f s CPU, %.2f of it reading, %d reps" % (time.process_time() - start, reading, reps))


main()
