#!/usr/bin/env python3
"""The benchmark's season in numpy and scipy, one thread, beside the Go one.

    python3 season.py convolve|fft [parts]

The season is made number by number as in planner/demand/workload_test.go. The terms'
vectors are made beforehand and are not in the time. Tails are cut where the running
total has 8e-18 left at an end. Prints CPU and wall microseconds for one trip of one
part: its distribution from 10 terms, and the running total.
"""
import os
for v in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[v] = "1"
import math
import statistics
import sys
import time

import numpy as np
import scipy.fft

MASK = (1 << 64) - 1
CUT = 8e-18


class SplitMix:
    def __init__(self, seed):
        self.s = seed

    def next(self):
        self.s = (self.s + 0x9E3779B97F4A7C15) & MASK
        z = self.s
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        return ((z ^ (z >> 31)) >> 11) / (1 << 53)


def compound(mean, sizes):
    """Compound Poisson by Panjer's recursion."""
    g = [math.exp(-mean)]
    m = mean * sum((i + 1) * p for i, p in enumerate(sizes))
    quiet = 0
    while quiet < len(sizes):
        s = len(g)
        v = sum(mean * (x + 1) * p * g[s - x - 1] for x, p in enumerate(sizes) if x < s) / s
        g.append(v)
        quiet = quiet + 1 if v < CUT * 1e-3 and s > m else 0
    return np.array(g)


def term(rng, k):
    u = rng.next()
    times = 4 if u > 0.9 else 2 if u > 0.6 else 1
    if k % 3 == 0:
        n = 2 + int(rng.next() * 15)
        p = 0.02 + 0.5 * rng.next()
        v = np.array([math.comb(n, i) * p**i * (1 - p) ** (n - i) for i in range(n + 1)])
    elif k % 3 == 1:
        v = compound(0.05 + 2 * rng.next(), [1.0])
    else:
        mean = 0.02 + 0.6 * rng.next()
        a, b, c = rng.next(), rng.next(), rng.next()
        t = a + b + c
        v = compound(mean, [a / t, b / t, c / t])
    out = np.zeros((len(v) - 1) * times + 1)
    out[::times] = v
    return out


def by_convolve(terms):
    v = terms[0]
    for t in terms[1:]:
        v = np.convolve(v, t)
    return v


def by_fft(terms):
    n = sum(len(t) - 1 for t in terms) + 1
    size = scipy.fft.next_fast_len(n, real=True)
    f = scipy.fft.rfft(terms[0], size)
    for t in terms[1:]:
        f *= scipy.fft.rfft(t, size)
    return scipy.fft.irfft(f, size)[:n]


def run(season, product, widths):
    for part, rounds in zip(season, widths):
        total = np.ones(1)
        for terms, (trip_len, total_len) in zip(part, rounds):
            trip = product(terms)[:trip_len]
            total = product([total, trip])[:total_len]


def widths_of(season):
    """Where the tails are cut, by the exact route: noise would hide it from the FFT."""
    out = []
    for part in season:
        total = np.ones(1)
        rounds = []
        for terms in part:
            trip = by_convolve(terms)
            trip = trip[: len(trip) - int(np.searchsorted(np.cumsum(trip[::-1]), CUT, side="right"))]
            total = np.convolve(total, trip)
            total = total[: len(total) - int(np.searchsorted(np.cumsum(total[::-1]), CUT, side="right"))]
            rounds.append((len(trip), len(total)))
        out.append(rounds)
    return out


def main():
    product = {"convolve": by_convolve, "fft": by_fft}[sys.argv[1]]
    parts = int(sys.argv[2]) if len(sys.argv) > 2 else 50
    season = []
    for part in range(parts):
        rng = SplitMix(part + 1)
        season.append([[term(rng, k) for k in range(10)] for _ in range(30)])
    widths = widths_of(season)
    run(season, product, widths)
    cpu, wall = [], []
    for _ in range(5):
        c, w = time.process_time(), time.perf_counter()
        run(season, product, widths)
        cpu.append((time.process_time() - c) / (parts * 30) * 1e6)
        wall.append((time.perf_counter() - w) / (parts * 30) * 1e6)
    print(f"{sys.argv[1]}: {statistics.median(cpu):.1f} us CPU, {statistics.median(wall):.1f} us wall a trip, median of 5")


main()
